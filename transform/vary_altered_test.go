package transform

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestInversionOfAlterations: in diatonic inversion a raised note becomes a
// lowered one and the other way, also where it is the first; twice gives the
// phrase back. Source: common practice on tonal inversion, in which numbers of
// steps are kept and alterations turned over; reckoned by letters here.
func TestInversionOfAlterations(t *testing.T) {
	for in, want := range map[string]string{
		"C4/2 D4/2 Eb4/2 D4/2":  "C4/2 B3/2 A#3/2 B3/2",
		"Eb4/2 E4/2 G4/2 F#4/2": "E#4/2 E4/2 C4/2 Db4/2",
		"F#4/2 G4/2 C4/2 F#4/2": "Fb4/2 E4/2 B4/2 Fb4/2",
	} {
		out, _ := Vary(phrase(t, theory.Key{}, in), []Variation{step(t, "invert")}, VaryOptions{})
		assert.Equal(t, want, told(out), in)
	}
	_, said := Vary(phrase(t, theory.Key{}, "Eb4/4 E4/4"), []Variation{step(t, "invert")}, VaryOptions{})
	assert.Equal(t, "inverted: turned over at E4, the step of the first note, E♭4, in C major", said[0].Msg)
	number := func(p theory.Pitch) int { return 7*p.Octave + strings.IndexByte("CDEFGAB", p.String()[0]) }
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 51))
		var words []string
		for range 8 {
			words = append(words, fmt.Sprintf("%c%s%d", "CDEFGAB"[r.IntN(7)], []string{"", "", "#", "b"}[r.IntN(4)], 3+r.IntN(2)))
		}
		s := phrase(t, theory.Key{}, strings.Join(words, " "))
		once, _ := Vary(s, []Variation{step(t, "invert")}, VaryOptions{})
		was, is := notesOf(s), notesOf(once)
		for i := range was {
			require.Equal(t, 2*number(was[0].Pitch)-number(was[i].Pitch), number(is[i].Pitch), "seed %d: %v", seed, words)
			require.Equal(t, -was[i].Pitch.Alter, is[i].Pitch.Alter, "seed %d: %v", seed, words)
		}
		twice, _ := Vary(once, []Variation{step(t, "invert")}, VaryOptions{})
		require.Equal(t, told(s), told(twice), "seed %d", seed)
	}
}

// TestMovedBends: a bend of a whole tone stays one where that leads into the
// scale, else it goes to the scale's next note; over more steps it goes over as
// many. Source: the notes of the scales, common practice.
func TestMovedBends(t *testing.T) {
	minor := theory.Key{Tonic: theory.NoteName{Step: theory.C}, Mode: theory.Minor}
	for _, tc := range []struct {
		note    string
		by, end int64 // semitones
		release bool
		steps   int
		want    string
	}{
		{"G4", 2, 0, true, 1, "Ab4 2"},  // to A outside of C minor: A♭ to B♭
		{"G4", 2, 0, true, 3, "C5 2"},   // C to D
		{"G4", 2, 0, true, 4, "D5 1"},   // D to E♭
		{"G4", 2, 0, false, 1, "Ab4 2"}, // the same held
		{"G4", 1, 0, true, 1, "Ab4 2"},  // a step each: G to A♭, A♭ to B♭
		{"G4", 1, 0, false, 1, "Ab4 2"},
		{"F4", 3, 0, true, 2, "Ab4 4"}, // two steps each: F to A♭, A♭ to C
		{"F4", 2, 0, false, 2, "Ab4 2"},
		{"F4", 2, 0, false, 7, "F5 2"},
		{"G4", 2, 0, true, 7, "G5 2"},   // an octave higher it is as far
		{"F#4", 1, 0, false, 1, "G4 1"}, // a semitone into the scale stays one
		{"Bb4", 2, 0, true, 1, "C5 2"},
		{"Bb4", 4, 2, true, 1, "C5 3 2"}, // B♭ to D and back to C: C to E♭ and back to D
	} {
		s := phrase(t, minor, tc.note+"/8")
		n := notesOf(s)[0]
		n.Techniques = []score.Technique{score.Bend{Amount: score.Q(tc.by, 1), Release: tc.release, ReleaseTo: score.Q(tc.end, 1)}}
		v := lookAt(s, 0, nil)
		v.moveAll(moving{to: func(p theory.Pitch) theory.Pitch { return v.along(p, tc.steps) }, along: true})
		b, _ := n.Bend()
		got := fmt.Sprint(n.Pitch, " ", b.Amount)
		if tc.end != 0 {
			got += " " + b.ReleaseTo.String()
		}
		assert.Equal(t, tc.want, got, "%+v", tc)
	}
}

// TestMovedBendsKeepTheScale: in every mode and pentatonic, moved along the scale,
// no bend leaves it; but one that left it before may at another octave of
// itself. The notes of the scales are counted here from their steps.
func TestMovedBendsKeepTheScale(t *testing.T) {
	moved := 0
	for name, tones := range map[string]string{
		"major": "024579b", "dorian": "023579a", "phrygian": "013578a", "lydian": "024679b", "mixolydian": "024579a", "natural minor": "023578a", "locrian": "013568a",
		"harmonic minor": "023578b", "melodic minor": "023579b", "minor pentatonic": "0357a", "major pentatonic": "02479",
	} {
		has := func(midi int) bool { return strings.IndexByte(tones, "0123456789ab"[(midi+120)%12]) >= 0 }
		scale := ScaleOn{Scale: mustScale(t, name)}
		for midi := 60; midi < 72; midi++ {
			for by := 1; by <= 4; by++ {
				for shape := range 3 {
					for steps := -7; steps <= 7; steps++ {
						s := phrase(t, theory.Key{}, "C4/8")
						n := notesOf(s)[0]
						n.Pitch = theory.SpellIn(theory.Key{}, midi)
						n.Techniques = []score.Technique{score.Bend{Amount: score.Q(int64(by), 1), Release: shape > 0, PreBend: shape > 1}}
						v := lookAt(s, 0, &scale)
						v.moveAll(moving{to: func(p theory.Pitch) theory.Pitch { return v.along(p, steps) }, along: true})
						b, _ := n.Bend()
						where := fmt.Sprintf("%s: %d bent by %d (shape %d), moved %d steps: %v", name, midi, by, shape, steps, n)
						require.Positive(t, b.Amount.Sign(), where)
						if target := n.Pitch.MIDI() + int(b.Amount.Num()); !has(target) {
							require.False(t, has(midi) && (n.Pitch.MIDI()-midi)%12 != 0, where)
							require.False(t, has(midi+by), where)
						}
						moved++
					}
				}
			}
		}
	}
	assert.Greater(t, moved, 10000)
}
