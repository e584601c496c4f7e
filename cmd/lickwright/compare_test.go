package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

func TestCompareTellsWhatDiffers(t *testing.T) {
	path := example("amber-street.tab")
	text := read(t, path)
	dir := t.TempDir()
	changed := func(old, new string) string {
		require.Equal(t, 1, strings.Count(text, old), old)
		return write(t, filepath.Join(dir, "changed.tab"), strings.Replace(text, old, new, 1))
	}
	for _, tt := range []struct {
		name, old, new string
		want           []string
	}{
		{"one fret", "B|---------8-------10--8-----------|", "B|---------8-------12--8-----------|", []string{"bar 3, beat 3\n  pitch: A4 (string 2, fret 10) → B4 (string 2, fret 12)\n"}},
		{"one technique", "G|-7-/-9----", "G|-7-h-9----", []string{"bar 3, beat 1\n  technique: D4 (string 3, fret 7): legato slide → hammer-on\n"}},
		{"one chord", "Am7                               D7", "Am7                               D9", []string{"bar 2, beat 1\n  chord: D7 → D9\n"}},
		{"the key", "Key: A minor", "Key: D minor", []string{"  key: A minor → D minor\n"}},
		{"prose", "lean on the third", "lean on the fifth", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			other := changed(tt.old, tt.new)
			across := lickwright("compare", "-q", example("amber-street.musicxml"), other)
			assert.Equal(t, tt.want == nil, across.code == exitDone, "as against the same lick in another format: %s", across.out)
			assert.Equal(t, tt.want != nil, strings.Contains(across.out, ": 1 difference\n"), across.out)
			got := lickwright("compare", path, other)
			if tt.want == nil {
				assert.Equal(t, ran{path + " and " + other + " are the same music\n", "", exitDone}, got)
				return
			}
			assert.Equal(t, exitPartly, got.code, got.err)
			assert.Contains(t, got.out, ": 1 difference\n")
			for _, w := range tt.want {
				assert.Contains(t, got.out, w)
			}
			var result jsonComparison
			asJSON := lickwright("compare", "--json", path, other)
			assert.Equal(t, exitPartly, asJSON.code)
			require.NoError(t, json.Unmarshal([]byte(asJSON.out), &result))
			assert.False(t, result.Same)
			assert.Len(t, result.Differences, 1)
		})
	}
}

// TestCompareNamesNotesByTheirChord: the third of E7 is G sharp (any handbook of
// harmony), in annotate and in compare, and also in a key that would call it A flat.
func TestCompareNamesNotesByTheirChord(t *testing.T) {
	const tab = "Key: A minor\nTime: 4/4\n\n  E7\ne|-----------------|\nB|-----------------|\nG|-1-------4---5---|\nD|-----2-----------|\nA|-----------------|\nE|-----------------|\n"
	dir := t.TempDir()
	one := write(t, filepath.Join(dir, "one.tab"), tab)
	other := write(t, filepath.Join(dir, "other.tab"), strings.Replace(tab, "G|-1--", "G|-0--", 1))
	got := lickwright("compare", "-q", one, other)
	assert.Equal(t, exitPartly, got.code, got.err)
	assert.Contains(t, got.out, "pitch: G♯3 (string 3, fret 1) → G3 (string 3, fret 0)")
}

func TestCompareUsage(t *testing.T) {
	amber := example("amber-street.tab")
	for _, tt := range []struct {
		args []string
		says []string
	}{
		{[]string{"compare", amber}, []string{"two files are compared, and 1 was given"}},
		{[]string{"compare", "-", "-"}, []string{"one of the two only"}},
		{[]string{"compare", "--only", "pitsch", amber, amber}, []string{`nothing called "pitsch"`, "did you mean pitch?"}},
	} {
		got := lickwright(tt.args...)
		assert.Equal(t, exitUsage, got.code)
		for _, s := range tt.says {
			assert.Contains(t, got.err, s)
		}
	}
	got := lickwright("compare", amber, filepath.Join(t.TempDir(), "none.tab"))
	assert.Equal(t, exitFailure, got.code)
	assert.Empty(t, got.out)
	got = lickwright("compare", "--only", "key,neck", amber, example("slow-harbour.tab"))
	assert.Equal(t, exitPartly, got.code)
	assert.NotContains(t, got.out, "pitch:")
	got = lickwrightOn(read(t, amber), "compare", "-", amber)
	assert.Equal(t, exitDone, got.code, got.out)
}

// A file does not differ from its own conversion, but for what the conversion
// said was not done or could not be carried over by any rule of the format.
func TestNothingDiffersFromItsConversion(t *testing.T) {
	lost := map[string]string{
		// A harmonic without a place that is to sound as high as it is
		// written: tab has no fret that does so.
		"32ab-Notations3.xml": "a harmonic that sounds 0 semitones above fret 8",
	}
	dir := t.TempDir()
	same := 0
	check := func(path, format string) {
		out := filepath.Join(dir, "converted."+format)
		got := lickwright("convert", "--force", "-o", out, path)
		switch {
		case got.code == exitFailure: // no notes that this format could hold
			return
		case got.code == exitPartly, lost[filepath.Base(path)] != "" && strings.Contains(got.err, lost[filepath.Base(path)]):
			return
		}
		text := read(t, out)
		if format == "tab" && !strings.ContainsAny(text, "|") {
			return
		}
		compared := lickwright("compare", "-q", path, out)
		if compared.code == exitFailure && strings.Contains(compared.err, "no notes") {
			return // there was none in the source either
		}
		assert.Equal(t, exitDone, compared.code, "%s as %s\n%s%s", path, format, compared.out, compared.err)
		same++
	}
	for i, path := range readable(t) {
		if filepath.Ext(path) != ".mxl" || i%8 == 0 {
			check(path, "tab")
		}
	}
	for _, pattern := range []string{example("*.tab"), filepath.Join(outside.Root(), "tabtext", "testdata", "found", "*.txt"), filepath.Join(outside.Root(), "tabtext", "testdata", "blind", "*.txt")} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files, pattern)
		for _, path := range files {
			check(path, "musicxml")
		}
	}
	assert.Greater(t, same, 130)
}
