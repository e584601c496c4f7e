package tabtext

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNarrowCorpus: a text that is cut has the same music, the same lines of prose
// in the same order, no wider row than it says, and all words beside its systems.
func TestNarrowCorpus(t *testing.T) {
	var files []string
	for _, pattern := range []string{"testdata/found/*.txt", "testdata/blind/*.txt", "testdata/careless/*.txt"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		files = append(files, found...)
	}
	cut := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		before, err := read(data, "x", score.ReadOptions{})
		require.NoError(t, err)
		for _, width := range []int{24, 40, 60} {
			var said score.Diagnostics
			out, err := Narrow(data, "x", width, score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d) }})
			require.NoError(t, err)
			after, err := read(out, "x", score.ReadOptions{})
			require.NoError(t, err)
			assert.Nil(t, compare(before.built.sc, after.built.sc), "%s %d\n%s", file, width, out)
			if after.built.lay.widest() > width {
				require.Len(t, said, 1, "%s %d\n%s", file, width, out)
				assert.Equal(t, "tab-width", said[0].Code)
			}
			if len(out) != len(data) {
				cut++
			}
			assert.Equal(t, notesIn(data), notesIn(out), "%s %d", file, width)
		}
	}
	assert.Greater(t, cut, 60)
}

// notesIn counts the digits on the rows of a text.
func notesIn(data []byte) int {
	src := newSource("x", data)
	n := 0
	for i := range src.lines {
		c := src.columns(i)
		if r, _, ok := parseRow(c); ok {
			for _, b := range c.ch[r.start:r.end] {
				n += b2i(isDigit(b))
			}
		}
	}
	return n
}

// TestNarrowLabels: rows of labels are cut with their systems, and keep their names.
func TestNarrowLabels(t *testing.T) {
	const in = "Some words\n\n Am                F                 C                 G\n" +
		"e|-5---------------|-----------------|-----------------|-3-------3---3-5-|\nB|---5-5-5---5-5-5-|-1-1-1-1-1---1-1-|-1-1---1-1-1-1-1-|-----------------|\nG|-----------------|-----------------|-----------------|-----------------|\n" +
		"   1   5   5         1   5   1   5     1   3   5   1     1       1   1 2  (degree)\n   a & a             n                                   x\n\nThe end.\n"
	out, err := Narrow([]byte(in), "x", 40, score.ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, "Some words\n\n Am                F\n"+
		"e|-5---------------|-----------------|\nB|---5-5-5---5-5-5-|-1-1-1-1-1---1-1-|\nG|-----------------|-----------------|\n"+
		"   1   5   5         1   5   1   5  (degree)\n   a & a             n\n\n C                 G\n"+
		"e|-----------------|-3-------3---3-5-|\nB|-1-1---1-1-1-1-1-|-----------------|\nG|-----------------|-----------------|\n"+
		"   1   3   5   1     1       1   1 2  (degree)\n                     x\n\nThe end.\n", string(out))
}

// TestApplyCutsWithLabels: systems that grow beyond the text are cut, also where rows of
// labels change in the same edit.
func TestApplyCutsWithLabels(t *testing.T) {
	row := strings.Repeat("-9-9-9-9-9-9-9-9-|", 4)
	text0 := "e|" + row + "\nB|" + silence(row) + "\nG|" + silence(row) + "\n"
	d := readText(t, text0)
	moved := shift(d.Score(), 3)
	for n := range score.Notes(moved) {
		n.Annotations = append(n.Annotations, score.Annotation{Kind: "name", Text: n.Pitch.NoteName.String()})
	}
	edited, err := d.Apply(moved)
	require.NoError(t, err)
	out := text(t, edited)
	again := readText(t, out)
	assert.Nil(t, compareLoosely(moved, again.Score()), out)
	assert.LessOrEqual(t, again.origin.built.lay.widest(), DefaultWidth, out)
	assert.Equal(t, 2, strings.Count(out, "(name)"), out)
	assert.NotContains(t, out, " 1 & 2", "it is not written anew")
	back, err := edited.Apply(d.Score())
	require.NoError(t, err)
	assert.Equal(t, text0, text(t, back))
}

// TestNarrowGenerated: new tab of any music, cut.
func TestNarrowGenerated(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 3))
		var out bytes.Buffer
		require.NoError(t, Write(&out, generate(seed, 2+r.IntN(12), seed%2 == 0), score.WriteOptions{Width: 400}))
		before, err := read(out.Bytes(), "x", score.ReadOptions{})
		require.NoError(t, err)
		text, err := Narrow(out.Bytes(), "x", 30+r.IntN(80), score.ReadOptions{})
		require.NoError(t, err)
		after, err := read(text, "x", score.ReadOptions{})
		require.NoError(t, err)
		require.Nil(t, compare(before.built.sc, after.built.sc), "%d\n%s", seed, text)
	}
}
