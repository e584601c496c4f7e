package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestKeyIsAClause: a key that is a clause of its own in a longer line is read and
// moves with the music. What is meant is common practice.
func TestKeyIsAClause(t *testing.T) {
	for _, c := range []struct{ line, key, moved string }{
		{"hi Mira, here is the one from Thursday. key of G, 4/4, not too fast (84 or so)", "G major", "hi Mira, here is the one from Thursday. key of D, 4/4, not too fast (84 or so)"},
		{"Rusty Gate - G minor, 3/4", "G minor", "Rusty Gate - D minor, 3/4"},
		{"Rusty Gate (F# dorian)", "F# dorian", "Rusty Gate (C# dorian)"},
		{"this one, which I wrote when it rained, is for you (in the key of Bb)", "Bb major", "this one, which I wrote when it rained, is for you (in the key of F)"},
		{"try G minor, then A minor, and say which you like", "", ""},
		{"chords: G minor, D major", "", ""},
		{"not in G minor, as you see", "", ""},
		{"A minor", "", ""},              // may name a chord
		{"C major, up and down", "", ""}, // a scale to practise
	} {
		got, _ := keyOf(t, c.line+"\n\n"+plainRows)
		assert.Equal(t, c.key, got, c.line)
		if c.moved == "" {
			continue
		}
		text0 := c.line + "\n\n" + plainRows
		d := readText(t, text0)
		edited, err := d.Apply(shift(d.Score(), 2))
		require.NoError(t, err)
		assert.True(t, strings.HasPrefix(text(t, edited), c.moved+"\n"), text(t, edited))
		checkLens(t, d, []byte(text0))
	}
}

// TestWordsThatStillSayTheKey: words that name the key and do not move with the music are
// told, where they stand; words about other keys are not, where the key is known.
func TestWordsThatStillSayTheKey(t *testing.T) {
	for _, c := range []struct {
		text string
		at   []int // line and column of each
	}{
		{"Title: Walk in A minor\nKey: A minor\n\n", []int{1, 16}},
		{"Key: A minor\nI first heard it played in A minor on a rainy day by someone whom nobody knew, and it stayed with me\n", []int{2, 28}},
		{"Key: A minor\nMost of it lies on one string and it is best in A minor, so that the low string can ring\n", []int{2, 49}},
		{"Key: A minor\nit works well after something in C major, too\n", nil},
		{"A minor\n\n", []int{1, 1}},
		{"Lick in A minor\n\n", nil}, // it moves
	} {
		var got []int
		d, err := Read(strings.NewReader(c.text+"\n"+plainRows), "x", score.ReadOptions{Report: func(d score.Diagnostic) {
			if d.Code == "tab-key-words" {
				got = append(got, d.Pos.Line, d.Pos.Col)
				assert.NotEmpty(t, d.Hint)
			}
		}})
		require.NoError(t, err)
		_, err = d.Apply(shift(d.Score(), 2))
		require.NoError(t, err)
		assert.Equal(t, c.at, got, c.text)
		got = nil
		same := d.Score().Clone()
		same.Title = "Other"
		_, err = d.Apply(same)
		require.NoError(t, err)
		assert.Empty(t, got, "nothing moved")
	}
}
