package musicxml

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// What a chord symbol says and the mode of a key can change in place: what was
// applied reads back, taking it back gives the same bytes, and the staves stay
// as they were.
func TestApplyChordsAndModes(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(outside.Root(), "testdata", "examples", "amber-street.musicxml"))
	require.NoError(t, err)
	d, err := Read(bytes.NewReader(data), "amber-street.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	for _, symbol := range []string{"Amaj7", "F#m7b5", "Bb7(b9,#11)", "C/G", "Dsus4", "N.C.", "E"} {
		c, err := theory.ParseChord(symbol)
		require.NoError(t, err)
		s := d.Score().Clone()
		for n := range score.Preorder(s) {
			switch n := n.(type) {
			case *score.Harmony:
				n.Chord = c
			case *score.KeySignature:
				n.Key, n.ModeSaid = theory.Key{Tonic: theory.NoteName{Step: theory.A}, Mode: theory.Lydian}, true
			}
		}
		changed, err := d.Apply(s)
		require.NoError(t, err, symbol)
		var out bytes.Buffer
		_, err = changed.WriteTo(&out)
		require.NoError(t, err)
		again, err := Read(bytes.NewReader(out.Bytes()), "changed.musicxml", score.ReadOptions{})
		require.NoError(t, err, symbol)
		chords, keys := 0, 0
		for n := range score.Preorder(again.Score()) {
			switch n := n.(type) {
			case *score.Harmony:
				chords++
				assert.True(t, c.Same(n.Chord), "%s read back as %s", symbol, n.Chord)
			case *score.KeySignature:
				keys++
				assert.Equal(t, theory.Key{Tonic: theory.NoteName{Step: theory.A}, Mode: theory.Lydian}, n.Key)
			}
		}
		assert.Equal(t, 4, chords)
		assert.Equal(t, 1, keys)

		back, err := changed.Apply(d.Score().Clone())
		require.NoError(t, err)
		out.Reset()
		_, err = back.WriteTo(&out)
		require.NoError(t, err)
		assert.Equal(t, string(data), out.String())
	}
}
