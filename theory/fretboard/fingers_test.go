package fretboard

import (
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
)

// One finger per fret, and the hand opened where it reaches. Source: common
// practice; 5 7 9 with 1 2 4, 5 7 8 with 1 3 4 and 5 6 8 with 1 2 4 as method
// books for three notes per string print them.
func TestFingersOfARow(t *testing.T) {
	for _, tt := range []struct {
		frets []int
		index int
		want  []Finger
	}{
		{[]int{5, 7, 9}, -1, []Finger{Index, Middle, Little}},
		{[]int{5, 7, 8}, -1, []Finger{Index, Ring, Little}},
		{[]int{5, 6, 8}, -1, []Finger{Index, Middle, Little}},
		{[]int{5, 6, 9}, -1, []Finger{Index, Middle, Little}},
		{[]int{5, 8, 9}, -1, []Finger{Index, Ring, Little}},
		{[]int{5, 8}, 5, []Finger{Index, Little}},
		{[]int{5, 7}, 5, []Finger{Index, Ring}},
		{[]int{8, 10}, 8, []Finger{Index, Ring}},
		{[]int{7, 8, 10}, 8, []Finger{Index, Middle, Little}}, // the index finger reaches back
		{[]int{7, 9, 10}, 8, []Finger{Index, Ring, Little}},
		{[]int{3, 5, 6}, 2, []Finger{Index, Ring, Little}}, // the little finger reaches ahead
		{[]int{5, 6}, 2, []Finger{Ring, Little}},
		{[]int{2, 3, 5}, 2, []Finger{Index, Middle, Little}},
		{[]int{4, 5, 7, 8}, 5, []Finger{Index, Middle, Ring, Little}},
		{[]int{1, 3}, 0, []Finger{Index, Ring}}, // at the nut
		{[]int{2, 3}, 0, []Finger{Middle, Ring}},
		{[]int{2, 4}, 0, []Finger{Middle, Little}},
		{[]int{1, 3, 5, 7, 9}, -1, nil}, // no single hand's
		{nil, -1, nil},
	} {
		assert.Equal(t, tt.want, fingersOfRow(tt.frets, tt.index), "%v, index finger at %d", tt.frets, tt.index)
	}
	// Whatever the row, fingers rise with the frets and none plays two.
	for seed := range 500 {
		r := rand.New(rand.NewSource(int64(seed)))
		low := 1 + r.Intn(12)
		var frets []int
		for f := low; f <= low+5; f++ {
			if r.Intn(2) == 0 && len(frets) < 4 {
				frets = append(frets, f)
			}
		}
		fs := fingersOfRow(frets, r.Intn(3)*low-r.Intn(2))
		for i := range fs {
			assert.GreaterOrEqual(t, fs[i], Index)
			assert.LessOrEqual(t, fs[i], Little)
			if i > 0 {
				assert.Greater(t, fs[i], fs[i-1], "%v", frets)
			}
		}
	}
}
