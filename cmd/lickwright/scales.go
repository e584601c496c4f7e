package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

const scalesLong = `Scales lists the scales that have a name here, spells one in a key, compares
two, and finds those that hold given notes.

A scale is a name of the trade (dorian, minor pentatonic, lydian b7), a mode by
number (mode 5 of harmonic minor) or a formula of degrees counted against the
major scale (1 b3 4 #4 5 b7), with or without a tonic before it (Eb dorian).
Without a tonic it is spelled in all twelve keys.

Shown of a scale are its notes, the chords on its degrees, its other modes, and
the scales that differ from it in a single note.

With a scheme, a scale is laid out on the neck, as a picture in text, or with
--as or -o as tab or MusicXML:

  --scheme chord-shape        the five positions that come from the open chords
                              C, A, G, E and D, which method books spell as one
                              word, CAGED; --shape E for one of them
  --scheme notes-per-string   --notes 3 (books write 3NPS), from every degree
                              or --degree 2; --hold-position
  --position 5                one finger per fret, and a stretch either side
  --frets 5-9, --strings 1-3  a window, a set of strings; with another scheme
                              they narrow it
  --scheme open               open position
  --scheme-file FILE          a scheme of your own, for example

                                scheme   Corner box
                                root     string 2, ring
                                reach    1 0
                                strings  1-3

All of them are worked out for any --tuning, --capo and number of frets.`

const scalesExample = `  lickwright scales
  lickwright scales Eb dorian
  lickwright scales lydian dominant
  lickwright scales "G 1 b3 4 #4 5 b7"
  lickwright scales A minor pentatonic --compare "A blues"
  lickwright scales --holding "C Eb F#"
  lickwright scales C major --scheme chord-shape --shape E
  lickwright scales C major --scheme notes-per-string --notes 3 --degree 2 --as tab
  lickwright scales A minor pentatonic --position 5 --show degrees,names`

type scalesOptions struct {
	scale   string
	compare string
	holding string
	all     bool
	json    bool
	layout  layoutFlags
}

func newScalesCmd(a *app) *cobra.Command {
	var opt scalesOptions
	cmd := &cobra.Command{
		Use:     "scales [SCALE]",
		Short:   "List, spell, compare and find scales",
		Long:    scalesLong,
		Example: scalesExample,
		RunE: func(_ *cobra.Command, args []string) error {
			opt.scale = strings.Join(args, " ")
			return runScales(a, opt)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&opt.compare, "compare", "", "show what changes from SCALE to this one")
	fl.StringVar(&opt.holding, "holding", "", `find the scales that hold these notes ("C Eb F#"); with SCALE or a tonic, on that tonic only`)
	fl.BoolVar(&opt.all, "all", false, "with --holding: all of them, not the closest only")
	fl.BoolVar(&opt.json, "json", false, "write JSON, for programs")
	opt.layout.add(cmd)
	return cmd
}

func runScales(a *app, opt scalesOptions) error {
	if onNeck, err := opt.layout.asked(); err != nil {
		return err
	} else if onNeck {
		return layOutScale(a, opt)
	}
	v, err := opt.view()
	if err != nil {
		return err
	}
	return a.show(opt.json, v)
}

// view finds out what is asked for.
func (opt scalesOptions) view() (view, error) {
	switch {
	case opt.compare != "" && opt.holding != "":
		return nil, &usageError{"--compare and --holding ask for two things", "use one of them"}
	case opt.compare != "":
		return compareScales(opt.scale, opt.compare)
	case opt.holding != "":
		return findScales(opt)
	case opt.scale == "":
		return listScales(), nil
	}
	tonic, hasTonic, s, err := parseScale("", opt.scale)
	if err != nil {
		return nil, err
	}
	if !hasTonic {
		return scaleInKeys(s), nil
	}
	return viewScale(tonic, s), nil
}

// layOutScale lays a scale out on the neck.
func layOutScale(a *app, opt scalesOptions) error {
	if opt.compare != "" || opt.holding != "" {
		return &usageError{"--compare, --holding and a layout are different things", "use one of them"}
	}
	if opt.scale == "" {
		return &usageError{"there is no scale to lay out", `name one with its tonic, as in "C major"`}
	}
	tonic, hasTonic, s, err := parseScale("", opt.scale)
	if err != nil {
		return err
	}
	if !hasTonic {
		return noTonic(opt.scale)
	}
	chain := fretboard.ChainOf(tonic, s)
	return a.runLayout(&opt.layout, "", []layoutItem{{tones: chain.Scale, chain: &chain}}, opt.json)
}

// A scaleEntry is a line of the list.
type scaleEntry struct {
	Name    string   `json:"name"`
	Aliases []string `json:"aliases"`
	Family  string   `json:"family"`
	Formula string   `json:"formula"`
}

func entryOf(s theory.Scale) scaleEntry {
	return scaleEntry{s.Title(), append([]string{}, s.Aliases()...), s.Family(), s.Formula()}
}

// A scaleList is what has a name.
type scaleList []scaleEntry

func listScales() scaleList {
	var list scaleList
	for _, s := range theory.Scales() {
		list = append(list, entryOf(s))
	}
	return list
}

func (list scaleList) write(text *strings.Builder) {
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "NAME\tDEGREES\tFAMILY\tALSO")
	for _, e := range list {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", e.Name, e.Formula, e.Family, strings.Join(e.Aliases, ", "))
	}
	_ = w.Flush() // a strings.Builder takes everything
}

