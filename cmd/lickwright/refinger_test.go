package main

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// soundsOfText lists what sounds in a text.
func soundsOfText(t testing.TB, name, text string) (list []int) {
	t.Helper()
	for _, n := range musicOf(t, name, text) {
		list = append(list, n.Sounding())
	}
	return list
}

// Every scheme, from the command line: what sounds stays, and the notes lie
// where they are asked to, or are named.
func TestRefingerByEveryScheme(t *testing.T) {
	amber := example("amber-street.tab")
	want := soundsOfText(t, "x.tab", read(t, amber))
	for _, tt := range []struct {
		flags []string
		in    func(fretboard.Place) bool
	}{
		{[]string{"--scheme", "free"}, nil},
		{[]string{"--scheme", "chord-shape", "--shape", "E"}, func(p fretboard.Place) bool { return 4 <= p.Fret && p.Fret <= 8 || p.Fret >= 16 }},
		{[]string{"--scheme", "3nps"}, nil},
		{[]string{"--notes", "3", "--degree", "2"}, nil},
		{[]string{"--position", "9"}, func(p fretboard.Place) bool { return 8 <= p.Fret && p.Fret <= 13 }},
		{[]string{"--scheme", "window", "--frets", "9-13"}, func(p fretboard.Place) bool { return 9 <= p.Fret && p.Fret <= 13 }},
		{[]string{"--strings", "1-3"}, func(p fretboard.Place) bool { return p.String <= 3 }},
		{[]string{"--scheme", "open"}, func(p fretboard.Place) bool { return p.Fret <= 4 }},
		{[]string{"--scheme", "free", "--frets", "5-12", "--strings", "2-4"}, func(p fretboard.Place) bool { return 5 <= p.Fret && p.Fret <= 12 && p.String >= 2 && p.String <= 4 }},
	} {
		got := lickwright(append(append([]string{"refinger"}, tt.flags...), amber)...)
		require.Equal(t, exitDone, got.code, "%v: %s", tt.flags, got.err)
		assert.Equal(t, want, soundsOfText(t, "x.tab", got.out), "%v", tt.flags)
		if tt.in == nil {
			continue
		}
		outside := 0
		for _, n := range musicOf(t, "x.tab", got.out) {
			if !tt.in(n.Place) {
				outside++
			}
		}
		named := strings.Contains(got.err, " beyond ") || strings.Contains(got.err, " outside ")
		assert.Equal(t, outside > 0, named, "%v: %d outside\n%s%s", tt.flags, outside, got.out, got.err)
		assert.Less(t, outside, 6, "%v", tt.flags)
	}
}

