package routine

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The hand moves as its index finger does. Worked example, common practice: the
// open position of G major has the index finger at the first fret, since the
// open string takes its place at the nut, and position II, the E shape, at the
// second; the D shape is position V. Source of the millimetres: in equal
// temperament a fret lies at l·(1 − 2^(−n/12)), l is 648 mm; 1 to 2 are 34 mm, 2
// to 5 are 92.
func TestHandMovesAsTheIndexFinger(t *testing.T) {
	g, err := theory.ParseNoteName("G")
	require.NoError(t, err)
	sh, err := New(Options{Tonic: g, Scale: scaleNamed(t, "major"), Scheme: fretboard.ChordShape{}, Neck: fretboard.Guitar(), ScaleLength: 648})
	require.NoError(t, err)
	says := map[string]string{"G major, G shape": "up 1 fret (34 mm)", "G major, E shape": "up 3 frets (92 mm)"}
	for _, p := range sh.Pages {
		r := p.Layout.Region
		f, ok := r.Finger(r.IndexFret() + 1)
		assert.True(t, ok && f == fretboard.Middle, "%s: beside the index finger is the middle finger", p.Title)
		for _, e := range p.Exercises {
			if want := says[p.Title]; e.Kind == JoinPosition && want != "" {
				assert.Contains(t, e.Words[0], "The hand moves "+want)
				delete(says, p.Title)
			}
		}
	}
	assert.Empty(t, says, "not found")
}
