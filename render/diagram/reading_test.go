package diagram

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Common practice: a scale is heard over the triad on its tonic, tones of a
// chord over the chord.
func TestReadingOf(t *testing.T) {
	for scale, chord := range map[string]string{
		"C major": "C", "A minor pentatonic": "Am", "D dorian": "Dm", "B locrian": "Bdim", "E whole tone": "E+", "G blues": "Gm",
	} {
		c, _ := scaleOf(t, scale)
		r := ReadingOf(c.Scale)
		require.NotNil(t, r.Chord, scale)
		assert.Equal(t, chord, r.Chord.String(), scale)
	}
	for _, symbol := range []string{"Am7", "C", "F#m7b5", "G7sus4", "Bb13"} {
		c, err := theory.ParseChord(symbol)
		require.NoError(t, err)
		assert.Equal(t, symbol, ReadingOf(fretboard.ChordTones(c)).Chord.String())
	}
	c, _ := scaleOf(t, "C major")
	assert.Equal(t, "Dm", ReadingOf(c.Scale.Against(theory.NoteName{Step: theory.D})).Chord.String(), "the dorian view")
}

// What a note is called over a chord. Source: common practice, and the words of
// the trade page for extensions.
func TestFunctions(t *testing.T) {
	chord, _ := theory.ParseChord("G7")
	r := Reading{Chord: &chord}
	for name, want := range map[string]string{"G": "R", "B": "3", "D": "5", "F": "♭7", "A": "9", "C": "11", "E": "13", "Ab": "♭9", "C#": "♯11", "Eb": "♭13", "F#": "7"} {
		n, err := theory.ParseNoteName(name)
		require.NoError(t, err)
		assert.Equal(t, want, r.function(n), name)
	}
	assert.Empty(t, Reading{}.function(theory.NoteName{}))
}
