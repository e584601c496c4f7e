package transform

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// moveFreeKey moves a signature that is not of the circle of fifths. It is
// seven letters with an alteration each, of which the page shows those that
// are altered; all seven move by the interval, exactly, and those that are
// altered then are shown: first the moved ones that were shown, in their
// order, then the others by letter. A microtone goes with its letter.
func moveFreeKey(alters []score.KeyAlter, by theory.Interval) []score.KeyAlter {
	shown := map[theory.Step]bool{}
	var moved []score.KeyAlter
	move := func(a score.KeyAlter, natural bool) {
		a.Name = a.Name.Transpose(by)
		if a.Name.Alter != 0 || !a.Detune.IsZero() || natural {
			moved = append(moved, a)
		}
	}
	for _, a := range alters {
		if !shown[a.Name.Step] {
			shown[a.Name.Step] = true
			move(a, a.Name.Alter == 0) // a natural that was shown stays one by an octave
		}
	}
	for s := theory.C; s <= theory.B; s++ {
		if !shown[s] {
			move(score.KeyAlter{Name: theory.NoteName{Step: s}}, false)
		}
	}
	return moved
}
