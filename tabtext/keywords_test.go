package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// keyOf gives the first key of a text, and what is said.
func keyOf(t *testing.T, text string) (key string, said []string) {
	t.Helper()
	d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }})
	require.NoError(t, err, text)
	for _, e := range d.Score().Parts[0].Measures[0].Events {
		if k, ok := e.(*score.KeySignature); ok {
			key = k.Key.String()
		}
	}
	return key, said
}

// TestKeysInHeadings: how people write a key into a heading, and what only mentions
// one. What is meant is common practice.
func TestKeysInHeadings(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"Lick in A minor", "A minor"},
		{"Slow blues in A", "A major"},
		{"Slow waltz in A 3/4", "A major"},
		{"12/8 blues in Bb, dotted quarter = 58", "Bb major"},
		{"Lick no. 4 in F# dorian", "F# dorian"},
		{"Slow blues in A     12/8     dotted quarter = 58", "A major"},
		{"Lick no. 3 in Bb minor (slow, 72 bpm, straight)", "Bb minor"},
		{"in Em", "E minor"},
		{"In E flat major", "Eb major"},
		{"Ballad in C minor (slow)", "C minor"},
		{"Run in A minor pentatonic", "A minor"},
		{"Same lick in D", "D major"},
		{"Key: Bb", "Bb major"},
		{"Street lick (Key: Bb)", "Bb major"},
		{"Street lick (key of E)", "E major"},
		{"a short one in the key of em", "E minor"},
		{"Exercise 3 - key G - 90 bpm", "G major"},
		{"[in A minor]", "A minor"},
		{"== in D minor ==", "D minor"},

		{"I played this with a friend who always solos in A minor over everything", ""},
		{"Everyone says that it is in the key of G but I hear it differently, so make up your own mind about that", ""},
		{"Exercise in E phrygian dominant", ""},
		{"He was born in C", ""},
		{"Guitar in E standard", ""},
		{"originally in G", ""},
		{"Well, that is how I play it in A minor, it sounds best there", ""},
		{"Most of it stays on one string. We play it in A minor, slowly", ""},
		{"it is not in A minor", ""},
		{"Also works in D", ""},
		{"if you want the key of G use a capo", ""},
		{"in a hurry", ""},
		{"all in a day", ""},
		{"tuned in E", ""},
		{"in D standard", ""},
		{"in E tuning", ""},
		{"licks in C, F and G", ""},
		{"in G or D", ""},
		{"ends in E", ""},
		{"the low note in Am is muted", ""},
		{"key to this is patience", ""},
		{"in drop D", ""},
	} {
		got, _ := keyOf(t, c.line+"\n\n"+plainRows)
		assert.Equal(t, c.want, got, c.line)
	}
	// A line "Key:" wins over a heading, wherever it stands; an option over both.
	got, _ := keyOf(t, "Key: C\n\nSolo in E minor\n\n"+plainRows)
	assert.Equal(t, "C major", got)
	got, _ = keyOf(t, "Solo in E minor\nKey: C\n\n"+plainRows)
	assert.Equal(t, "C major", got)
}

// TestKeyOfHeadingMoves: the heading follows the music.
func TestKeyOfHeadingMoves(t *testing.T) {
	for _, c := range []struct{ line, want string }{{"Lick in A minor", "Lick in E minor"}, {"Lick in Am, slow", "Lick in Em, slow"}, {"Street lick (key of E)", "Street lick (key of B)"}} {
		text0 := c.line + "\n\n" + plainRows
		d := readText(t, text0)
		moved := shift(d.Score(), 2)
		edited, err := d.Apply(moved)
		require.NoError(t, err)
		assert.Contains(t, text(t, edited), c.want)
		checkLens(t, d, []byte(text0))
	}
}

// TestKeyDoubt: notes against the heading are said, and the heading counts. The
// profiles are those of Temperley 2007 (see theory.FindKey).
func TestKeyDoubt(t *testing.T) {
	const eMajor = "Time: 4/4\n\ne|-0-------0-------|-----------------|\nB|-0---5---4---0---|-5---4---2---0---|\nG|-1-------1-------|-----------------|\nD|-2-------2-------|-----------------|\nA|-2-------2-------|-----------------|\nE|-0-------0-------|-----------------|\n"
	got, said := keyOf(t, "Lick in Bb minor\n\n"+eMajor)
	assert.Equal(t, "Bb minor", got)
	assert.Contains(t, said, "tab-key-doubt")
	for _, line := range []string{"Lick in E", "Lick in C# minor", "Key: Bb minor"} {
		_, said = keyOf(t, line+"\n\n"+eMajor)
		assert.NotContains(t, said, "tab-key-doubt", line)
	}
}
