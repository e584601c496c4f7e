package midi

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Every voicing of the backing stands on the chord's root, or on its slash
// bass. Source: common practice.
func TestBackingStandsOnTheBass(t *testing.T) {
	neck := fretboard.Guitar()
	voicings := 0
	for _, quality := range theory.ChordQualities() {
		for k := range 12 {
			c := quality
			c.Root = theory.SpellIn(theory.Key{}, 60+k).NoteName
			if k%4 == 3 {
				c.HasBass, c.Bass = true, theory.SpellIn(theory.Key{}, 60+(k+7)%12).NoteName
			}
			low := c.Root
			if c.HasBass {
				low = c.Bass
			}
			want := theory.Pitch{NoteName: low, Octave: 4}.MIDI() % 12
			for _, v := range voicingsOf(neck, c) {
				var keys []int
				for _, s := range v.Spots {
					keys = append(keys, s.Pitch.MIDI())
				}
				require.NotEmpty(t, keys, "%s", c)
				assert.Equal(t, want, slices.Min(keys)%12, "%s: %v", c, keys)
				voicings++
			}
			laid := closeKeys(c)
			require.NotEmpty(t, laid, "%s", c)
			assert.Equal(t, want, slices.Min(laid)%12, "%s: %v", c, laid)
		}
	}
	assert.Greater(t, voicings, 1000)
}
