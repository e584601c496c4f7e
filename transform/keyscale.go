package transform

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// ScaleInKey returns the scale on a key's tonic that a score is made of: that
// of the key, or, if the key is just major or minor, a neighbour of it on the
// same tonic that fits better. A minor line with a raised sixth is dorian.
//
// A scale that lacks a note of the music comes into question only if all of
// them do; then it stays with the key's. Of those that lack none, the one
// that lacks the fewest tones of the chord symbols is taken, the key's own
// before others, then the order below: common practice, which improvisers
// reckon with.
func ScaleInKey(s *score.Score, k theory.Key) theory.Scale {
	own := k.Scale()
	var names []string
	switch k.Mode {
	case theory.Major:
		names = []string{"mixolydian", "lydian"}
	case theory.Minor:
		names = []string{"dorian", "harmonic minor", "melodic minor", "phrygian"}
	}
	var notes theory.PitchSet
	chords := map[string]theory.PitchSet{}
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			for c := range m.Chords() {
				for _, n := range c.Notes {
					if !n.Unpitched && !n.Has(score.Dead) {
						notes = notes.With(n.Sounding() % 12)
					}
				}
			}
			for _, e := range m.Events {
				if h, ok := e.(*score.Harmony); ok {
					var set theory.PitchSet
					for _, t := range h.Chord.Tones() {
						set = set.With(t.Class())
					}
					chords[h.Chord.String()] = set
				}
			}
		}
	}
	lacks := func(sc theory.Scale) int {
		in := sc.Set().Transpose(k.Tonic.Class())
		if !in.Holds(notes) {
			return -1
		}
		n := 0
		for _, set := range chords {
			n += (set &^ in).Len()
		}
		return n
	}
	best, least := own, lacks(own)
	for _, name := range names {
		sc, err := theory.ScaleByName(name)
		if err != nil {
			continue // a name that the catalogue does not have: TestScaleInKey finds it
		}
		if n := lacks(sc); n >= 0 && (least < 0 || n < least) {
			best, least = sc, n
		}
	}
	return best
}
