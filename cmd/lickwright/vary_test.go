package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/tabtext/degrees"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// Steps are done in the order in which they are said.
func TestVaryStepsInOrder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "scale.degrees")
	require.NoError(t, os.WriteFile(path, []byte("Degrees: major\nTime: 4/4\n\nQ 1 2 3 4 |\n"), 0o666))
	bars := func(args ...string) string {
		got := lickwright(append(append([]string{"vary", "-q", "--key", "C"}, args...), path)...)
		require.Equal(t, exitDone, got.code, got.err)
		_, body, _ := strings.Cut(got.out, "\n\n")
		return strings.TrimSpace(body)
	}
	assert.Equal(t, "E 1 3 2 4 3 5 4 6 |", bars("--in", "thirds"))
	assert.Equal(t, "E 6 4 5 3 4 2 3 1 |", bars("--in", "thirds", "--retrograde"))
	assert.Equal(t, "E 4 6 3 5 2 4 1 3 |", bars("--retrograde", "--in", "thirds"))
	assert.Equal(t, "Q 1 -7 -6 -5 |", bars("--invert"))
	assert.Equal(t, "Q 1 -b7 -b6 -5 |", bars("--invert=chromatic"))
	assert.Equal(t, "H 1 2 | H 3 4 |", bars("--augment", "2"))
	assert.Equal(t, "(E) Q 1 2 3 E 4 |", bars("--displace", "1/8"))
	assert.Equal(t, bars("--permute", "--seed", "7"), bars("--permute", "--seed", "7"))
}

// Each step says what it did, and the file stays as it is around the music.
func TestVarySaysWhatItDid(t *testing.T) {
	got := lickwright("vary", "--retrograde", example("amber-street.tab"))
	assert.Equal(t, exitDone, got.code)
	assert.Contains(t, got.err, "note: retrograde: from the last note to the first")
	assert.Contains(t, got.out, "Quayside Fretboard Circle, week 14.")
	assert.Contains(t, got.out, "8pb10r8", "the bend goes round")
	assert.Contains(t, got.out, "5h--8", "the pull-off is a hammer-on")
}

func TestVaryWrongUsage(t *testing.T) {
	for _, tc := range []struct {
		args []string
		says string
	}{
		{nil, "it is not said how to vary"},
		{[]string{"--in", "seconds"}, "no interval"},
		{[]string{"--count", "0"}, "it takes 1 to 100"},
		{[]string{"--count", "3", "--retrograde"}, "--count chooses the steps by itself"},
		{[]string{"--displace", "2"}, "no note value"},
		{[]string{"--augment", "1"}, "no factor"},
		{[]string{"--permute=1 1"}, "no order"},
		{[]string{"--start-on", "H"}, "neither a degree nor a chord tone"},
		{[]string{"--invert", "chromatic"}, `did you mean --invert="chromatic"?`},
		{[]string{"--sequence", "3", "--scale", "A purple"}, "--scale"},
	} {
		got := lickwright(append(append([]string{"vary"}, tc.args...), example("amber-street.tab"))...)
		assert.Equal(t, exitUsage, got.code, "%v", tc.args)
		assert.Contains(t, got.err, tc.says, "%v", tc.args)
	}
	got := lickwright("vary", "--in", "thirds", example("kitchen-waltz.tab"))
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "its key is not known")
}

// On a set of strings the notes lie there.
func TestVaryOnStrings(t *testing.T) {
	got := lickwright("vary", "-q", "--strings", "2-4", "--fold", example("slow-harbour.tab"))
	require.LessOrEqual(t, got.code, exitPartly, got.err)
	d, err := tabtext.Read(strings.NewReader(got.out), "x", score.ReadOptions{})
	require.NoError(t, err)
	for n := range score.Notes(d.Score()) {
		assert.GreaterOrEqual(t, n.Place.String, 2)
		assert.LessOrEqual(t, n.Place.String, 4)
	}
}

