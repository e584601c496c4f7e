package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

// TestAnnotateAndClear: what annotate puts on, --clear takes off: the bytes are
// those of the file, for every example and for shared files of each kind. Of a
// compressed file it is the text in it that is compared.
func TestAnnotateAndClear(t *testing.T) {
	files, err := filepath.Glob(example("*"))
	require.NoError(t, err)
	for _, pattern := range []string{"musicxml-suite/*", "musicxml-tab/*", "musicxml-songs/lc50*"} {
		found, err := filepath.Glob(filepath.Join(outside.Shared(t, "data"), pattern))
		require.NoError(t, err)
		files = append(files, found...)
	}
	found, err := filepath.Glob(filepath.Join(outside.Root(), "tabtext", "testdata", "found", "*.txt"))
	require.NoError(t, err)
	files = append(files, found...)
	flags := [][]string{
		nil,
		{"--show", "degrees,chord-tones,roles,names,intervals", "--chords", "Am7 | D7 G7 | %", "--color"},
		{"--scale", "A minor pentatonic", "--show", "degrees,roles", "--home", "C", "--chords", "C | F G7"},
	}
	dir := t.TempDir()
	count := 0
	for i, path := range files {
		ext := filepath.Ext(path)
		f, ok := formatOfPath(path)
		if !ok || f.read == nil || refused()[filepath.Base(path)] != "" {
			continue
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		on, off := filepath.Join(dir, "on"+ext), filepath.Join(dir, "off"+ext)
		args := append([]string{"annotate", "-q", "--force", "-o", on}, flags[i%len(flags)]...)
		got := lickwright(append(args, path)...)
		if got.code == exitFailure && lickwright("convert", "-q", path).code == exitFailure {
			continue // it is no tab
		}
		require.Equal(t, exitDone, got.code, "%s: %s", path, got.err)
		require.Equal(t, exitDone, lickwright("annotate", "-q", "--force", "--clear", "-o", off, on).code, path)
		back, err := os.ReadFile(off)
		require.NoError(t, err)
		if ext == ".mxl" {
			data, back = unzipped(t, data), unzipped(t, back)
		}
		require.Equal(t, string(data), string(back), "%s %v", path, flags[i%len(flags)])
		count++
	}
	assert.Greater(t, count, 150)
}

// unzipped returns the music in a compressed file.
func unzipped(t *testing.T, data []byte) []byte {
	t.Helper()
	in := filepath.Join(t.TempDir(), "x.mxl")
	require.NoError(t, os.WriteFile(in, data, 0o600))
	got := lickwright("convert", "-q", "--as", "musicxml", in)
	require.Equal(t, exitDone, got.code)
	return []byte(got.out)
}

// TestAnnotateTab: rows stand under their notes, in the order that the model
// has, and a legend explains them.
func TestAnnotateTab(t *testing.T) {
	got := lickwright("annotate", "--show", "degrees,chord-tones,roles,names,intervals", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, `
   4   &     1   &   2   &   3   &   4   &     1   &   2       3      (4)  &
   b3  4     5   1       1   b7  5   4   b3    1   b7  6                   b3  (degree)
   b3 (11)   5   R       R   b7  5  (11) b3    5  (11) 3                   b7  (chord-tone)
       p                            >p             p  (role)
   C   D     E   A       A   G   E   D   C     A   G   F#                  C  (name)
       M2    M2  P4      P1 -M2 -m3 -M2 -M2   -m3 -M2 -m2                  d5  (interval)
`)
	assert.Contains(t, got.out, "\nLabels: role: p passing, > accented\n")
	back := lickwright("annotate", "--clear", "--show", "chord-tones,roles,names,intervals", "-")
	assert.Equal(t, exitFailure, back.code, "nothing came")
}

// TestAnnotateKinds: kinds are put on and taken off one by one.
func TestAnnotateKinds(t *testing.T) {
	dir := t.TempDir()
	all, some := filepath.Join(dir, "all.tab"), filepath.Join(dir, "some.tab")
	require.Equal(t, exitDone, lickwright("annotate", "-o", all, example("amber-street.tab")).code)
	require.Equal(t, exitDone, lickwright("annotate", "--clear", "--show", "roles,chord-tones", "-o", some, all).code)
	left, err := os.ReadFile(some)
	require.NoError(t, err)
	alone := lickwright("annotate", "--show", "degrees", example("amber-street.tab"))
	assert.Equal(t, alone.out, string(left))
	again := lickwright("annotate", "--show", "role", some)
	assert.Contains(t, again.out, "(degree)\n       p                            >p             p  (role)\n")
	diff := lickwright("annotate", "--clear", "--diff", some)
	assert.Equal(t, exitPartly, diff.code)
	assert.Contains(t, diff.out, "\n-Labels: degree: counted from A minor\n")
}

// TestAnnotateKeepsWhatIsOurs: words, colours and rows of the file's own stay.
func TestAnnotateKeepsOwnRows(t *testing.T) {
	for name, tab := range map[string]string{
		"rows":  "  Am\ne|-5---8---5-|\nB|-----------|\nG|-----------|\nD|-----------|\nA|-----------|\nE|-----------|\n   one two three\n   1   4   1  (fingers)\n\nLabels: mine\n",
		"end":   "e|-5---8---5-|\nB|-----------|\nG|-----------|\nD|-----------|\nA|-----------|\nE|-----------|",
		"crlf":  "Key: Am\r\n\r\ne|-5---8---5-|\r\nB|-----------|\r\nG|-----------|\r\nD|-----------|\r\nA|-----------|\r\nE|-----------|\r\nGood luck",
		"mail":  "> e|-5---8---5-|\n> B|-----------|\n> G|-----------|\n> D|-----------|\n> A|-----------|\n> E|-----------|\n> \n> bye\n",
		"html":  "<pre>\ne|-5---8---5-|\nB|-----------|\nG|-----------|\nD|-----------|\nA|-----------|\nE|-----------|\n</pre>\n",
		"grace": "e|-g7-8---5-|\nB|----------|\nG|----------|\nD|----------|\nA|----------|\nE|----------|\n",
	} {
		dir := t.TempDir()
		in, on := filepath.Join(dir, "in.tab"), filepath.Join(dir, "on.tab")
		require.NoError(t, os.WriteFile(in, []byte(tab), 0o600))
		got := lickwright("annotate", "--key", "A minor", "--chords", "Am", "-o", on, in)
		require.Equal(t, exitDone, got.code, name+got.err)
		text, err := os.ReadFile(on)
		require.NoError(t, err)
		assert.True(t, bytes.Contains(text, []byte("(chord-tone)")), "%s:\n%s", name, text)
		for _, l := range strings.Split(tab, "\n") {
			assert.Contains(t, string(text), strings.TrimRight(l, "\r"), name)
		}
		clear := lickwright("annotate", "--clear", on)
		assert.Equal(t, tab, clear.out, "%s: %s\n%s", name, clear.err, text)
	}
}

func TestAnnotateUsage(t *testing.T) {
	for _, tc := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"--show", "degreees"}, exitUsage, "did you mean degrees?"},
		{[]string{"--show", "colours"}, exitUsage, "there are degrees, chord-tones, roles, names, intervals"},
		{[]string{"--clear", "--home", "D"}, exitUsage, "--home is for putting them on"},
		{[]string{"--clear", "--color"}, exitUsage, "exclude each other"},
		{[]string{"--home", "H"}, exitUsage, "--home"},
		{[]string{"--home", "D dorian"}, exitUsage, `--scale "D dorian"`},
		{[]string{"--chords", "Am7 | Q"}, exitUsage, "--chords"},
		{[]string{"--chords", "| % |"}, exitUsage, "no bar before"},
		{[]string{"--scale", "C bluesy"}, exitUsage, "--scale"},
		{[]string{"--part", "9"}, exitUsage, "there is no part"},
	} {
		got := lickwright(append(append([]string{"annotate"}, tc.args...), example("amber-street.tab"))...)
		assert.Equal(t, tc.code, got.code, tc.args)
		assert.Contains(t, got.err, tc.says, tc.args)
	}
	got := lickwright("annotate", "--scale", "dorian", example("kitchen-waltz.tab"))
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "its key is not known")
	assert.Contains(t, lickwright("annotate", example("kitchen-waltz.tab")).err, "D major, the key that the notes speak for (36 %); they leave it open")
	assert.Contains(t, lickwright("annotate", "--home", "D", "--show", "degrees", example("amber-street.tab")).err, "with D as home the notes of A minor are D dorian")
}
