package musicxml_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestDivisionsThatChangeInABar: MusicXML allows it (divisions are a child of
// <attributes>, which may stand anywhere in a measure); a bar whose rhythm
// changes then counts in one unit, and the next bar in the one that it had.
func TestDivisionsThatChangeInABar(t *testing.T) {
	note := func(step, duration string) string {
		return "<note><pitch><step>" + step + "</step><octave>4</octave></pitch><duration>" + duration + "</duration><voice>1</voice></note>"
	}
	for _, first := range []string{"<attributes><divisions>1</divisions></attributes>", ""} {
		file := `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">` +
			`<measure number="0"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>` + note("C", "4") + `</measure>` +
			`<measure number="1">` + first + note("C", "2") + `<attributes><divisions>6</divisions></attributes>` +
			`<direction><direction-type><words>later</words></direction-type><offset>3</offset></direction>` + note("E", "6") + note("G", "6") + `</measure>` +
			`<measure number="2">` + note("D", "24") + `</measure></part></score-partwise>`
		d := read(t, []byte(file), "mixed")
		out, want := applied(t, d, func(s *score.Score) {
			m := s.Parts[0].Measures[1]
			c := chords(m)[0] // the half note becomes a quarter and two eighths
			c.Duration, c.Value = score.Q(1, 1), score.NoteValue{}
			for i := range int64(2) {
				m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(2+i, 2), Staff: 1}, Duration: score.Q(1, 2), Voice: 1,
					Notes: []*score.Note{{Pitch: theory.P(theory.A, 0, 4)}}})
			}
			m.SortEvents()
		})
		text := string(written(t, out))
		again := read(t, []byte(text), "again")
		require.Equal(t, comparable(want), comparable(again.Score()), text)
		assert.Equal(t, score.Q(4, 1), again.Score().Parts[0].Measures[2].Length, "the next bar is as long as it was")
		assert.Contains(t, text, "<offset>3</offset>")
		assert.Equal(t, file[:strings.Index(file, `<measure number="1">`)], text[:strings.Index(text, `<measure number="1">`)])
		assert.Equal(t, file[strings.Index(file, `<measure number="2">`):], text[strings.Index(text, `<measure number="2">`):])
		back, err := again.Apply(again.Score())
		require.NoError(t, err)
		assert.Equal(t, text, string(written(t, back)))
	}
}
