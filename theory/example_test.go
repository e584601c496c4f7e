package theory_test

import (
	"fmt"

	"example.org/lickwright/theory"
)

func ExamplePitch_Transpose() {
	p, _ := theory.ParsePitch("Bb3")
	up, _ := theory.ParseInterval("M3")
	fmt.Println(p.Transpose(up), p.Transpose(up.Neg()))
	// Output: D4 Gb3
}

func ExampleParseInterval() {
	for _, s := range []string{"m3", "-P5", "minor third down", "A4"} {
		i, _ := theory.ParseInterval(s)
		fmt.Println(i, i.Semitones, i.Words())
	}
	// Output:
	// m3 3 minor third up
	// -P5 -7 perfect fifth down
	// -m3 -3 minor third down
	// A4 6 augmented fourth up
}

func ExampleKey_Practical() {
	b, _, _ := theory.ParseKey("B major")
	up := b.Transpose(theory.Interval{Semitones: 1}) // an augmented unison
	fmt.Println(up, "is written", up.Practical())
	// Output: B# major is written C major
}

func ExampleParseChord() {
	c, err := theory.ParseChord("Bb7(b9,#11)/D")
	if err != nil {
		fmt.Println(err)
		return
	}
	kind, degrees := c.Kind()
	fmt.Println(c.Degrees(), c.Tones())
	fmt.Println(kind, degrees, "inversion", c.Inversion())
	// Output:
	// [1 3 5 b7 b9 #11] [Bb D F Ab Cb E]
	// dominant [{9 -1 add} {11 1 add}] inversion 1
}

func ExampleParseChord_error() {
	_, err := theory.ParseChord("Bbq7")
	fmt.Println(err)
	// Output: "Bbq7" is no chord: "q7" means nothing in a chord symbol, at character 3
}

func ExampleChord_Scales() {
	key, _, _ := theory.ParseKey("C")
	g7, _ := theory.ParseChord("G7")
	for _, s := range g7.Scales(&key)[:2] {
		fmt.Println(s.Scale.Name(), "colours", s.Extensions, "avoid", s.Avoid)
	}
	// Output:
	// mixolydian colours [9 13] avoid [4]
	// lydian dominant colours [9 #11 13] avoid []
}

func ExampleParseScale() {
	tonic, _, s, _ := theory.ParseScale("Eb lydian flat 7")
	fmt.Println(tonic, s.Name(), "is", s.Formula(), "or", s.Notes(tonic))
	_, err := theory.ScaleByName("mixolidian")
	fmt.Println(err.(*theory.ParseError).Hint)
	// Output:
	// Eb lydian dominant is 1 2 3 #4 5 6 b7 or [Eb F G A Bb C Db]
	// did you mean mixolydian?
}

func ExampleScale_Neighbours() {
	dorian, _ := theory.ScaleByName("dorian")
	for _, n := range dorian.Neighbours() {
		if n.Mode {
			fmt.Printf("%s: %s becomes %s\n", n.Scale.Name(), n.From, n.To)
		}
	}
	// Output:
	// mixolydian: b3 becomes 3
	// natural minor: 6 becomes b6
}

func ExampleFindScales() {
	c, eb, fs := theory.NoteName{}, theory.NoteName{Step: theory.E, Alter: -1}, theory.NoteName{Step: theory.F, Alter: 1}
	for _, f := range theory.FindScales([]theory.NoteName{c, eb, fs}, &c)[:3] {
		fmt.Println(f.Tonic, f.Scale.Name(), "has besides", f.Extra)
	}
	// Output:
	// C blues has besides [F G Bb]
	// C locrian has besides [Db F Ab Bb]
	// C locrian natural 2 has besides [D F Ab Bb]
}

func ExampleKey_Roman() {
	key, _, _ := theory.ParseKey("Bb major")
	p, _ := theory.ParseProgression("Cm7 F7 | Bbmaj7 | %", nil)
	fmt.Println(p.Roman(key))
	back, _ := theory.ParseProgression("ii7 V7 | Imaj7 | %", &key)
	fmt.Println(back)
	// Output:
	// ii7 V7 | Imaj7 | %
	// Cm7 F7 | Bbmaj7 | %
}

func ExampleFindKey() {
	var notes []theory.WeightedNote
	for _, m := range []int{62, 66, 69, 67, 64, 61, 62} { // D F# A G E C# D
		notes = append(notes, theory.WeightedNote{MIDI: m, Weight: 1})
	}
	best := theory.FindKey(notes)
	fmt.Printf("%s, else %s\n", best[0].Key, best[1].Key)
	// Output: D major, else D minor
}

func ExampleSpellLine() {
	key, _, _ := theory.ParseKey("A minor")
	fmt.Println(theory.SpellLine([]int{64, 66, 68, 69, 71, 72}, &key))
	// Output: [E4 F#4 G#4 A4 B4 C5]
}

func ExampleScale_Harmonise() {
	tonic, _, s, _ := theory.ParseScale("A harmonic minor")
	for _, c := range s.Harmonise(tonic, 4) {
		fmt.Print(c.Chord, " ")
	}
	fmt.Println()
	// Output: Am(maj7) Bm7b5 Cmaj7#5 Dm7 E7 Fmaj7 G#dim7
}
