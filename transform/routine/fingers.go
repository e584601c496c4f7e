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

// fingersOf finds the fingers of a layout, string by string.
func fingersOf(l fretboard.Layout) fingers {
	hand := fingers{}
	for _, row := range l.ByString() {
		index := l.Region.Index
		if len(row) > 0 && row[0].Place.Fret == 0 {
			row, index = row[1:], 0
		}
		frets := make([]int, len(row))
		for i, s := range row {
			frets[i] = s.Place.Fret
		}
		for i, f := range ofRow(frets, index) {
			hand[row[i].Place] = f
		}
	}
	return hand
}

// ofRow returns the fingers for the frets of one string, which rise, the open
// string left out. index is the fret of the index finger, 0 at the nut, -1
// where it may stand at the first of the frets.
//
// One finger per fret; where the index finger reaches back, and in patterns,
// the hand opens from the lowest fret on: 5 7 9 with 1 2 4, 5 7 8 with 1 3 4.
// More than four notes are no single hand's. Source: common practice.
func ofRow(frets []int, index int) []score.Finger {
	out := make([]score.Finger, len(frets))
	switch {
	case len(frets) == 0 || len(frets) > 4:
		return out
	case len(frets) == 4:
		return []score.Finger{score.Index, score.Middle, score.Ring, score.Little}
	}
	if index == 0 && len(frets) > 0 && frets[len(frets)-1] <= 4 {
		index = 1 // at the nut the open string takes the index finger's place
	}
	low, span := frets[0], frets[len(frets)-1]-frets[0]
	for i, f := range frets {
		d := f - low
		switch {
		case index >= 0 && low >= index:
			d = min(f-index, 3)
		case span > 3 && d > 0 && d < span:
			if d*2 <= span {
				d = 1
			} else {
				d = 2
			}
		default:
			d = min(d, 3)
		}
		out[i] = score.Index + score.Finger(d)
	}
	for i := 1; i < len(out); i++ {
		if out[i] <= out[i-1] { // no finger plays two frets of a row
			for j := range out {
				out[j] = score.Index + score.Finger(j)
			}
			out[len(out)-1] = score.Index + score.Finger(min(span, 3))
			break
		}
	}
	return out
}

func (h fingers) note(s fretboard.Spot) Note {
	return Note{Spot: s, Finger: h[s.Place]}
}

// under is a note with the finger that stands over its fret, where the hand
// stands in one place: for notes that the scale of the position has not.
func (h fingers) under(s fretboard.Spot, r fretboard.Region) Note {
	n := h.note(s)
	if n.Finger == score.NoFinger && r.Index >= 0 && s.Place.Fret > 0 {
		n.Finger = score.Index + score.Finger(min(max(s.Place.Fret-max(r.Index, 1), 0), 3))
	}
	return n
}

// held makes a moment of a chord that is held, with the fingers that cost a
// hand least.
func held(v fretboard.Voicing, n fretboard.Neck, scaleLength float64) Moment {
	g := fingering.Group{}
	for _, s := range v.Spots {
		g.Notes = append(g.Notes, fingering.Note{Pitch: s.Pitch.MIDI(), Duration: 4, Strings: 1 << s.Place.String, Fret: 1 + s.Place.Fret})
	}
	m := Moment{}
	found, err := fingering.Solve(&fingering.Problem{Neck: n, ScaleLength: scaleLength, Groups: []fingering.Group{g}}, fingering.Plectrum())
	for i, s := range v.Spots {
		note := Note{Spot: s}
		if err == nil && len(found.Breaks) == 0 {
			note.Finger = found.Stops[0][i].Finger
		}
		m.Notes = append(m.Notes, note)
	}
	return m
}

var fingerWords = [...]string{score.NoFinger: "", score.Index: "index", score.Middle: "middle", score.Ring: "ring", score.Little: "little", score.Thumb: "thumb", score.FingerOpen: "open"}

func fingerWord(f score.Finger) string { return fingerWords[f] }