// A scheme file, as lickwright scales takes it.
func TestRefingerByASchemeFile(t *testing.T) {
	file := write(t, filepath.Join(t.TempDir(), "corner.scheme"), "scheme Corner box\nindex 7\ncover 5\nstrings 1-4\n")
	got := lickwright("refinger", "-q", "--scheme-file", file, example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	in := 0
	all := musicOf(t, "x.tab", got.out)
	for _, n := range all {
		if 7 <= n.Place.Fret && n.Place.Fret <= 11 {
			in++
		}
	}
	assert.Greater(t, in, len(all)*3/4)
}

// Fingers are written to both formats, read back from both, and the same.
func TestRefingerWritesFingers(t *testing.T) {
	var list [2][]score.Finger
	for i, name := range []string{"amber-street.tab", "amber-street.musicxml"} {
		got := lickwright("refinger", "--fingers", "--keep", "strings,frets", example(name))
		require.Equal(t, exitDone, got.code, got.err)
		for _, n := range musicOf(t, name, got.out) {
			if n.TieStop {
				continue
			}
			assert.NotEqual(t, score.NoFinger, n.Finger, "%s: %v", name, n.Place)
			list[i] = append(list[i], n.Finger)
		}
		again := lickwrightOn(got.out, "refinger", "--fingers", "--keep", "strings,frets,fingers", "-")
		assert.Equal(t, got.out, again.out, "what is kept stays")
	}
	assert.Equal(t, list[0], list[1])
}

// Where the fingering is kept as it is written, the file stays byte for byte.
func TestRefingerKeepsWhatItIsTold(t *testing.T) {
	for _, name := range []string{"amber-street.tab", "amber-street.musicxml", "lantern-riff.tab", "window-chords.tab"} {
		got := lickwright("refinger", "-q", "--keep", "strings,frets", example(name))
		require.Equal(t, exitDone, got.code, got.err)
		assert.Equal(t, read(t, example(name)), got.out, name)
		diff := lickwright("refinger", "-q", "--keep", "strings,frets", "--diff", example(name))
		assert.Equal(t, exitDone, diff.code)
		assert.Empty(t, diff.out)
	}
}

func TestRefingerFollowsChords(t *testing.T) {
	got := lickwright("refinger", "--follow-chords", "--frets", "4-10", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "shapes: Am7 ")
	for _, n := range musicOf(t, "x.tab", got.out) {
		assert.True(t, 4 <= n.Place.Fret && n.Place.Fret <= 10, "%v", n.Place)
	}
	// The chords of the bundled example, in one region: every tone stays that
	// tone, and four fifths of them lie within the frets.
	chords := example("window-chords.tab")
	got = lickwright("refinger", "-q", "--follow-chords", "--fold", "--frets", "5-9", chords)
	require.Equal(t, exitDone, got.code, got.err)
	before, after := musicOf(t, "x.tab", read(t, chords)), musicOf(t, "x.tab", got.out)
	require.Len(t, after, len(before))
	var was, is []int
	in := 0
	for i := range after {
		was, is = append(was, before[i].Pitch.MIDI()%12), append(is, after[i].Pitch.MIDI()%12)
		if 5 <= after[i].Place.Fret && after[i].Place.Fret <= 9 {
			in++
		}
	}
	assert.ElementsMatch(t, was, is)
	assert.GreaterOrEqual(t, 5*in, 4*len(after))
}

func TestRefingerFolds(t *testing.T) {
	low := "Tuning: standard\nTime: 4/4\n\n" +
		"e|-----------------|\nB|-----------------|\nG|-----------------|\nD|-----------------|\nA|-----------------|\nE|-1---3---5---3---|\n   1   2   3   4\n"
	got := lickwrightOn(low, "refinger", "--position", "7", "--fold", "-")
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "folded into position VII, now an octave up")
	for _, n := range musicOf(t, "x.tab", got.out) {
		assert.True(t, 6 <= n.Place.Fret && n.Place.Fret <= 11)
	}
}

// Notation without strings gets them, with the tuning that was said; and what
// the neck does not have is named, and the exit code says so.
func TestRefingerOfNotation(t *testing.T) {
	tune := filepath.Join(t.TempDir(), "tune.musicxml")
	write(t, tune, `<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Tune</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>2</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes><note><pitch><step>D</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type></note><note><pitch><step>C</step><octave>1</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type></note></measure></part></score-partwise>`)
	got := lickwright("refinger", "--tuning", "dadgad", tune)
	assert.Equal(t, exitPartly, got.code)
	assert.Contains(t, got.err, "bar 1, beat 2: C1 has no place")
	// C2 is below the lowest string too.
	assert.Contains(t, got.err, "2 octaves up it lies on string 5, fret 3")
	assert.Contains(t, got.out, "<fret>")
	assert.Contains(t, got.out, "<staff-tuning")
	strict := lickwright("refinger", "--tuning", "dadgad", "--strict", tune)
	assert.Equal(t, exitPartly, strict.code)
	assert.Empty(t, strict.out, "nothing is written")
	tab := lickwright("refinger", "--tuning", "dadgad", "--as", "tab", tune)
	assert.Contains(t, tab.out, "D2 A2 D3 G3 A3 D4")
}

func TestRefingerAlternatives(t *testing.T) {
	got := lickwright("refinger", "-q", "--alternatives", "3", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 3, strings.Count(got.out, "== way "))
	dir := t.TempDir()
	got = lickwright("refinger", "-q", "--alternatives", "3", "-d", dir, example("amber-street.musicxml"))
	require.Equal(t, exitDone, got.code, got.err)
	files := filesIn(t, dir)
	require.Len(t, files, 3)
	texts := map[string]bool{}
	for _, f := range files {
		texts[read(t, filepath.Join(dir, f))] = true
	}
	assert.Len(t, texts, 3, "all differ")
	got = lickwright("refinger", "--alternatives", "2", example("amber-street.musicxml"))
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.err, "-d FOLDER")
}

