package fingering_test

import (
	"fmt"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A chord of C: the hand-set weights take the grip of the first months.
func ExampleSolve() {
	p := &fingering.Problem{Neck: fretboard.Guitar(), Groups: []fingering.Group{
		{Notes: []fingering.Note{{Pitch: 48}, {Pitch: 52}, {Pitch: 55}, {Pitch: 60}, {Pitch: 64}}},
	}}
	f, err := fingering.Solve(p, fingering.ByHand())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range f.Stops[0] {
		fmt.Printf("string %d, fret %d, finger %d\n", s.Place.String, s.Place.Fret, s.Finger)
	}
	// Output:
	// string 5, fret 3, finger 3
	// string 4, fret 2, finger 2
	// string 3, fret 0, finger 0
	// string 2, fret 1, finger 1
	// string 1, fret 0, finger 0
}

// How wide must a hand be for this chord, and how many ways are there to hold
// it? Frets 4 to 6 are 648·(2^(-4/12) - 2^(-6/12)) = 56.1 mm apart.
func ExampleLeastStretch() {
	p := &fingering.Problem{Neck: fretboard.Guitar(), Groups: []fingering.Group{
		{Notes: []fingering.Note{{Pitch: 49}, {Pitch: 56}, {Pitch: 63}}}, // a ninth of two fifths
	}}
	mm, _ := fingering.LeastStretch(p)
	n, _ := fingering.Count(p)
	fmt.Printf("%.0f mm, %v ways\n", mm, n)
	// Output: 56 mm, 45 ways
}
