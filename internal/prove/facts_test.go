package prove

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The facts of the check and those of theory were written down separately, and
// agree: neither is made from the other.
func TestFactsAgreeWithTheory(t *testing.T) {
	for name := range formulas {
		for _, tonic := range []string{"C", "F#", "Bb"} {
			mine, ok := ParseScale(tonic + " " + name)
			require.True(t, ok, name)
			root, has, theirs, err := theory.ParseScale(tonic + " " + name)
			require.NoError(t, err)
			require.True(t, has)
			set := theirs.Set().Transpose(root.Class())
			for key := 60; key < 72; key++ {
				assert.Equal(t, set.Has(key%12), mine.Has(key), "%s %s: %d", tonic, name, key)
			}
		}
	}
	for _, tonic := range []string{"C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F"} {
		for _, mode := range []string{"major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "locrian"} {
			k, _, err := theory.ParseKey(tonic + " " + mode)
			require.NoError(t, err)
			have, ok := signature(tonic + " " + mode)
			require.True(t, ok)
			assert.Equal(t, k.Fifths(), have, "%s %s", tonic, mode)
		}
	}
	for midi := 0; midi < 128; midi++ {
		for _, k := range []theory.Key{{}, {Tonic: theory.NoteName{Step: theory.D, Alter: -1}}} {
			assert.Equal(t, midi, sounds(theory.SpellIn(k, midi)))
		}
	}
}

// Places of MIDI 64 up to fret 14, and the ends of strings 1 and 6. Source:
// Lombardo & Radicioni, Guitar fingering for music performance, fig. 1.
func TestStopped(t *testing.T) {
	n := fretboard.Guitar()
	for _, p := range []fretboard.Place{{String: 1, Fret: 0}, {String: 2, Fret: 5}, {String: 3, Fret: 9}, {String: 4, Fret: 14}} {
		key, ok := stopped(n, p)
		assert.True(t, ok)
		assert.Equal(t, 64, key, "%v", p)
	}
	for p, want := range map[fretboard.Place]int{{String: 1, Fret: 12}: 76, {String: 6, Fret: 0}: 40, {String: 6, Fret: 12}: 52} {
		key, _ := stopped(n, p)
		assert.Equal(t, want, key)
	}
	n.Capo = 2
	key, ok := stopped(n, fretboard.Place{String: 6, Fret: 1})
	assert.True(t, ok)
	assert.Equal(t, 43, key, "frets count from the capo")
	for _, p := range []fretboard.Place{{}, {String: 7}, {String: 1, Fret: -1}, {String: 1, Fret: 21}} {
		_, ok := stopped(n, p)
		assert.False(t, ok, "%v", p)
	}
}

func TestScalesThatAreNone(t *testing.T) {
	for _, text := range []string{"", "H major", "C nonsense", "dorian", "C 1 x 3", "C 0"} {
		_, ok := ParseScale(text)
		assert.False(t, ok, text)
	}
	s, ok := ParseScale("A 1 b3 4 5 b7")
	require.True(t, ok)
	assert.Equal(t, 5, s.Len())
	assert.True(t, s.Has(57) && s.Has(60) && !s.Has(61))
	// Steps count notes of the scale from the tonic up.
	for i, key := range []int{57, 60, 62, 64, 67, 69, 72} {
		assert.Equal(t, i, s.step(key)-s.step(57))
	}
}
