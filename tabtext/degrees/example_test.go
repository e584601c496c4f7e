package degrees_test

import (
	"fmt"
	"os"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext/degrees"
	"example.org/lickwright/theory"
)

const phrase = `Degrees: minor
Time: 4/4

E 1 b3 4 h5 Q b7^1 +1 |
`

// A phrase becomes notes in any key.
func ExampleRead() {
	for _, name := range []string{"A", "Eb"} {
		key, _, _ := theory.ParseKey(name)
		doc, err := degrees.Read(strings.NewReader(phrase), "phrase", score.ReadOptions{Key: &key, TonicOnly: true})
		if err != nil {
			fmt.Println(err)
			return
		}
		var notes []string
		for n := range score.Notes(doc.Score()) {
			notes = append(notes, n.Pitch.String())
		}
		fmt.Println(strings.Join(notes, " "))
	}
	// Output:
	// A3 C4 D4 E4 G4 A4
	// Eb4 Gb4 Ab4 Bb4 Db5 Eb5
}

// Music that was read is written as degrees, here after an octave's leap.
func ExampleWrite() {
	key, _, _ := theory.ParseKey("A minor")
	doc, err := degrees.Read(strings.NewReader(phrase), "phrase", score.ReadOptions{Key: &key})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := doc.Score().Clone()
	for n := range score.Notes(s) {
		if n.Pitch.Octave == 3 {
			n.Pitch.Octave++
		}
	}
	if err := degrees.Write(os.Stdout, s, score.WriteOptions{}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Degrees: minor
	// Time: 4/4
	//
	// E +1 b3 4 h5 Q b7^1 +1 |
}

// An edit changes what differs and nothing else.
func ExampleDocument_Apply() {
	key, _, _ := theory.ParseKey("A minor")
	doc, err := degrees.Read(strings.NewReader("Degrees: minor\n// slowly\nQ 1  b3  4  5 | W 1 |\n"), "phrase", score.ReadOptions{Key: &key})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := doc.Score().Clone()
	last := s.Parts[0].Measures[1].Events[0].(*score.Chord)
	last.Notes[0].Techniques = []score.Technique{score.Vibrato}
	edited, err := doc.Apply(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	if _, err := edited.WriteTo(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Degrees: minor
	// // slowly
	// Q 1  b3  4  5 | W 1:vib |
}

func ExampleLooks() {
	fmt.Println(degrees.Looks([]byte(phrase)), degrees.Looks([]byte("e|--5--|")))
	// Output: true false
}
