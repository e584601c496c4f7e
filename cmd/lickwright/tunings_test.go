package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/theory/fretboard"
)

func TestTuningsAreListed(t *testing.T) {
	got := lickwright("tunings")
	assert.Equal(t, exitDone, got.code)
	assert.Equal(t, len(fretboard.Presets())+1, strings.Count(got.out, "\n"))
	assert.Contains(t, got.out, "E2 A2 D3 G3 B3 E4")
	for line := range strings.Lines(got.out) {
		assert.Equal(t, strings.TrimRight(line, " \n")+"\n", line)
	}
}

// Standard tuning is MIDI 40 45 50 55 59 64 (common practice), E4 = 329.63 Hz
// and E2 = 82.41 Hz in equal temperament (ISO 16).
func TestATuningIsSpelled(t *testing.T) {
	got := lickwright("tunings", "standard")
	assert.Equal(t, `standard: E2 A2 D3 G3 B3 E4
  STRING  NOTE  MIDI   HERTZ  TO THE NEXT
       1    E4    64  329.63
       2    B3    59  246.94           P4
       3    G3    55  196.00           M3
       4    D3    50  146.83           P4
       5    A2    45  110.00           P4
       6    E2    40   82.41           P4
`, got.out)
	got = lickwright("tunings", "ukulele")
	assert.Contains(t, got.out, "re-entrant")
	got = lickwright("tunings", "D", "A", "D", "G", "A", "D")
	assert.Equal(t, exitDone, got.code)
	assert.Contains(t, got.out, "D2 A2 D3 G3 A3 D4")
}
