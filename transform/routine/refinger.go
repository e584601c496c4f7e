package routine

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// What a change of the fingers of a scale is worth, in units of one note with
// another finger than it has in the scale. One finger on two frets in a row,
// which has to hop, is what the search is for; fingers that cross are worse
// still. Where two fingers are further apart than a hand opens, the hand
// shifts, which players do with another finger rather than with the same one.
const (
	otherFinger = 1.0
	stretched   = 2.0 // a little beyond the reach of a hand
	shifted     = 4.0
	oneFinger   = 50.0
	crossed     = 75.0
	perFret     = 0.5 // for each fret by which two fingers stand wider or closer than one finger per fret
)

// refinger changes the fingers of a line where the fingers of the scale would
// have one finger play two frets in a row: in an arpeggio, a sequence or a
// sweep notes follow each other that have others between them in the scale. As
// few notes as possible get another finger, so that a note keeps that of the
// scale wherever a hand can play it so. Slides keep their finger, and so do
// notes that are struck together.
//
// It is a cheapest path over the fingers of each note. Source of what a hand
// does: common practice, one finger per fret.
func (b *builder) refinger(l Line) {
	h := hand{neck: b.Neck, scaleLength: b.ScaleLength, reach: fingering.NormalHand()}
	for from := 0; from < len(l); {
		to := from
		for to < len(l) && fingered(l[to]) {
			to++
		}
		if to-from > 1 {
			h.refinger(l[from:to])
		}
		from = max(to, from+1)
	}
}

// fingered tells whether a moment is one note that a finger of the fretting
// hand stops, so that the next one follows on it.
func fingered(m Moment) bool {
	return len(m.Notes) == 1 && m.Notes[0].Place.Fret > 0 && m.Notes[0].Finger >= score.Index && m.Notes[0].Finger <= score.Little
}

type hand struct {
	neck        fretboard.Neck
	scaleLength float64
	reach       fingering.Hand
}

const (
	fingersOfHand = 4
	beyondReach   = 1.15 // of the reach of two fingers, that a hand stretches to for one note
)

// refinger finds the cheapest fingers of notes that follow each other.
func (h hand) refinger(l Line) {
	type state struct {
		cost float64
		back int8
	}
	rows := make([][fingersOfHand]state, len(l))
	for i := range l {
		n := l[i].Notes[0]
		for f := range rows[i] {
			cost := 0.0
			if score.Index+score.Finger(f) != n.Finger {
				cost = otherFinger
			}
			best, back := 0.0, int8(0)
			for from := range rows[i] {
				if i == 0 {
					break
				}
				c := rows[i-1][from].cost + h.step(l[i-1].Notes[0], n, score.Index+score.Finger(from), score.Index+score.Finger(f))
				if from == 0 || c < best {
					best, back = c, int8(from)
				}
			}
			rows[i][f] = state{cost + best, back}
		}
	}
	at := int8(0)
	for f, s := range rows[len(l)-1] {
		if s.cost < rows[len(l)-1][at].cost {
			at = int8(f)
		}
	}
	for i := len(l) - 1; i >= 0; i-- {
		l[i].Notes[0].Finger = score.Index + score.Finger(at)
		at = rows[i][at].back
	}
}

// step is the cost of two notes in a row with two fingers. What the scale has
// costs nothing, however far the hand moves: that is its way through the
// position.
func (h hand) step(x, y Note, a, b score.Finger) float64 {
	frets := y.Place.Fret - x.Place.Fret
	switch {
	case y.Slid:
		if a != b {
			return crossed
		}
		return 0
	case hops(x, y, a, b):
		return oneFinger
	case a == x.Finger && b == y.Finger:
		return 0
	case frets < 0:
		a, b, frets, x, y = b, a, -frets, y, x
	}
	switch {
	case frets == 0 && a == b:
		return 0
	case frets == 0 && x.Place.String == y.Place.String, frets > 0 && a > b:
		return crossed
	case frets == 0:
		a, b = min(a, b), max(a, b)
	default:
		over := h.neck.Reach(x.Place.Fret, y.Place.Fret, h.scaleLength) / h.reach.Reach[a][b]
		switch {
		case over > beyondReach:
			return shifted
		case over > 1:
			return stretched
		}
	}
	apart := frets - int(b-a)
	return perFret * float64(max(apart, -apart))
}

// hops tells whether one finger has to leave a fret for another one to play
// the next note.
func hops(x, y Note, a, b score.Finger) bool {
	return a == b && x.Place.Fret != y.Place.Fret
}
