package main

import (
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"example.org/lickwright/theory"
)

// A scaleComparison is what changes from one scale to another.
type scaleComparison struct {
	From      string     `json:"from"`
	To        string     `json:"to"`
	FromNotes []string   `json:"fromNotes"`
	ToNotes   []string   `json:"toNotes"`
	SameNotes bool       `json:"sameNotes"` // they sound the same
	Kept      []string   `json:"kept"`
	Moved     []moveView `json:"moved"`
	Respelled []moveView `json:"respelled"`
	Dropped   []string   `json:"dropped"`
	Added     []string   `json:"added"`
	Degrees   bool       `json:"degrees"` // the entries are degrees, not notes
}

type moveView struct {
	From string `json:"from"`
	To   string `json:"to"`
}

// compareScales compares by degrees if the scales stand on one tonic or on
// none, else by notes.
func compareScales(a, b string) (scaleComparison, error) {
	if a == "" {
		return scaleComparison{}, &usageError{"--compare needs a scale to compare with", `as in: lickwright scales "A dorian" --compare "A phrygian"`}
	}
	tonicA, hasA, from, err := parseScale("", a)
	if err != nil {
		return scaleComparison{}, err
	}
	tonicB, hasB, to, err := parseScale("compare", b)
	if err != nil {
		return scaleComparison{}, err
	}
	switch {
	case !hasB:
		tonicB, hasB = tonicA, hasA
	case !hasA:
		tonicA, hasA = tonicB, hasB
	}
	c := scaleComparison{
		From: from.Title(), To: to.Title(), FromNotes: []string{}, ToNotes: []string{}, Kept: []string{}, Moved: []moveView{},
		Respelled: []moveView{}, Dropped: []string{}, Added: []string{}, Degrees: tonicA == tonicB,
	}
	if hasA {
		c.From, c.To = tonicA.String()+" "+c.From, tonicB.String()+" "+c.To
		c.FromNotes, c.ToNotes = namesOf(from.Notes(tonicA)), namesOf(to.Notes(tonicB))
	}
	// The second scale as seen from the first one's tonic.
	change := from.Change(to)
	if !c.Degrees {
		change = theory.CompareNotes(tonicA, from.Notes(tonicA), to.Notes(tonicB))
	}
	name := func(d theory.Degree) string {
		if c.Degrees {
			return d.String()
		}
		return d.Name(tonicA).String()
	}
	c.SameNotes = change.SameSets
	for _, d := range change.Kept {
		c.Kept = append(c.Kept, name(d))
	}
	for _, m := range change.Moved {
		c.Moved = append(c.Moved, moveView{name(m.From), name(m.To)})
	}
	for _, m := range change.Respelt {
		c.Respelled = append(c.Respelled, moveView{name(m.From), name(m.To)})
	}
	for _, d := range change.Dropped {
		c.Dropped = append(c.Dropped, name(d))
	}
	for _, d := range change.Added {
		c.Added = append(c.Added, name(d))
	}
	return c, nil
}

func (c scaleComparison) write(text *strings.Builder) {
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "%s\t%s\n", c.From, strings.Join(c.FromNotes, " "))
	fmt.Fprintf(w, "%s\t%s\n", c.To, strings.Join(c.ToNotes, " "))
	_ = w.Flush() // a strings.Builder takes everything
	text.WriteByte('\n')
	if c.SameNotes {
		text.WriteString("they sound the same\n")
	}
	w = tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	row := func(name string, cells []string) {
		if len(cells) > 0 {
			fmt.Fprintf(w, "%s\t%s\n", name, strings.Join(cells, " "))
		}
	}
	moves := func(ms []moveView) (cells []string) {
		for i, m := range ms {
			sep := ","
			if i == len(ms)-1 {
				sep = ""
			}
			cells = append(cells, m.From+" becomes "+m.To+sep)
		}
		return cells
	}
	row("in both", c.Kept)
	row("moved", moves(c.Moved))
	row("respelled", moves(c.Respelled))
	row("dropped", c.Dropped)
	row("added", c.Added)
	_ = w.Flush()
}

// A findingView lists the scales that hold notes.
type findingView struct {
	Notes []string    `json:"notes"`
	Found []foundView `json:"found"`
	Total int         `json:"total"` // found in all, listed or not
}

type foundView struct {
	Tonic   string   `json:"tonic"`
	Name    string   `json:"name"`
	Degrees []string `json:"degrees"` // of the notes asked for
	Extra   []string `json:"extra"`   // notes of the scale that were not asked for
}

// closest is how many found scales are listed without --all.
const closest = 20

func findScales(opt scalesOptions) (findingView, error) {
	notes, err := parseNotes(opt.holding)
	if err != nil {
		return findingView{}, err
	}
	var tonic *theory.NoteName
	var only *theory.Scale
	if opt.scale != "" {
		if n, err := theory.ParseNoteName(opt.scale); err == nil {
			tonic = &n
		} else {
			n, has, s, err := parseScale("", opt.scale)
			if err != nil {
				return findingView{}, err
			}
			only = &s
			if has {
				tonic = &n
			}
		}
	}
	v := findingView{Notes: namesOf(notes), Found: []foundView{}}
	for _, f := range theory.FindScales(notes, tonic) {
		if only != nil && !f.Scale.Same(*only) {
			continue
		}
		v.Total++
		if len(v.Found) >= closest && !opt.all {
			continue
		}
		found := foundView{f.Tonic.String(), f.Scale.Title(), []string{}, append([]string{}, namesOf(f.Extra)...)}
		for _, n := range notes {
			found.Degrees = append(found.Degrees, degreeBySound(f, n).String())
		}
		v.Found = append(v.Found, found)
	}
	return v, nil
}

// degreeBySound returns the degree of a found scale that sounds like a note.
func degreeBySound(f theory.FoundScale, n theory.NoteName) theory.Degree {
	for _, d := range f.Scale.Degrees() {
		if d.Name(f.Tonic).Class() == n.Class() {
			return d
		}
	}
	return theory.DegreeOf(f.Tonic, n)
}

// parseNotes reads the notes of --holding.
func parseNotes(s string) ([]theory.NoteName, error) {
	var notes []theory.NoteName
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" ,-\t", r) }) {
		n, err := theory.ParseNoteName(f)
		if err != nil {
			return nil, flagError("holding", err)
		}
		if !slices.Contains(notes, n) {
			notes = append(notes, n)
		}
	}
	if len(notes) == 0 {
		return nil, &usageError{"--holding names no notes", `write them with spaces between, as in "C Eb F#"`}
	}
	return notes, nil
}

func (v findingView) write(text *strings.Builder) {
	if v.Total == 0 {
		fmt.Fprintf(text, "no named scale holds %s\n", strings.Join(v.Notes, " "))
		return
	}
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "SCALE\t%s ARE\tFURTHER NOTES\n", strings.Join(v.Notes, " "))
	for _, f := range v.Found {
		fmt.Fprintf(w, "%s %s\t%s\t%s\n", f.Tonic, f.Name, strings.Join(f.Degrees, " "), strings.Join(f.Extra, " "))
	}
	_ = w.Flush() // a strings.Builder takes everything
	if more := v.Total - len(v.Found); more > 0 {
		fmt.Fprintf(text, "and %d more; --all lists them\n", more)
	}
}
