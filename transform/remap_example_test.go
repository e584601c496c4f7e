package transform_test

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// phrase is a bar of quarter notes for no neck.
func phrase(names ...string) *score.Score {
	bar := &score.Measure{Number: "1", Length: score.Q(int64(len(names)), 1)}
	for i, name := range names {
		p, err := theory.ParsePitch(name)
		if err != nil {
			panic(err)
		}
		c := &score.Chord{Voice: 1, Duration: score.Q(1, 1), Notes: []*score.Note{{Pitch: p}}}
		c.Onset = score.Q(int64(i), 1)
		bar.Events = append(bar.Events, c)
	}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{bar}}}}
}

func scaleOn(text string) transform.ScaleOn {
	tonic, _, scale, err := theory.ParseScale(text)
	if err != nil {
		panic(err)
	}
	return transform.ScaleOn{Tonic: tonic, Scale: scale}
}

func show(s *score.Score) {
	var names []string
	for n := range score.Notes(s) {
		names = append(names, n.Pitch.Pretty())
	}
	fmt.Println(strings.Join(names, " "))
}

// One minor pentatonic line, under both mappings. The major pentatonic has no
// fourth and no seventh: by degree they become the nearest notes in the
// direction of the line.
func ExampleRemap() {
	line := phrase("A4", "C5", "D5", "E5", "G5", "E5", "D5", "C5", "A4")
	from, to := scaleOn("A minor pentatonic"), scaleOn("A major pentatonic")
	for _, how := range []transform.Mapping{transform.ByDegree, transform.ByStep} {
		mapped, _ := transform.Remap(line, from, to, transform.RemapOptions{Map: how})
		fmt.Printf("%-7v ", how)
		show(mapped)
	}
	// Output:
	// degree  A4 C♯5 E5 E5 A5 E5 C♯5 C♯5 A4
	// step    A4 B4 C♯5 E5 F♯5 E5 C♯5 B4 A4
}

func ExampleRemapOver() {
	home, _ := theory.ParseChord("Am7")
	changes, _ := theory.ParseProgression("Dm7 | G7 | Cmaj7", nil)
	over, _ := transform.RemapOver(phrase("C5", "E5", "G5", "A5"), &home, changes, transform.RemapOptions{})
	show(over)
	// Output: F5 A5 C6 D6 B4 D5 F5 G5 E5 G5 B5 C6
}

func ExampleInspect() {
	in := transform.Inspect(phrase("E4", "F4", "G4", "A4", "B4", "C5", "D5", "E5"), transform.InspectOptions{})
	part := in.Parts[0]
	fmt.Println("key from", part.KeyFrom)
	fmt.Println(part.Range.Lowest, "to", part.Range.Highest)
	for _, s := range part.Elsewhere[:3] {
		fmt.Println(s.Tonic, s.Scale.Name())
	}
	// Output:
	// key from notes
	// E4 to E5
	// E phrygian
	// D dorian
	// F lydian
}
