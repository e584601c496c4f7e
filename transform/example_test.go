package transform_test

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

func ExampleTranspose() {
	// Two notes on string 5: C at fret 3 and E♭ at fret 6.
	neck := fretboard.Guitar()
	bar := &score.Measure{Number: "1", Length: score.Q(2, 1)}
	bar.Events = []score.Event{
		&score.KeySignature{Key: theory.Key{Mode: theory.Minor}}, // C minor
		&score.NeckChange{Neck: neck},
	}
	for i, fret := range []int{3, 6} {
		place := fretboard.Place{String: 5, Fret: fret}
		c := &score.Chord{Voice: 1, Duration: score.Q(1, 1)}
		c.Onset = score.Q(int64(i), 1)
		c.Notes = []*score.Note{{Pitch: theory.SpellIn(theory.Key{Mode: theory.Minor}, neck.Stopped(place)), Place: place}}
		bar.Events = append(bar.Events, c)
	}
	lick := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{bar}}}}

	by, err := theory.ParseInterval("M2")
	if err != nil {
		fmt.Println(err)
		return
	}
	moved, report := transform.Transpose(lick, by, transform.TransposeOptions{})
	key, _, _ := transform.KeyAtStart(moved)
	fmt.Println(key.Pretty(), len(report), "diagnostics")
	for n := range score.Notes(moved) {
		fmt.Println(n.Pitch.Pretty(), "string", n.Place.String, "fret", n.Place.Fret)
	}
	// Output:
	// D minor 0 diagnostics
	// D3 string 5 fret 5
	// F3 string 5 fret 8
}

func ExampleAllKeys() {
	for _, k := range transform.AllKeys(theory.Key{}, transform.Fourths) {
		fmt.Print(k.Tonic.Pretty(), " ")
	}
	fmt.Println()
	// Output: C F B♭ E♭ A♭ D♭ F♯ B E A D G
}
