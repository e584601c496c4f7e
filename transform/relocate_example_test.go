package transform_test

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// placed lays quarter notes on a neck.
func placed(neck fretboard.Neck, places ...fretboard.Place) *score.Score {
	bar := &score.Measure{Number: "1", Length: score.Q(int64(len(places)), 1), Events: []score.Event{&score.NeckChange{Neck: neck}}}
	for i, p := range places {
		c := &score.Chord{Duration: score.Q(1, 1), Voice: 1}
		c.Onset = score.Q(int64(i), 1)
		c.Notes = []*score.Note{{Pitch: theory.SpellIn(theory.Key{}, neck.Stopped(p)), Place: p}}
		bar.Events = append(bar.Events, c)
	}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{bar}}}}
}

// Where else does a short phrase lie on the neck?
func ExampleWays() {
	s := placed(fretboard.Guitar(), fretboard.Place{String: 1, Fret: 5}, fretboard.Place{String: 2, Fret: 8}, fretboard.Place{String: 2, Fret: 5})
	tonic, _, scale, err := theory.ParseScale("A minor pentatonic")
	if err != nil {
		panic(err)
	}
	opt := transform.RefingerOptions{Tones: fretboard.ScaleTones(tonic, scale)}
	ways, err := transform.Ways(s, 0, opt)
	if err != nil {
		panic(err)
	}
	for _, w := range ways[:4] {
		fmt.Printf("frets %d to %d, strings %v, %s, written: %t\n", w.Low, w.High, w.Strings, w.Shape, w.Written)
	}
	moved, _ := transform.Relocate(s, 0, ways[1], opt)
	for n := range score.Notes(moved) {
		fmt.Printf("%s: string %d, fret %d\n", n.Pitch, n.Place.String, n.Place.Fret)
	}
	// Output:
	// frets 3 to 5, strings [1 2], G shape, written: false
	// frets 8 to 10, strings [2 3], D shape, written: false
	// frets 5 to 8, strings [1 2], E shape, written: true
	// frets 3 to 5, strings [1], G shape, written: false
	// A4: string 2, fret 10
	// G4: string 2, fret 8
	// E4: string 3, fret 9
}

// The same phrase in a chord shape of its key, and what lies beyond it folded
// by octaves.
func ExampleRefinger_scheme() {
	s := placed(fretboard.Guitar(), fretboard.Place{String: 6, Fret: 3}, fretboard.Place{String: 4, Fret: 2}, fretboard.Place{String: 4, Fret: 5})
	shape, err := fretboard.ParseShape(fretboard.Standard(), "E")
	if err != nil {
		panic(err)
	}
	tonic, _, scale, err := theory.ParseScale("C major")
	if err != nil {
		panic(err)
	}
	out, remarks := transform.Refinger(s, transform.RefingerOptions{
		Scheme: fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}, Tones: fretboard.ScaleTones(tonic, scale), Fold: true,
	})
	for n := range score.Notes(out) {
		fmt.Printf("%s: string %d, fret %d\n", n.Pitch, n.Place.String, n.Place.Fret)
	}
	for _, d := range remarks {
		fmt.Println(d.Msg)
	}
	// Output:
	// G3: string 5, fret 10
	// E4: string 3, fret 9
	// G4: string 2, fret 8
	// bar 1, beat 1: 3 notes (G3 E4 G4) are folded into the E shape, now an octave up
}
