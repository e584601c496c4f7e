package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const inspectLong = `Inspect says what music is made of and what it asks of a player: its key and
the scales that hold its notes, degrees, range, the chords that its bars
outline, how many chord tones fall on strong beats, which guide tones are hit
and missed; and on the neck its positions, shifts, widest stretch, string
changes, pitches repeated on neighbouring strings, and the hardest bars.

What is a guess carries its confidence. A key is guessed from how long each
note sounds; bars outline the chord whose tones they hold, and few notes fit
several. Positions belong to the cheapest fingers for the places that the
music has; a player may well stand elsewhere.

String changes depend on how the pick is used. --picking strict alternates
whatever the strings; swept goes on in the same direction across strings;
legato strikes each string once.

With --json the same is written for programs, under names that stay.`

const inspectExample = `  lickwright inspect testdata/examples/amber-street.tab
  lickwright inspect --picking swept testdata/examples/seven-stairs.tab
  lickwright inspect --json testdata/examples/amber-street.musicxml`

type inspectFlags struct {
	picking     string
	scaleLength float64
	json        bool
}

func newInspectCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var f inspectFlags
	cmd := &cobra.Command{
		Use:     "inspect [flags] [FILE...]",
		Short:   "Say what music is made of and what it asks of a player",
		Long:    inspectLong,
		Example: inspectExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runInspect(j, f, args) },
	}
	fl := cmd.Flags()
	fl.StringVar(&f.picking, "picking", "strict", "how the pick is used: strict, swept or legato")
	fl.Float64Var(&f.scaleLength, "scale-length", fretboard.ScaleLength, "length of the open strings in millimetres, for stretches")
	fl.BoolVar(&f.json, "json", false, "write JSON, for programs")
	fl.BoolVarP(&j.write.quiet, "quiet", "q", false, "do not say what was assumed in reading")
	j.read.add(cmd)
	return cmd
}

// inspections is what --json writes.
type inspections struct {
	Files []fileInspection `json:"files"`
}

type fileInspection struct {
	File string `json:"file"`
	transform.Inspection
}

func runInspect(j *job, f inspectFlags, paths []string) error {
	policy, err := fretboard.ParseStrokePolicy(f.picking)
	if err != nil {
		return flagError("picking", err)
	}
	if !(f.scaleLength >= 100 && f.scaleLength <= 2000) {
		return &usageError{fmt.Sprintf("--scale-length: %v mm is no length of a string", f.scaleLength), "a guitar has about 648, a bass 864, a ukulele 350"}
	}
	j.begin()
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	sources, err := j.expand(paths)
	if err != nil {
		return err
	}
	all := inspections{Files: []fileInspection{}}
	for _, src := range sources {
		data, err := j.content(src.path)
		if err == nil && src.found && !src.isMusic(data) {
			continue
		}
		var in *input
		if err == nil {
			in, err = j.open(src.path, data)
		}
		if err != nil {
			j.flush()
			return err
		}
		s := in.doc.Score()
		parts, err := j.read.selectParts(s)
		if err != nil {
			return err
		}
		all.Files = append(all.Files, fileInspection{in.name, transform.Inspect(s, transform.InspectOptions{Policy: policy, ScaleLength: f.scaleLength, Parts: parts})})
	}
	j.say.list.Sort()
	j.flush()
	return writeFiles(j.app, f.json, all, all.Files)
}

// writeFiles writes what was found in each file, one after the other, or all
// of it as JSON.
func writeFiles[F interface{ write(*strings.Builder) }](a *app, asJSON bool, all any, files []F) error {
	var text strings.Builder
	for i, file := range files {
		if i > 0 {
			text.WriteByte('\n')
		}
		file.write(&text)
	}
	return a.writeView(asJSON, all, &text)
}

func (f fileInspection) write(text *strings.Builder) {
	fmt.Fprint(text, f.File)
	if f.Title != "" {
		fmt.Fprintf(text, ": %s", f.Title)
	}
	text.WriteByte('\n')
	for _, p := range f.Parts {
		writePartInspection(text, p, len(f.Parts) > 1)
	}
	if len(f.Parts) == 0 {
		text.WriteString("no pitched music in it\n")
	}
}

