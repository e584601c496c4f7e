package tabtext_test

import (
	"fmt"
	"os"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory"
)

const lick = `A lick to warm up with.

e|-5---8p5---------|
B|---------8---5---|
G|-----------------|
D|-----------------|
A|-----------------|
E|-----------------|
   1   2 & 3   4

Slowly!
`

func ExampleRead() {
	d, err := tabtext.Read(strings.NewReader(lick), "lick.tab", score.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for c := range d.Score().Parts[0].Measures[0].Chords() {
		n := c.Notes[0]
		fmt.Println(c.Onset, c.Duration, n.Pitch, n.Place.String, n.Place.Fret)
	}
	// Output:
	// 0 1 A4 1 5
	// 1 1/2 C5 1 8
	// 3/2 1/2 A4 1 5
	// 2 1 G4 2 8
	// 3 1 E4 2 5
}

func ExampleDocument_Apply() {
	d, err := tabtext.Read(strings.NewReader(lick), "lick.tab", score.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	moved := d.Score().Clone()
	for n := range score.Notes(moved) {
		n.Place.Fret += 2
		n.Pitch = n.Pitch.Transpose(theory.Interval{Steps: 1, Semitones: 2})
	}
	e, err := d.Apply(moved)
	if err != nil {
		fmt.Println(err)
		return
	}
	e.WriteTo(os.Stdout)
	// Output:
	// A lick to warm up with.
	//
	// e|-7---10p7---------|
	// B|----------10--7---|
	// G|------------------|
	// D|------------------|
	// A|------------------|
	// E|------------------|
	//    1   2  & 3   4
	//
	// Slowly!
}

func ExampleWrite() {
	d, err := tabtext.Read(strings.NewReader(lick), "lick.tab", score.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := tabtext.Write(os.Stdout, d.Score(), score.WriteOptions{}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Tuning: E2 A2 D3 G3 B3 E4
	//
	// e|-5---8p5---------|
	// B|---------8---5---|
	// G|-----------------|
	// D|-----------------|
	// A|-----------------|
	// E|-----------------|
	//    1   2 & 3   4
}
