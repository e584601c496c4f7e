package tabtext

import (
	"slices"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// found reads a text, checks that it can be edited and written (see checkLens),
// and gives its digest and what was reported.
func found(t *testing.T, text string) (got string, said []string) {
	t.Helper()
	var all score.Diagnostics
	d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { all = append(all, d) }})
	require.NoError(t, err, "%s", text)
	for _, d := range all {
		said = append(said, d.Code)
	}
	checkLens(t, d, []byte(text))
	return digest(d.Score(), nil), said
}

const fullRows = "e|-----------------|\nB|-----------------|\nG|-2-4-2-----------|\nD|-------4-2-------|\nA|-----------4-2---|\nE|---------------0-|\n"

// TestRowsAsFound: rows that are not as usual. The readings were written before
// the reader knew these texts; what they mean is common practice.
func TestRowsAsFound(t *testing.T) {
	for _, c := range []struct{ name, text, want, said string }{
		{"blanks for hyphens", "e |                 |                 |\nB |             1   |                 |\nG |       0   2   0 | 2   0           |\nD |   0 2   2       |       2 0       |\nA | 3               |           3     |\nE |                 |             3   |\n",
			"bar 1, 4: (E2 A2 D3 G3 B3 E4) 0+1/2=5.3 1/2+1/2=4.0 1+1/2=4.2 3/2+1/2=3.0 2+1/2=4.2 5/2+1/2=3.2 3+1/2=2.1 7/2+1/2=3.0", "tab-rows-blank"},
		{"blanks, no gap before the bar lines", "Time: 4/4\n\nG|  5   5   7   5  |\nD|  5       7      |\nA|  3       5      |\nE|                 |\n", "0+1=1.5,2.5,3.3 1+1=1.5 2+1=1.7,2.7,3.5 3+1=1.5", "tab-rows-blank"},
		{"dots for hyphens", "Time: 4/4\n\nG|.5...5...7...5...|\nD|.5.......7.......|\nA|.3.......5.......|\nE|.................|\n", "0+1=1.5,2.5,3.3 1+1=1.5 2+1=1.7,2.7,3.5 3+1=1.5", "tab-rows-blank"},
		{"blanks with signs", "Time: 4/4\n\ne|                 |\nB| 5h7     7p5     |\nG|     7/9     (7) |\n", "2.5/h>", "tab-rows-blank"},
		{"blanks in a quoted mail", "> > e|                 |\n> > B| 5   8   8   5   |\n> > G| 5   7   7   5   |\n> > D|                 |\n> > A|                 |\n> > E|                 |\n", "0+1=2.5,3.5 1+1=2.8,3.7 2+1=2.8,3.7 3+1=2.5,3.5", "tab-rows-blank"},
		{"three strings of blanks beside hyphens", fullRows + "\ne| 5   7   8   7   |\nB| 5   8   8   8   |\nG|                 |\n", "bar 2, 4: 0+1=1.5,2.5 1+1=1.7,2.8 2+1=1.8,2.8 3+1=1.7,2.8", "tab-rows-blank"},
		{"fewer rows later", fullRows + "\nD|-----4-2---------|\nA|-2-4-----4-2-----|\nE|-------------3-0-|\n", "bar 2, 4: 0+1/2=5.2 1/2+1/2=5.4 1+1/2=4.4 3/2+1/2=4.2 2+1/2=5.4 5/2+1/2=5.2 3+1/2=6.3 7/2+1/2=6.0", "tab-rows-absent"},
		{"a chord in six narrow rows", fullRows + "\ne-2-\nB-3-\nG-2-\nD-0-\nA-x-\nE-x-\n", "bar 2, 4: 0+4=1.2,2.3,3.2,4.0,5.0/dead,6.0/dead", ""},
		{"narrow rows with pipes", fullRows + "\ne|-2-|\nB|-3-|\nG|-2-|\nD|-0-|\nA|-x-|\nE|-x-|\n", "bar 2, 4: 0+4=1.2,2.3,3.2,4.0,5.0/dead,6.0/dead", ""},
		{"two strings alone", "Time: 4/4\n\nB|-8---8---10--8---|\nG|-9---9---11--9---|\n", "0+1=2.8,3.9 1+1=2.8,3.9 2+1=2.10,3.11 3+1=2.8,3.9", "tab-rows-absent"},
		{"one string alone", "Time: 4/4\n\nE|-0-0-3-0-5-0-6-5-|\n", "bar 1, 4: (E2 A2 D3 G3 B3 E4) (4/4) 0+1/2=6.0 1/2+1/2=6.0 1+1/2=6.3", "tab-rows-absent"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, said := found(t, c.text)
			assert.Contains(t, got, c.want)
			assert.NotContains(t, got, "part \"\"\npart", "one part")
			if c.said != "" {
				assert.Contains(t, said, c.said)
			}
		})
	}
}