func TestRefingerWhyNot(t *testing.T) {
	amber := example("amber-street.tab")
	got := lickwright("refinger", "--why-not", amber)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "the fingering costs ")
	assert.Contains(t, got.out, "bar 3: loses ")
	assert.Contains(t, got.out, "one pitch at two places")
	best := write(t, filepath.Join(t.TempDir(), "best.tab"), lickwright("refinger", "-q", amber).out)
	got = lickwright("refinger", "--why-not", best, amber)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, "there is no better fingering\n", got.out)
	wrong := write(t, filepath.Join(t.TempDir(), "wrong.tab"), "e|-12-|\nB|----|\nG|----|\nD|----|\nA|----|\nE|-5--|\n   1\n")
	got = lickwright("refinger", "-q", "--why-not", wrong)
	assert.Contains(t, got.out, "it breaks a rule: no hand holds these 2 notes at once")
	never := write(t, filepath.Join(t.TempDir(), "never.tab"), "e|-12-|\nB|----|\nG|----|\nD|----|\nA|----|\nE|-1--|\n   1\n")
	assert.Contains(t, lickwright("refinger", "-q", "--why-not", never).out, "no fingering plays this")
	got = lickwright("refinger", "--why-not", wrong, amber)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "it is not the music of")
}

// A small hand is asked for less. Source: frets 1 to 5 of 648 mm are 126 mm
// apart, by the table of fret distances.
func TestRefingerTakesTheHandIntoAccount(t *testing.T) {
	wide := "e|---|\nB|-1-|\nG|---|\nD|---|\nA|---|\nE|-5-|\n   1\n"
	normal := lickwrightOn(wide, "refinger", "--keep", "strings,frets", "-")
	assert.Equal(t, exitDone, normal.code, normal.err)
	assert.Contains(t, normal.err, "wide stretches")
	assert.Contains(t, normal.err, "see a teacher or a clinician")
	small := lickwrightOn(wide, "refinger", "--keep", "strings,frets", "--span", "small", "-")
	assert.Equal(t, exitPartly, small.code)
	assert.Contains(t, small.err, "no hand holds")
	short := lickwrightOn(wide, "refinger", "--keep", "strings,frets", "--span", "small", "--scale-length", "350", "-")
	assert.Equal(t, exitDone, short.code, short.err)
}

func TestRefingerUsage(t *testing.T) {
	amber, waltz := example("amber-street.tab"), example("kitchen-waltz.tab")
	for _, tt := range []struct {
		args       []string
		code       int
		says, hint string
	}{
		{[]string{"--scheme", "chordshape", amber}, exitUsage, "there is no scheme", "did you mean chord-shape?"},
		{[]string{"--scheme", "free", "--shape", "E", amber}, exitUsage, "--shape does not go with the scheme free", ""},
		{[]string{"--scheme", "position", amber}, exitUsage, "needs the fret", "--position 5"},
		{[]string{"--position", "40", amber}, exitUsage, "", ""},
		{[]string{"--notes", "C E", amber}, exitUsage, "is no number of notes", "say 1 to"},
		{[]string{"--scheme", "chord-shape", waltz}, exitFailure, "its key is not known", "--scale"},
		{[]string{"--scheme", "chord-shape", "--scale", "dorian", waltz}, exitFailure, "its key is not known", `"A dorian"`},
		{[]string{"--follow-chords", waltz}, exitFailure, "no chord symbols", "write them"},
		{[]string{"--follow-chords", "--position", "5", amber}, exitUsage, "stays where it is", "chord-shape follows"},
		{[]string{"--span", "smal", amber}, exitUsage, "is no reach", "did you mean small?"},
		{[]string{"--span", "9", amber}, exitUsage, "no hand reaches", "126"},
		{[]string{"--scale-length", "1", amber}, exitUsage, "no length of a string", "648"},
		{[]string{"--keep", "notes", amber}, exitUsage, "is none of strings", ""},
		{[]string{"--alternatives", "0", amber}, exitUsage, "it takes 1 to", ""},
		{[]string{"--why-not", amber, "--fold"}, exitUsage, "do not go together", "writes none"},
		{[]string{"--why-not", amber, amber, waltz}, exitUsage, "judges one fingering", ""},
		{[]string{"--why-not", "nowhere.tab"}, exitFailure, "cannot be read", ""},
		{[]string{"--part", "7", amber}, exitUsage, "there is no part", "the parts are"},
	} {
		got := lickwright(append([]string{"refinger"}, tt.args...)...)
		assert.Equal(t, tt.code, got.code, "%v: %s", tt.args, got.err)
		assert.Empty(t, got.out, "%v", tt.args)
		assert.Contains(t, got.err, tt.says, "%v", tt.args)
		assert.Contains(t, got.err, tt.hint, "%v", tt.args)
	}
}

