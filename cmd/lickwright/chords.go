package main

import (
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

const chordsLong = `Chords lists the kinds of chord that have a symbol here, spells chords and
progressions, compares two chords, names the chord that notes outline, and
gives the chords of a scale.

A chord is a symbol as lead sheets write it (Am7, F#ø7, Bb7(b9,#11), C6/9,
Gsus4/D, E7alt). Several are a progression, with bar lines (Am7 | D7 G7 | %).
With --key, Roman numerals are shown, and understood (ii7 V7 | Imaj7).

Shown of a chord are its degrees and notes, its guide tones (third and
seventh), the extensions that colour it without clashing, and scales to play
over it by common practice.

With a scheme (--scheme chord-shape, --strings 1-3, --frets 5-9 and the others
of lickwright scales), chords are laid out on the neck: as a hand of four
fingers holds them, and their notes as arpeggios. The five chord shapes C, A,
G, E and D are what method books spell as one word, CAGED.`

const chordsExample = `  lickwright chords
  lickwright chords "Bb7(b9,#11)"
  lickwright chords "Dm7 G7 | Cmaj7" --key C
  lickwright chords "ii7 V7 | Imaj7" --key Eb
  lickwright chords Am7 --compare C6
  lickwright chords --holding "C E G A"
  lickwright chords --scale "A harmonic minor"
  lickwright chords Cm7 --scheme chord-shape --shape E
  lickwright chords "Dm7 G7 | Cmaj7" --frets 5-9 --as tab
  lickwright chords Am --strings 1-3`

type chordsOptions struct {
	chords  string
	compare string
	holding string
	scale   string
	key     string
	all     bool
	json    bool
	layout  layoutFlags
}

func newChordsCmd(a *app) *cobra.Command {
	var opt chordsOptions
	cmd := &cobra.Command{
		Use:     "chords [CHORD...]",
		Short:   "List, spell, compare and name chords",
		Long:    chordsLong,
		Example: chordsExample,
		RunE: func(_ *cobra.Command, args []string) error {
			opt.chords = strings.Join(args, " ")
			return runChords(a, opt)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&opt.compare, "compare", "", "show what CHORD and this one have in common")
	fl.StringVar(&opt.holding, "holding", "", `find the chords that these notes outline, the lowest first ("C E G A")`)
	fl.StringVar(&opt.scale, "scale", "", `give the chords on the degrees of this scale ("A harmonic minor")`)
	fl.StringVar(&opt.key, "key", "", `key for Roman numerals and the choice of scales ("Eb", "F# minor")`)
	fl.BoolVar(&opt.all, "all", false, "all scales over each chord, not the usual ones only")
	fl.BoolVar(&opt.json, "json", false, "write JSON, for programs")
	opt.layout.add(cmd)
	return cmd
}

func runChords(a *app, opt chordsOptions) error {
	if onNeck, err := opt.layout.asked(); err != nil {
		return err
	} else if onNeck {
		return layOutChords(a, opt)
	}
	asked := 0
	for _, s := range []string{opt.compare, opt.holding, opt.scale} {
		if s != "" {
			asked++
		}
	}
	if asked > 1 || opt.chords != "" && (opt.holding != "" || opt.scale != "") {
		return &usageError{"chords, --compare, --holding and --scale ask for different things", "use one of them; --compare goes with one chord"}
	}
	v, err := opt.view()
	if err != nil {
		return err
	}
	return a.show(opt.json, v)
}

// view finds out what is asked for.
func (opt chordsOptions) view() (view, error) {
	key, err := parseKey(opt.key)
	if err != nil {
		return nil, err
	}
	switch {
	case opt.holding != "":
		return findChords(opt.holding, key)
	case opt.scale != "":
		return chordsOfScale(opt.scale)
	case opt.compare != "":
		return compareChords(opt.chords, opt.compare, key)
	case opt.chords == "":
		return listChords(), nil
	}
	p, err := parseChords("", opt.chords, key)
	if err != nil {
		return nil, err
	}
	return viewProgression(p, key, opt.all), nil
}

// layOutChords lays chords out on the neck, each symbol once.
func layOutChords(a *app, opt chordsOptions) error {
	if opt.compare != "" || opt.scale != "" || opt.holding != "" {
		return &usageError{"--compare, --holding, --scale and a layout are different things", "use one of them"}
	}
	key, err := parseKey(opt.key)
	if err != nil {
		return err
	}
	if opt.chords == "" {
		return &usageError{"there is no chord to lay out", "name one, as in Am7"}
	}
	p, err := parseChords("", opt.chords, key)
	if err != nil {
		return err
	}
	items, err := chordItems(p)
	if err != nil {
		return err
	}
	title := ""
	if len(items) > 1 {
		title = p.String()
	}
	return a.runLayout(&opt.layout, title, items, opt.json)
}

// chordItems are the chords of a progression, each symbol once.
func chordItems(p theory.Progression) ([]layoutItem, error) {
	var items []layoutItem
	for _, c := range p.Chords() {
		if !c.NoChord && !slices.ContainsFunc(items, func(it layoutItem) bool { return *it.chord == c }) {
			items = append(items, layoutItem{tones: fretboard.ChordTones(c), chord: &c})
		}
	}
	if len(items) == 0 {
		return nil, &usageError{fmt.Sprintf("%q names no chord", p), ""}
	}
	return items, nil
}

// parseChords reads a chord or a progression from the command line; flag is
// empty for an argument.
func parseChords(flag, s string, key *theory.Key) (theory.Progression, error) {
	p, err := theory.ParseProgression(s, key)
	if err == nil {
		return p, nil
	}
	if key == nil {
		if _, numerals := theory.ParseProgression(s, &theory.Key{}); numerals == nil {
			u := argError(flag, err).(*usageError)
			u.hint = "Roman numerals count from a key: say it with --key"
			return nil, u
		}
	}
	if !strings.ContainsAny(s, " |\n") {
		if _, alone := theory.ParseChord(s); alone != nil {
			err = alone // one symbol needs no talk of progressions
		}
	}
	return nil, argError(flag, err)
}

// A chordEntry is a line of the list of kinds.
type chordEntry struct {
	Symbol  string   `json:"symbol"` // on C
	Degrees []string `json:"degrees"`
	Notes   []string `json:"notes"`
	Kind    string   `json:"kind"` // of MusicXML, with its degrees
}

// A chordList has each kind of chord once.
type chordList []chordEntry

func listChords() chordList {
	var list chordList
	for _, c := range theory.ChordQualities() {
		list = append(list, chordEntry{c.String(), degreesOf(c.Degrees()), namesOf(c.Tones()), kindOf(c)})
	}
	return list
}

// kindOf writes what MusicXML calls the chord.
func kindOf(c theory.Chord) string {
	kind, degrees := c.Kind()
	for _, d := range degrees {
		kind += fmt.Sprintf(", %s %d", d.Type, d.Value)
		if d.Alter != 0 {
			kind += fmt.Sprintf(" by %+d", d.Alter)
		}
	}
	return kind
}

func (list chordList) write(text *strings.Builder) {
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "ON C\tDEGREES\tNOTES\tIN MUSICXML")
	for _, e := range list {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", e.Symbol, strings.Join(e.Degrees, " "), strings.Join(e.Notes, " "), e.Kind)
	}
	_ = w.Flush() // a strings.Builder takes everything
}

// A progressionView is one chord or several.
type progressionView struct {
	Progression string      `json:"progression"`
	Key         string      `json:"key,omitempty"`
	Numerals    string      `json:"numerals,omitempty"`
	Chords      []chordView `json:"chords"` // each once, in order
}

type chordView struct {
	Symbol     string          `json:"symbol"`
	Numeral    string          `json:"numeral,omitempty"`
	Degrees    []string        `json:"degrees"`
	Notes      []string        `json:"notes"`
	Bass       string          `json:"bass,omitempty"`
	Inversion  int             `json:"inversion"` // -1 if the bass is no chord tone
	GuideTones []string        `json:"guideTones"`
	Extensions []string        `json:"extensions"`
	Kind       string          `json:"kind"`
	Scales     []chordScaleRow `json:"scales"`
}

type chordScaleRow struct {
	Name       string   `json:"name"`
	Usual      bool     `json:"usual"` // handbooks list it for this kind of chord
	InKey      bool     `json:"inKey"`
	Notes      []string `json:"notes"`
	Extensions []string `json:"extensions"`
	Avoid      []string `json:"avoid"`
	Missing    []string `json:"missing"`
}

func viewProgression(p theory.Progression, key *theory.Key, all bool) progressionView {
	v := progressionView{Progression: p.String()}
	if key != nil {
		v.Key, v.Numerals = key.String(), p.Roman(*key)
	}
	seen := map[theory.Chord]bool{}
	for _, c := range p.Chords() {
		if !seen[c] {
			seen[c] = true
			v.Chords = append(v.Chords, viewChord(c, key, all))
		}
	}
	return v
}

func viewChord(c theory.Chord, key *theory.Key, all bool) chordView {
	v := chordView{
		Symbol: c.String(), Degrees: degreesOf(c.Degrees()), Notes: namesOf(c.Tones()), Inversion: c.Inversion(),
		GuideTones: []string{}, Extensions: degreesOf(c.AvailableExtensions()), Kind: kindOf(c), Scales: []chordScaleRow{},
	}
	if key != nil {
		v.Numeral = key.Roman(c)
	}
	if c.HasBass {
		v.Bass = c.Bass.String()
	}
	for _, d := range c.GuideTones() {
		v.GuideTones = append(v.GuideTones, d.Name(c.Root).String())
	}
	for _, s := range c.Scales(key) {
		if s.Usual || s.InKey || all {
			v.Scales = append(v.Scales, chordScaleRow{
				s.Scale.Title(), s.Usual, s.InKey, namesOf(s.Scale.Notes(c.Root)), degreesOf(s.Extensions), degreesOf(s.Avoid), degreesOf(s.Missing),
			})
		}
	}
	return v
}

func (v progressionView) write(text *strings.Builder) {
	if len(v.Chords) > 1 {
		fmt.Fprintln(text, v.Progression)
		if v.Numerals != "" {
			fmt.Fprintf(text, "%s, in %s\n", v.Numerals, v.Key)
		}
		text.WriteByte('\n')
	}
	for i, c := range v.Chords {
		if i > 0 {
			text.WriteByte('\n')
		}
		c.write(text, v.Key)
	}
}

func (c chordView) write(text *strings.Builder, key string) {
	text.WriteString(c.Symbol)
	if c.Numeral != "" {
		fmt.Fprintf(text, ", %s in %s", c.Numeral, key)
	}
	text.WriteByte('\n')
	if len(c.Degrees) == 0 {
		text.WriteString("  no chord\n")
		return
	}
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "  degree\t%s\n", strings.Join(c.Degrees, "\t"))
	fmt.Fprintf(w, "  note\t%s\n", strings.Join(c.Notes, "\t"))
	_ = w.Flush() // a strings.Builder takes everything
	w = tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	row := func(name string, cells []string) {
		if len(cells) > 0 {
			fmt.Fprintf(w, "  %s\t%s\n", name, strings.Join(cells, " "))
		}
	}
	if c.Bass != "" {
		where := []string{c.Bass}
		switch {
		case c.Inversion > 0:
			where = append(where, fmt.Sprintf("(inversion %d)", c.Inversion))
		case c.Inversion < 0:
			where = append(where, "(no chord tone)")
		}
		row("bass", where)
	}
	row("guide tones", c.GuideTones)
	row("extensions", c.Extensions)
	row("MusicXML", []string{c.Kind})
	_ = w.Flush()
	if len(c.Scales) == 0 {
		return
	}
	w = tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  SCALE\tNOTES\tCOLOURS\tAVOID\t")
	for _, s := range c.Scales {
		var remarks []string
		if s.InKey {
			remarks = append(remarks, "in the key")
		}
		if len(s.Missing) > 0 {
			remarks = append(remarks, "lacks "+strings.Join(s.Missing, " "))
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\n", s.Name, strings.Join(s.Notes, " "), strings.Join(s.Extensions, " "),
			strings.Join(s.Avoid, " "), strings.Join(remarks, ", "))
	}
	_ = w.Flush()
}

