package diagram_test

import (
	"fmt"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func ExampleText() {
	tonic, _, scale, _ := theory.ParseScale("A minor pentatonic")
	chain := fretboard.ChainOf(tonic, scale)
	shape, _ := fretboard.ParseShape(fretboard.Standard(), "E")
	regions, _ := fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}.Regions(fretboard.Guitar(), chain.Scale)
	d := diagram.OfLayout(regions[0].Lay(chain.Scale), diagram.Reading{Home: &tonic, Chord: &chain.Chord}, fretboard.ToneSet{})
	fmt.Print(diagram.Text(d, diagram.Options{}))
	fmt.Println(diagram.TextLegend([]diagram.Diagram{d}, diagram.Options{}))
	// Output:
	// E shape, position V
	//     <5>     6      7      8
	// e --{1}--|------|------|-[b3]-|
	// B --[5]--|------|------|-(b7)-|
	// G --[b3]-|------|-(4)--|------|
	// D --(b7)-|------|-{1}--|------|
	// A --(4)--|------|-[5]--|------|
	// E --{1}--|------|------|-[b3]-|
	// {} root of the chord Am, [] other tone of the chord Am, () other note, <5> fret of the index finger
}

func ExampleDraw() {
	chord, _ := theory.ParseChord("Am7")
	tones := fretboard.ChordTones(chord)
	neck := fretboard.Guitar()
	regions, _ := fretboard.ChordShape{}.Regions(neck, tones)
	box := diagram.OfVoicing(neck, regions[0].Voicings(tones)[0], chord, regions[0].Name)
	picture := diagram.Draw("", []diagram.Diagram{box}, diagram.Options{})
	fmt.Println(picture.Title)
	fmt.Println(picture.Desc)
	// Output:
	// Am7, A shape
	// Am7, A shape. String 5: open A degree 1 root. String 4: fret 2 E degree 5 chord tone. String 3: open G degree ♭7 chord tone. String 2: fret 1 C degree ♭3 chord tone. String 1: open E degree 5 chord tone. String 6 is not played.
}
