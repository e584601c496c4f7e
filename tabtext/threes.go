package tabtext

import "slices"

// Where no metre is stated, the bars of a part may show that it is 3/4.
const (
	threesRoom = 2 // columns that may be left before the bar line
	maxEighth  = 8 // columns of an eighth note that are looked for
)

// Three quarters: all bars of the part have room for six eighths of one width, their
// notes stand on these, and none longer than an eighth begins off a beat. Two bars
// with several notes are needed; bars of six even notes alone may be 6/8 as well and
// tell nothing here, see [evenBars].

type threes []threeCount

// A threeCount is what bars say of six eighths of one width, each with a column too many
// or too few at most.
type threeCount struct {
	eighth  int // columns
	several int // bars of more than one note
	telling int // those of less than six
	off     int // those with a column too many or too few
}

func newThrees() threes {
	var out threes
	for eighth := 2; eighth <= maxEighth; eighth++ {
		out = append(out, threeCount{eighth: eighth})
	}
	return out
}

// with takes another bar; widths that it does not have are out.
func (t threes) with(b spaced) threes {
	out := t[:0]
	for _, c := range t {
		steps, wrong, ok := threeSteps(b, c.eighth)
		if !ok {
			continue
		}
		c.off += wrong
		if len(steps) > 1 {
			c.several++
			c.telling += b2i(len(steps) < 6)
		}
		out = append(out, c)
	}
	return out
}

// found tells whether there are enough bars of a width, and one of them exact.
func (t threes) found() bool {
	return slices.ContainsFunc(t, func(c threeCount) bool { return c.several >= 2 && c.telling > 0 && c.off < c.several })
}

// threeSteps reads a bar as six eighths; wrong is 1 if one of its columns is
// too many or too few.
func threeSteps(b spaced, eighth int) (steps []int, wrong int, ok bool) {
	if len(b.offsets) == 0 || b.offsets[0] > maxPad {
		return nil, 0, false
	}
	if len(b.offsets) == 1 {
		return []int{0}, 0, true // a bar of one note is often typed short
	}
	for _, wide := range []int{1, -1} {
		if steps, wrong, ok = threeGaps(b, eighth, wide); ok {
			return steps, wrong, true
		}
	}
	return nil, 0, false
}

// threeGaps is threeSteps with what one gap may have too many, or too few.
func threeGaps(b spaced, eighth, wide int) (steps []int, wrong int, ok bool) {
	steps = []int{0}
	for i := 1; i < len(b.offsets); i++ {
		gap := b.offsets[i] - b.offsets[i-1]
		if gap%eighth != 0 {
			gap -= wide
			wrong++
		}
		if gap <= 0 || gap%eighth != 0 || wrong > 1 {
			return nil, 0, false
		}
		steps = append(steps, steps[i-1]+gap/eighth)
	}
	left := b.width - b.offsets[0] - wrong*wide - 6*eighth
	if steps[len(steps)-1] > 5 || left < -1 || left > threesRoom {
		return nil, 0, false
	}
	for i, s := range steps {
		end := 6
		if i+1 < len(steps) {
			end = steps[i+1]
		}
		if s%2 == 1 && end-s > 1 {
			return nil, 0, false
		}
	}
	return steps, wrong, true
}
