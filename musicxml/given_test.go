package musicxml_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A tuning that is said is for the staff that is tab, or for the only staff;
// a part with two staves of notation keeps none. Source: what a tab staff is,
// https://www.w3.org/2021/06/musicxml40/musicxml-reference/data-types/clef-sign/
func TestTuningIsForTheTabStaff(t *testing.T) {
	file := func(clefs ...string) string {
		text := `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Pair</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>`
		if len(clefs) > 1 {
			text += `<staves>2</staves>`
		}
		for i, sign := range clefs {
			text += `<clef number="` + string(rune('1'+i)) + `"><sign>` + sign + `</sign></clef>`
		}
		return text + `</attributes><note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note></measure></part></score-partwise>`
	}
	for _, tt := range []struct {
		clefs []string
		staff int // 0 for none
		said  string
	}{
		{[]string{"G"}, 1, ""},
		{[]string{"G", "TAB"}, 2, "the tuning is taken for staff 2, the tab"},
		{[]string{"TAB", "G"}, 1, "the tuning is taken for staff 1, the tab"},
		{[]string{"G", "F"}, 0, "part P1 has 2 staves and none of them is tab"},
	} {
		tuning, err := fretboard.ParseTuning("drop-d")
		require.NoError(t, err)
		var said []string
		doc, err := musicxml.Read(strings.NewReader(file(tt.clefs...)), "x.musicxml", score.ReadOptions{Tuning: &tuning, Report: func(d score.Diagnostic) { said = append(said, d.Msg) }})
		require.NoError(t, err)
		staff := 0
		for _, e := range doc.Score().Parts[0].Measures[0].Events {
			if n, ok := e.(*score.NeckChange); ok {
				staff = n.Staff
				assert.Equal(t, tuning.Name, n.Neck.Tuning.Name)
			}
		}
		assert.Equal(t, tt.staff, staff, "%v", tt.clefs)
		assert.Contains(t, strings.Join(said, "\n"), tt.said)
		if tt.said == "" {
			assert.NotContains(t, strings.Join(said, "\n"), "tuning is")
		}
	}
}