// A scaleView is a scale on a tonic with what surrounds it.
type scaleView struct {
	scaleEntry
	Tonic      string          `json:"tonic"`
	Degrees    []string        `json:"degrees"`
	Notes      []string        `json:"notes"`
	Steps      []string        `json:"steps"`    // from each note to the next, the last to the octave
	Triads     []string        `json:"triads"`   // of stacked thirds; empty where the scale has none to stack
	Sevenths   []string        `json:"sevenths"` // the same
	Numerals   []string        `json:"numerals"` // of the triads, counted against the major scale
	Holds      []string        `json:"holds"`    // triads, sixth and seventh chords that the scale holds
	Modes      []modeView      `json:"modes"`
	Neighbours []neighbourView `json:"neighbours"`
}

type modeView struct {
	Tonic string `json:"tonic"`
	Name  string `json:"name"` // or the formula
}

type neighbourView struct {
	Name   string `json:"name"`
	From   string `json:"from"` // degree that moves
	To     string `json:"to"`
	Note   string `json:"note"`   // the note that moves
	NoteTo string `json:"noteTo"` // what it becomes
	Mode   bool   `json:"mode"`   // it is a mode of the same parent
}

func viewScale(tonic theory.NoteName, s theory.Scale) scaleView {
	v := scaleView{scaleEntry: entryOf(s), Tonic: tonic.String(), Degrees: degreesOf(s.Degrees()), Notes: namesOf(s.Notes(tonic))}
	for i := range s.Len() {
		next := theory.Octaves(1)
		if i+1 < s.Len() {
			next = s.Degree(i + 1).Interval()
		}
		v.Steps = append(v.Steps, next.Add(s.Degree(i).Interval().Neg()).String())
	}
	v.Triads, v.Numerals, v.Sevenths, v.Holds = []string{}, []string{}, []string{}, []string{}
	if stacksThirds(s) {
		key := theory.Key{Tonic: tonic}
		for _, c := range s.Harmonise(tonic, 3) {
			v.Triads = append(v.Triads, symbolOf(c))
			numeral := "-"
			if c.Named {
				numeral = key.Roman(c.Chord)
			}
			v.Numerals = append(v.Numerals, numeral)
		}
		for _, c := range s.Harmonise(tonic, 4) {
			v.Sevenths = append(v.Sevenths, symbolOf(c))
		}
	}
	for _, c := range s.ChordsIn(tonic) {
		v.Holds = append(v.Holds, c.Chord.String())
	}
	for i, m := range s.Modes() {
		v.Modes = append(v.Modes, modeView{s.Degree(i).Name(tonic).String(), m.Title()})
	}
	v.Neighbours = []neighbourView{}
	for _, n := range s.Neighbours() {
		v.Neighbours = append(v.Neighbours, neighbourView{
			n.Scale.Title(), n.From.String(), n.To.String(), n.From.Name(tonic).String(), n.To.Name(tonic).String(), n.Mode,
		})
	}
	return v
}