func TestRelocateListsAndPicks(t *testing.T) {
	amber := example("amber-street.tab")
	list := lickwright("relocate", amber)
	require.Equal(t, exitDone, list.code, list.err)
	assert.Contains(t, list.out, "as written")
	assert.Contains(t, list.out, "E shape")
	got := lickwright("relocate", "--json", amber)
	require.Equal(t, exitDone, got.code, got.err)
	var v struct {
		Files []struct {
			File string
			Ways []struct {
				Low, High int
				Strings   []int
				Cost      float64
				Written   bool
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got.out), &v))
	require.Len(t, v.Files, 1)
	ways := v.Files[0].Ways
	require.Greater(t, len(ways), 3)
	want := soundsOfText(t, "x.tab", read(t, amber))
	for i, w := range ways {
		picked := lickwright("relocate", "-q", "--pick", fmt.Sprint(i+1), amber)
		require.Equal(t, exitDone, picked.code, picked.err)
		assert.Equal(t, want, soundsOfText(t, "x.tab", picked.out))
		low, high := 0, 0
		for _, n := range musicOf(t, "x.tab", picked.out) {
			if f := n.Place.Fret; f > 0 {
				if low == 0 || f < low {
					low = f
				}
				high = max(high, f)
			}
		}
		assert.Equal(t, [2]int{w.Low, w.High}, [2]int{low, high}, "way %d", i+1)
		if w.Written {
			assert.Equal(t, read(t, amber), picked.out, "the way that is written is the file itself")
		}
	}
	// --all lists the hard ones too, and picks from them.
	all := lickwright("relocate", "--all", amber)
	require.Equal(t, exitDone, all.code, all.err)
	assert.Contains(t, all.out, "23 notes, 15 ways")
	assert.Contains(t, list.out, "6 ways that would be much harder left out")
	assert.NotContains(t, all.out, "left out")
	picked := lickwright("relocate", "-q", "--all", "--pick", "15", amber)
	require.Equal(t, exitDone, picked.code, picked.err)
	assert.Equal(t, want, soundsOfText(t, "x.tab", picked.out))
	// In both formats the ways are the same.
	xml := lickwright("relocate", "-q", example("amber-street.musicxml"))
	_, a, _ := strings.Cut(list.out, "\n")
	_, b, _ := strings.Cut(xml.out, "\n")
	assert.Equal(t, a, b)
}

