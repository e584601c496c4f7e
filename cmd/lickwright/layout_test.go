package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory/fretboard"
)

// Source: the E shape of C major, its chord and pentatonic, as methods print
// them (common practice).
func TestScaleInAChordShape(t *testing.T) {
	got := lickwright("scales", "C", "major", "--scheme", "chord-shape", "--shape", "E")
	require.Equal(t, exitDone, got.code, got.err)
	for _, want := range []string{
		"C major, E shape\n", "E shape: index finger at fret 7 (position VII), frets 7 to 10\n", "   1 E4   7   1       2\n", "8 10 10 9 8 8\n",
		"C major pentatonic  8 10 | 7 10 | 7 10 | 7 9 | 8 10 | 8 10\n", "7 8 10 | 7 8 10 | 7 9 10 | 7 9 10 | 8 10 | 7 8 10\n",
	} {
		assert.Contains(t, got.out, want)
	}
	assert.NotContains(t, got.out, "Caution")
	all := lickwright("scales", "E", "major", "--scheme", "CAGED").out
	var order string
	for line := range strings.Lines(all) {
		if name, _, ok := strings.Cut(line, " shape: "); ok {
			order += name
		}
	}
	assert.Equal(t, "EDCAG", order)
	assert.Contains(t, all, "joins")
	names := lickwright("scales", "C major", "--shape", "E", "--show", "degrees,names").out
	assert.Contains(t, names, "7 B 1 C")
	assert.Contains(t, lickwright("scales", "B locrian", "--shape", "A").out, "no common pentatonic holds Bdim\n")
}

// Source: three notes per string (common practice).
func TestScaleInNotesPerString(t *testing.T) {
	got := lickwright("scales", "C major", "--scheme", "notes-per-string", "--notes", "3", "--degree", "2", "--home", "D")
	require.Equal(t, exitDone, got.code, got.err)
	for _, want := range []string{
		"10 12 13 | 10 12 14 | 10 12 14 | 10 12 14 | 12 13 15 | 12 13 15\n", "2 inside, 3 outside, 0 swept (rising, strict)\n", "40 mm up, 2 frets\n",
		"   6 E2   1       2  b3\n", "degrees count from D;", "notes shared with the chord shapes",
	} {
		assert.Contains(t, got.out, want)
	}
	held := lickwright("scales", "C major", "--scheme", "3nps", "--degree", "5", "--hold-position", "--picking", "swept")
	assert.Contains(t, held.out, "sounds twice, to hold the position: D4 (string 2)\n")
	assert.Contains(t, held.out, "5 swept")
	assert.Contains(t, held.out, "Caution: warm up first", "frets 3 to 7 are 112 mm")
	third := lickwright("scales", "A minor pentatonic", "--notes", "2", "--degree", "3")
	assert.Contains(t, third.out, "2 notes per string from b3", "a bare 3 is the third that the scale has")
}

func TestOtherSchemes(t *testing.T) {
	for _, tt := range []struct {
		args []string
		want []string
	}{
		{[]string{"--position", "5"}, []string{"position V: index finger at fret 5", "5 7 8 | 5 7 8 | 5 7 9 | 5 7 | 5 6 8 | 5 7 8"}},
		{[]string{"--frets", "5-9"}, []string{"frets 5 to 9", "5 7 8 | 5 7 8 | 5 7 9 | 5 7 | 5 6 8 | 5 7 8"}},
		{[]string{"--scheme", "window", "--frets", "5-9", "--strings", "1-3"}, []string{"- | - | - | 5 7 | 5 6 8 | 5 7 8"}},
		{[]string{"--strings", "2"}, []string{"string 2, frets 0 to 22"}},
		{[]string{"--scheme", "open"}, []string{"open position", "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3"}},
		{[]string{"--shape", "C", "--frets", "12-15"}, []string{"C shape: index finger at fret 12"}},
		{[]string{"--scheme", "chord-shape", "--tuning", "drop-d", "--shape", "6 index"}, []string{"root on string 6, middle finger: index finger at fret 9"}},
		{[]string{"--shape", "A", "--tuning", "drop-d"}, []string{"no place for", "A2"}},
		{[]string{"--shape", "E", "--capo", "2"}, []string{"capo at fret 2", "index finger at fret 5"}},
		{[]string{"--scheme", "chord-shape", "--tuning", "ukulele", "--neck-frets", "15"}, []string{"root on string 3, open: index finger at the nut"}},
	} {
		got := lickwright(append([]string{"scales", "C major"}, tt.args...)...)
		assert.Equal(t, exitDone, got.code, "%v: %s", tt.args, got.err)
		for _, want := range tt.want {
			assert.Contains(t, got.out, want, "%v", tt.args)
		}
	}
}

