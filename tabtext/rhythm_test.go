package tabtext

import (
	"strings"
	"testing"
	"testing/quick"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCounts: any time in a bar written as a count is read as that time.
func TestCounts(t *testing.T) {
	law := func(num uint16, den uint8, eighths bool) bool {
		unit := score.Q(1, 1)
		if eighths {
			unit = score.Q(1, 2)
		}
		at := score.Q(int64(num)%4000, int64(den%96)+1)
		if at.Div(unit).Float() >= maxCount {
			return true
		}
		c, shift, ok := parseCount(writeCount(at, unit, true))
		return ok && shift == 0 && unit.Mul(score.Q(int64(c.num-1), 1).Add(c.frac)) == at
	}
	require.NoError(t, quick.Check(law, nil))
}

// TestCountNames: the names of the parts of a beat. Source: common practice
// in teaching rhythm (1 e & a; 1 trip let).
func TestCountNames(t *testing.T) {
	for text, want := range map[string]score.Quarters{"&": score.Q(1, 2), "e": score.Q(1, 4), "a": score.Q(3, 4), "trip": score.Q(1, 3), "let": score.Q(2, 3), "+2/5": score.Q(2, 5)} {
		c, _, ok := parseCount(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, c.frac, text)
		assert.Zero(t, c.num)
	}
	for _, bad := range []string{"", "0", "1000", "()", "~", "~(2)", "+3/2", "+1", "1x", "b", "5h7", "(2"} {
		_, _, ok := parseCount(bad)
		assert.False(t, ok, bad)
	}
}

// TestNoteValues: lengths of dotted values against the table of common
// practice: a dot adds half, two dots three quarters.
func TestNoteValues(t *testing.T) {
	for text, want := range map[string]score.Quarters{
		"W": score.Q(4, 1), "H": score.Q(2, 1), "H.": score.Q(3, 1), "Q": score.Q(1, 1), "Q.": score.Q(3, 2), "Q..": score.Q(7, 4),
		"E": score.Q(1, 2), "E.": score.Q(3, 4), "S": score.Q(1, 4), "T": score.Q(1, 8), "X": score.Q(1, 16), "Q+S": score.Q(5, 4),
	} {
		l, _, ok := parseLetters(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, l.length, text)
		back, ok := writeLetters(want)
		assert.True(t, ok)
		assert.Equal(t, text, back)
	}
	for v := int64(1); v < 400; v++ {
		for _, den := range []int64{1, 2, 4, 8, 16, 3, 5} {
			if got := score.ValueOf(score.Q(v, den)); got.Known {
				assert.Equal(t, score.Q(v, den), got.Quarters())
			}
		}
	}
}

// TestMetres: lengths in quarter notes. Source: common practice; 3+2/8 and
// 3/8+2/4 as in MusicXML 4.0's time element.
func TestMetres(t *testing.T) {
	for text, want := range map[string]score.Quarters{"4/4": score.Q(4, 1), "6/8": score.Q(3, 1), "3+2/8": score.Q(5, 2), "3/8+2/4": score.Q(7, 2), "C": score.Q(4, 1), "C|": score.Q(4, 1), "5/16": score.Q(5, 4)} {
		ts, ok := score.ParseMetre(text)
		require.True(t, ok, text)
		assert.Equal(t, want, ts.Length, text)
		assert.Equal(t, text, ts.Metre())
	}
	for _, bad := range []string{"", "4", "4/5", "0/4", "/4", "4/", "a/b", "3++2/8", "4/256"} {
		_, ok := score.ParseMetre(bad)
		assert.False(t, ok, bad)
	}
}

// TestSpacing: the rule of the package documentation on single bars.
func TestSpacing(t *testing.T) {
	for _, test := range []struct{ metre, bar, want string }{
		{"4/4", "-5-7-5-7-", "0 1 2 3"},
		{"4/4", "--5--7--5--7--", "0 1 2 3"},
		{"4/4", "5-7-5-7-", "0 1 2 3"},
		{"4/4", "-5---7-8-5---5---", "0 1 3/2 2 3"},
		{"4/4", "-0---0-2-3-----", "0 1 3/2 2"},
		{"4/4", "-----5-7-8-7-5---", "1 3/2 2 5/2 3"},
		{"4/4", "-5---------------", "0"},
		{"3/4", "-5---7---8---", "0 1 2"},
		{"6/8", "-0-1-3-1-0-3-", "0 1/2 1 3/2 2 5/2"},
		{"4/4", "-5-7-8-5-7-8-5-7-8-5-7-8-", "0 1/3 2/3 1 4/3 5/3 2 7/3 8/3 3 10/3 11/3"},
		{"4/4", "-12-10-9-8-", "0 1 2 3"}, // the gaps are even, the columns are not
		{"4/4", "-7b9---7---7b9---7---", "0 1 2 3"},
	} {
		t.Run(test.bar, func(t *testing.T) {
			empty := strings.Repeat("-", len(test.bar))
			tab := "e|" + test.bar + "|\nB|" + empty + "|\nG|" + empty + "|\nD|" + empty + "|\nA|" + empty + "|\nE|" + empty + "|\n"
			d, err := Read(strings.NewReader(tab), "x", score.ReadOptions{Time: test.metre})
			require.NoError(t, err)
			m := d.Score().Parts[0].Measures[0]
			var got []string
			for c := range m.Chords() {
				assert.True(t, c.InferredTime)
				if !c.IsRest() {
					got = append(got, c.Onset.String())
				}
			}
			assert.Equal(t, test.want, strings.Join(got, " "))
			assert.Equal(t, m.Nominal, m.Length)
		})
	}
}

// TestLettersStay: a text with rhythm letters that has to be written anew
// keeps letters.
func TestLettersStay(t *testing.T) {
	tab := "   Q   E E Q  (Q)\ne|-5---7-8-5------|\nB|----------------|\nG|----------------|\nD|----------------|\nA|----------------|\nE|----------------|\n"
	d := readText(t, tab)
	want := d.Score().Clone()
	m := want.Parts[0].Measures[0]
	for c := range m.Chords() {
		if c.Onset == score.Q(1, 1) { // two eighths become a dotted one and a sixteenth
			c.Duration, c.Value = score.Q(3, 4), score.ValueOf(score.Q(3, 4))
		}
		if c.Onset == score.Q(3, 2) {
			c.Onset, c.Duration, c.Value = score.Q(7, 4), score.Q(1, 4), score.ValueOf(score.Q(1, 4))
		}
	}
	e, err := d.Apply(want)
	require.NoError(t, err)
	got := text(t, e)
	assert.Nil(t, compare(want, readText(t, got).Score()), got)
	assert.Contains(t, got, "E.", got)
	assert.NotContains(t, got, "&", got)
}