func writePartInspection(text *strings.Builder, p transform.PartInspection, named bool) {
	text.WriteByte('\n')
	if named {
		name := p.Name
		if name == "" {
			name = p.ID
		}
		fmt.Fprintf(text, "== %s ==\n", name)
	}
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	row := func(name, format string, args ...any) { fmt.Fprintf(w, "%s\t%s\n", name, fmt.Sprintf(format, args...)) }
	row("music", "%s, %s", plural(p.Bars, "bar"), plural(p.Notes, "note"))
	writeTonesInspection(row, p)
	writeChordsInspection(row, p)
	if p.Neck != nil {
		writeNeckInspection(row, p.Neck)
	}
	_ = w.Flush() // a strings.Builder takes everything
	if p.Neck != nil && p.Neck.Widest != nil && p.Neck.Widest.Caution {
		text.WriteString("\nThe widest stretch is beyond a comfortable reach for many hands: warm up first\nand stop if it hurts or tingles; if it keeps hurting, see a teacher or a clinician.\n")
	}
}

// A rowFunc writes a row of the report; an empty name goes on with the last.
type rowFunc func(name, format string, args ...any)

// percent writes a share.
func percent(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

func writeTonesInspection(row rowFunc, p transform.PartInspection) {
	if p.Key == nil {
		return
	}
	from := map[string]string{"score": "as the music says", "signature": "by its signature; major or minor guessed from the notes", "notes": "guessed from the notes"}[p.KeyFrom]
	row("key", "%s (%s)", p.Key.Pretty(), from)
	var guesses []string
	for _, g := range p.KeyGuesses {
		guesses = append(guesses, fmt.Sprintf("%s %s", g.Key.Pretty(), percent(g.Confidence)))
	}
	open := ""
	if len(p.KeyGuesses) > 0 && p.KeyGuesses[0].Confidence < 0.5 {
		open = "; the notes leave it open"
	}
	row("", "by the notes alone: %s%s", strings.Join(guesses, ", "), open)
	var degrees []string
	for _, d := range p.Degrees {
		degrees = append(degrees, fmt.Sprintf("%s %s ×%d", d.Degree.Pretty(), d.Note.Pretty(), d.Count))
	}
	row("degrees", "%s", strings.Join(degrees, " · "))
	row("range", "%s to %s, %s", p.Range.Lowest.Pretty(), p.Range.Highest.Pretty(), plural(p.Range.Semitones, "semitone"))
	writeScalesInspection(row, "scales", p.Scales)
	if len(p.Scales) == 0 {
		row("scales", "none that has a name holds all notes on %s", p.Key.Tonic.Pretty())
	}
	writeScalesInspection(row, "elsewhere", p.Elsewhere)
	if n := p.ScaleCount - len(p.Scales) - len(p.Elsewhere); n > 0 {
		row("", "and %d more that hold all notes", n)
	}
}

func writeScalesInspection(row rowFunc, name string, list []transform.HoldingScale) {
	for _, s := range list {
		extra := "nothing more"
		if len(s.Extra) > 0 {
			extra = "and " + prettyNames(s.Extra)
		}
		row(name, "%s %s: %s", s.Tonic.Pretty(), s.Scale.Title(), extra)
		name = ""
	}
}

func prettyNames(names []theory.NoteName) string {
	list := make([]string, len(names))
	for i, n := range names {
		list[i] = n.Pretty()
	}
	return strings.Join(list, " ")
}

func prettyChords(chords []theory.Chord) string {
	list := make([]string, len(chords))
	for i, c := range chords {
		list[i] = c.Pretty()
	}
	return strings.Join(list, ", ")
}

func writeChordsInspection(row rowFunc, p transform.PartInspection) {
	name := "outlined"
	for _, c := range p.Chords {
		line := fmt.Sprintf("bar %s: perhaps %s, %s", c.Bar, c.Chord.Pretty(), percent(c.Confidence))
		if len(c.Others) > 0 {
			line += "; else " + prettyChords(c.Others)
		}
		if len(c.Said) > 0 {
			line += "; written over it " + prettyChords(c.Said)
		}
		row(name, "%s", line)
		name = ""
	}
	if s := p.Strong; s != nil {
		row("chord tones", "%d of %s on strong beats (%s), %d of %d on all", s.ChordTones, plural(s.Notes, "note"), percent(s.Share), s.AllTones, s.AllNotes)
	}
	name = "guide tones"
	for _, g := range p.GuideTones {
		var parts []string
		if len(g.Hit) > 0 {
			parts = append(parts, "hit "+prettyNames(g.Hit))
		}
		if len(g.Missed) > 0 {
			parts = append(parts, "missed "+prettyNames(g.Missed))
		}
		if g.OnChange {
			parts = append(parts, "the first note is one")
		}
		row(name, "bar %s, beat %s, %s: %s", g.Bar, g.Beat, g.Chord.Pretty(), strings.Join(parts, ", "))
		name = ""
	}
}

// maxListed is how many shifts and positions the text lists; JSON has all.
const maxListed = 8

func writeNeckInspection(row rowFunc, n *transform.NeckInspection) {
	capo := ""
	if n.Capo > 0 {
		capo = fmt.Sprintf(", capo %d", n.Capo)
	}
	row("neck", "%s%s", n.Tuning, capo)
	if n.Unplaced > 0 {
		row("", "%s without a place left out", plural(n.Unplaced, "note"))
	}
	name := "positions"
	for i, p := range n.Positions {
		if i == maxListed {
			row(name, "and %d more", len(n.Positions)-i)
			break
		}
		row(name, "%s from bar %s, beat %s to bar %s, beat %s: frets %d to %d", fretboard.Roman(p.Index), p.From.Bar, p.From.Beat, p.To.Bar, p.To.Beat, p.Low, p.High)
		name = ""
	}
	with := map[string]int{}
	total := 0.0
	for _, s := range n.Shifts {
		with[s.With]++
		total += s.Millimetres
	}
	if len(n.Shifts) > 0 {
		row("shifts", "%d, %.0f mm in all: %d in a slide, %d at an open string, %d in a rest, %d inside a run",
			len(n.Shifts), total, with["slide"], with["open string"], with["rest"], with["none"])
	} else {
		row("shifts", "none")
	}
	name = "unplayable"
	for _, u := range n.Unplayable {
		row(name, "bar %s, beat %s: %s", u.Bar, u.Beat, u.Reason)
		name = ""
	}
	if s := n.Widest; s != nil {
		how := "within one position"
		if s.Together {
			how = "held at one time"
		}
		row("stretch", "%.0f mm at most, frets %d to %d, %s, bar %s, beat %s", s.Millimetres, s.Low, s.High, how, s.Bar, s.Beat)
	}
	row("strings", "%d inside, %d outside, %d swept changes, picking %s", n.Picking.Inside, n.Picking.Outside, n.Picking.Sweeps, n.Picking.Policy)
	name = "repeated"
	for i, r := range n.Repeated {
		if i == maxListed {
			row(name, "and %d more", len(n.Repeated)-i)
			break
		}
		row(name, "bar %s, beat %s: %s on string %d fret %d, then string %d fret %d", r.Bar, r.Beat, r.Pitch, r.From.String, r.From.Fret, r.To.String, r.To.Fret)
		name = ""
	}
	name = "hardest"
	for _, bar := range n.Hardest {
		for _, d := range n.Demands {
			if d.Bar == bar {
				row(name, "bar %s: %.1f strokes a second, %.0f mm of shifts, %.0f mm of reach, %s", d.Bar, d.NotesPerSecond, d.Shift, d.Reach, plural(d.Changes, "string change"))
				name = ""
				break
			}
		}
	}
}
