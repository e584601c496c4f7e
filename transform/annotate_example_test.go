package transform_test

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

func ExampleAnnotate() {
	line := phrase("G4", "A4", "B4", "C5", "F5", "D#5", "E5", "C5")
	over, _ := theory.ParseProgression("C", nil)
	scale := scaleOn("C major")
	labelled, _ := transform.Annotate(line, transform.AnnotateOptions{Scale: &scale, Chords: over})
	for n := range score.Notes(labelled) {
		text := fmt.Sprintf("%-4s", n.Pitch)
		for _, a := range n.Annotations {
			text += fmt.Sprintf(" %-5s", a.Text)
		}
		fmt.Println(strings.TrimSpace(text))
	}
	for _, line := range labelled.Legend {
		fmt.Println(line)
	}
	// Output:
	// G4   5     5
	// A4   6     (13)  p
	// B4   7     (7)   p
	// C5   1     R
	// F5   4     (11)  enc
	// D#5  (#2)  (#9)  enc
	// E5   3     3
	// C5   1     R
	// degree: counted from C major; in brackets what is outside
	// chord-tone: R is the root, numbers count from it; in brackets what is no chord tone
	// chord-tone: over the chords C
	// role: p passing, enc enclosure
}