// TestNoTab: what is laid out like tab and is none.
func TestNoTab(t *testing.T) {
	for _, c := range []struct{ name, text string }{
		{"a table of numbers", "   | Mon | Tue | Wed |\nA  |  3  |  5  |  7  |\nB  |  2  |  4  |  6  |\nC  |  1  |  0  |  8  |\n"},
		{"a ruled table", "+-----+-----+\n| a   | 12  |\n+-----+-----+\n| b   | 7   |\n+-----+-----+\n"},
		{"a table in markdown", "| name  | frets |\n|-------|-------|\n| rolf  | 22    |\n| petra | 24    |\n"},
		{"marks by letter", "A | 12 | 14 |\nB |  9 | 11 |\nC |  4 |  6 |\nD |  1 |  2 |\nE |  0 |  1 |\n"},
		{"a drawing", "   ____\n  /    \\\n |  ..  |\n |  --  |\n  \\____/\n"},
		{"a shopping list", "- 2 sets of strings\n- 3 picks\n- 1 capo\n- 12 sheets of paper\n"},
		{"code", "for (i = 0; i < 3; i--) {\n\ta[i] = b[i] - 1; // ---\n\tc |= a[i] | 0x0f;\n}\n"},
		{"e-mail headers", "From: rolf\nTo: petra\nDate: 3 Nov, 12:40\nSubject: -- lesson 3 --\n--------\n"},
		{"scores of games", "E 3-1\nA 2-2\nD 0-4\nG 1-1\n"},
		{"a drum pattern", "HH|x-x-x-x-x-x-x-x-|\nSD|----o-------o---|\nBD|o-------o-------|\n"},
		{"drums by one letter", "C|x---------------|\nH|--x-x-x-x-x-x-x-|\nS|----o-------o---|\nB|o-------o-------|\n"},
		{"drums named like strings", "C|x---------------|\nD|----o-------o---|\nB|o-------o-o-----|\n"},
		{"chord names", "A | D | E | A\nD | D | A | A\nE | D | A | E\n"},
		{"a form of chords", "|A    |D    |A    |A    |\n|D    |D    |A    |A    |\n|E    |D    |A    |E    |\n"},
		{"telephone numbers", "555-0134-22\n555-0177-11\n555-0121-09\n"},
		{"dates", "2021-03-04 - 12:30\n2021-03-11 - 12:30\n2021-03-18 - 13:00\n"},
		{"a sum", "  12\n- 3\n----\n  9\n"},
		{"a game of noughts", " x | o | x\n---+---+---\n o | x |\n---+---+---\n   | o | x\n"},
		{"a tree", "|-- song.txt\n|-- notes\n|   |-- a.txt\n|   `-- b.txt\n`-- c.txt\n"},
		{"one row of a table", "E | 3 | 5 | 7 |\n"},
		{"grades", "e | 3 | 5 |\nf | 2 | 1 |\ng | 1 | 1 |\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(c.text), "x", score.ReadOptions{})
			if assert.Error(t, err, "%s", c.text) {
				assert.Contains(t, err.Error(), "no tab")
			}
			assert.False(t, Looks([]byte(c.text)))
			// Beside tab it is text too, and the music is that of the tab alone.
			for _, text := range []string{c.text + "\n" + fullRows, fullRows + "\n" + c.text} {
				var said score.Diagnostics
				d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d) }})
				require.NoError(t, err)
				assert.Equal(t, 1, len(d.Score().Parts), text)
				assert.Len(t, d.Score().Parts[0].Measures, 1, text)
				assert.False(t, slices.ContainsFunc(said, func(d score.Diagnostic) bool { return d.Code == "tab-bar-numbers" }), text)
			}
		})
	}
}

// TestBarNumbers: numbers of bars over and under the tab are neither counts nor
// endings. How bars are numbered is common practice.
func TestBarNumbers(t *testing.T) {
	const rows = "e|-----------------|-----------------|-----------------|\nB|-1-3-5-3-1-3-5-3-|-1-3-5-3-1-3-5-3-|-1-3-5-3-1-3-5-3-|\nG|-----------------|-----------------|-----------------|\n"
	even := "0+1/2=2.1 1/2+1/2=2.3 1+1/2=2.5 3/2+1/2=2.3 2+1/2=2.1 5/2+1/2=2.3 3+1/2=2.5 7/2+1/2=2.3"
	for _, over := range []string{
		"1                 2                 3", "  1                 2                 3", "  5                 6                 7",
		"  1.                2.                3.", "  (5)               (6)               (7)", "  [5]               [6]               [7]", "  m.5               m.6               m.7",
		"  m5                m6                m7", "  bar 5             bar 6             bar 7", "  #5                #6                #7", "  5:                6:                7:",
		"  1                                   3", "  17", "  m. 9",
	} {
		for _, text := range []string{over + "\n" + rows, "  Am                Dm                E\n" + over + "\n" + rows, over + "\n  Am                Dm                E\n" + rows} {
			got, _ := found(t, text)
			assert.Equal(t, 3, strings.Count(strings.ReplaceAll(got, "\n", " \n"), even), "%s\n%s", text, got)
			assert.NotContains(t, got, "start", text)
			assert.Equal(t, strings.Contains(text, "Am"), strings.Contains(got, ":Dm"), text)
		}
	}
	// Counts and endings stay what they are.
	for _, c := range []struct{ text, want string }{
		{"e|-5---------------|-7---------------|\nB|-----------------|-----------------|\nG|-----------------|-----------------|\n   1                 1\n", "0+4=1.5"},
		{"e|-5---7---8---7---|-7-------5-------|\nB|-----------------|-----------------|\nG|-----------------|-----------------|\n   1   2   3   4     1       3\n", "0+2=1.7 2+2=1.5"},
		{"   1.                2.\ne|-5---7---8---7--:|-7-------5-------|\nB|----------------:|-----------------|\nG|----------------:|-----------------|\n", "{ start 1}"},
	} {
		got, _ := found(t, c.text)
		assert.Contains(t, got, c.want, c.text)
	}
}

