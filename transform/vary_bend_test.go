package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// TestEasyBends: a whole tone from the fifth fret on the plain strings and from
// the seventh on the d string, a semitone elsewhere, nothing on an open string or a wound one below the
// fifth fret;
// further where the phrase bends as far on no easier string and fret. Source:
// common practice.
func TestEasyBends(t *testing.T) {
	neck := fretboard.Guitar()
	h := &habit{}
	for _, tc := range []struct {
		str, fret int
		by        float64
		easy      bool
	}{
		{2, 8, 2, true}, {2, 5, 2, true}, {1, 3, 2, false}, {1, 3, 1, true}, {3, 7, 2, true}, {3, 4, 2, false},
		{4, 7, 2, true}, {4, 5, 2, false}, {5, 7, 2, false}, {5, 7, 1, true}, {5, 3, 1, false}, {4, 4, 1, false}, {6, 12, 2, false}, {2, 8, 3, false}, {1, 0, 1, false},
	} {
		assert.Equal(t, tc.easy, h.bendable(&neck, fretboard.Place{String: tc.str, Fret: tc.fret}, tc.by), "%+v", tc)
	}
	own := habitOf(lick(t, neck, "5.5b 1.3").Parts[0])
	assert.True(t, own.bendable(&neck, fretboard.Place{String: 5, Fret: 7}, 2), "as the phrase")
	assert.True(t, own.bendable(&neck, fretboard.Place{String: 4, Fret: 5}, 2), "on a thinner string")
	assert.False(t, own.bendable(&neck, fretboard.Place{String: 5, Fret: 3}, 2), "below the phrase's")
	assert.Equal(t, [2]int{3, 5}, [2]int{own.low, own.high})
}

// TestHardBendsAreSlides: a bend that would lie on the low strings is a slide up
// into the note that it reached, which is said; on a plain string it stays.
func TestHardBendsAreSlides(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.7 2.8b 1.5 3.7")
	s.Parts[0].Measures[0].Nominal = score.Q(4, 1)
	key := theory.Key{}
	opt := VaryOptions{Scale: &ScaleOn{key.Tonic, key.Scale()}}
	steps := []Variation{step(t, "start-on 3")}
	out, said := Vary(s, steps, opt)
	require.Zero(t, count(said, CodeVaryTechnique), "%v", said)
	assert.Equal(t, 1, bendsOf(out))
	low := opt
	low.Refinger.Scheme = fretboard.Strings{5, 6}
	down := []Variation{step(t, "start-on 3"), {Kind: StartOn, Degree: theory.Degree{Number: 1}}}
	out, said = Vary(s, down, low)
	assert.Zero(t, bendsOf(out), "%v", said)
	require.Equal(t, 1, count(said, CodeVaryTechnique), "%v", said)
	slides := 0
	for n := range score.Notes(out) {
		if n.Has(score.SlideEdge{In: true, Below: true}) {
			slides++
			assert.Equal(t, theory.A, n.Pitch.Step, "what A was bent to, a third up and down again")
		}
	}
	assert.Equal(t, 1, slides)
}

func bendsOf(s *score.Score) (n int) {
	for note := range score.Notes(s) {
		if _, ok := note.Bend(); ok {
			n++
		}
	}
	return n
}

// TestTargetsAreSpelledPlainly: over chords whose tones have two accidentals in
// their names or against the key a target has none. Source: common practice.
func TestTargetsAreSpelledPlainly(t *testing.T) {
	for _, tc := range []struct{ key, chord string }{{"C", "Cdim7"}, {"Am", "Cm7b5"}, {"Eb", "Ebdim7"}, {"E", "G#7"}} {
		chord, err := theory.ParseChord(tc.chord)
		require.NoError(t, err)
		key := theory.Key{Tonic: theory.NoteName{Step: theory.A}, Mode: theory.Minor}
		if tc.key != "Am" {
			key = theory.Key{Tonic: mustName(t, tc.key)}
		}
		for _, line := range []string{"A4/2 F4/2 G4/2 B4/2", "Bb4/2 D5/2 Ab4/2 C5/2", "E4/2 G4/2 F#4/2 A4/2"} {
			s := phrase(t, key, line)
			s.Parts[0].Measures[0].Events = append([]score.Event{&score.Harmony{Chord: chord}}, s.Parts[0].Measures[0].Events...)
			before := saidLine(s)
			out, _ := Vary(s, []Variation{step(t, "target")}, VaryOptions{})
			after := saidLine(out)
			i := 0
			for n := range score.Notes(out) {
				if after[i].key != before[i].key {
					assert.LessOrEqual(t, max(n.Pitch.Alter, -n.Pitch.Alter), 1, "%v over %v", n.Pitch, tc)
					d := theory.DegreeOf(key.Tonic, n.Pitch.NoteName)
					assert.LessOrEqual(t, max(d.Alter, -d.Alter), 1, "%v over %v", d, tc)
					assert.True(t, chord.Classes().Has(n.Pitch.MIDI()), "%v over %v", n.Pitch, tc)
				}
				if i > 0 && before[i].key != before[i-1].key {
					assert.NotEqual(t, after[i-1].key, after[i].key, "struck twice over %v: %s", tc, told(out))
				}
				i++
			}
		}
	}
}

func mustName(t *testing.T, text string) theory.NoteName {
	t.Helper()
	p, err := theory.ParsePitch(text + "4")
	require.NoError(t, err)
	return p.NoteName
}

// TestFirstFingerBends: a whole tone is bent by the first finger alone where the
// hand needs its other fingers above and has none below. Source: common practice
// (bends of a whole tone with two or three fingers).
func TestFirstFingerBends(t *testing.T) {
	for line, want := range map[string]int{"3.9 2.5b 2.5": 1, "2.8b 2.10": 1, "3.7 2.8b 2.10": 0, "2.5 2.8b 1.5": 0, "3.7 2.5b 2.6": 1, "2.5b 2.6": 0} {
		assert.Len(t, firstFingerBends(lick(t, fretboard.Guitar(), line).Parts[0]), want, line)
	}
}

// TestWideSlurs: three frets is a finger for each fret; more, or any slide, only
// as far as the phrase has it. Source: common practice.
func TestWideSlurs(t *testing.T) {
	v := lookAt(lick(t, fretboard.Guitar(), "3.7 2.8 1.5"), 0, nil)
	assert.False(t, v.tooWide(score.PullOff, -3))
	assert.True(t, v.tooWide(score.PullOff, -4))
	assert.True(t, v.tooWide(score.HammerOn, 4))
	assert.True(t, v.tooWide(score.Glissando, 1))
	v.slurs = [2]int{5, 2}
	assert.False(t, v.tooWide(score.HammerOn, 5))
	assert.False(t, v.tooWide(score.Glissando, -2))
	assert.True(t, v.tooWide(score.Glissando, 4))
}
