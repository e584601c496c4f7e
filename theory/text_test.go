package theory_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// Values are text in JSON, and the text reads back by the parser of its kind.
func TestValuesAsText(t *testing.T) {
	name, err := theory.ParseNoteName("F#")
	require.NoError(t, err)
	degree, err := theory.ParseDegree("b3")
	require.NoError(t, err)
	pitch, err := theory.ParsePitch("Bb-1")
	require.NoError(t, err)
	key, _, err := theory.ParseKey("Eb dorian")
	require.NoError(t, err)
	chord, err := theory.ParseChord("F#m7b5/C")
	require.NoError(t, err)
	interval, err := theory.ParseInterval("-A4")
	require.NoError(t, err)
	scale, err := theory.ScaleByName("lydian")
	require.NoError(t, err)
	data, err := json.Marshal([]any{name, degree, pitch, key, chord, interval, scale})
	require.NoError(t, err)
	assert.Equal(t, `["F#","b3","Bb-1","Eb dorian","F#m7b5/C","-A4","lydian"]`, string(data))
}