// TestTimesInWords: how often a repeat is played.
func TestTimesInWords(t *testing.T) {
	const repeat = "e|-5---7---8---7--:|\nB|----------------:|\nG|----------------:|\n"
	for _, c := range []struct {
		text string
		want int
	}{
		{"play 4 times\n\n" + repeat, 4}, {"riff - play 4 times, then go on\n\n" + repeat, 4}, {repeat + "repeat 3 times\n", 3}, {"Play this four times!\n" + repeat, 4},
		{"4 times through\n\n" + repeat, 4}, {"(three times)\n" + repeat, 3}, {"repeat x3\n\n" + repeat, 3}, {repeat + "                x4\n", 4}, {"                x4\n" + repeat, 4},
		{"play 4 times\n" + "              x3\n" + repeat, 3}, {repeat, 0}, {"2 times faster than before\n\n" + repeat, 0}, {"practice 3 times a week\n\n" + repeat, 0},
		{"the last 2 times let it ring\n\n" + repeat, 0}, {"5 times\n\n\n\n\n\n" + repeat, 0},
	} {
		_, said := found(t, c.text)
		d := readText(t, c.text)
		for _, e := range d.Score().Parts[0].Measures[0].Events {
			if bl, ok := e.(*score.Barline); ok && bl.Repeat == score.Backward {
				assert.Equal(t, c.want, bl.Times, c.text)
			}
		}
		assert.Equal(t, c.want > 0 && !strings.Contains(c.text, " x4") && !strings.Contains(c.text, "  x3"), slices.Contains(said, "tab-times-words"), c.text)
	}
}

// TestRemarksBesideRows: what stands behind the rows is text that only tab holds.
func TestRemarksBesideRows(t *testing.T) {
	ds := readText(t, strings.Replace(fullRows, "G|-2-4-2-----------|", "G|-2-4-2-----------|   <- let it breathe", 1)).Unheld()
	require.Len(t, ds, 1)
	assert.Equal(t, 3, ds[0].Pos.Line)
	assert.Contains(t, readText(t, strings.Replace(fullRows, "---0-|", "---0-|  slow down", 1)).Prose(), "slow down")
	assert.Empty(t, readText(t, "e|-5---7---8---7--:|  x3\nB|----------------:|\nG|----------------:|\n").Unheld())
}

// TestCapoLeftToThePlayer: such a capo is used, and said.
func TestCapoLeftToThePlayer(t *testing.T) {
	for _, c := range []struct {
		text string
		want bool
	}{{"capo 2 if you sing it like me (optional)", true}, {"maybe capo 2", true}, {"capo 2", false}, {"capo on the 2nd fret", false}} {
		_, said := found(t, c.text+"\n\n"+fullRows)
		assert.Equal(t, c.want, slices.Contains(said, "tab-capo-prose"), c.text)
	}
}

// TestEntitiesInHTML: what is written anew in HTML has entities.
func TestEntitiesInHTML(t *testing.T) {
	const in = "<pre>\n\ne|-----------------|\nB|-----------------|\nG|-&lt;12&gt;----&lt;7&gt;-------|\nD|-----------------|\nA|-----------------|\nE|-----------------|\n</pre>\n"
	d := readText(t, in)
	edited, err := d.Apply(shift(d.Score(), 2))
	require.NoError(t, err)
	out := text(t, edited)
	assert.NotContains(t, strings.ReplaceAll(strings.ReplaceAll(out, "<pre>", ""), "</pre>", ""), "<", out)
	assert.Contains(t, out, "&gt;")
}

// TestDashesOfPrint: a system that is written anew keeps the author's dashes and
// bar lines.
func TestDashesOfPrint(t *testing.T) {
	for _, signs := range [][2]string{{"—", "|"}, {"–", "│"}, {"─", "│"}, {"-", "|"}} {
		in := strings.NewReplacer("-", signs[0], "|", signs[1]).Replace(fullRows)
		d := readText(t, in)
		s := d.Score().Clone()
		for c := range s.Parts[0].Measures[0].Chords() {
			c.Notes[0].Finger = score.Index // what makes a row of its own
		}
		edited, err := d.Apply(s)
		require.NoError(t, err)
		out := text(t, edited)
		assert.NotContains(t, strings.ReplaceAll(strings.ReplaceAll(out, signs[0], ""), signs[1], ""), "-", out)
		assert.Contains(t, out, "(fingers)")
		checkLens(t, d, []byte(in))
	}
}
