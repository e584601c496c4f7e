package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// TestOntoNeck: a phrase without places gets them, on the neck that is given,
// on its own, or on a bass; one beyond the neck moves by octaves and says so;
// strings that are there are kept.
func TestOntoNeck(t *testing.T) {
	key := theory.Key{}
	guitar := fretboard.Guitar()
	s := phrase(t, key, "C4/2 E4/2 G4/4")
	out, moved, ds := OntoNeck(s, guitar)
	assert.Empty(t, ds)
	assert.Equal(t, []int{0}, moved)
	for n := range score.Notes(out) {
		require.False(t, n.Place.IsZero())
		assert.Equal(t, n.Pitch.MIDI(), guitar.Stopped(n.Place))
	}
	for n := range score.Notes(s) {
		assert.True(t, n.Place.IsZero(), "the input is not changed")
	}

	// E2 is the lowest note of a guitar, E1 of a bass (common practice).
	out, _, ds = OntoNeck(phrase(t, key, "E1/4 G1/4"), guitar)
	assert.Equal(t, 1, count(ds, CodePutOnNeck))
	assert.Len(t, out.Parts[0].Measures[0].Events[0].(*score.NeckChange).Neck.Tuning.Strings, 4)

	// The 22nd fret of the first string is D6.
	out, moved, ds = OntoNeck(phrase(t, key, "C7/2 E7/2 G6/4"), guitar)
	assert.Equal(t, []int{-2}, moved)
	assert.Equal(t, 1, count(ds, CodeOntoNeckOctave))
	assert.Equal(t, "C5/2 E5/2 G4/4", told(out))

	assert.Equal(t, "C7/2 E7/2 G6/4", told(OffNeck(out, s, moved)))

	s = phrase(t, key, "E4/4 G4/4")
	for n := range score.Notes(s) {
		n.Place = fretboard.Place{String: 3, Fret: 9}
		break
	}
	m := s.Parts[0].Measures[0]
	m.Events = append([]score.Event{&score.NeckChange{Neck: guitar}}, m.Events...)
	out, _, _ = OntoNeck(s, guitar)
	for n := range score.Notes(out) {
		assert.Equal(t, fretboard.Place{String: 3, Fret: 9}, n.Place)
		break
	}
	MoveOctaves(out.Parts[0], 1)
	assert.Equal(t, "E5/4 G5/4", told(out))
}
