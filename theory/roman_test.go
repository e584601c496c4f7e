package theory_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// Source: Roman numerals as handbooks print them, counted against the major
// scale of the tonic as in jazz and popular practice (Levine, The Jazz Theory
// Book; from memory).
func TestRomanNumerals(t *testing.T) {
	tests := []struct{ key, chord, roman string }{
		{"C major", "C", "I"}, {"C major", "Dm7", "ii7"}, {"C major", "Em", "iii"}, {"C major", "Fmaj7", "IVmaj7"}, {"C major", "G7", "V7"},
		{"C major", "Am", "vi"}, {"C major", "Bm7b5", "viiø7"}, {"C major", "Bdim", "vii°"}, {"C major", "Bb", "bVII"}, {"C major", "F#dim7", "#iv°7"},
		{"C major", "G7(b9)", "V7(b9)"}, {"C major", "C6/9", "I6/9"}, {"C major", "Caug", "I+"}, {"C major", "Gsus4", "Vsus4"}, {"C major", "C/E", "I/3"},
		{"C major", "N.C.", "N.C."}, {"C major", "E7alt", "III7alt"}, {"C major", "C5", "I5"}, {"C major", "Abmaj7/C", "bVImaj7/1"},
		{"Eb major", "Fm7", "ii7"}, {"Eb major", "Bb7", "V7"}, {"Eb major", "Gb", "bIII"}, {"F# major", "G#m7", "ii7"},
		{"A minor", "Am", "i"}, {"A minor", "F", "bVI"}, {"A minor", "G", "bVII"}, {"A minor", "C", "bIII"}, {"A minor", "E7", "V7"}, {"A minor", "Bm7b5", "iiø7"},
		{"A minor", "Am(maj7)", "i(maj7)"}, {"D dorian", "G7", "IV7"}, {"G major", "A-7", "ii7"},
	}
	for _, tt := range tests {
		k, c := mustKey(t, tt.key), mustChord(t, tt.chord)
		assert.Equal(t, tt.roman, k.Roman(c), "%s in %s", tt.chord, tt.key)
		back, err := k.ParseRoman(tt.roman)
		require.NoError(t, err)
		assert.True(t, c.Same(back), "%s in %s is %s", tt.roman, tt.key, back)
	}
	for _, tt := range []struct{ key, roman, chord string }{
		{"C major", "IIm7", "Dm7"}, {"C major", "ii-7", "Dm7"}, {"C major", "viio7", "Bdim7"}, {"C major", "viim7b5", "Bm7b5"},
		{"C major", "V7/V", "D7"}, {"C major", "V7/ii", "A7"}, {"C major", "viiø7/iii", "D#m7b5"}, {"Bb major", "V7/bVII", "Eb7"},
		{"C major", "♭VII7", "Bb7"}, {"C major", " IV ", "F"}, {"C major", "I6/9/3", "C6/9/E"}, {"C major", "imaj7", "Cm(maj7)"},
		{"C major", "I/b7", "C/Bb"}, {"C major", "bVI:It+6", "AbIt+6"},
	} {
		c, err := mustKey(t, tt.key).ParseRoman(tt.roman)
		require.NoError(t, err, tt.roman)
		assert.True(t, mustChord(t, tt.chord).Same(c), "%s in %s is %s, not %s", tt.roman, tt.key, c, tt.chord)
	}
	for _, tt := range []struct {
		in     string
		offset int
	}{{"", 0}, {"Dm7", 0}, {"8", 0}, {"Vq", 1}, {" iix", 3}, {"V7/x", 1}, {"b", 0}} {
		_, err := mustKey(t, "C").ParseRoman(tt.in)
		var parse *theory.ParseError
		if assert.ErrorAs(t, err, &parse, tt.in) {
			assert.Equal(t, tt.offset, parse.Offset, tt.in)
			assert.NotEmpty(t, parse.Hint)
		}
	}
}

func TestRomanRoundTrip(t *testing.T) {
	r := seeded()
	for range 10000 {
		c := mustChord(t, randomSymbol(r))
		k := theory.KeyOf(r.IntN(15)-7, modes[r.IntN(len(modes))])
		roman := k.Roman(c)
		back, err := k.ParseRoman(roman)
		require.NoError(t, err, "%s in %s is %s", c, k, roman)
		require.True(t, c.Same(back), "%s in %s is %s, which reads %s", c, k, roman, back)
		// In any other key the numeral is the same chord, moved.
		by := namedIntervals(7)[r.IntN(60)]
		require.Equal(t, roman, k.Transpose(by).Roman(c.Transpose(by)))
	}
	for _, kind := range theory.Kinds() {
		c := kindChord(t, kind)
		k := mustKey(t, "E major")
		back, err := k.ParseRoman(k.Roman(c))
		require.NoError(t, err, kind)
		assert.True(t, c.Same(back), kind)
	}
}

func FuzzParseRoman(f *testing.F) {
	for _, s := range []string{"ii7", "V7/V", "bVImaj7", "viiø7", "I/3", "#iv°7", "bVI:It+6", "I6/9/3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k := theory.Key{}
		c, err := k.ParseRoman(s)
		if err != nil {
			_ = err.Error()
			return
		}
		back, err := k.ParseRoman(k.Roman(c))
		require.NoError(t, err, k.Roman(c))
		require.True(t, c.Same(back), "%s, read back %s", c, back)
	})
}
