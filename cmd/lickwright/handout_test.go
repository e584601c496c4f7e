package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

func exampleFile(name string) string {
	return filepath.Join(outside.Root(), "testdata", "examples", name)
}

// A lick in all keys is one sheet with a heading for each; the words around
// the tab are on it, so nothing is said to be lost.
func TestSheetOfAllKeys(t *testing.T) {
	out := filepath.Join(t.TempDir(), "lesson.html")
	got := lickwright("transpose", "--all-keys", "--up", exampleFile("slow-harbour.tab"), "-o", out)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Empty(t, got.out)
	assert.NotContains(t, got.err, "not carried over")
	text := read(t, out)
	assert.Equal(t, 12, strings.Count(text, `<section class="piece`))
	assert.Contains(t, text, "<h2>F♯ minor</h2>")
	assert.Contains(t, text, "let the open strings do half of the work")
	assert.Contains(t, text, "see a teacher or a clinician")
	assert.NotContains(t, text, "Worksheet")

	again := lickwright("transpose", "--all-keys", exampleFile("slow-harbour.tab"), "-o", out)
	assert.Equal(t, exitFailure, again.code, "it is there already")
	assert.Equal(t, text, read(t, out))
}

// With a folder each key is a sheet of its own.
func TestSheetForEachKey(t *testing.T) {
	dir := t.TempDir()
	got := lickwright("transpose", "--all-keys", "-q", "--as", "html", "-d", dir, exampleFile("slow-harbour.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, files, 12)
	for _, f := range files {
		assert.Equal(t, ".html", filepath.Ext(f.Name()))
		assert.Equal(t, 1, strings.Count(read(t, filepath.Join(dir, f.Name())), `<section class="piece`))
	}
}

// Positions of a scale are headings with their picture of the neck and their
// run; notation without a neck is put on one.
func TestSheetsOfOtherThings(t *testing.T) {
	got := lickwright("scales", "C major", "--scheme", "chord-shape", "--as", "html")
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 5, strings.Count(got.out, `<figure class="neck"`))
	assert.Contains(t, got.out, "<h1>C major, chord shapes</h1>")

	got = lickwright("chords", "Am7", "--shape", "E", "--as", "html")
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 1, strings.Count(got.out, `<figure class="neck"`))

	got = lickwright("convert", "--as", "html", outside.Shared(t, "data", "musicxml-suite", "01b-Pitches-Intervals.xml"))
	assert.LessOrEqual(t, got.code, exitPartly, got.err)
	assert.Contains(t, got.out, ` data-string="1"`)
	assert.Contains(t, got.err, "no strings and frets")
}

func TestWorksheetFlag(t *testing.T) {
	got := lickwright("convert", "--worksheet", "--as", "html", exampleFile("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, `<h2 class="answers">Answers</h2>`)
	assert.Contains(t, got.out, "How many are there?")
	for _, args := range [][]string{{"--as", "tab"}, {"-o", "x.musicxml"}, {}} {
		wrong := lickwright(append([]string{"convert", "--worksheet", exampleFile("amber-street.tab")}, args...)...)
		assert.Equal(t, exitUsage, wrong.code)
		assert.Contains(t, wrong.err, "-o sheet.html")
	}
	for _, wrong := range []struct{ args, says string }{
		{"--worksheet=nome", "did you mean name?"}, {"--answers=only", "say --worksheet"}, {"--worksheet --answers=onyl", "did you mean only?"},
	} {
		got := lickwright(append([]string{"convert", "--as", "html", exampleFile("amber-street.tab")}, strings.Fields(wrong.args)...)...)
		assert.Equal(t, exitUsage, got.code)
		assert.Contains(t, got.err, wrong.says)
	}
	_, err := os.Stat("x.musicxml")
	assert.Error(t, err)
}

// A sheet is written only: it cannot be read back, and says so.
func TestSheetIsNoInput(t *testing.T) {
	out := filepath.Join(t.TempDir(), "lesson.html")
	require.Equal(t, exitDone, lickwright("convert", exampleFile("amber-street.tab"), "-o", out).code)
	got := lickwright("convert", "--as", "tab", out)
	assert.Equal(t, exitFailure, got.code)
	assert.NotEmpty(t, got.err)
	assert.Empty(t, got.out)
}
