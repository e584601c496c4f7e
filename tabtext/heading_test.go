package tabtext

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

const twoSections = `Tuning: E2 A2 D3 G3 B3 E4
Time: 4/4

e|---------------------------------||---------------------------------|
B|---------------------------------||---------------------------------|
G|---------------------------------||---------------------------------|
D|---------------------------------||---------------------------------|
A|---------2-------3-------5-------||-7-------5-------3-------2-------|
E|-3-------------------------------||---------------------------------|
   1       2       3       4          1       2       3       4
`

// Words over the first beat of a section are a heading between the systems,
// and the tab reads as the same music.
func TestSectionsHaveHeadings(t *testing.T) {
	plain := readText(t, twoSections).Score()
	s := plain.Clone()
	for i, words := range [][2]string{{"First part", "Slowly.\nThen faster."}, {"Second part", "Back down the same way, one note to each beat, and mind that the fingers stay near the strings."}} {
		m := s.Parts[0].Measures[i]
		m.Events = append([]score.Event{&score.Words{Kind: "rehearsal", Text: words[0]}, &score.Words{Kind: "words", Text: words[1]}}, m.Events...)
	}
	var b strings.Builder
	require.NoError(t, Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { t.Error(d) }}))
	got := b.String()
	assert.Contains(t, got, "\n== First part ==\n\nSlowly.\nThen faster.\n\ne|")
	assert.Contains(t, got, "\n\n== Second part ==\n\nBack down the same way, one note to each beat, and mind that the fingers stay\nnear the strings.\n\ne|")
	back := readText(t, got).Score()
	assert.Equal(t, frets(plain), frets(back))
}

// A heading that would be read as a statement about the tab stays away and is
// reported.
func TestHeadingsDoNotStateAnything(t *testing.T) {
	for _, text := range []string{"Capo 2", "Tuning: drop D", "In the key of E", "E|--3--|\nB|--3--|\nG|--3--|"} {
		s := readText(t, twoSections).Score().Clone()
		m := s.Parts[0].Measures[1]
		m.Events = append([]score.Event{&score.Words{Kind: "words", Text: text}}, m.Events...)
		var said []string
		var b strings.Builder
		require.NoError(t, Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }}))
		assert.Equal(t, []string{"tab-lost-words"}, said, text)
		assert.NotContains(t, b.String(), text)
	}
}

func frets(s *score.Score) []int {
	var all []int
	for n := range score.Notes(s) {
		all = append(all, n.Place.String, n.Place.Fret)
	}
	return all
}
