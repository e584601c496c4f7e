package transform

import (
	"math"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A candidate is a place for a note, and by what harmonic it sounds there if
// the note was a natural harmonic.
type candidate struct {
	place fretboard.Place
	kind  score.HarmonicKind // 0: as the note is marked
	over  int                // semitones of the harmonic above the stopped pitch
}

// candidates returns the places at which a stopped pitch can be played as its
// note is marked.
func (n *neckNote) candidates(pitch theory.Pitch) []candidate {
	var list []candidate
	if !n.natural {
		for _, p := range n.neck.Places(pitch.MIDI()) {
			if n.lo <= p.Fret && p.Fret <= n.hi && (n.allow == nil || n.allow(p)) {
				list = append(list, candidate{place: p})
			}
		}
		return list
	}
	h, _ := n.note.Harmonic()
	sound := pitch.MIDI() + h.Over
	for _, p := range n.neck.HarmonicPlaces(sound) {
		node, _ := fretboard.NodeAt(p.Fret)
		list = append(list, candidate{p, score.NaturalHarmonic, node.Semitones - p.Fret})
	}
	if len(list) == 0 {
		// Touched an octave above a stopped fret the string sounds an octave
		// higher.
		for _, p := range n.neck.Places(sound - 12) {
			if p.Fret >= 1 && p.Fret+12 <= n.neck.TopFret() {
				list = append(list, candidate{p, score.ArtificialHarmonic, 12})
			}
		}
	}
	return list
}

// put takes the note to a place. What sounds stays as it is.
func (n *neckNote) put(c candidate) {
	n.note.Place = c.place
	for i, t := range n.note.Techniques {
		h, ok := t.(score.Harmonic)
		if !ok {
			continue
		}
		if c.kind != 0 {
			// The stopped pitch is what the string gives at the new place.
			sound := n.note.Pitch.Transpose(plainInterval(h.Over))
			n.note.Pitch = sound.Transpose(plainInterval(c.over).Neg())
			h.Kind, h.Over, h.Touch = c.kind, c.over, 0
			if c.kind == score.ArtificialHarmonic {
				h.Touch = c.place.Fret + 12
			}
		} else if n.touch != 0 {
			h.Touch = c.place.Fret + n.touch
		}
		n.note.Techniques[i] = h
		break // a note is one harmonic
	}
}

// plainInterval returns the interval by which a number of semitones is usually
// named: major, minor and perfect ones and the augmented fourth.
func plainInterval(semitones int) theory.Interval {
	steps := [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}
	octaves := int(math.Floor(float64(semitones) / 12))
	rest := semitones - 12*octaves
	return theory.Interval{Steps: steps[rest], Semitones: rest}.Add(theory.Octaves(octaves))
}