// A scaleChords lists the chords on the degrees of a scale.
type scaleChords struct {
	Scale   string           `json:"scale"`
	Degrees []scaleChordsRow `json:"degrees"`
}

type scaleChordsRow struct {
	Degree  string `json:"degree"`
	Note    string `json:"note"`
	Triad   string `json:"triad"`
	Seventh string `json:"seventh"`
	Ninth   string `json:"ninth"`
	Mode    string `json:"mode"` // the scale begun on this degree
}

func chordsOfScale(s string) (scaleChords, error) {
	tonic, _, sc, err := parseScale("scale", s)
	if err != nil {
		return scaleChords{}, err
	}
	v := scaleChords{Scale: tonic.String() + " " + sc.Title()}
	triads, sevenths, ninths := sc.Harmonise(tonic, 3), sc.Harmonise(tonic, 4), sc.Harmonise(tonic, 5)
	for i := range triads {
		d := sc.Degree(i)
		v.Degrees = append(v.Degrees, scaleChordsRow{
			d.String(), d.Name(tonic).String(), symbolOf(triads[i]), symbolOf(sevenths[i]), symbolOf(ninths[i]), sc.Mode(i + 1).Title(),
		})
	}
	return v, nil
}

func (v scaleChords) write(text *strings.Builder) {
	fmt.Fprintf(text, "%s\n\n", v.Scale)
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "DEGREE\tNOTE\tTRIAD\tSEVENTH\tNINTH\tMODE")
	for _, d := range v.Degrees {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\n", d.Degree, d.Note, d.Triad, d.Seventh, d.Ninth, d.Mode)
	}
	_ = w.Flush() // a strings.Builder takes everything
}
