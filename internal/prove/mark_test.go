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

// A forgotten bend is named as such, though the sound is another one; so are
// forgotten and added joins.
func TestMarkTechniques(t *testing.T) {
	r, err := Mark(Task{Score: readTab(t, phrase)}, readTab(t, strings.NewReplacer("5b7-", "5---", "5h-7", "5--7", "5--/--7", "5-----7").Replace(phrase)))
	require.NoError(t, err)
	var got []string
	for _, b := range r.Bars {
		for _, k := range b.Remarks {
			got = append(got, b.Bar+"/"+k.Beat+" "+k.Text)
		}
	}
	assert.Equal(t, []string{
		"1/1+1/2 D (string 3, fret 7): the hammer-on to it is missing",
		"1/3 E (string 2, fret 5): the bend of 2 semitones is missing",
		"2/4 D (string 3, fret 7): the slide to it is missing",
	}, got)
	assert.Equal(t, 4, r.Right)
}

// A bar left out, and a bar put in, is one remark each, and the bars after it
// are marked as if nothing had been.
func TestMarkBarsLeftOutAndPutIn(t *testing.T) {
	bars := []string{"5---7---5---7---", "8---5---8---5---", "7---7---5---5---", "5---8---7---8---"}
	tab := func(bars ...string) string {
		row := func(label, fill string) string {
			text := label
			for _, b := range bars {
				if fill != "" {
					b = fill
				}
				text += "|-" + b
			}
			return text + "|\n"
		}
		empty := "----------------"
		return "Key: A minor\nTime: 4/4\n\n" + row("e", empty) + row("B", "") + row("G", empty) + row("D", empty) + row("A", empty) + row("E", empty) +
			" " + strings.Repeat("  1   2   3   4   ", len(bars)) + "\n"
	}
	whole := Task{Score: readTab(t, tab(bars...))}
	for skip := range bars {
		var rest []string
		for i, b := range bars {
			if i != skip {
				rest = append(rest, b)
			}
		}
		r, err := Mark(whole, readTab(t, tab(rest...)))
		require.NoError(t, err)
		require.Equal(t, 1, r.Faults(), "bar %d left out: %s", skip+1, r.Text())
		assert.Equal(t, BarMissing, r.Bars[skip].Remarks[0].Kind)
		r, err = Mark(Task{Score: readTab(t, tab(rest...))}, readTab(t, tab(bars...)))
		require.NoError(t, err)
		require.Equal(t, 1, r.Faults(), "bar %d put in: %s", skip+1, r.Text())
		assert.Equal(t, BarTooMany, r.Bars[skip].Remarks[0].Kind)
	}
	r, err := Mark(whole, readTab(t, tab("1---2---3---4---", "1---2---3---4---")))
	require.NoError(t, err)
	assert.True(t, r.Other)
	assert.Contains(t, r.Text(), "is this the answer to another one?")
}

func BenchmarkMark(b *testing.B) {
	s := readTab(b, phrase)
	long := s.Clone()
	for range 199 {
		for _, m := range s.Parts[0].Measures {
			long.Parts[0].Measures = append(long.Parts[0].Measures, m.Copy())
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Mark(Task{Score: long}, long); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(long.Parts[0].Measures)*b.N)/b.Elapsed().Seconds(), "bars/s")
}
