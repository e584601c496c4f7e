package fretboard

// Fingers returns the fingers of a hand on the fretted places of a layout,
// string by string, so that a place has the same finger in a picture, on a
// practice sheet and in tab. A string on which more notes lie than a hand has
// fingers has none, nor have open strings.
//
// One finger per fret. Where the index finger reaches back the hand opens from
// the lowest fret on, where the little finger reaches ahead from the highest
// on, and in patterns, where the hand may stand elsewhere on each string, from
// the lowest on: 5 7 9 with index, middle and little finger. At the nut the
// open string takes the index finger's place and the index finger has the
// first fret. Source: common practice.
func (l Layout) Fingers() map[Place]Finger {
	on := map[Place]Finger{}
	for _, row := range l.ByString() {
		index := l.Region.Index
		if len(row) > 0 && row[0].Place.Fret == 0 {
			row, index = row[1:], 0
		}
		frets := make([]int, len(row))
		for i, s := range row {
			frets[i] = s.Place.Fret
		}
		for i, f := range fingersOfRow(frets, index) {
			on[row[i].Place] = f
		}
	}
	return on
}

// Finger returns the finger that stands over a fret where the hand stands in
// one place, for notes that a layout has not; ok is false for open strings and
// where the hand stands nowhere in particular.
func (r Region) Finger(fret int) (f Finger, ok bool) {
	if r.Index < 0 || fret < 1 {
		return 0, false
	}
	return Finger(min(max(fret-max(r.Index, 1), 0), int(Little))), true
}

// fingersOfRow returns the fingers for the frets of one string, which rise,
// the open string left out, or none if they are no single hand's. index is the
// fret of the index finger, 0 at the nut, -1 where it may stand at the first of
// the frets.
func fingersOfRow(frets []int, index int) []Finger {
	switch {
	case len(frets) == 0 || len(frets) > handFingers:
		return nil
	case len(frets) == handFingers:
		return []Finger{Index, Middle, Ring, Little}
	}
	low, high := frets[0], frets[len(frets)-1]
	if index == 0 && high <= handFrets {
		index = 1 // at the nut the open string takes the index finger's place
	}
	out := make([]Finger, len(frets))
	for i, f := range frets {
		d := f - low
		switch {
		case index > 0 && low >= index && high < index+handFrets:
			d = f - index
		case high-low > int(Little) && 0 < d && f < high: // opened beyond a finger per fret
			if 2*d <= high-low {
				d = int(Middle)
			} else {
				d = int(Ring)
			}
		case index > 0 && low >= index: // the little finger reaches ahead
			d = max(int(Little)-(high-f), 0)
		}
		out[i] = Finger(min(d, int(Little)))
	}
	// Two frets that are both nearer to one finger take it and its neighbour.
	for i := 1; i < len(out); i++ {
		if out[i] <= out[i-1] {
			for j := range out {
				out[j] = Finger(j)
			}
			out[len(out)-1] = Finger(min(high-low, int(Little)))
			break
		}
	}
	return out
}
