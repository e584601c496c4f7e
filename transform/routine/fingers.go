package routine

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// fingers are the fingers of the fretting hand in one position, place by
// place, as the scale of the position has them, so that a note keeps its
// finger in the chord's arpeggio, the pentatonic and the scale, unless one
// finger would play two frets in a row (refinger.go).
type fingers map[fretboard.Place]score.Finger

// fingersOf finds the fingers of a layout.
func fingersOf(l fretboard.Layout) fingers {
	hand := fingers{}
	for p, f := range l.Fingers() {
		hand[p] = score.Index + score.Finger(f)
	}
	return hand
}

func (h fingers) note(s fretboard.Spot) Note {
	return Note{Spot: s, Finger: h[s.Place]}
}

// under is a note with the finger that stands over its fret, where the hand
// stands in one place: for notes that the scale of the position has not.
func (h fingers) under(s fretboard.Spot, r fretboard.Region) Note {
	n := h.note(s)
	if f, ok := r.Finger(s.Place.Fret); ok && n.Finger == score.NoFinger {
		n.Finger = score.Index + score.Finger(f)
	}
	return n
}

// held makes a moment of a chord that is held, with the fingers that cost a
// hand least.
func held(v fretboard.Voicing, n fretboard.Neck, scaleLength float64) Moment {
	m := Moment{}
	found, ok := fingering.Hold(n, fingering.Hand{}, scaleLength, fingering.PlacesOf(v.Spots))
	for i, s := range v.Spots {
		note := Note{Spot: s}
		if ok {
			note.Finger = found[i]
		}
		m.Notes = append(m.Notes, note)
	}
	return m
}

var fingerWords = [...]string{score.NoFinger: "", score.Index: "index", score.Middle: "middle", score.Ring: "ring", score.Little: "little", score.Thumb: "thumb", score.FingerOpen: "open"}

func fingerWord(f score.Finger) string { return fingerWords[f] }