// What is said of one position is not like what is said of another.
func TestManyWarningsAreCountedByPosition(t *testing.T) {
	got := lickwright("refinger", "--scheme", "chord-shape", "--all-positions", example("seven-stairs.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	seen := map[string]int{}
	for line := range strings.Lines(got.err) {
		if rest, ok := strings.CutPrefix(line, "and "); ok {
			_, rest, _ = strings.Cut(rest, "more like this: ")
			position, rest, _ := strings.Cut(rest, ": ")
			seen[position]++
			assert.Contains(t, rest, position)
		}
	}
	assert.Greater(t, len(seen), 1, got.err)
	for position, n := range seen {
		assert.Equal(t, 1, n, position)
	}
}

func TestRelocateToFrets(t *testing.T) {
	got := lickwright("relocate", "--frets", "9-13", "--fold", example("amber-street.musicxml"))
	require.Equal(t, exitDone, got.code, got.err)
	outside := 0
	for _, n := range musicOf(t, "x.musicxml", got.out) {
		if n.Place.Fret < 9 || n.Place.Fret > 13 {
			outside++
		}
	}
	assert.LessOrEqual(t, outside, 1)
	octaves := lickwright("relocate", "--fold", example("amber-street.tab"))
	assert.Contains(t, octaves.out, "OCTAVE")
	dir := t.TempDir()
	got = lickwright("relocate", "-q", "--frets", "5-9", "-d", dir, example("amber-street.tab"), example("seven-stairs.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Len(t, filesIn(t, dir), 2)
}

func TestRelocateUsage(t *testing.T) {
	amber := example("amber-street.tab")
	for _, tt := range []struct {
		args       []string
		code       int
		says, hint string
	}{
		{[]string{"--pick", "0", amber}, exitUsage, "numbered from 1", "lists them"},
		{[]string{"--pick", "99", amber}, exitUsage, "no number 99", "lists them"},
		{[]string{"--pick", "10", amber}, exitUsage, "there are 9 ways", "--all"},
		{[]string{"--all", "--frets", "5-9", amber}, exitUsage, "--all is for the list of ways", ""},
		{[]string{"--pick", "1", "--frets", "5-9", amber}, exitUsage, "two places", ""},
		{[]string{"--pick", "1", "--json", amber}, exitUsage, "--json is for the list", ""},
		{[]string{"--frets", "20-30", amber}, exitUsage, "the neck ends at fret 22", "--neck-frets"},
		{[]string{"--frets", "x", amber}, exitUsage, "--frets", "5-9"},
		{[]string{"-o", "x.tab", amber}, exitUsage, "the list of ways", "--pick N"},
		{[]string{"--scale", "nonsense", amber}, exitUsage, "--scale", ""},
		{[]string{"nowhere.tab"}, exitFailure, "cannot be read", ""},
	} {
		got := lickwright(append([]string{"relocate"}, tt.args...)...)
		assert.Equal(t, tt.code, got.code, "%v: %s", tt.args, got.err)
		assert.Empty(t, got.out, "%v", tt.args)
		assert.Contains(t, got.err, tt.says, "%v", tt.args)
		assert.Contains(t, got.err, tt.hint, "%v", tt.args)
	}
}

// Over every file: what sounds stays, and valid files stay valid. Source: the
// MusicXML 4.0 schema of the W3C, by the program xmllint.
func TestRefingerOverTheCorpus(t *testing.T) {
	xmllint := outside.Program(t, "xmllint")
	schema := outside.Shared(t, "data", "musicxml-schema", "musicxml-local.xsd")
	invalid := func(files []string) string {
		out, _ := exec.Command(xmllint, append([]string{"--nonet", "--noout", "--schema", schema}, files...)...).CombinedOutput()
		return string(out)
	}
	dir := t.TempDir()
	var before, after []string
	flags := [][]string{{"--fingers"}, {"--frets", "5-9"}, {"--scheme", "chord-shape", "--scale", "C major"}}
	for i, path := range readable(t) {
		if i%3 != 0 {
			continue
		}
		name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)) + ".musicxml"
		old := write(t, filepath.Join(dir, "old-"+name), plainXML(t, path, read(t, path)))
		got := lickwright(append(append([]string{"refinger", "-q"}, flags[i/3%len(flags)]...), old)...)
		if got.code == exitFailure && strings.Contains(got.err, "there is no part in it for strings and frets") {
			continue
		}
		if !assert.Contains(t, []int{exitDone, exitPartly}, got.code, "%s: %s", path, got.err) {
			continue
		}
		if !strings.Contains(got.out, "<harmonic") { // without a place, a harmonic does not say which of its pitches it names
			assert.Equal(t, soundsOfText(t, name, read(t, old)), soundsOfText(t, name, got.out), path)
		}
		before, after = append(before, old), append(after, write(t, filepath.Join(dir, "new-"+name), got.out))
	}
	wrong := invalid(before)
	for i, file := range after {
		if linesWith(wrong, filepath.Base(before[i])+" fails to validate") == "" {
			assert.Empty(t, linesWith(invalid([]string{file}), "fails to validate"), file)
		}
	}
}