func TestChordsOnTheNeck(t *testing.T) {
	got := lickwright("chords", "Cm7", "--scheme", "chord-shape", "--shape", "E")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "8 10 8 8 8 8\n", "the barré form of the E shape (common practice)")
	assert.Contains(t, lickwright("chords", "C7", "--shape", "C").out, "x 3 2 3 1 0 (without 5)\n")
	triads := lickwright("chords", "C", "--strings", "1-3").out
	for _, want := range []string{"x x x 5 5 3\n", "x x x 9 8 8\n", "x x x 12 13 12\n"} {
		assert.Contains(t, triads, want, "inversions on the top strings (common practice)")
	}
	turn := lickwright("chords", "ii7 V7 | Imaj7", "--key", "C", "--frets", "5-9").out
	for _, want := range []string{"Dm7, frets 5 to 9", "G7, frets 5 to 9", "Cmaj7, frets 5 to 9"} {
		assert.Contains(t, turn, want)
	}
}

// A layout that is written in a format is read back as the places and
// pitches that JSON lists.
func TestLayoutsAreWrittenInEveryFormat(t *testing.T) {
	for _, args := range [][]string{
		{"scales", "Eb lydian", "--scheme", "chord-shape"},
		{"scales", "F# harmonic minor", "--scheme", "notes-per-string", "--notes", "3"},
		{"scales", "C major", "--scheme", "notes-per-string", "--notes", "3", "--hold-position", "--degree", "5"},
		{"scales", "D major", "--scheme", "open", "--tuning", "dadgad"},
		{"scales", "A blues", "--position", "5", "--tuning", "7-string", "--fingers"},
		{"scales", "G major", "--scheme", "chord-shape", "--tuning", "ukulele", "--neck-frets", "15"},
		{"scales", "E minor pentatonic", "--shape", "E", "--capo", "3"},
	} {
		var v layoutView
		require.NoError(t, json.Unmarshal([]byte(lickwright(append(args, "--json")...).out), &v), "%v", args)
		var want []spotView
		for _, r := range v.Items[0].Regions {
			want = append(want, r.Spots...)
		}
		for _, as := range []string{"tab", "musicxml"} {
			dir := t.TempDir()
			got := lickwright(append(args, "--as", as, "-d", dir)...)
			require.Equal(t, exitDone, got.code, "%v: %s", args, got.err)
			assert.Len(t, filesIn(t, dir), len(v.Items[0].Regions))
			whole := lickwright(append(args, "--as", as, "--quiet")...)
			require.Equal(t, exitDone, whole.code)
			ext := map[string]string{"tab": ".tab", "musicxml": ".musicxml"}[as]
			notes := musicOf(t, "x"+ext, whole.out)
			require.Len(t, notes, len(want), "%v as %s", args, as)
			for i, n := range notes {
				assert.Equal(t, fretboard.Place{String: want[i].String, Fret: want[i].Fret}, n.Place, "%v as %s", args, as)
				if as == "musicxml" {
					assert.Equal(t, want[i].Note, n.Pitch.String())
				}
			}
		}
	}
	both := lickwright("scales", "C major", "--shape", "E", "--as", "tab", "--run", "both").out
	assert.Len(t, musicOf(t, "x.tab", both), 2*17-1)
	path := filepath.Join(t.TempDir(), "x.musicxml")
	require.Equal(t, exitDone, lickwright("chords", "Am7", "--shape", "A", "-o", path).code)
	assert.Equal(t, exitFailure, lickwright("chords", "Am7", "--shape", "A", "-o", path).code, "the file exists")
}

func TestLayoutAsJSON(t *testing.T) {
	for _, args := range [][]string{{"scales", "C major", "--scheme", "chord-shape"}, {"chords", "Am7 D7", "--strings", "2-4"}, {"scales", "C 1", "--scheme", "open"}} {
		got := lickwright(append(args, "--json")...)
		assert.Equal(t, exitDone, got.code, got.err)
		assert.True(t, json.Valid([]byte(got.out)))
		assert.NotContains(t, got.out, "null", "%v", args)
	}
}

