package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

func TestPutOnNeck(t *testing.T) {
	t.Run("a melody", func(t *testing.T) {
		in := melody(t, "", "E4 G4 A4 C5 A4 G4 E4")
		out, ds := PutOnNeck(in, fretboard.Guitar())
		assert.Equal(t, []string{CodePutOnNeck}, codes(ds))
		assert.Equal(t, pitches(in), pitches(out))
		for n := range score.Notes(out) {
			// Pitch and place agree: open string + fret (TRADE of the neck:
			// standard tuning is MIDI 64 59 55 50 45 40).
			open := []int{64, 59, 55, 50, 45, 40}
			assert.Equal(t, n.Pitch.MIDI(), open[n.Place.String-1]+n.Place.Fret)
		}
		for n := range score.Notes(in) {
			assert.True(t, n.Place.IsZero(), "the input is not changed")
		}
	})
	t.Run("too low for a guitar: a bass", func(t *testing.T) {
		out, ds := PutOnNeck(melody(t, "", "E1 G1 A1"), fretboard.Guitar())
		assert.Contains(t, ds.Error(), "bass tuning")
		for n := range score.Notes(out) {
			assert.LessOrEqual(t, n.Place.String, 4)
			assert.False(t, n.Place.IsZero())
		}
	})
	t.Run("too low for anything", func(t *testing.T) {
		_, ds := PutOnNeck(melody(t, "", "E0 E4"), fretboard.Guitar())
		assert.Equal(t, 1, ds.Count(score.NotDone))
	})
	t.Run("what has places keeps them", func(t *testing.T) {
		in := lick(t, fretboard.Guitar(), "6.12 5.12")
		out, ds := PutOnNeck(in, fretboard.Guitar())
		assert.Empty(t, ds)
		assert.Equal(t, places(in), places(out))
	})
}
