package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A harmonic that gets a place is written as the note that is stopped and
// sounds as it did; that is said. Source: string 5 touched at fret 7 sounds an
// octave and a fifth above A2, so E4 (the harmonic series).
func TestHarmonicsThatGetAPlaceAreNamed(t *testing.T) {
	s := melody(t, "", "E4 A4")
	first := s.Parts[0].Measures[0]
	for c := range first.Chords() {
		if len(c.Notes) > 0 {
			c.Notes[0].Techniques = append(c.Notes[0].Techniques, score.Harmonic{Kind: score.NaturalHarmonic})
			break
		}
	}
	got, ds := PutOnNeck(s, fretboard.Guitar())
	n := firstNote(got)
	require.False(t, n.Place.IsZero())
	assert.Equal(t, 64, n.Sounding())
	assert.Contains(t, codes(ds), CodeHarmonic)
}