func TestSchemeFile(t *testing.T) {
	good := write(t, filepath.Join(t.TempDir(), "corner.scheme"), "scheme Corner box\nroot string 2, ring\nreach 1 0\nstrings 1-3\n")
	got := lickwright("scales", "A minor pentatonic", "--scheme-file", good)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "Corner box: index finger at fret 8")
	assert.Contains(t, got.out, "- | - | - | 7 9 | 8 10 | 8 10\n")
	bad := write(t, filepath.Join(t.TempDir(), "bad.scheme"), "scheme X\nroot string 2, thumb\n")
	got = lickwright("scales", "A minor pentatonic", "--scheme-file", bad)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, bad+`:2:6: "string 2, thumb": "thumb" is neither a string nor a finger`)
	assert.Contains(t, got.err, "hint: write its string and finger")
	assert.Equal(t, exitFailure, lickwright("scales", "C major", "--scheme-file", "not-there").code)
}

func TestLayoutErrors(t *testing.T) {
	for _, tt := range []struct {
		args []string
		want []string
	}{
		{[]string{"scales", "major", "--shape", "E"}, []string{"has no tonic", "C major"}},
		{[]string{"scales", "--shape", "E"}, []string{"there is no scale to lay out"}},
		{[]string{"scales", "C major", "--as", "tab"}, []string{"--as is for what is laid out", "--scheme chord-shape"}},
		{[]string{"scales", "C major", "--shape", "F"}, []string{"open chords C, A, G, E and D"}},
		{[]string{"scales", "C major", "--shape", "E", "--tuning", "drop-d"}, []string{"has not this form", "6 index, A, D"}},
		{[]string{"scales", "C major", "--scheme", "chord-shap"}, []string{"did you mean chord-shape?"}},
		{[]string{"scales", "C major", "--scheme", "position"}, []string{"--position 5"}},
		{[]string{"scales", "C major", "--scheme", "position", "--shape", "E"}, []string{"--shape does not go with the scheme position"}},
		{[]string{"scales", "C major", "--scheme", "notes-per-string"}, []string{"--notes 3"}},
		{[]string{"scales", "C major", "--scheme", "notes-per-string", "--notes", "x"}, []string{`"x" is no number of notes`}},
		{[]string{"scales", "--notes", "C Eb F#"}, []string{`"C" is no number of notes`, `--holding "C Eb F#"`}},
		{[]string{"chords", "--notes", "C E G"}, []string{`--holding "C E G"`}},
		{[]string{"scales", "C major", "--holding", "C", "--shape", "E"}, []string{"different things"}},
		{[]string{"scales", "C major", "--notes", "3", "--degree", "#4"}, []string{"has no degree #4"}},
		{[]string{"scales", "C major", "--notes", "3", "--degree", "x"}, []string{"--degree"}},
		{[]string{"scales", "C major", "--position", "40"}, []string{"1 to 22 of this neck, not 40"}},
		{[]string{"scales", "C major", "--frets", "x"}, []string{"--frets", "5-9"}},
		{[]string{"scales", "C major", "--strings", "7"}, []string{"strings 1 to 6, not 7"}},
		{[]string{"scales", "C major", "--strings", "x"}, []string{"--strings"}},
		{[]string{"scales", "C major", "--scheme", "open", "--picking", "x"}, []string{"strict, swept or legato"}},
		{[]string{"scales", "C major", "--scheme", "open", "--run", "x"}, []string{"up, down or both"}},
		{[]string{"scales", "C major", "--scheme", "open", "--show", "name"}, []string{"did you mean names?"}},
		{[]string{"scales", "C major", "--scheme", "open", "--home", "H"}, []string{"--home"}},
		{[]string{"scales", "C major", "--scheme", "open", "--tuning", "x"}, []string{"--tuning"}},
		{[]string{"scales", "C major", "--scheme", "open", "--scale-length", "1"}, []string{"--scale-length"}},
		{[]string{"scales", "C major", "--scheme", "open", "--compare", "C minor"}, []string{"different things"}},
		{[]string{"chords", "--shape", "E"}, []string{"there is no chord to lay out"}},
		{[]string{"chords", "N.C.", "--shape", "E"}, []string{"names no chord"}},
		{[]string{"chords", "Am7", "--capo", "2"}, []string{"--capo is for what is laid out"}},
		{[]string{"chords", "Am7", "--shape", "E", "--scale", "C major"}, []string{"different things"}},
	} {
		got := lickwright(tt.args...)
		assert.Equal(t, exitUsage, got.code, "%v", tt.args)
		assert.Empty(t, got.out, "%v", tt.args)
		for _, want := range tt.want {
			assert.Contains(t, got.err, want, "%v", tt.args)
		}
	}
}