// Several variations go into one tab under headings, or one file each.
func TestVaryCount(t *testing.T) {
	got := lickwright("vary", "-q", "--count", "3", example("slow-harbour.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	for i := 1; i <= 3; i++ {
		assert.Contains(t, got.out, fmt.Sprintf("== %d: ", i))
	}
	dir := t.TempDir()
	got = lickwright("vary", "-q", "--count", "3", "-d", dir, example("morning-gate.musicxml"))
	require.Equal(t, exitDone, got.code, got.err)
	files, err := filepath.Glob(filepath.Join(dir, "morning-gate-0[123]-*.musicxml"))
	require.NoError(t, err)
	assert.Len(t, files, 3)
	for _, f := range files {
		assert.Equal(t, exitDone, lickwright("convert", "-q", "--as", "tab", f).code)
	}
}

// File names say the steps in short.
func TestVaryFileNames(t *testing.T) {
	for want, steps := range map[string][][2]string{
		"retrograde-late4":         {{"retrograde", ""}, {"displace", "1/4"}, {"target", ""}},
		"permute132-early3-8":      {{"permute", "1 3 2"}, {"displace", "-3/8"}},
		"sequence8down-onb3":       {{"sequence", "8 down"}, {"start-on", "b3"}},
		"group3-onthird":           {{"group", "3"}, {"start-on", "third"}},
		"inthirdsdown-jump2":       {{"in", "thirds down"}, {"octave-jump", "2"}},
		"invertchromatic-augment2": {{"invert", "chromatic"}, {"augment", "2"}},
		"target":                   {{"target", ""}},
		"onsharp4":                 {{"start-on", "#4"}},
	} {
		var list []transform.Variation
		for _, s := range steps {
			v, err := transform.ParseVariation(s[0], s[1])
			require.NoError(t, err)
			list = append(list, v)
		}
		assert.Equal(t, want, stepsWord(list))
	}
}

// Every example takes every step, in its own format, and the result reads back.
func TestVaryEveryExample(t *testing.T) {
	files, err := filepath.Glob(example("*"))
	require.NoError(t, err)
	tried := 0
	for _, path := range files {
		if f, ok := formatOfPath(path); !ok || f.read == nil {
			continue
		}
		for _, args := range [][]string{{"--in", "thirds"}, {"--sequence", "3"}, {"--group", "3"}, {"--retrograde"}, {"--displace", "-1/8"}, {"--augment", "2"}, {"--diminish", "2"}, {"--invert", "--octave-jump"}} {
			out := filepath.Join(t.TempDir(), filepath.Base(path))
			got := lickwright(append(append([]string{"vary", "-q", "--key", "D minor", "-o", out}, args...), path)...)
			require.LessOrEqual(t, got.code, exitPartly, "%s %v: %s", path, args, got.err)
			got = lickwright("convert", "-q", "--key", "D minor", "--as", "musicxml", out)
			assert.LessOrEqual(t, got.code, exitPartly, "%s %v: %s", path, args, got.err)
			tried++
		}
	}
	assert.Greater(t, tried, 60)
}

const variationsHead = `# The variations of one lick

These are the most different variations that
` + "`lickwright vary --count 20 --scale dorian`" + ` makes of
[amber-street.tab](amber-street.tab), as degrees
(see [how they are written](../../tabtext/degrees/doc.go)) and as tab. %s What was
done stands above each in the order in which it was done, each step on the result
of the one before. The distance is that to the nearest of the lick and the
variations above; those against which something speaks come later, in order of
how much does, so it begins anew wherever that is more.

This page is made by a test (TestTwentyVariations), which fails if it is not what
the program makes; LICKWRIGHT_WRITE_DOCS=1 writes it anew.

Long repetition can hurt a hand. If it hurts or tingles, stop, rest, and ask a
teacher or a clinician.
`

// The page of variations is what the program makes.
func TestTwentyVariations(t *testing.T) {
	doc, err := tabtext.Read(strings.NewReader(read(t, example("amber-street.tab"))), "amber-street.tab", score.ReadOptions{})
	require.NoError(t, err)
	dorian, err := theory.ScaleByName("dorian")
	require.NoError(t, err)
	list, ds := transform.Variations(doc.Score(), 20, transform.VaryOptions{Seed: 1, Scale: &transform.ScaleOn{Tonic: theory.NoteName{Step: theory.A}, Scale: dorian}})
	require.Greater(t, len(list), 9, "%v", ds)
	require.LessOrEqual(t, len(list), 20)
	require.Equal(t, len(list) < 20, len(ds) == 1, "that there are fewer is said")
	found := "Twenty are asked for and found."
	if len(list) < 20 {
		found = fmt.Sprintf("Twenty are asked for; %d are good enough.", len(list))
	}
	var page bytes.Buffer
	fmt.Fprintf(&page, variationsHead, found)
	for i, v := range list {
		fmt.Fprintf(&page, "\n## %d. %s\n\nDistance %.2f.\n\n", i+1, v.Name(), v.Distance)
		for _, d := range v.Said {
			if d.Code == transform.CodeVary || d.Code == transform.CodeVaryRange || d.Code == transform.CodeVaryTechnique {
				fmt.Fprintf(&page, "- %s\n", d.Msg)
			}
		}
		var text, tab strings.Builder
		require.NoError(t, degrees.Write(&text, v.Score, score.WriteOptions{}))
		require.NoError(t, tabtext.Write(&tab, v.Score, score.WriteOptions{}))
		_, bars, _ := strings.Cut(text.String(), "\n\n")
		_, rows, _ := strings.Cut(tab.String(), "\n\n")
		fmt.Fprintf(&page, "\n```text\n%s```\n\n```text\n%s```\n", bars, rows)
	}
	path := example("variations.md")
	if os.Getenv("LICKWRIGHT_WRITE_DOCS") != "" {
		require.NoError(t, os.WriteFile(path, page.Bytes(), 0o666))
	}
	assert.Equal(t, page.String(), read(t, path))
}
