package fretboard_test

import (
	"fmt"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func ExampleChordShape() {
	tonic, _, major, _ := theory.ParseScale("C major")
	tones := fretboard.ScaleTones(tonic, major)
	regions, err := fretboard.ChordShape{}.Regions(fretboard.Guitar(), tones)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range fretboard.Once(regions) {
		fmt.Println(r.Name, "- index finger at fret", r.Index, "-", len(r.Lay(tones).Spots), "notes")
	}
	// Output:
	// C shape - index finger at fret 0 - 17 notes
	// A shape - index finger at fret 2 - 16 notes
	// G shape - index finger at fret 5 - 17 notes
	// E shape - index finger at fret 7 - 17 notes
	// D shape - index finger at fret 10 - 17 notes
}

func ExampleRegion_Voicings() {
	c, _ := theory.ParseChord("Cm7")
	tones := fretboard.ChordTones(c)
	regions, _ := fretboard.ChordShape{}.Regions(fretboard.Guitar(), tones)
	for _, r := range fretboard.Once(regions) {
		for _, v := range r.Voicings(tones) {
			fmt.Println(r.Name, v)
		}
	}
	// Output:
	// C shape x 3 1 3 1 3
	// A shape x 3 5 3 4 3
	// G shape 8 6 8 8 8 6
	// E shape 8 10 8 8 8 8
	// D shape x x 10 12 11 11
}

func ExamplePerString() {
	tonic, _, dorian, _ := theory.ParseScale("D dorian")
	tones := fretboard.ScaleTones(tonic, dorian)
	pattern := fretboard.PerString{Notes: []int{3}, Degree: theory.Degree{Number: 1}}
	regions, _ := pattern.Regions(fretboard.Guitar(), tones)
	l := regions[0].Lay(tones)
	for _, s := range l.Spots[:6] {
		fmt.Print(s.Pitch, " ", s.Place.String, "/", s.Place.Fret, "  ")
	}
	mm, frets := l.Drift(fretboard.ScaleLength)
	fmt.Printf("drift %d frets, %.0f mm\n", frets, mm)
	// Output:
	// D3 6/10  E3 6/12  F3 6/13  G3 5/10  A3 5/12  B3 5/14  drift 2 frets, 40 mm
}

func ExampleParseScheme() {
	scheme, err := fretboard.ParseScheme(`
scheme  Corner box
root    string 2, ring   # the ring finger has the root
reach   1 0
strings 1-3
`, "corner.scheme")
	if err != nil {
		fmt.Println(err)
		return
	}
	tonic, _, pentatonic, _ := theory.ParseScale("A minor pentatonic")
	tones := fretboard.ScaleTones(tonic, pentatonic)
	regions, _ := scheme.Regions(fretboard.Guitar(), tones)
	for _, s := range regions[0].Lay(tones).Spots {
		fmt.Print(s.Pitch, " ")
	}
	fmt.Println()
	// Output: D4 E4 G4 A4 C5 D5
}

func ExampleStrokes() {
	run := []fretboard.Place{{String: 3, Fret: 5}, {String: 3, Fret: 7}, {String: 3, Fret: 9}, {String: 2, Fret: 6}, {String: 2, Fret: 8}, {String: 2, Fret: 10}}
	for _, policy := range []fretboard.StrokePolicy{fretboard.Strict, fretboard.Swept, fretboard.Legato} {
		strokes, changes := fretboard.Strokes(run, policy)
		fmt.Println(policy, strokes, changes[0].Kind)
	}
	// Output:
	// strict [down up down up down up] outside
	// swept [down up down down up down] sweep
	// legato [down - - down - -] sweep
}
