package musicxml_test

import (
	"fmt"
	"os"
	"strings"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// A file is moved to another key: what does not concern the move stays as it
// is, down to the quotes.
func ExampleDocument_Apply() {
	const file = `<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Lead</part-name></score-part></part-list>` +
		`<part id='P1'><measure number='1'><!-- slowly --><note><pitch><step>B</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>`
	doc, err := musicxml.Read(strings.NewReader(file), "lick.musicxml", score.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	up, _ := theory.ParseInterval("m3")
	moved, _ := transform.Transpose(doc.Score(), up, transform.TransposeOptions{})
	out, err := doc.Apply(moved)
	if err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	_, _ = out.WriteTo(&b)
	fmt.Println(b.String()[strings.Index(b.String(), "<measure"):])
	// Output:
	// <measure number='1'><!-- slowly --><note><pitch><step>D</step><octave>5</octave></pitch><duration>1</duration></note></measure></part></score-partwise>
}

// Everything that is doubtful is reported with its place.
func ExampleRead() {
	const file = `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list>
<part id="P1"><measure number="1">
<backup><duration>4</duration></backup>
</measure></part></score-partwise>`
	_, err := musicxml.Read(strings.NewReader(file), "odd.musicxml", score.ReadOptions{Report: func(d score.Diagnostic) {
		fmt.Println(d.Severity, d)
	}})
	fmt.Println(err)
	_, err = musicxml.Read(strings.NewReader(file[:60]), "half.musicxml", score.ReadOptions{})
	fmt.Println(err)
	// Output:
	// warning odd.musicxml:3:1: measure 1: backup goes to before the measure's start; read as the start
	// <nil>
	// half.musicxml:1:61: the file ends inside of a tag or comment
}

// A score that has no file becomes one, with notation and tab.
func ExampleWrite() {
	neck := fretboard.Guitar()
	note := &score.Note{Pitch: theory.P(theory.A, 0, 3), Place: fretboard.Place{String: 3, Fret: 2}}
	bar := &score.Measure{Number: "1", Length: score.Q(4, 1), Events: []score.Event{
		&score.NeckChange{Common: score.Common{Staff: 1}, Neck: neck},
		&score.Chord{Common: score.Common{Staff: 1}, Duration: score.Q(4, 1), Voice: 1, Notes: []*score.Note{note}},
	}}
	s := &score.Score{Title: "One note", Parts: []*score.Part{{ID: "P1", Name: "Guitar", Staves: 1, Measures: []*score.Measure{bar}}}}
	var b strings.Builder
	if err := musicxml.Write(&b, s, score.WriteOptions{}); err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	fmt.Println(strings.Count(b.String(), "<pitch>"), "noteheads,", strings.Count(b.String(), "<fret>"), "fret")
	// Output:
	// 2 noteheads, 1 fret
}
