package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What tells one version from the others is said of each of them.
func TestVersionsAreDescribedEach(t *testing.T) {
	got := lickwright("vary", "--count", "8", "-d", t.TempDir(), example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	for i := 1; i <= 8; i++ {
		assert.Regexp(t, fmt.Sprintf(`(?m)note: %d: `, i), got.err)
	}
	assert.NotContains(t, got.err, "more like this: 8: ")
}

// A tab that keeps its lines is cut where they are longer than a width; where a width has
// no effect that is said.
func TestWidthOfTab(t *testing.T) {
	in := example("amber-street.tab")
	whole := lickwright("convert", "-q", "--as", "tab", in)
	assert.Equal(t, read(t, in), whole.out)
	for _, args := range [][]string{{"convert", "--as", "tab"}, {"transpose", "--to", "C minor"}, {"annotate"}, {"refinger"}} {
		got := lickwright(append(append(args, "--width", "40"), in)...)
		require.Equal(t, exitDone, got.code, "%v %s", args, got.err)
		plain := lickwright(append(args, in)...)
		rows, long := 0, 0
		for line := range strings.Lines(got.out) {
			if strings.Contains(line, "--") && strings.Contains(line, "|") {
				rows++
				long += len(strings.TrimSpace(line)) / 46 // a bar is not cut
			}
		}
		assert.Zero(t, long, "%v\n%s", args, got.out)
		assert.Greater(t, rows, strings.Count(plain.out, "--|\n"), args)
		assert.NotContains(t, got.err, "has no effect")
		again := lickwrightOn(got.out, "convert", "-q", "--as", "degrees")
		assert.Equal(t, lickwrightOn(plain.out, "convert", "-q", "--as", "degrees").out, again.out, args)
	}
	got := lickwright("transpose", "--to", "C minor", "--width", "40", "--as", "musicxml", in)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "--width is for the lines of tab, and the result is MusicXML: it has no effect")

	xml := lickwright("convert", "-q", "--as", "musicxml", in)
	require.Equal(t, exitDone, xml.code)
	got = lickwrightOn(xml.out, "convert", "--as", "tab", "--width", "40")
	require.Equal(t, exitDone, got.code, got.err)
	for line := range strings.Lines(got.out) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSpace(line)), 46, line) // a bar is not cut
	}
}

// A sheet of music without a title is called as its file is.
func TestASheetWithoutATitle(t *testing.T) {
	dir := t.TempDir()
	in := write(t, filepath.Join(dir, "two_doors-down.tab"), "Key: G\nTime: 4/4\n\ne|---------|\nB|---------|\nG|-5-7-9-7-|\nD|---------|\nA|---------|\nE|---------|\n   1 2 3 4\n")
	out := filepath.Join(dir, "x.html")
	require.Equal(t, exitDone, lickwright("convert", "-o", out, in).code)
	assert.Contains(t, read(t, out), "<title>Two doors down</title>")
	got := lickwrightOn(read(t, in), "convert", "--as", "html")
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "<title>Practice sheet</title>")
}
