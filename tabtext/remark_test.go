package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWhatIsSungUnderTab: which lines under a tab are sung, and that those which are not
// can be had by writers of other formats, and are said to be left out by the rest.
// What is meant is common practice.
func TestWhatIsSungUnderTab(t *testing.T) {
	rows := "e|-----------------|\nB|-1-------1-------|\nG|-----0-------2---|\nD|-----------------|\nA|-----------------|\nE|-----------------|\n"
	for _, c := range []struct {
		line string
		sung int
	}{
		{"   let the last one ring!", 0},
		{"   (play this twice)", 0},
		{"   play this bit twice", 0},
		{"   and now the other one", 0}, // as prose is typed, two words at a note
		{"   grey gulls  to  day", 3},
		{"   one day the sea", 4}, // each under its own note
		{"   one          two", 2},
	} {
		d := readText(t, rows+c.line+"\n")
		sung := 0
		for _, m := range d.Score().Parts[0].Measures {
			for _, e := range m.Events {
				if w, ok := e.(*score.Words); ok && w.Kind == "lyric" {
					sung++
				}
			}
		}
		assert.Equal(t, c.sung, sung, c.line)
		if c.sung > 0 {
			assert.Empty(t, d.Unheld(), c.line)
			continue
		}
		require.Len(t, d.Unheld(), 1, c.line)
		assert.Equal(t, 7, d.Unheld()[0].Pos.Line)
		assert.Equal(t, []string{strings.TrimSpace(c.line)}, d.Prose())
		assert.Equal(t, rows+c.line+"\n", text(t, d))
	}
}

// TestWordsAmongChordsAreTold: what stands among chord symbols and is none is no part of
// the music, and x3 away from a repeat has no effect: both are said.
func TestWordsAmongChordsAreTold(t *testing.T) {
	rows := "e|-----------------|\nB|-1-------1-------|\nG|-----0-------2---|\nD|-----------------|\nA|-----------------|\nE|-----------------|\n"
	said := func(text string) (codes []string, prose []string) {
		d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) {
			if d.Severity > score.Info {
				codes = append(codes, d.Code)
				assert.Equal(t, 1, d.Pos.Line)
			}
		}})
		require.NoError(t, err)
		return codes, d.Prose()
	}
	codes, _ := said("   C               (x3)\n" + rows)
	assert.Equal(t, []string{"tab-times"}, codes)
	codes, _ = said("                   x3\n" + rows)
	assert.Equal(t, []string{"tab-times"}, codes)
	codes, _ = said("                  x3\n" + strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(rows, "---|\n", "--:|\n"), "|-", "|:"), ":-", ":-"))
	assert.Empty(t, codes)
	_, prose := said("   C       softly  G7\n" + rows)
	assert.Equal(t, []string{"softly"}, prose)
}
