package prove

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A Claim is what is said of a piece of music. Zero fields say nothing.
type Claim struct {
	Key   string // "Eb major": the signature at the beginning
	Scale string // "C minor pentatonic": every note is one of it
	Frets *[2]int
	// Moved says that it is other music moved by a number of semitones that
	// is the same for all notes, octaves aside; by Semitones if that is not
	// nil.
	Moved     *score.Score
	Semitones *int
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
		faults = append(faults, moved(c.Moved, s, c.Semitones)...)
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
		over, known := nodes[n.Place.Fret]
		if h.Kind != score.NaturalHarmonic || !known {
			return 0, false
		}
		return key - n.Place.Fret + over, true
	}
	if b, is := n.Bend(); is && b.Amount.Den() == 1 && !b.WithBar {
		key += int(b.Amount.Num())
	}
	return key, true
}

func inScale(s *score.Score, scale Scale) []Fault {
	var faults []Fault
	for _, p := range s.Parts {
		for _, m := range moments(p) {
			for _, n := range m.chord.Notes {
				if key, ok := heard(n); ok && !scale.Has(key) {
					what := where(n)
					if _, bent := n.Bend(); bent {
						what += ", bent by " + count(key-sounds(n.Pitch), "semitone") + ","
					}
					faults = append(faults, m.at(s, NotScale, n, "%s is no note of %s", what, scale.Name))
				}
			}
		}
	}
	return faults
}

func inFrets(s *score.Score, low, high int) []Fault {
	var faults []Fault
	for _, p := range s.Parts {
		for _, m := range moments(p) {
			for _, n := range m.chord.Notes {
				if !n.Place.IsZero() && (n.Place.Fret < low || n.Place.Fret > high) {
					faults = append(faults, m.at(s, OutOfPos, n, "%s lies outside of frets %d to %d", where(n), low, high))
				}
			}
		}
	}
	return faults
}

// moved asks whether music is other music at another pitch: in every part the
// same number of notes at the same times, each by the same number of semitones
// away, octaves aside. Which number that is, is taken from most of the music
// if it is not said.
func moved(from, to *score.Score, semitones *int) []Fault {
	if len(from.Parts) != len(to.Parts) {
		return []Fault{{Kind: Moved, Msg: fmt.Sprintf("it has %s, and what it is made of %d", count(len(to.Parts), "part"), len(from.Parts))}}
	}
	var faults []Fault
	var pairs [][2]moment
	for i := range from.Parts {
		a, b := moments(from.Parts[i]), moments(to.Parts[i])
		if len(a) != len(b) {
			faults = append(faults, Fault{Kind: Moved, Msg: fmt.Sprintf("notes are struck %d times, and in what it is made of %d times", len(b), len(a))})
			continue
		}
		for k := range a {
			pairs = append(pairs, [2]moment{a[k], b[k]})
		}
	}
	by, most := 0, -1
	for off := range 12 {
		if semitones != nil && off != (*semitones%12+12)%12 {
			continue
		}
		same := 0
		for _, p := range pairs {
			if slices.Equal(classes(p[0].chord, off), classes(p[1].chord, 0)) {
				same++
			}
		}
		if same > most {
			by, most = off, same
		}
	}
	for _, p := range pairs {
		a, b := p[0], p[1]
		switch {
		case a.bar != b.bar || a.chord.Onset != b.chord.Onset || a.chord.Duration != b.chord.Duration:
			faults = append(faults, b.at(to, Moved, nil, "another rhythm than in bar %s, beat %s of what it is made of", a.part.BarName(a.bar), score.BeatName(a.chord.Onset, a.beat)))
		case !slices.Equal(classes(a.chord, by), classes(b.chord, 0)):
			faults = append(faults, b.at(to, Moved, nil, "not what it is made of, moved by %s (octaves aside)", count(by, "semitone")))
		}
	}
	return faults
}

// classes lists the pitch classes that a chord sounds, moved by semitones, in
// order.
func classes(c *score.Chord, by int) []int {
	var all []int
	for _, n := range c.Notes {
		if key, ok := heard(n); ok {
			all = append(all, ((key+by)%12+12)%12)
		}
	}
	slices.Sort(all)
	return all
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Labels asks whether the degrees that are written under notes are what these
// notes are over a tonic.
func Labels(s *score.Score, tonic theory.NoteName) []Fault {
	home := letters[tonic.Step] + tonic.Alter
	var faults []Fault
	for _, p := range s.Parts {
		for _, m := range moments(p) {
			for _, n := range m.chord.Notes {
				for _, a := range n.Annotations {
					key, ok := heard(n)
					if a.Kind != score.LabelDegree || !ok {
						continue
					}
					d, known := degree(a.Text)
					if !known || ((key-home-d)%12+12)%12 != 0 {
						faults = append(faults, m.at(s, Label, n, "%s is labelled %s over %s", where(n), a.Text, tonic))
					}
				}
			}
		}
	}
	return faults
}
