package tabtext

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// applied moves every note up and gives the text.
func applied(t *testing.T, tab string, up int) string {
	t.Helper()
	d := readText(t, tab)
	moved, err := d.Apply(shift(d.Score(), up))
	require.NoError(t, err)
	return text(t, moved)
}

// A system that gains columns is cut at a bar line where it would be wider than
// the text was; its chords, words and brackets stay with their notes.
func TestGrownSystemsAreCut(t *testing.T) {
	const tab = `Am                D                 G                 C
e|-5-7-8-5-7-8-5-7-|-5-7-8-5-7-8-5-7-|-5-7-8-5-7-8-5-7-|-5-7-8-5-7-8-5-7-|
B|-----------------|-----------------|-----------------|-----------------|
G|-----------------|-----------------|-----------------|-----------------|
   one     two       three   four      five    six       seven   eight
`
	got := applied(t, tab, 5)
	for _, l := range strings.Split(got, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(l), DefaultWidth, "%s", got)
	}
	assert.Equal(t, 2, strings.Count(got, "\ne|")+strings.Count(got, "\n\ne|"), "%s", got)
	assert.NotContains(t, got, "1  ", "no counts are added: %s", got)
	before, after := readText(t, tab).Score(), readText(t, got).Score()
	assert.Nil(t, compareLoosely(shift(before, 5), after))
}

// A system that is written anew keeps the signs that nobody knows, and has
// counts only if it had some.
func TestWrittenAnewAsItWas(t *testing.T) {
	const tab = `e|-----------------|-----------------|
B|-5---7?--8---5---|-5---7---8---5---|
G|-----------------|-----------------|
`
	d := readText(t, tab)
	s := d.Score().Clone()
	// A rest in place of a note cannot be edited in its columns.
	m := s.Parts[0].Measures[1]
	for i, e := range m.Events {
		if c, ok := e.(*score.Chord); ok && !c.IsRest() {
			m.Events[i] = &score.Chord{Common: score.Common{Onset: c.Onset, Staff: 1}, Duration: c.Duration, Voice: 1, Value: c.Value}
			break
		}
	}
	edited, err := d.Apply(s)
	require.NoError(t, err)
	got := text(t, edited)
	assert.Contains(t, got, "7?")
	assert.NotContains(t, got, "2   3", "%s", got)
	assert.Nil(t, compareLoosely(s, readText(t, got).Score()), "%s", got)
}

// A remark under the tab stays in one piece, words that are sung go with their
// notes.
func TestWordsUnderTab(t *testing.T) {
	const tab = `e|-5-7-8-5-7-8-5-7-|-5---7---8---5---|
B|-----------------|-----------------|
G|-----------------|-----------------|
   (keep the last note short)
   sing    it        low down
`
	got := applied(t, tab, 6)
	assert.Contains(t, got, "(keep the last note short)")
	s := readText(t, got).Score()
	var words []string
	for _, m := range s.Parts[0].Measures {
		for _, e := range m.Events {
			if w, ok := e.(*score.Words); ok {
				words = append(words, w.Onset.String()+" "+w.Text)
			}
		}
	}
	assert.Equal(t, []string{"0 sing", "2 it", "0 low", "1 down"}, words, "%s", got)
}

// Lyrics of a score without text become rows under the counts; what is sung on
// one note is joined, a word that reads as something else gets the row's name.
func TestLyricsAreWritten(t *testing.T) {
	s := readText(t, "Time: 4/4\n\ne|-5---7---8---5---|\nB|-----------------|\nG|-----------------|\n").Score().Clone()
	m := s.Parts[0].Measures[0]
	for i, text := range []string{"capo 2", "1", "Am,", "x3"} {
		m.Events = append(m.Events, &score.Words{Common: score.Common{Onset: score.Q(int64(i), 1), Staff: 1}, Kind: "lyric", Text: text})
	}
	m.SortEvents()
	var b strings.Builder
	require.NoError(t, Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { t.Error(d) }}))
	assert.Contains(t, b.String(), "capo_2")
	assert.Contains(t, b.String(), "(words)")
	assert.Nil(t, compare(s, readText(t, b.String()).Score()), "%s", b.String())
}

// A sign that is ours is explained.
func TestShiftSlideIsExplained(t *testing.T) {
	s := readText(t, "Time: 4/4\n\ne|-5---7---8S--5---|\nB|-----------------|\nG|-----------------|\n").Score()
	var b strings.Builder
	require.NoError(t, Write(&b, s, score.WriteOptions{}))
	assert.Contains(t, b.String(), "S between two numbers is a slide to a note that is struck again.")
}

// What is left out is said in a sentence.
func TestReportsAreSentences(t *testing.T) {
	s := readText(t, "e|-5---7---8---5---|\nB|-----------------|\nG|-----------------|\n").Score().Clone()
	s.Parts = append(s.Parts, &score.Part{ID: "P2", Name: "Flute", Staves: 1, Measures: []*score.Measure{{Length: score.Q(4, 1)}}})
	var said []string
	require.NoError(t, Write(&strings.Builder{}, s, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d.Msg) }}))
	assert.Equal(t, []string{`tab cannot show the part "Flute" (it has no neck, and tab needs strings and frets): left out`}, said)
}
