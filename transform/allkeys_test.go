package transform

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// The orders and names are common practice of practising through the keys.
func TestAllKeysInOrder(t *testing.T) {
	for _, tt := range []struct{ from, order, want string }{
		{"C", "semitones", "C Db D Eb E F F# G Ab A Bb B"},
		{"C", "fourths", "C F Bb Eb Ab Db F# B E A D G"},
		{"C", "fifths", "C G D A E B F# Db Ab Eb Bb F"},
		{"C", "whole-tones", "C D E F# Ab Bb Db Eb F G A B"},
		{"C", "minor-thirds", "C Eb F# A Db E G Bb D F Ab B"},
		{"C", "major-thirds", "C E Ab Db F A D F# Bb Eb G B"},
		{"A minor", "fourths", "A D G C F Bb Eb G# C# F# B E"},
		{"Gb", "fifths", "Gb Db Ab Eb Bb F C G D A E B"}, // keeps its own name
		{"D dorian", "semitones", "D Eb E F F# G G# A Bb B C C#"},
	} {
		key, _, err := theory.ParseKey(tt.from)
		require.NoError(t, err)
		order, err := ParseOrder(tt.order)
		require.NoError(t, err)
		assert.Equal(t, tt.order, order.String())
		var names []string
		for _, k := range AllKeys(key, order) {
			names = append(names, k.Tonic.String())
			assert.Equal(t, key.Mode, k.Mode)
			assert.LessOrEqual(t, max(k.Fifths(), -k.Fifths()), 7)
		}
		assert.Equal(t, tt.want, strings.Join(names, " "), "%s by %s", tt.from, tt.order)
	}
}

func TestAllKeysAreTwelveSounds(t *testing.T) {
	for fifths := -7; fifths <= 7; fifths++ {
		for mode := theory.Major; mode <= theory.Locrian; mode++ {
			for order := Semitones; order <= MajorThirds; order++ {
				seen := map[int]bool{}
				from := theory.KeyOf(fifths, mode)
				keys := AllKeys(from, order)
				for _, k := range keys {
					seen[k.Tonic.Class()] = true
				}
				assert.Len(t, seen, 12)
				assert.Equal(t, from, keys[0])
			}
		}
	}
}

func TestParseOrderSaysWhatThereIs(t *testing.T) {
	_, err := ParseOrder("backwards")
	var pe *theory.ParseError
	require.ErrorAs(t, err, &pe)
	assert.Contains(t, pe.Hint, "minor-thirds")
}

func TestKeyAtStart(t *testing.T) {
	k, said, ok := KeyAtStart(melody(t, "F# dorian", "F#4"))
	assert.True(t, ok)
	assert.True(t, said)
	assert.Equal(t, "F# dorian", k.String())
	_, _, ok = KeyAtStart(melody(t, "", "C4"))
	assert.False(t, ok)
	late := melody(t, "", "C4")
	late.Parts[0].Measures = append(late.Parts[0].Measures, melody(t, "G", "G4").Parts[0].Measures...)
	_, _, ok = KeyAtStart(late)
	assert.False(t, ok, "a key that comes after music is not the first")
	free := melody(t, "", "C4")
	free.Parts[0].Measures[0].Events = append([]score.Event{&score.KeySignature{Free: true}}, free.Parts[0].Measures[0].Events...)
	_, _, ok = KeyAtStart(free)
	assert.False(t, ok)
}
