package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"example.org/lickwright/theory"
)

// A chordComparison is what two chords share.
type chordComparison struct {
	From   string     `json:"from"`
	To     string     `json:"to"`
	Common []string   `json:"common"` // by sound, as the first spells them
	Moves  []moveView `json:"moves"`  // the other notes of the first to the nearest of the second
	Same   bool       `json:"same"`   // they sound the same
}

func compareChords(a, b string, key *theory.Key) (chordComparison, error) {
	read := func(flag, s string) (theory.Chord, error) {
		p, err := parseChords(flag, s, key)
		if err != nil {
			return theory.Chord{}, err
		}
		if len(p.Chords()) != 1 {
			return theory.Chord{}, &usageError{"--compare compares two chords", "as in: lickwright chords Am7 --compare C6"}
		}
		return p.Chords()[0], nil
	}
	if a == "" {
		return chordComparison{}, &usageError{"--compare needs a chord to compare with", "as in: lickwright chords Am7 --compare C6"}
	}
	from, err := read("", a)
	if err != nil {
		return chordComparison{}, err
	}
	to, err := read("compare", b)
	if err != nil {
		return chordComparison{}, err
	}
	c := chordComparison{from.String(), to.String(), []string{}, []moveView{}, from.Classes() == to.Classes()}
	for _, n := range from.Tones() {
		if to.Classes().Has(n.Class()) {
			c.Common = append(c.Common, n.String())
			continue
		}
		best, far := theory.NoteName{}, 12
		for _, m := range to.Tones() {
			by := n.IntervalTo(m, theory.Nearest).Semitones
			if by = max(by, -by); by < far && !from.Classes().Has(m.Class()) {
				best, far = m, by
			}
		}
		if far < 12 {
			c.Moves = append(c.Moves, moveView{n.String(), best.String()})
		}
	}
	return c, nil
}

func (c chordComparison) write(text *strings.Builder) {
	if c.Same {
		fmt.Fprintf(text, "%s and %s sound the same\n", c.From, c.To)
	}
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	if len(c.Common) > 0 {
		fmt.Fprintf(w, "in both\t%s\n", strings.Join(c.Common, " "))
	}
	var moves []string
	for _, m := range c.Moves {
		moves = append(moves, m.From+" to "+m.To)
	}
	if len(moves) > 0 {
		fmt.Fprintf(w, "%s to %s\t%s\n", c.From, c.To, strings.Join(moves, ", "))
	}
	_ = w.Flush() // a strings.Builder takes everything
}

// A chordFinding lists the chords that notes outline.
type chordFinding struct {
	Notes []string    `json:"notes"`
	Found []chordRank `json:"found"`
}

type chordRank struct {
	Symbol     string   `json:"symbol"`
	Numeral    string   `json:"numeral,omitempty"`
	Notes      []string `json:"notes"`
	Covered    float64  `json:"covered"`    // share of the notes that are chord tones
	Missing    []string `json:"missing"`    // chord tones that are not among the notes
	Confidence float64  `json:"confidence"` // share of belief, 0 to 1
}

func findChords(s string, key *theory.Key) (chordFinding, error) {
	notes, err := parseNotes(s)
	if err != nil {
		return chordFinding{}, err
	}
	v := chordFinding{Notes: namesOf(notes), Found: []chordRank{}}
	var sounds []theory.WeightedNote
	at := 48
	for _, n := range notes {
		p := theory.Pitch{NoteName: n, Octave: 3}
		for p.MIDI() < at {
			p.Octave++
		}
		at = p.MIDI()
		sounds = append(sounds, theory.WeightedNote{MIDI: at, Weight: 1})
	}
	for _, g := range theory.FindChords(sounds, key) {
		if g.Confidence < 0.02 {
			continue
		}
		c := spellLike(g.Chord, notes)
		r := chordRank{Symbol: c.String(), Notes: namesOf(c.Tones()), Covered: g.Covered, Missing: degreesOf(g.Missing), Confidence: g.Confidence}
		if key != nil {
			r.Numeral = key.Roman(c)
		}
		v.Found = append(v.Found, r)
	}
	return v, nil
}

// spellLike gives a chord its root as the notes spell it, if they have it.
func spellLike(c theory.Chord, notes []theory.NoteName) theory.Chord {
	for _, n := range notes {
		if n.Class() == c.Root.Class() {
			c.Root = n
			break
		}
	}
	return c
}

func (v chordFinding) write(text *strings.Builder) {
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "CHORD\tNOTES\tNOT AMONG THEM\tBELIEF")
	for _, f := range v.Found {
		name := f.Symbol
		if f.Numeral != "" {
			name += ", " + f.Numeral
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%.0f %%\n", name, strings.Join(f.Notes, " "), strings.Join(f.Missing, " "), 100*f.Confidence)
	}
	_ = w.Flush() // a strings.Builder takes everything
	text.WriteString("a guess from the notes alone; what is in the bass and before and after may say otherwise\n")
}
