package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
)

// TestUnstatedThreeFour and TestClosedLines: what a player takes a line for that
// states nothing, and near cases that are something else. Common practice.
func TestUnstatedThreeFour(t *testing.T) {
	for _, c := range []struct{ row, want string }{
		{"e|-0-------3---|-0---3---1---|", "3/4"},
		{"e|-0-----------3-----|-0-----3-----1-----|", "3/4"}, // quarters of six columns
		{"e|-0---3---|-0---3---1---|-0-------3---|", "3/4"},   // after a pickup
		{"e|-0---3-0---3-|-0---3-0---3-|", ""},                // quarter, eighth: 6/8 or a shuffle
		{"e|-0-1-3-0-1-3-|-0-1-3-0-1-3-|", ""},                // 6/8 as well
		{"e|-0---3---1---0---|-0-------3---1---|", ""},        // 4/4
		{"e|-0-------3---|-----------------|-0---3---1---0---|", ""},
	} {
		rows := strings.TrimPrefix(c.row, "e")
		silent := strings.Map(func(r rune) rune {
			if r == '|' {
				return r
			}
			return '-'
		}, rows)
		text := c.row + "\n"
		for _, l := range "BGDAE" {
			text += string(l) + silent + "\n"
		}
		got, _, _, said := stated(t, text)
		if c.want == "" {
			assert.NotEqual(t, "3/4", got, c.row)
			continue
		}
		assert.Equal(t, c.want, got, c.row)
		assert.Contains(t, said, "tab-metre-doubt")
	}
}

func TestClosedLines(t *testing.T) {
	even := strings.Repeat("-5-7", 8)
	for _, c := range []struct {
		text string
		bars int
		said bool
	}{
		{"e|" + even + "-|", 2, true},
		{"e|" + even + even + "-|", 4, true},
		{"e|-5-7-8-7-5-7-8-7-|", 1, false},
		{"e|-5---7---8---7---|", 1, false},
		{"Time: 4/4\ne|" + even + "-|", 1, false},                        // sixteenths
		{"e|-5---5-7-8---8---5-7-8-7-5-------|", 1, false},               // eighths and sixteenths
		{"e|" + even + "-|" + even + "-|\n\ne|" + even + "-|", 3, false}, // as wide as the bars before
	} {
		text := ""
		for l := range strings.Lines(c.text) {
			text += l
			if l = strings.TrimSuffix(l, "\n"); strings.HasPrefix(l, "e|") {
				text = strings.TrimSuffix(text, "\n") + "\nB" + strings.NewReplacer("5", "-", "7", "-", "8", "-").Replace(l[1:]) + "\n"
			}
		}
		var said []string
		d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }})
		assert.NoError(t, err)
		assert.Len(t, d.Score().Parts[0].Measures, c.bars, text)
		assert.Equal(t, c.said, strings.Contains(strings.Join(said, " "), "tab-no-bars"), text)
	}
}
