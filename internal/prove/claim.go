package prove

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// A Claim is what is said of a piece of music. Zero fields say nothing.
type Claim struct {
	Key   string // "Eb major": the signature at the beginning
	Scale string // "C minor pentatonic": every note is one of it
	Frets *[2]int
	// Moved says that it is other music moved by a number of semitones that
	// is the same for all notes, octaves aside; by Semitones if that is not
	// nil. With Exact octaves count too.
	Moved     *score.Score
	Semitones *int
	Exact     bool
	Home      string // "A": the tonic that labels of degrees count from
	// Bars is how many bars it has, 0 for not said.
	Bars int
}

// Check tests a claim. What the check does not know is a fault of kind
// Unknown, never silence.
func (c Claim) Check(s *score.Score) []Fault {
	var faults []Fault
	if c.Key != "" {
		faults = append(faults, inKey(s, c.Key)...)
	}
	if c.Scale != "" {
		scale, ok := ParseScale(c.Scale)
		if !ok {
			faults = append(faults, Fault{Kind: Unknown, Msg: fmt.Sprintf("the check does not know the scale %q", c.Scale)})
		} else {
			faults = append(faults, inScale(s, scale)...)
		}
	}
	if c.Frets != nil {
		faults = append(faults, inFrets(s, c.Frets[0], c.Frets[1])...)
	}
	if c.Moved != nil {
		faults = append(faults, moved(c.Moved, s, c.Semitones, c.Exact)...)
	}
	if c.Home != "" {
		faults = append(faults, labels(s, c.Home)...)
	}
	if c.Bars > 0 {
		for _, p := range s.Parts {
			if len(p.Measures) != c.Bars {
				faults = append(faults, Fault{Kind: Duration, Msg: fmt.Sprintf("it has %d bars in place of %d", len(p.Measures), c.Bars)})
			}
		}
	}
	return faults
}

func inKey(s *score.Score, key string) []Fault {
	want, ok := signature(key)
	if !ok {
		return []Fault{{Kind: Unknown, Msg: fmt.Sprintf("the check does not know the key %q", key)}}
	}
	var faults []Fault
	for _, p := range s.Parts {
		found := false
		for _, m := range p.Measures[:min(1, len(p.Measures))] {
			for _, e := range m.Events {
				k, is := e.(*score.KeySignature)
				if !is || k.Free || k.NoKey {
					continue
				}
				found = true
				have, ok := signature(k.Key.Tonic.String() + " " + k.Key.Mode.String())
				if !ok || have != want && (have-want)%12 != 0 {
					faults = append(faults, Fault{Kind: OutOfKey, Pos: s.PosOf(k.Src), Bar: p.BarName(0), Msg: fmt.Sprintf("the signature has %s; %s has %s", signatureText(have), key, signatureText(want))})
				}
			}
		}
		if !found && want != 0 {
			faults = append(faults, Fault{Kind: OutOfKey, Msg: fmt.Sprintf("no signature; %s has %s", key, signatureText(want))})
		}
	}
	return faults
}

// heard returns the key number that a note is heard at, for the techniques
// that the check knows. ok is false for dead notes and the rest.
func heard(n *score.Note) (key int, ok bool) {
	if n.Unpitched || n.Has(score.Dead) {
		return 0, false
	}
	key = sounds(n.Pitch)
	if h, is := n.Harmonic(); is {
		// A natural one divides the open string, another one what is left
		// above the stopped fret: where it is touched, if that is said, else at
		// the partial that was read, which has to be one of a string.
		stop, touch := 0, n.Place.Fret
		switch {
		case h.Kind == score.NaturalHarmonic:
		case h.Touch > 0:
			stop, touch = n.Place.Fret, h.Touch
		default:
			for _, over := range nodes {
				if over == h.Over {
					return key + over, true
				}
			}
			return 0, false
		}
		over, known := nodes[touch-stop]
		return key - n.Place.Fret + stop + over, known
	}
	if b, is := n.Bend(); is && b.Amount.Den() == 1 && !b.WithBar {
		key += int(b.Amount.Num())
	}
	return key, true
}

func inScale(s *score.Score, scale Scale) []Fault {
	var faults []Fault
	outOfScale := func(st stroke, n *score.Note) {
		key, ok := heard(n)
		if !ok || scale.Has(key) {
			return
		}
		what := where(n)
		if _, bent := n.Bend(); bent {
			what += ", bent by " + count(key-sounds(n.Pitch), "semitone") + ","
		}
		faults = append(faults, st.at(s, NotScale, n, "%s is no note of %s", what, scale.Name))
	}
	for _, p := range s.Parts {
		for _, st := range strokes(p) {
			for _, n := range st.notes {
				outOfScale(st, n.note)
				for _, t := range n.tied {
					if _, bent := t.Bend(); bent { // else it sounds what it holds
						outOfScale(st, t)
					}
				}
			}
		}
	}
	return faults
}

