package prove

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
)

// readTab reads a tab as a student or teacher would write it.
func readTab(t testing.TB, text string) *score.Score {
	t.Helper()
	d, err := tabtext.Read(strings.NewReader(text), "tab", score.ReadOptions{})
	require.NoError(t, err)
	return d.Score()
}

// What students do: each case is one mistake and the one remark
// that a teacher would write. The texts are invented.
func TestMarkNamesOneMistake(t *testing.T) {
	plain := `Key: A minor
Time: 4/4

e|-----------------|-----5-----------|
B|-5---8---5-------|-5-------8---5---|
G|-------------7---|-----------------|
D|-----------------|-----------------|
A|-----------------|-----------------|
E|-----------------|-----------------|
   1   2   3   4     1   2   3   4
`
	for _, tt := range []struct {
		name, from, to string
		kind           Kind
		bar, beat      string
		says           string
	}{
		{"a fret too high", "B|-5---8---5-------|", "B|-5---9---5-------|", WrongNote, "1", "2", "G# (string 2, fret 9) in place of G (string 2, fret 8) (1 fret too high); it is no note of A minor pentatonic"},
		{"the next string", "G|-------------7---|", "G|-----------------|\nD|-------------7---|", WrongNote, "1", "4", "A (string 4, fret 7) in place of D (string 3, fret 7) (the right fret on another string)"},
		{"missing", "e|-----------------|-----5-----------|", "e|-----------------|-----------------|", MissingNote, "2", "2", "A (string 1, fret 5) is missing"},
		{"too many", "D|-----------------|-----------------|", "D|-----------------|-------------5---|", ExtraNote, "2", "4", "G (string 4, fret 5) is not in the task"},
		{"another place", "e|-----------------|-----5-----------|\nB|-5---8---5-------|-5-------8---5---|", "e|-----------------|-----------------|\nB|-5---8---5-------|-5---10--8---5---|", OutOfReach, "2", "2", "the right note, but at string 2, fret 10 in place of string 1, fret 5; that is outside of frets 5 to 8"},
		{"an octave", "e|-----------------|-----5-----------|\nB|-5---8---5-------|-5-------8---5---|\nG|-------------7---|-----------------|\nD|-----------------|-----------------|", "e|-----------------|-----------------|\nB|-5---8---5-------|-5-------8---5---|\nG|-------------7---|-----------------|\nD|-----------------|-----7-----------|", WrongOctave, "2", "2", "A (string 4, fret 7) is the right note, but 1 octave too low"},
		{"late", "   1   2   3   4     1   2   3   4", "   1   2   3   4     1   2&  3   4", WrongRhythm, "2", "2", "A (string 1, fret 5) comes half a beat late, on beat 2+1/2"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			changed := strings.Replace(plain, tt.from, tt.to, 1)
			if tt.name == "the next string" {
				changed = strings.Replace(changed, "|-----------------|\nD|-----------------|-----------------|\nA", "|-----------------|\nA", 1)
			}
			if tt.name == "late" {
				changed = strings.Replace(plain, "e|-----------------|-----5-----------|", "e|-----------------|-------5---------|", 1)
				changed = strings.Replace(changed, "   1   2   3   4     1   2   3   4", "   1   2   3   4     1   2 & 3   4", 1)
			}
			require.NotEqual(t, plain, changed)
			scale, ok := ParseScale("A minor pentatonic")
			require.True(t, ok)
			r, err := Mark(Task{Score: readTab(t, plain), Scale: &scale}, readTab(t, changed))
			require.NoError(t, err)
			var got []Remark
			for _, b := range r.Bars {
				for _, k := range b.Remarks {
					got = append(got, k)
					assert.Equal(t, tt.bar, b.Bar)
				}
			}
			require.NotEmpty(t, got, changed)
			assert.Equal(t, tt.kind, got[0].Kind, "%v", got)
			assert.Equal(t, tt.beat, got[0].Beat)
			assert.Contains(t, got[0].Text, tt.says)
			assert.Len(t, got, 1, "%v", got)
		})
	}
}
