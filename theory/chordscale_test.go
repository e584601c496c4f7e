package theory_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

func degreeText(ds []theory.Degree) string {
	var out []string
	for _, d := range ds {
		out = append(out, d.String())
	}
	return strings.Join(out, " ")
}

// Source: chord-scale tables of jazz handbooks: the first choices for each
// kind of chord, and what they say to avoid (Levine, The Jazz Theory Book,
// part II; Nettles & Graf, The Chord Scale Theory; from memory).
func TestChordScalesOfHandbooks(t *testing.T) {
	tests := []struct{ chord, scale, avoid, extensions string }{
		{"Cmaj7", "major", "4", "9 13"},
		{"Cmaj7", "lydian", "", "9 #11 13"},
		{"Dm7", "dorian", "", "9 11 13"},
		{"Am7", "natural minor", "b6", "9 11"},
		{"Em7", "phrygian", "b2 b6", "11"},
		{"G7", "mixolydian", "4", "9 13"},
		{"G7", "lydian dominant", "", "9 #11 13"},
		{"G7", "half-whole diminished", "", "b9 #9 #11 13"},
		{"Bm7b5", "locrian", "b2", "11 b13"},
		{"Bm7b5", "locrian natural 2", "", "9 11 b13"},
		{"Cm(maj7)", "melodic minor", "", "9 11 13"},
		{"Bdim7", "whole-half diminished", "", "9 11 b13 7"},
		{"G7alt", "altered", "", ""},
		{"G7sus4", "mixolydian", "", "9 3 13"},
		{"C7#5", "whole tone", "", "9 #11"},
		{"C7", "blues", "4", "#9 b5"},
	}
	for _, tt := range tests {
		scales := mustChord(t, tt.chord).Scales(nil)
		i := slices.IndexFunc(scales, func(s theory.ChordScale) bool { return s.Scale.Name() == tt.scale })
		require.GreaterOrEqual(t, i, 0, "%s over %s", tt.scale, tt.chord)
		assert.True(t, scales[i].Usual, "%s over %s", tt.scale, tt.chord)
		assert.Equal(t, tt.avoid, degreeText(scales[i].Avoid), "%s over %s", tt.scale, tt.chord)
		assert.Equal(t, tt.extensions, degreeText(scales[i].Extensions), "%s over %s", tt.scale, tt.chord)
	}
	for chord, first := range map[string]string{
		"Cmaj7": "major", "C": "major", "Cm7": "dorian", "C7": "mixolydian", "Cm7b5": "locrian", "Cdim7": "whole-half diminished",
		"C7alt": "altered", "Cm(maj7)": "melodic minor", "C7sus4": "mixolydian", "Cmaj7#5": "lydian augmented", "Cmaj7#11": "lydian", "C7#11": "lydian dominant",
	} {
		assert.Equal(t, first, mustChord(t, chord).Scales(nil)[0].Scale.Name(), chord)
	}
	assert.Nil(t, mustChord(t, "N.C.").Scales(nil))
}

func TestChordScalesHoldTheChord(t *testing.T) {
	key := mustKey(t, "Eb major")
	for _, tt := range chordSymbols {
		c := mustChord(t, symbolsIn(tt.symbols)[0])
		for _, k := range []*theory.Key{nil, &key} {
			inKey := 0
			for i, s := range c.Scales(k) {
				var missing theory.PitchSet
				for _, d := range c.Degrees() {
					if !s.Scale.Set().Has(d.Semitones()) {
						missing = missing.With(d.Semitones())
					}
				}
				assert.Equal(t, missing.Len() > 0, len(s.Missing) > 0)
				if len(s.Missing) > 0 {
					assert.True(t, s.Usual)
				}
				if s.InKey {
					inKey++
					assert.Zero(t, i)
				}
				for _, d := range s.Avoid {
					assert.True(t, s.Scale.Set().Has(d.Semitones()))
				}
			}
			if k == nil {
				assert.Zero(t, inKey)
			}
			assert.LessOrEqual(t, inKey, 1)
		}
	}
}

// Source: available tensions by chord type (Nettles & Graf; from memory).
func TestAvailableExtensions(t *testing.T) {
	for chord, want := range map[string]string{
		"Cmaj7": "9 #11 13", "C6": "9 #11", "Cm7": "9 11 13", "C7": "b9 9 #9 #11 b13 13", "Cm7b5": "9 11 b13", "Cdim7": "7 9 11 b13",
		"Cm(maj7)": "9 11 13", "C7sus4": "9 13", "C9": "9 #11 b13 13", "C7(b9)": "b9 #11 b13 13", "C13": "9 #11 13",
	} {
		assert.Equal(t, want, degreeText(mustChord(t, chord).AvailableExtensions()), chord)
	}
	assert.Nil(t, mustChord(t, "NC").AvailableExtensions())
}

// Source: the harmonised scales of every theory book.
func TestHarmonise(t *testing.T) {
	tests := []struct {
		scale string
		size  int
		want  string
	}{
		{"C major", 3, "C Dm Em F G Am Bdim"},
		{"C major", 4, "Cmaj7 Dm7 Em7 Fmaj7 G7 Am7 Bm7b5"},
		{"C major", 5, "Cmaj9 Dm9 Em7(b9) Fmaj9 G9 Am9 Bm7b5(b9)"},
		{"A harmonic minor", 4, "Am(maj7) Bm7b5 Cmaj7#5 Dm7 E7 Fmaj7 G#dim7"},
		{"C melodic minor", 4, "Cm(maj7) Dm7 Ebmaj7#5 F7 G7 Am7b5 Bm7b5"},
		{"C whole tone", 3, "C+ D+ E+ F#+ G#+ Bb+"},
		{"C half-whole diminished", 4, "Cdim7 Dbdim7 Ebdim7 Edim7 F#dim7 Gdim7 Adim7 Bbdim7"},
	}
	for _, tt := range tests {
		tonic, _, s, err := theory.ParseScale(tt.scale)
		require.NoError(t, err)
		var got []string
		for _, c := range s.Harmonise(tonic, tt.size) {
			assert.True(t, c.Named, "%v", c.Tones)
			got = append(got, c.Chord.String())
		}
		assert.Equal(t, tt.want, strings.Join(got, " "), tt.scale)
	}
	quartal := mustScale(t, "minor pentatonic").Harmonise(mustName(t, "A"), 3)[0]
	assert.False(t, quartal.Named)
	assert.Equal(t, "A D G", strings.Join(names(quartal.Tones), " "))
}
