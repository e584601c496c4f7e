package transform_test

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// A phrase that was written an inch from the bridge comes back to where the
// hand is at home in the region asked for.
func ExampleRefinger() {
	neck := fretboard.Guitar()
	bar := &score.Measure{Number: "1", Length: score.Q(3, 1), Events: []score.Event{&score.NeckChange{Neck: neck}}}
	for i, p := range []fretboard.Place{{String: 6, Fret: 20}, {String: 6, Fret: 22}, {String: 5, Fret: 19}} {
		c := &score.Chord{Duration: score.Q(1, 1), Voice: 1}
		c.Onset = score.Q(int64(i), 1)
		c.Notes = []*score.Note{{Pitch: theory.SpellIn(theory.Key{}, neck.Stopped(p)), Place: p}}
		bar.Events = append(bar.Events, c)
	}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{bar}}}}

	region := fretboard.NewRegion("position V", neck, 5, func(p fretboard.Place) (float64, bool) { return 0, 5 <= p.Fret && p.Fret <= 8 })
	out, remarks := transform.Refinger(s, transform.RefingerOptions{Region: &region, Fingers: true})
	for n := range score.Notes(out) {
		fmt.Printf("%s: string %d, fret %d, finger %d\n", n.Pitch, n.Place.String, n.Place.Fret, n.Finger)
	}
	fmt.Println(len(remarks), "remarks")
	// Output:
	// C4: string 3, fret 5, finger 1
	// D4: string 3, fret 7, finger 3
	// E4: string 2, fret 5, finger 1
	// 0 remarks
}