// stacksThirds tells whether every other note of the scale makes chords in
// thirds: with seven notes and with the eight of diminished and bebop scales.
func stacksThirds(s theory.Scale) bool { return s.Len() == 7 || s.Len() == 8 }

// symbolOf writes the chord on a degree, or its notes if it has no symbol.
func symbolOf(c theory.ScaleChord) string {
	if c.Named {
		return c.Chord.String()
	}
	return strings.Join(namesOf(c.Tones), "-")
}

func (v scaleView) write(text *strings.Builder) {
	fmt.Fprintf(text, "%s %s\n", v.Tonic, v.Name)
	if len(v.Aliases) > 0 {
		fmt.Fprintf(text, "also: %s\n", strings.Join(v.Aliases, ", "))
	}
	text.WriteByte('\n')
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	row := func(name string, cells []string) { fmt.Fprintf(w, "%s\t%s\n", name, strings.Join(cells, "\t")) }
	row("degree", v.Degrees)
	row("note", v.Notes)
	row("to next", v.Steps)
	if len(v.Triads) > 0 {
		row("triad", v.Triads)
		row("numeral", v.Numerals)
		row("seventh", v.Sevenths)
	}
	_ = w.Flush() // a strings.Builder takes everything
	if len(v.Triads) == 0 && len(v.Holds) > 0 {
		fmt.Fprintf(text, "\nchords in it: %s\n", strings.Join(v.Holds, " "))
	}

	text.WriteString("\nmodes\n")
	w = tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	for _, m := range v.Modes {
		fmt.Fprintf(w, "  %s\t%s\n", m.Tonic, m.Name)
	}
	_ = w.Flush()
	if len(v.Neighbours) == 0 {
		return
	}
	text.WriteString("\none note away\n")
	w = tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	for _, n := range v.Neighbours {
		of := ""
		if n.Mode {
			of = "mode of the same scale"
		}
		fmt.Fprintf(w, "  %s %s\t%s becomes %s\t%s becomes %s\t%s\n", v.Tonic, n.Name, n.From, n.To, n.Note, n.NoteTo, of)
	}
	_ = w.Flush()
}

// A keysView is a scale in all twelve keys.
type keysView struct {
	scaleEntry
	Keys []keyView `json:"keys"`
}

type keyView struct {
	Tonic string   `json:"tonic"`
	Notes []string `json:"notes"`
}

// scaleInKeys spells a scale on the twelve tonics on which it has the fewest
// accidentals, along the circle of fifths from C.
func scaleInKeys(s theory.Scale) keysView {
	v := keysView{scaleEntry: entryOf(s)}
	for i := range 12 {
		best, bestSigns := theory.NoteName{}, -1
		for _, fifths := range []int{i, i - 12} {
			tonic := theory.NameAtFifths(fifths)
			signs := 0
			for _, n := range s.Notes(tonic) {
				signs += max(n.Alter, -n.Alter)
			}
			if bestSigns < 0 || signs < bestSigns {
				best, bestSigns = tonic, signs
			}
		}
		v.Keys = append(v.Keys, keyView{best.String(), namesOf(s.Notes(best))})
	}
	return v
}

func (v keysView) write(text *strings.Builder) {
	fmt.Fprintln(text, v.Name)
	if len(v.Aliases) > 0 {
		fmt.Fprintf(text, "also: %s\n", strings.Join(v.Aliases, ", "))
	}
	text.WriteByte('\n')
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "KEY\t%s\n", strings.Join(strings.Fields(v.Formula), "\t"))
	for _, k := range v.Keys {
		fmt.Fprintf(w, "%s\t%s\n", k.Tonic, strings.Join(k.Notes, "\t"))
	}
	_ = w.Flush() // a strings.Builder takes everything
}
