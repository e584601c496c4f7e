package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEvenBars: the metre of bars that all hold as many even notes. What a player
// takes each for is common practice.
func TestEvenBars(t *testing.T) {
	for _, c := range []struct{ name, first, second, want, why string }{
		{"six on one string, no order", "-0-1-3-5-6-8-|-8-6-5-3-1-0-|", "", "6/8", "nothing says"},
		{"six, a line that turns after three", "-0-1-3-0-1-3-|-1-3-5-1-3-5-|", "", "6/8", "by threes"},
		{"six, a line that turns after two", "-0-3-1-3-1-3-|-1-5-3-5-3-5-|", "", "3/4", "by twos"},
		{"six, set apart by threes", "-0-1-3--5-6-8--|-8-6-5--3-1-0--|", "", "6/8", "by threes"},
		{"six, set apart by twos", "-0-1--3-5--6-8--|-8-6--5-3--1-0--|", "", "3/4", "by twos"},
		{"six, the low string by threes", "---3-5---5-3-|---3-5---5-3-|", "-5-----5-----|-6-----6-----|", "6/8", "by threes"},
		{"six, the low string by twos", "---3---5---3-|---5---3---5-|", "-5---5---5---|-6---6---6---|", "3/4", "by twos"},
		{"six, two digits", "-10-12-13-10-12-13-|-12-13-15-12-13-15-|", "", "6/8", "by threes"},
		{"six, one digit and two, as many hyphens", "-8-10-12-8-10-12-|-8-12-10-8-12-10-|", "", "6/8", "by threes"},
		{"six, then long and short", "-0-1-3-0-1-3-|-0---3-1---3-|-0-1-3-0-1-3-|", "", "6/8", "by threes"},
		{"six, and a last long note", "-0-1-3-5-6-8-|-8-6-5-3-1-0-|-0-------|", "", "6/8", ""},
		{"six, after a pickup", "-0-1-|-0-1-3-0-1-3-|-0-1-3-0-1-3-|", "", "6/8", ""},
		{"eleven", "-0-1-3-0-1-3-0-1-3-5-6-|-0-1-3-0-1-3-0-1-3-5-6-|", "", "11/8", "11 even"},
		{"seven", "-0-1-3-0-1-3-5-|-0-1-3-0-1-3-5-|", "", "7/8", ""},
		{"nine", "-0-1-3-0-1-3-0-1-3-|-0-1-3-0-1-3-0-1-3-|", "", "9/8", ""},
		{"ten", "-0-1-3-0-1-3-0-1-3-5-|-0-1-3-0-1-3-0-1-3-5-|", "", "5/4", ""},
		{"five close", "-0-1-3-0-1-|-0-1-3-0-1-|", "", "5/8", ""},
		{"five wide", "-0---1---3---0---1---|-0---1---3---0---1---|", "", "5/4", ""},
		{"three", "-0--1--3--|-0--3--1--|", "", "3/4", ""},
		{"twelve stay triplets", "-0-1-3-0-1-3-0-1-3-0-1-3-|-0-1-3-0-1-3-0-1-3-0-1-3-|", "", "", ""},
		{"twelve by fours", "-0-1-3-5--0-1-3-5--0-1-3-5--|-0-1-3-5--0-1-3-5--0-1-3-5--|", "", "3/4", "by fours"},
		{"eight", "-0-1-3-0-1-3-0-1-|-0-1-3-0-1-3-0-1-|", "", "", ""},
		{"six and room for two more", "-0-1-3-0-1-3-----|-0-1-3-0-1-3-----|", "", "", ""},
		{"quarter, two eighths, twice", "-0---1-3-0---1-3-|-0---1-3-0---1-3-|", "", "", ""},
		{"six in one bar, eight in another", "-0-1-3-0-1-3-|-0-1-3-0-1-3-0-1-|", "", "", ""},
		{"seven and room for eight", "-0-1-3-0-1-3-5---|-0-1-3-0-1-3-5---|", "", "", ""},
		{"six in one bar alone", "-0-1-3-0-1-3-|", "", "", ""},
	} {
		silent := strings.Map(func(r rune) rune {
			if r == '|' {
				return r
			}
			return '-'
		}, c.first)
		if c.second == "" {
			c.second = silent
		}
		text := "e|" + c.first + "\nB|" + c.second + "\nG|" + silent + "\n"
		got, said := statedWhy(t, text)
		if c.want == "" {
			assert.Contains(t, []string{"", "4/4"}, got, c.name)
			continue
		}
		assert.Equal(t, c.want, got, c.name)
		assert.Contains(t, said, "tab-metre-doubt", c.name)
		assert.Contains(t, said, c.why, c.name)
		assert.Equal(t, 1, strings.Count(said, "tab-metre-doubt"), c.name)
		found(t, text)
	}
	// A metre that the text states is taken, also if it does so later.
	const row = "-0-1-3-0-1-3-|-0-1-3-0-1-3-|"
	silent := strings.NewReplacer("0", "-", "1", "-", "3", "-").Replace(row)
	rows := "e|" + row + "\nB|" + silent + "\nG|" + silent + "\n"
	got, said := statedWhy(t, "Time: 4/4\n\n"+rows)
	assert.Equal(t, "4/4", got)
	assert.NotContains(t, said, "6/8")
	got, _ = statedWhy(t, rows+"\nTime: 4/4\n\n"+strings.ReplaceAll(rows, "-|", "-0-1-|"))
	assert.Equal(t, "6/8", got)
}

// statedWhy gives the metre of the first measure, and what is said with its code.
func statedWhy(t *testing.T, text string) (metre, said string) {
	t.Helper()
	d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said += d.Code + " " + d.Msg + "\n" }})
	require.NoError(t, err, text)
	for _, e := range d.Score().Parts[0].Measures[0].Events {
		if ts, ok := e.(*score.TimeSignature); ok {
			metre = ts.Metre()
		}
	}
	return metre, said
}
