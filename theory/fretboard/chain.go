package fretboard

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/theory"
)

// A Chain is what is practised in one position, the smaller set before the
// larger: the chord on the tonic, its arpeggios, the pentatonic that lies
// between arpeggio and scale where there is one, and the scale. Laid out in
// one region each is part of the scale, place for place.
type Chain struct {
	Chord   theory.Chord // the triad on the tonic; no root quality if there is none
	Triad   ToneSet      // empty if the scale has no triad on its tonic
	Seventh ToneSet      // empty if it has no seventh chord there
	// Pentatonic is the major or minor pentatonic that holds the triad and
	// lies within the scale; empty where none does, and WhyNot says why.
	Pentatonic ToneSet
	Scale      ToneSet
	WhyNot     string
}

// ChainOf returns the chain for a scale on a tonic. The triad is the one of
// stacked thirds in scales of seven notes, else the first of major, minor,
// diminished and augmented that the scale holds; so with the seventh chord.
func ChainOf(tonic theory.NoteName, s theory.Scale) Chain {
	c := Chain{Scale: ScaleTones(tonic, s)}
	if triad, ok := chordOnTonic(tonic, s, 3, "", "m", "dim", "+"); ok {
		c.Chord = triad
		c.Triad = arpeggio(triad)
		if seventh, ok := chordOnTonic(tonic, s, 4, "7", "maj7", "m7", "m(maj7)", "m7b5", "dim7"); ok && c.Triad.Within(ChordTones(seventh)) {
			c.Seventh = arpeggio(seventh)
		}
	}
	c.Pentatonic, c.WhyNot = c.pentatonic(tonic)
	return c
}

func arpeggio(c theory.Chord) ToneSet {
	t := ChordTones(c)
	t.Title += " arpeggio"
	return t
}

// chordOnTonic returns the chord of so many notes on the tonic.
func chordOnTonic(tonic theory.NoteName, s theory.Scale, size int, qualities ...string) (theory.Chord, bool) {
	if s.Len() == 7 {
		if c := s.Harmonise(tonic, size)[0]; c.Named && len(c.Tones) == size {
			return c.Chord, true
		}
	}
	set := s.Set().Transpose(tonic.Class())
	for _, q := range qualities {
		if c := (theory.Chord{Root: tonic, Quality: q}); set.Holds(c.Classes()) {
			return c, true
		}
	}
	return theory.Chord{}, false
}

func (c Chain) pentatonic(tonic theory.NoteName) (ToneSet, string) {
	if len(c.Triad.Tones) == 0 {
		return ToneSet{}, fmt.Sprintf("%s has no triad on its tonic, so no arpeggio and no pentatonic to go with it", c.Scale.Title)
	}
	why := "no common pentatonic holds " + c.Chord.String()
	for _, name := range [...]string{"major pentatonic", "minor pentatonic"} {
		s, err := theory.ScaleByName(name)
		if err != nil {
			panic("fretboard: " + err.Error()) // the catalogue has both
		}
		pent := ScaleTones(tonic, s)
		if !c.Triad.Within(pent) {
			continue
		}
		if pent.Within(c.Scale) {
			return pent, ""
		}
		var lacks []string
		for _, tone := range pent.Tones {
			if _, ok := c.Scale.At(tone.Name.Class()); !ok {
				lacks = append(lacks, tone.Degree.String())
			}
		}
		why = fmt.Sprintf("no common pentatonic fits: %s has %s, which %s has not", pent.Title, strings.Join(lacks, " and "), c.Scale.Title)
	}
	return ToneSet{}, why
}

// Sets returns the sets of the chain in the order in which they are
// practised, those that there are.
func (c Chain) Sets() []ToneSet {
	sets := []ToneSet{c.Triad, c.Seventh, c.Pentatonic, c.Scale}
	return slices.DeleteFunc(sets, func(t ToneSet) bool { return len(t.Tones) == 0 })
}
