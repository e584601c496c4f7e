package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

func TestScalesAreListed(t *testing.T) {
	got := lickwright("scales")
	assert.Equal(t, exitDone, got.code)
	assert.Equal(t, len(theory.Scales())+1, strings.Count(got.out, "\n"))
	assert.Contains(t, got.out, "1 2 b3 4 5 6 b7")
}

// Source: E flat dorian and its relatives as every theory book has them.
func TestAScaleIsSpelled(t *testing.T) {
	got := lickwright("scales", "Eb", "dorian")
	assert.Equal(t, exitDone, got.code)
	for _, want := range []string{
		"Eb dorian\n", "note     Eb    F    Gb      Ab   Bb    C      Db\n", "Ebm7  Fm7  Gbmaj7  Ab7  Bbm7  Cm7b5  Dbmaj7",
		"i     ii   bIII    IV   v     vi°    bVII", "  Db  major\n", "Eb mixolydian     b3 becomes 3  Gb becomes G    mode of the same scale\n",
	} {
		assert.Contains(t, got.out, want)
	}
	assert.Contains(t, lickwright("scales", "G 1 b3 4 #4 5 b7").out, "note     G   Bb  C   C#  D   F\n")
	assert.Contains(t, lickwright("scales", "A minor pentatonic").out, "chords in it: Am Asus4 Am7 ")
	keys := lickwright("scales", "lydian flat 7").out
	assert.Contains(t, keys, "Db   Db  Eb  F   G   Ab  Bb  Cb\n")
	assert.Equal(t, 4+12, strings.Count(keys, "\n"))
}

func TestScalesCompared(t *testing.T) {
	got := lickwright("scales", "A minor pentatonic", "--compare", "A blues")
	assert.Equal(t, "A minor pentatonic  A C D E G\nA blues             A C D Eb E G\n\nin both  1 b3 4 5 b7\nadded    b5\n", got.out)
	assert.Contains(t, lickwright("scales", "C major", "--compare", "G mixolydian").out, "they sound the same")
	assert.Contains(t, lickwright("scales", "dorian", "--compare", "aeolian").out, "6 becomes b6")
	assert.Contains(t, lickwright("scales", "C dorian", "--compare", "aeolian").out, "C natural minor")
	assert.Contains(t, lickwright("scales", "C major", "--compare", "F major").out, "B becomes Bb")
}

func TestScalesFoundByNotes(t *testing.T) {
	got := lickwright("scales", "--holding", "C Eb F#")
	assert.Equal(t, exitDone, got.code)
	assert.Contains(t, got.out, "C blues               1 b3 b5      F G Bb\n")
	assert.Contains(t, got.out, "more; --all lists them")
	onD := lickwright("scales", "D", "--holding", "D F# G#", "--all").out
	for line := range strings.Lines(onD) {
		assert.True(t, strings.HasPrefix(line, "D ") || strings.HasPrefix(line, "SCALE"), line)
	}
	lydian := lickwright("scales", "lydian", "--holding", "C E F#").out
	assert.Contains(t, lydian, "C lydian")
	assert.NotContains(t, lydian, "C major")
	assert.Contains(t, lickwright("scales", "--holding", "C C# D D# E F F# G G# A A# B").out, "C chromatic")
}

func TestScalesAsJSON(t *testing.T) {
	var v scaleView
	require.NoError(t, json.Unmarshal([]byte(lickwright("scales", "C blues", "--json").out), &v))
	assert.Equal(t, []string{"C", "Eb", "F", "Gb", "G", "Bb"}, v.Notes)
	for _, args := range [][]string{{}, {"dorian"}, {"C dorian", "--compare", "C lydian"}, {"--holding", "C E"}} {
		got := lickwright(append([]string{"scales", "--json"}, args...)...)
		assert.Equal(t, exitDone, got.code)
		assert.True(t, json.Valid([]byte(got.out)), "%v", args)
		assert.NotContains(t, got.out, "null", "%v", args)
	}
}

func TestScalesErrors(t *testing.T) {
	for _, tt := range []struct {
		args []string
		err  []string
	}{
		{[]string{"mixolidian"}, []string{`"mixolidian" is no scale`, "did you mean mixolydian?"}},
		{[]string{"C harmonc minor"}, []string{"at character 3", "did you mean harmonic minor?"}},
		{[]string{"1 b3 x"}, []string{`"x" is no degree`}},
		{[]string{"--holding", "C H"}, []string{"--holding", "write a letter"}},
		{[]string{"--holding", " "}, []string{"--holding names no notes"}},
		{[]string{"--compare", "dorian"}, []string{"needs a scale to compare with"}},
		{[]string{"dorian", "--compare", "doiran"}, []string{"--compare", "did you mean dorian?"}},
		{[]string{"dorian", "--compare", "lydian", "--holding", "C"}, []string{"two things"}},
		{[]string{"blues", "--holding", "C", "--jsn"}, []string{"did you mean --json?"}},
	} {
		got := lickwright(append([]string{"scales"}, tt.args...)...)
		assert.Equal(t, exitUsage, got.code, "%v", tt.args)
		assert.Empty(t, got.out)
		for _, want := range tt.err {
			assert.Contains(t, got.err, want, "%v", tt.args)
		}
	}
}

// The examples in the help must work when pasted.
func TestScalesAndChordsHelpExamplesWork(t *testing.T) {
	for _, example := range []string{scalesExample, chordsExample} {
		for line := range strings.Lines(example) {
			fields := shellFields(strings.TrimSpace(line))
			require.Equal(t, "lickwright", fields[0])
			got := lickwright(fields[1:]...)
			assert.Equal(t, exitDone, got.code, "%s\n%s", line, got.err)
			assert.NotEmpty(t, got.out)
			for out := range strings.Lines(got.out) {
				assert.Equal(t, strings.TrimRight(out, " \n")+"\n", out, "spaces at the end of a line")
			}
		}
	}
}
