package routine_test

import (
	"fmt"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/routine"
)

func ExampleNew() {
	tonic, _, scale, err := theory.ParseScale("D dorian")
	if err != nil {
		fmt.Println(err)
		return
	}
	sheet, err := routine.New(routine.Options{
		Tonic: tonic, Scale: scale, Neck: fretboard.Guitar(),
		Scheme: fretboard.PerString{Notes: []int{3}, Degree: theory.Degree{Number: 1}},
		Show:   []routine.Kind{routine.Scale, routine.Neighbours},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, page := range sheet.Pages {
		fmt.Println(page.Title)
		fmt.Println(page.Facts[0], page.Facts[1])
		for _, e := range page.Exercises {
			fmt.Printf("- %s (%d notes)\n", e.Title, len(e.Lines[0]))
		}
	}
	fmt.Println(len(routine.Score(sheet.Title, sheet).Parts[0].Measures), "bars")
	// Output:
	// D dorian, 3 notes per string from 1
	// Frets 10 to 15. Holds the notes of D dorian: D E F G A B C.
	// - D dorian, up (18 notes)
	// - D dorian to D mixolydian (18 notes)
	// - D dorian to D natural minor (18 notes)
	// 9 bars
}
