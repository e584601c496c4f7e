package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

func TestChordsAreListed(t *testing.T) {
	got := lickwright("chords")
	assert.Equal(t, exitDone, got.code)
	assert.Equal(t, len(theory.ChordQualities())+1, strings.Count(got.out, "\n"))
	assert.Contains(t, got.out, "C7#9        1 3 5 b7 #9         C E G Bb D#         dominant, add 9 by +1\n")
}

// Source: the chord as lead sheets mean it, and its kind in MusicXML 4.0.
func TestAChordIsSpelled(t *testing.T) {
	got := lickwright("chords", "Bb7(b9,#11)", "--key", "Eb")
	assert.Equal(t, exitDone, got.code)
	for _, want := range []string{
		"Bb7(b9,#11), V7(b9,#11) in Eb major\n", "note    Bb  D  F  Ab  Cb  E\n", "guide tones  D Ab\n",
		"dominant, add 9 by -1, add 11 by +1\n", "half-whole diminished",
	} {
		assert.Contains(t, got.out, want)
	}
	assert.Contains(t, lickwright("chords", "Gsus4/D").out, "bass         D (inversion 2)")
	assert.Contains(t, lickwright("chords", "C/F#").out, "bass         F# (no chord tone)")
	assert.Contains(t, lickwright("chords", "N.C.").out, "no chord")
}

func TestAProgressionIsSpelled(t *testing.T) {
	got := lickwright("chords", "Dm7 G7 | Cmaj7 | %", "--key", "C")
	assert.Equal(t, exitDone, got.code)
	assert.True(t, strings.HasPrefix(got.out, "Dm7 G7 | Cmaj7 | %\nii7 V7 | Imaj7 | %, in C major\n"), got.out)
	assert.Equal(t, 1, strings.Count(got.out, "Cmaj7, Imaj7"), "each chord once")
	assert.Contains(t, got.out, "in the key")
	got = lickwright("chords", "ii7", "V7", "|", "Imaj7", "--key", "Eb")
	assert.True(t, strings.HasPrefix(got.out, "Fm7 Bb7 | Ebmaj7\n"), got.out)
	usual := lickwright("chords", "G7").out
	all := lickwright("chords", "G7", "--all").out
	assert.Greater(t, strings.Count(all, "\n"), strings.Count(usual, "\n"))
}

func TestChordsCompared(t *testing.T) {
	assert.Equal(t, "Am7 and C6 sound the same\nin both  A C E G\n", lickwright("chords", "Am7", "--compare", "C6").out)
	assert.Equal(t, "in both   D F\nDm7 to G7  A to G, C to B\n", strings.ReplaceAll(lickwright("chords", "Dm7", "--compare", "G7").out, "in both    ", "in both   "))
}

func TestChordsFoundByNotes(t *testing.T) {
	got := lickwright("chords", "--holding", "C E G A", "--key", "C")
	assert.Equal(t, exitDone, got.code)
	lines := strings.Split(got.out, "\n")
	assert.True(t, strings.HasPrefix(lines[1], "C6, I6 "), got.out)
	assert.True(t, strings.HasPrefix(lines[2], "Am7, vi7 "), got.out)
	assert.Contains(t, got.out, "a guess")
	assert.Contains(t, lickwright("chords", "--holding", "Gb Bb Db").out, "\nGb      Gb Bb Db")
}

// Source: the harmonised harmonic minor scale of theory books.
func TestChordsOfAScale(t *testing.T) {
	got := lickwright("chords", "--scale", "A harmonic minor")
	assert.Contains(t, got.out, "5       E     E      E7        E7b9")
	assert.Contains(t, got.out, "phrygian dominant\n")
	assert.Contains(t, got.out, "7       G#    G#dim  G#dim7")
}

func TestChordsAsJSON(t *testing.T) {
	var v progressionView
	require.NoError(t, json.Unmarshal([]byte(lickwright("chords", "Dm7 | G7", "--json").out), &v))
	require.Len(t, v.Chords, 2)
	assert.Equal(t, []string{"D", "F", "A", "C"}, v.Chords[0].Notes)
	for _, args := range [][]string{{}, {"C"}, {"N.C."}, {"C", "--compare", "Am"}, {"--holding", "C E"}, {"--scale", "A blues"}, {"C5", "--key", "F", "--all"}} {
		got := lickwright(append([]string{"chords", "--json"}, args...)...)
		assert.Equal(t, exitDone, got.code, got.err)
		assert.True(t, json.Valid([]byte(got.out)), "%v", args)
		assert.NotContains(t, got.out, "null", "%v", args)
	}
}

func TestChordsErrors(t *testing.T) {
	for _, tt := range []struct {
		args []string
		err  []string
	}{
		{[]string{"Cq7"}, []string{`"Cq7" is no chord: "q7" means nothing in a chord symbol, at character 2`}},
		{[]string{"dm7"}, []string{"capital letters: Dm7"}},
		{[]string{"Am7 | Dq7"}, []string{"at character 8"}},
		{[]string{"ii7 V7"}, []string{"say it with --key"}},
		{[]string{"C", "--key", "H"}, []string{"--key"}},
		{[]string{"C", "--holding", "C E"}, []string{"different things"}},
		{[]string{"--scale", "A blus"}, []string{"--scale", "did you mean blues?"}},
		{[]string{"C | F", "--compare", "G"}, []string{"compares two chords"}},
		{[]string{"--compare", "G"}, []string{"needs a chord"}},
		{[]string{"C", "--compare", "Gx7q"}, []string{"--compare"}},
		{[]string{"--holding", ","}, []string{"names no notes"}},
	} {
		got := lickwright(append([]string{"chords"}, tt.args...)...)
		assert.Equal(t, exitUsage, got.code, "%v", tt.args)
		assert.Empty(t, got.out)
		for _, want := range tt.err {
			assert.Contains(t, got.err, want, "%v", tt.args)
		}
	}
}
