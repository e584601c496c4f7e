package transform_test

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext/degrees"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// phraseOf reads a phrase that is written as degrees, in A minor.
func phraseOf(text string) *score.Score {
	key := theory.Key{Tonic: theory.NoteName{Step: theory.A}}
	doc, err := degrees.Read(strings.NewReader("Degrees: minor\nTime: 4/4\n"+text+"\n"), "phrase", score.ReadOptions{Key: &key, TonicOnly: true})
	if err != nil {
		panic(err)
	}
	return doc.Score()
}

// bars writes the bars of a phrase as degrees.
func bars(s *score.Score) string {
	var text strings.Builder
	if err := degrees.Write(&text, s, score.WriteOptions{}); err != nil {
		return err.Error()
	}
	_, body, _ := strings.Cut(text.String(), "\n\n")
	return strings.TrimSpace(body)
}

// Steps are done one after the other.
func ExampleVary() {
	phrase := phraseOf("Q 1 b3 4 h5 | H b7^1 Q 5 1 |")
	for _, steps := range [][2]string{{"in", "thirds"}, {"retrograde", ""}, {"displace", "1/8"}} {
		step, err := transform.ParseVariation(steps[0], steps[1])
		if err != nil {
			fmt.Println(err)
			return
		}
		varied, said := transform.Vary(phrase, []transform.Variation{step}, transform.VaryOptions{})
		fmt.Println(said[0].Msg)
		fmt.Println(bars(varied))
	}
	// Output:
	// in thirds: 6 notes followed each by the third above it in A natural minor, in half of the time; 1 note longer than a beat left alone
	// E 1 b3 b3 5 4 b6 5 b7 | H b7^1 E 5 b7 1 b3 |
	// retrograde: from the last note to the first
	// Q 1 5 H b7p^1r | Q 5 p4 b3 1 |
	// displaced: begins an eighth note later; the last note is shorter by an eighth note
	// (E) Q 1 b3 4 E h5 | E ~5 H b7^1 Q 5 E 1 |
}

// The variations that differ most from a phrase and from each other.
func ExampleVariations() {
	phrase := phraseOf("{i7} E 1 b3 4 5 Q b7 5 | {iv7} E 4 b3 1 b3 H 4 |")
	list, _ := transform.Variations(phrase, 3, transform.VaryOptions{Seed: 2})
	for _, v := range list {
		fmt.Println(v.Name())
		fmt.Println("   ", bars(v.Score))
	}
	// Output:
	// start-on 5, target
	//     {i7} E -5 -b7 1 2 Q b3 2 | {iv7} E 1 -b7 -5 -b7 H 1 |
	// retrograde, invert chromatic, displace -5/8
	//     H 4 E 5 | {i7} E b7 5 4 Q b3 1 E b3 | {iv7} H 4 (H) |
	// sequence 7 up, group 6
	//     {i7} E 1 b3 4 5 Q b7 5 | {iv7} E 4 2 4 5 H b6 |
}

// Degrees have no neck; here they are put on one.
func ExampleOntoNeck() {
	onNeck, _, _ := transform.OntoNeck(phraseOf("Q 1 b3 4 5 |"), fretboard.Guitar())
	for n := range score.Notes(onNeck) {
		fmt.Printf("%v: string %d fret %d\n", n.Pitch, n.Place.String, n.Place.Fret)
	}
	// Output:
	// A3: string 4 fret 7
	// C4: string 3 fret 5
	// D4: string 3 fret 7
	// E4: string 2 fret 5
}
