package transform

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Which scales go with which chords is what chord-scale teaching says (Nettles
// & Graf, The Chord Scale Theory and Jazz Harmony, 1997; from memory): ii and
// V of dorian are a minor and a dominant seventh chord on neighbouring roots.
func TestScaleInKey(t *testing.T) {
	for _, tt := range []struct{ name, key, lick, chords, want string }{
		{"raised sixth", "B minor", "2.3 3.1 1.2", "", "dorian"}, // D5 G#3 F#4
		{"plain", "B minor", "2.3 3.0 1.2", "", "natural minor"},
		{"both sixths", "B minor", "3.0 3.1 1.2", "", "natural minor"},
		{"raised seventh", "A minor", "3.1 2.1 1.1", "", "harmonic minor"}, // G#3 C4 F4
		{"raised both", "A minor", "3.1 2.1 1.2", "", "melodic minor"},     // G#3 C4 F#4
		{"the chords tell", "B minor", "2.3 1.2 2.0", "Bm7 E7", "dorian"},  // D5 F#4 B3
		{"the chords agree", "A minor", "2.1 1.0", "Am7 Dm7", "natural minor"},
		{"flat seventh", "C major", "2.1 3.3 1.0", "", "mixolydian"}, // C4 Bb3 E4
		{"sharp fourth", "C major", "2.1 1.2 1.0", "", "lydian"},
		{"a mode that is said stays", "D dorian", "3.3 2.3", "", "dorian"},
		{"nothing", "E minor", "-", "", "natural minor"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			key, _, err := theory.ParseKey(tt.key)
			require.NoError(t, err)
			s := lick(t, fretboard.Guitar(), tt.lick)
			m := s.Parts[0].Measures[0]
			for i, text := range strings.Fields(tt.chords) {
				c, err := theory.ParseChord(text)
				require.NoError(t, err)
				h := &score.Harmony{Chord: c}
				h.Onset = score.Q(int64(i), 1)
				m.Events = append(m.Events, h)
			}
			want, err := theory.ScaleByName(tt.want)
			require.NoError(t, err)
			assert.True(t, ScaleInKey(s, key).Same(want), "%s", ScaleInKey(s, key).Title())
		})
	}
	for _, name := range []string{"mixolydian", "lydian", "dorian", "harmonic minor", "melodic minor", "phrygian"} {
		_, err := theory.ScaleByName(name)
		assert.NoError(t, err, name)
	}
}
