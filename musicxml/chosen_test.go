package musicxml_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestChosenLetters: a file says that nobody wrote its letters, until somebody
// does.
func TestChosenLetters(t *testing.T) {
	var events []score.Event
	for i, p := range []theory.Pitch{theory.P(theory.C, 0, 4), theory.P(theory.G, -1, 4), theory.P(theory.F, 0, 4), theory.P(theory.G, -1, 4)} {
		events = append(events, &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 1), Staff: 1}, Duration: score.Q(1, 1), Voice: 1,
			Notes: []*score.Note{{Pitch: p, InferredSpelling: true}}})
	}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{{Number: "1", Length: score.Q(4, 1), Events: events}}}}}
	write := func(s *score.Score) string {
		var b bytes.Buffer
		require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
		return b.String()
	}
	read := func(text string) *musicxml.Document {
		doc, err := musicxml.Read(strings.NewReader(text), "a.musicxml", score.ReadOptions{})
		require.NoError(t, err)
		return doc
	}
	chosen := func(s *score.Score) (count int) {
		for n := range score.Notes(s) {
			if n.InferredSpelling {
				count++
			}
		}
		return count
	}
	text := write(s)
	assert.Contains(t, text, ">Gb:2 F:1 C:1<")
	doc := read(text)
	assert.Equal(t, 4, chosen(doc.Score()))

	// Another hand writes F sharp for one G flat.
	edited := strings.Replace(text, "<step>G</step>\n          <alter>-1</alter>", "<step>F</step>\n          <alter>1</alter>", 1)
	require.NotEqual(t, text, edited)
	assert.Zero(t, chosen(read(edited).Score()))

	// What is applied is read back, and other letters are chosen ones still.
	moved := doc.Score().Clone()
	for n := range score.Notes(moved) {
		n.Pitch = n.Pitch.Transpose(theory.Interval{Steps: 1, Semitones: 2})
	}
	applied, err := doc.Apply(moved)
	require.NoError(t, err)
	var b bytes.Buffer
	_, err = applied.WriteTo(&b)
	require.NoError(t, err)
	assert.Contains(t, b.String(), ">Ab:2 G:1 D:1<")
	assert.Equal(t, 4, chosen(read(b.String()).Score()))

	// One written letter among them: all count as written.
	for n := range score.Notes(moved) {
		n.InferredSpelling = false
		break
	}
	applied, err = doc.Apply(moved)
	require.NoError(t, err)
	b.Reset()
	_, err = applied.WriteTo(&b)
	require.NoError(t, err)
	assert.Zero(t, chosen(read(b.String()).Score()))
	assert.NotContains(t, write(moved), "chosen")
}
