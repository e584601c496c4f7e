package main

import (
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// How many rows of a kind the text lists; JSON has all.
const (
	maxListed = 8
	maxBars   = 16
)

func (f fileInspection) write(text *strings.Builder) {
	fmt.Fprint(text, f.File)
	if f.Title != "" {
		fmt.Fprintf(text, ": %s", oneLine(f.Title))
	}
	text.WriteByte('\n')
	for _, p := range f.Parts {
		writePartInspection(text, p, len(f.Parts) > 1)
	}
	if len(f.Parts) == 0 {
		text.WriteString("no pitched music in it\n")
	}
}

// oneLine writes a name that was broken over lines on the page on one.
func oneLine(name string) string { return strings.Join(strings.Fields(name), " ") }

func writePartInspection(text *strings.Builder, p transform.PartInspection, named bool) {
	text.WriteByte('\n')
	if named {
		name := oneLine(p.Name)
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

// rows writes one row for each of a list, under one name, so many at most.
func rows[T any](row rowFunc, name string, list []T, most int, line func(T) string) {
	for i, x := range list {
		if i == most {
			row("", "and %d more", len(list)-i)
			break
		}
		row(name, "%s", line(x))
		name = ""
	}
}

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
	if p.ScaleCount == 0 {
		row("scales", "none but the chromatic scale holds all notes")
		return
	}
	rows(row, "scales", p.Scales, len(p.Scales), scaleLine)
	if len(p.Scales) == 0 {
		row("scales", "on %s none that has a name holds all notes", p.Key.Tonic.Pretty())
	}
	rows(row, "other tonics", p.Elsewhere, len(p.Elsewhere), scaleLine)
	if n := p.ScaleCount - len(p.Scales) - len(p.Elsewhere); n > 0 {
		row("", "and %d more that hold all notes", n)
	}
}

// scaleLine names a scale, those that few players know with their degrees, and
// which of its notes are not played.
func scaleLine(s transform.HoldingScale) string {
	name := s.Tonic.Pretty() + " " + s.Scale.Title()
	if !s.Scale.Everyday() {
		name += " (" + s.Scale.Pretty() + ")"
	}
	switch len(s.Extra) {
	case 0:
		return name + ": all its notes are played"
	case 1:
		return name + ": " + prettyNames(s.Extra) + " is not played"
	}
	return name + ": " + prettyNames(s.Extra) + " are not played"
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

// outlinedLine says what chord the notes of a bar may outline, and what is
// written over it.
func outlinedLine(c transform.OutlinedChord) string {
	guess := c.Chord.Pretty() + " (" + percent(c.Confidence) + ")"
	if len(c.Others) > 0 {
		guess += ", else " + prettyChords(c.Others)
	}
	switch {
	case len(c.Said) == 0:
		return fmt.Sprintf("bar %s: perhaps %s", c.Bar, guess)
	case len(c.Said) == 1 && c.Said[0].Same(c.Chord):
		return fmt.Sprintf("bar %s: %s, as written", c.Bar, guess)
	}
	return fmt.Sprintf("bar %s: written %s; by the notes perhaps %s", c.Bar, prettyChords(c.Said), guess)
}

func guideLine(g transform.GuideToneReport) string {
	var parts []string
	if len(g.Hit) > 0 {
		parts = append(parts, "hit "+prettyNames(g.Hit))
	}
	if len(g.Missed) > 0 {
		parts = append(parts, "missed "+prettyNames(g.Missed))
	}
	if g.OnChange {
		parts = append(parts, "begins with one")
	}
	return fmt.Sprintf("bar %s, beat %s, %s: %s", g.Bar, g.Beat, g.Chord.Pretty(), strings.Join(parts, ", "))
}

func writeChordsInspection(row rowFunc, p transform.PartInspection) {
	rows(row, "outlined", p.Chords, maxBars, outlinedLine)
	if s := p.Strong; s != nil {
		row("chord tones", "%d of %s on strong beats (%s), %d of %s on all beats", s.ChordTones, plural(s.Notes, "note"), percent(s.Share), s.AllTones, plural(s.AllNotes, "note"))
	}
	rows(row, "guide tones", p.GuideTones, maxBars, guideLine)
}

// fretsPhrase says between which frets something lies.
func fretsPhrase(low, high int) string {
	if low == high {
		return fmt.Sprintf("fret %d", low)
	}
	return fmt.Sprintf("frets %d to %d", low, high)
}

func writeNeckInspection(row rowFunc, n *transform.NeckInspection) {
	capo := ""
	if n.Capo > 0 {
		capo = fmt.Sprintf(", capo at fret %d", n.Capo)
	}
	row("neck", "%s%s", n.Tuning, capo)
	if n.Unplaced > 0 {
		row("", "%s without strings and frets left out", plural(n.Unplaced, "note"))
	}
	rows(row, "positions", n.Positions, maxListed, func(p transform.HandPosition) string {
		return fmt.Sprintf("%s from bar %s, beat %s to bar %s, beat %s: %s", fretboard.Roman(p.Index), p.From.Bar, p.From.Beat, p.To.Bar, p.To.Beat, fretsPhrase(p.Low, p.High))
	})
	row("shifts", "%s", shiftsPhrase(n.Shifts))
	rows(row, "unplayable", n.Unplayable, len(n.Unplayable), func(u transform.Unplayable) string {
		return fmt.Sprintf("bar %s, beat %s: %s", u.Bar, u.Beat, u.Reason)
	})
	if s := n.Widest; s != nil {
		how := "within one position"
		if s.Together {
			how = "held at one time"
		}
		row("stretch", "%.0f mm at most, %s, %s, bar %s, beat %s", s.Millimetres, fretsPhrase(s.Low, s.High), how, s.Bar, s.Beat)
	}
	row("string changes", "%s", changesPhrase(n.Picking))
	rows(row, "same note", n.Repeated, maxListed, func(r transform.RepeatedPitch) string {
		return fmt.Sprintf("bar %s, beat %s: %s at string %d, fret %d, right after string %d, fret %d", r.Bar, r.Beat, r.Pitch, r.To.String, r.To.Fret, r.From.String, r.From.Fret)
	})
	var hardest []transform.BarDemand
	for _, bar := range n.Hardest {
		if i := slices.IndexFunc(n.Demands, func(d transform.BarDemand) bool { return d.Bar == bar }); i >= 0 {
			hardest = append(hardest, n.Demands[i])
		}
	}
	rows(row, "hardest", hardest, len(hardest), demandLine)
}

// shiftsPhrase says how often and how far the hand moves, and when.
func shiftsPhrase(shifts []transform.HandShift) string {
	if len(shifts) == 0 {
		return "none"
	}
	with := map[string]int{}
	total := 0.0
	for _, s := range shifts {
		with[s.With]++
		total += s.Millimetres
	}
	var parts []string
	for _, kind := range [...][2]string{{"slide", "in a slide"}, {"open string", "at an open string"}, {"rest", "in a rest"}, {"none", "inside a run"}} {
		if n := with[kind[0]]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, kind[1]))
		}
	}
	return fmt.Sprintf("%s, %.0f mm in all", strings.Join(parts, ", "), total)
}

func changesPhrase(p transform.Picking) string {
	var parts []string
	for _, c := range [...]struct {
		n    int
		name string
	}{{p.Inside, "inside"}, {p.Outside, "outside"}, {p.Sweeps, "swept"}} {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.name))
		}
	}
	if len(parts) == 0 {
		return "none"
	}
	return fmt.Sprintf("%s (picking %s)", strings.Join(parts, ", "), p.Policy)
}

// demandLine says what a bar asks for; what it does not ask for is left out.
func demandLine(d transform.BarDemand) string {
	parts := []string{fmt.Sprintf("%.1f strokes a second", d.NotesPerSecond)}
	if d.Shift > 0 {
		parts = append(parts, fmt.Sprintf("%.0f mm of shifts", d.Shift))
	}
	if d.Reach > 0 {
		parts = append(parts, fmt.Sprintf("%.0f mm of reach", d.Reach))
	}
	if d.Changes > 0 {
		parts = append(parts, plural(d.Changes, "string change"))
	}
	return fmt.Sprintf("bar %s: %s", d.Bar, strings.Join(parts, ", "))
}