func inFrets(s *score.Score, low, high int) []Fault {
	var faults []Fault
	for _, p := range s.Parts {
		for _, st := range strokes(p) {
			for _, n := range st.notes {
				if at := n.note.Place; !at.IsZero() && (at.Fret < low || at.Fret > high) {
					faults = append(faults, st.at(s, OutOfPos, n.note, "%s lies outside of frets %d to %d", where(n.note), low, high))
				}
			}
		}
	}
	return faults
}

// moved asks whether music is other music at another pitch: in every part the
// same notes struck at the same times and held as long, each by the same number of semitones
// away, octaves aside. Which number that is, is taken from most of the music
// if it is not said.
func moved(from, to *score.Score, semitones *int, exact bool) []Fault {
	if len(from.Parts) != len(to.Parts) {
		return []Fault{{Kind: Moved, Msg: fmt.Sprintf("it has %s, and what it is made of %d", count(len(to.Parts), "part"), len(from.Parts))}}
	}
	var faults []Fault
	var pairs [][2]stroke
	for i := range from.Parts {
		a, b := strokes(from.Parts[i]), strokes(to.Parts[i])
		if len(a) != len(b) {
			faults = append(faults, Fault{Kind: Moved, Msg: fmt.Sprintf("notes are struck %d times, and in what it is made of %d times", len(b), len(a))})
			continue
		}
		for k := range a {
			pairs = append(pairs, [2]stroke{a[k], b[k]})
		}
	}
	offs := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	if exact {
		for off := 12; off <= 36; off++ {
			offs = append(offs, off)
		}
		for off := 1; off <= 36; off++ {
			offs = append(offs, -off)
		}
	}
	if semitones != nil {
		offs = []int{*semitones}
	}
	by, most := 0, -1
	for _, off := range offs {
		same := 0
		for _, p := range pairs {
			if slices.Equal(p[0].heard(off, exact), p[1].heard(0, exact)) {
				same++
			}
		}
		if same > most {
			by, most = off, same
		}
	}
	aside := " (octaves aside)"
	if exact {
		aside = ""
	}
	for _, p := range pairs {
		a, b := p[0], p[1]
		rhythm := func() {
			faults = append(faults, b.at(to, Moved, nil, "another rhythm than in bar %s, beat %s of what it is made of", a.part.BarName(a.bar), score.BeatName(a.chord.Onset, a.beat)))
		}
		switch {
		case a.bar != b.bar || a.chord.Onset != b.chord.Onset:
			rhythm()
		case !slices.Equal(a.heard(by, exact), b.heard(0, exact)):
			faults = append(faults, b.at(to, Moved, nil, "not what it is made of, moved by %s%s", count(by, "semitone"), aside))
		case !slices.Equal(a.lengths(by, exact), b.lengths(0, exact)):
			rhythm()
		default:
			for _, text := range differ(joinsOf(a), joinsOf(b)) {
				faults = append(faults, b.at(to, Technique, nil, "%s, against what it is made of", text))
			}
		}
	}
	return faults
}

// joinsOf names what makes a note another one for the ear: joins, bends and
// dead notes. Harmonics may change their kind when they move.
func joinsOf(st stroke) []string {
	var all []string
	for _, n := range st.notes {
		for _, name := range n.touch() {
			if strings.HasSuffix(name, " to it") || strings.HasPrefix(name, "the bend") || name == "the dead note" {
				all = append(all, name)
			}
		}
	}
	return all
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// labels asks whether the degrees that are written under notes are what these
// notes are over a tonic.
func labels(s *score.Score, tonic string) []Fault {
	home, rest, ok := cutNote(tonic)
	if !ok || rest != "" {
		return []Fault{{Kind: Unknown, Msg: fmt.Sprintf("%q is no tonic", tonic)}}
	}
	var faults []Fault
	for _, p := range s.Parts {
		for _, m := range moments(p) {
			for _, n := range m.chord.Notes {
				for _, a := range n.Annotations {
					key, ok := heard(n)
					if a.Kind != score.LabelDegree || !ok {
						continue
					}
					if d, known := degree(a.Text); !known || ((key-home-d)%12+12)%12 != 0 {
						faults = append(faults, m.at(s, Label, n, "%s is labelled %s over %s", where(n), a.Text, tonic))
					}
				}
			}
		}
	}
	return faults
}
