package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// notesOf reads a file and lists its notes: when, how long, what sounds and
// where it lies.
func notesOf(t testing.TB, name, text string) []string {
	t.Helper()
	f, ok := formatOfPath(name)
	require.True(t, ok)
	doc, err := f.read(strings.NewReader(text), name, score.ReadOptions{})
	require.NoError(t, err)
	var list []string
	var start score.Quarters
	for _, m := range doc.Score().Parts[0].Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				list = append(list, fmt.Sprintf("at %s for %s: string %d fret %d, %d, sounds %d",
					start.Add(c.Onset), c.Duration, n.Place.String, n.Place.Fret, n.Pitch.MIDI(), n.Sounding()))
			}
			// Formats may list the notes of a chord in another order.
			slices.Sort(list[len(list)-len(c.Notes):])
		}
		start = start.Add(m.Length)
	}
	require.NotEmpty(t, list)
	return list
}

// The same lick as tab and as MusicXML, moved to the same key, has the same
// notes.
func TestBothFormatsOfALickAgree(t *testing.T) {
	for _, to := range []string{"", "A minor", "Bb minor", "C#m", "D", "Eb", "F# minor", "G#m"} {
		var got [2][]string
		for i, name := range []string{"amber-street.tab", "amber-street.musicxml"} {
			r := lickwright("convert", example(name))
			if to != "" {
				r = lickwright("transpose", "--to", to, example(name))
			}
			require.Equal(t, exitDone, r.code, r.err)
			got[i] = notesOf(t, name, r.out)
		}
		assert.Equal(t, got[0], got[1], "to %q", to)
	}
}

// Conversion to the other format and back keeps the notes too.
func TestConversionKeepsTheNotes(t *testing.T) {
	files, err := filepath.Glob(example("*.*"))
	require.NoError(t, err)
	n := 0
	for _, path := range files {
		f, ok := formatOfPath(path)
		if !ok {
			continue
		}
		n++
		t.Run(filepath.Base(path), func(t *testing.T) {
			other, name := "musicxml", "x.musicxml"
			if f.name == "musicxml" {
				other, name = "tab", "x.tab"
			}
			r := lickwright("convert", "--as", other, path)
			require.Equal(t, exitDone, r.code, r.err)
			assert.Equal(t, notesOf(t, path, read(t, path)), notesOf(t, name, r.out), r.out)
			assert.Equal(t, 0, lickwrightOn(r.out, "convert", "--as", f.name).code)
		})
	}
	assert.GreaterOrEqual(t, n, 7)
}

// In every key and either direction, every example keeps its rhythm, moves by
// one interval (octaves aside) and lies on its neck. The file that was written
// is what is looked at.
func TestEveryKeyOfEveryExample(t *testing.T) {
	files, err := filepath.Glob(example("*.*"))
	require.NoError(t, err)
	for _, path := range files {
		if f, ok := formatOfPath(path); !ok || f.name == "degrees" { // which have no key
			continue
		}
		before := musicOf(t, path, read(t, path))
		for _, dir := range []string{"--up", "--down"} {
			to := t.TempDir()
			got := lickwright("transpose", "--key", "C", "--all-keys", dir, "-d", to, path)
			require.Equal(t, exitDone, got.code, got.err)
			moves := map[int]bool{}
			for _, name := range filesIn(t, to) {
				text := read(t, filepath.Join(to, name))
				after := musicOf(t, name, text)
				require.Len(t, after, len(before))
				by := after[0].Sounding() - before[0].Sounding()
				moves[(by+240)%12] = true
				for i, n := range after {
					assert.Zero(t, (n.Sounding()-before[i].Sounding()-by)%12, "%s note %d", name, i)
					assert.Equal(t, before[i].Place.IsZero(), n.Place.IsZero(), "%s note %d", name, i)
					assert.True(t, 0 <= n.Place.Fret && n.Place.Fret <= 22, "%s note %d: %v", name, i, n.Place)
				}
			}
			assert.Len(t, moves, 12, path)
		}
	}
}

// What the input leaves out is said by flags.
func TestReadFlags(t *testing.T) {
	tab := "d|-0---2---4---|\nA|-------------|\nG|-------------|\nD|-------------|\nA|-------------|\nD|-0-----------|\n   1   2   3\n"
	got := lickwrightOn(tab, "convert", "--as", "musicxml", "--tuning", "D A D G A D", "--capo", "2", "--key", "F# minor", "--time", "3/4", "--tempo", "90")
	require.Equal(t, exitDone, got.code, got.err)
	xml := strings.Join(strings.Fields(got.out), "")
	for _, want := range []string{"<beats>3</beats><beat-type>4</beat-type>", "<fifths>3</fifths><mode>minor</mode>", "<capo>2</capo>", `tempo="90"`,
		"<tuning-step>A</tuning-step><tuning-octave>3</tuning-octave>"} {
		assert.Contains(t, xml, want)
	}
	// Open string 1 is D4, with the capo E4 (common practice).
	assert.Contains(t, notesOf(t, "x.musicxml", got.out), "at 0 for 1: string 1 fret 0, 64, sounds 64")

	high := strings.NewReplacer("-0-", "-5-", "-2-", "-7-", "-4-", "-9-").Replace(tab)
	got = lickwrightOn(high, "transpose", "--by", "P5", "--tuning", "dadgad")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.NotContains(t, got.err, "octave")
	got = lickwrightOn(high, "transpose", "--by", "P5", "--tuning", "dadgad", "--neck-frets", "14")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "an octave down", "fret 16 is not there")
}

// A metre may be a sum of beats (common practice), which the
// beats element of MusicXML 4.0 states as "3+2".
func TestInputTakesAMetreOfSums(t *testing.T) {
	xml := lickwright("convert", "--as", "musicxml", example("amber-street.tab")).out
	silent := regexp.MustCompile(`(?s)<time>.*?</time>`).ReplaceAllString(xml, "")
	require.NotEqual(t, xml, silent)
	assert.Contains(t, lickwrightOn(silent, "convert", "--as", "tab", "--time", "2+2/4").out, "\nTime: 2+2/4\n")
	again := lickwrightOn(lickwrightOn(silent, "convert", "--as", "tab", "--time", "2+2/4").out, "convert", "--as", "musicxml").out
	assert.Regexp(t, `<beats>2\+2</beats>\s*<beat-type>4</beat-type>`, again)
	assert.Contains(t, lickwrightOn(silent, "convert", "--as", "tab", "--time", "2+x/4").err, `"2+x/4" is no metre`)
}

func TestAllKeysAsText(t *testing.T) {
	got := lickwright("transpose", "--all-keys", "--order", "fourths", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	var headings []string
	for line := range strings.Lines(got.out) {
		if strings.HasPrefix(line, "== ") {
			headings = append(headings, strings.Trim(line, "= \n"))
		}
	}
	// Minor keys by fourths from A; names by common practice.
	assert.Equal(t, []string{"A minor", "D minor", "G minor", "C minor", "F minor", "Bb minor", "Eb minor", "G# minor",
		"C# minor", "F# minor", "B minor", "E minor"}, headings)
	first, _, _ := strings.Cut(strings.TrimPrefix(got.out, "== A minor ==\n\n"), "== D minor ==")
	assert.Equal(t, read(t, example("amber-street.tab")), strings.TrimSuffix(first, "\n"), "its own key comes out as it went in")
	assert.Equal(t, 12, strings.Count(got.out, "Quayside Fretboard Circle"), "the words stay")
	assert.Contains(t, got.out, "Key: Bb minor")
}

func TestAllKeysAsFiles(t *testing.T) {
	for _, name := range []string{"amber-street.tab", "amber-street.musicxml"} {
		dir := filepath.Join(t.TempDir(), "new", "folder")
		got := lickwright("transpose", "--all-keys", "--order", "fifths", "-d", dir, example(name))
		require.Equal(t, exitDone, got.code, got.err)
		assert.Empty(t, got.out)
		assert.Contains(t, got.err, "12 files written to "+dir)
		files := filesIn(t, dir)
		assert.Len(t, files, 12)
		ext := filepath.Ext(name)
		assert.Contains(t, files, "amber-street-01-A-minor"+ext)
		assert.Contains(t, files, "amber-street-03-B-minor"+ext)
		assert.Contains(t, files, "amber-street-04-Fsharp-minor"+ext)
		assert.Contains(t, files, "amber-street-07-Eb-minor"+ext)
		assert.Equal(t, read(t, example(name)), read(t, filepath.Join(dir, "amber-street-01-A-minor"+ext)))
		sounds := map[string]bool{}
		for _, f := range files {
			sounds[strings.Join(notesOf(t, f, read(t, filepath.Join(dir, f))), "\n")] = true
		}
		assert.Len(t, sounds, 12)
	}
}

func TestFileNamesSayTheKey(t *testing.T) {
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"--to", "Eb", example("amber-street.tab")}, "amber-street-Eb-minor.tab"},
		{[]string{"--by", "M2", example("amber-street.tab")}, "amber-street-B-minor.tab"},
		{[]string{"--by", "A2", example("amber-street.tab")}, "amber-street-C-minor.tab"},
		{[]string{"--by", "A2", "--respell", "never", example("amber-street.tab")}, "amber-street-Bsharp-minor.tab"},
		{[]string{"--by", "-m3", example("kitchen-waltz.tab")}, "kitchen-waltz-m3-down.tab"},
		{[]string{"--to", "E", "--as", "mxl", example("morning-gate.musicxml")}, "morning-gate-E-major.mxl"},
	} {
		dir := t.TempDir()
		got := lickwright(append([]string{"transpose", "-d", dir}, tt.args...)...)
		assert.Equal(t, exitDone, got.code, got.err)
		assert.Equal(t, []string{tt.want}, filesIn(t, dir))
	}
}

func TestDirections(t *testing.T) {
	first := func(args ...string) string {
		got := lickwright(append([]string{"transpose", "-q", "--as", "musicxml", example("morning-gate.musicxml")}, args...)...)
		require.Equal(t, exitDone, got.code, got.err)
		i := strings.Index(got.out, "<pitch>")
		return strings.Join(strings.Fields(got.out[i:i+strings.Index(got.out[i:], "</pitch>")]), "")
	}
	// The first note is D3.
	assert.Equal(t, "<pitch><step>D</step><octave>3</octave>", first("--to", "D"))
	assert.Equal(t, "<pitch><step>E</step><octave>3</octave>", first("--to", "E"))
	assert.Equal(t, "<pitch><step>E</step><octave>3</octave>", first("--to", "E", "--up"))
	assert.Equal(t, "<pitch><step>A</step><octave>3</octave>", first("--to", "A", "--up"))
}

func TestModeThatIsNotSaid(t *testing.T) {
	xml := strings.Replace(read(t, example("amber-street.musicxml")), "<mode>minor</mode>", "", 1)
	got := lickwrightOn(xml, "transpose", "-q", "--to", "Em")
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "<fifths>1</fifths>", "no sharps and no mode, to E minor: from A minor")
	assert.Empty(t, got.err)
	got = lickwrightOn(xml, "transpose", "--to", "E")
	assert.Contains(t, got.err, "standard input: note: the file does not say whether it is in major or minor; taken for C major\n  hint: say --key")
	assert.Contains(t, got.out, "<fifths>4</fifths>", "no mode at all: from C major")
	got = lickwright("transpose", "-q", "--to", "E aeolian", example("amber-street.tab"))
	assert.Equal(t, exitDone, got.code, "minor and aeolian have the same notes: %s", got.err)
}

func TestDiff(t *testing.T) {
	path := example("amber-street.musicxml")
	got := lickwright("transpose", "-q", "--by", "P1", "--diff", path)
	assert.Equal(t, ran{"", "", exitDone}, got, "nothing changes, nothing to show")

	got = lickwright("transpose", "--by", "M2", "--diff", path)
	assert.Equal(t, exitPartly, got.code, "differences: %s", got.err)
	assert.True(t, strings.HasPrefix(got.out, path+": 10 differences\nbar 0, beat 1\n  key: A minor → B minor\n  pitch: "), got.out)
	assert.Contains(t, got.out, "\n--- "+path+"\n+++ "+path+" (changed)\n@@ -", got.out)
	assert.Contains(t, got.out, "-          <fifths>0</fifths>\n+          <fifths>2</fifths>\n")

	got = lickwright("transpose", "--by", "M2", "--diff", "--as", "tab", path)
	assert.Equal(t, exitPartly, got.code, got.err)
	assert.NotContains(t, got.out, "<fifths>", "compared in the output's format")

	got = lickwright("transpose", "--by", "M2", "--diff", path, example("amber-street.tab"))
	assert.Equal(t, exitPartly, got.code, got.err)
	assert.Equal(t, 2, strings.Count(got.out, "--- "))
}

func TestStandardInputAndOutput(t *testing.T) {
	for _, name := range []string{"amber-street.tab", "amber-street.musicxml"} {
		text := read(t, example(name))
		for _, args := range [][]string{{"convert"}, {"convert", "-"}, {"convert", "-o", "-"}} {
			got := lickwrightOn(text, args...)
			assert.Equal(t, ran{text, "", exitDone}, got, "%s %v", name, args)
		}
	}
}

func TestCompressedFiles(t *testing.T) {
	dir := t.TempDir()
	mxl := filepath.Join(dir, "gate.mxl")
	got := lickwright("convert", "-o", mxl, example("morning-gate.musicxml"))
	require.Equal(t, ran{"", "", exitDone}, got)
	data := read(t, mxl)
	assert.True(t, strings.HasPrefix(data, "PK\x03\x04"))
	assert.Equal(t, ran{data, "", exitDone}, lickwright("convert", mxl), "to itself, byte for byte")
	got = lickwright("convert", "--as", "musicxml", mxl)
	assert.Equal(t, exitDone, got.code)
	assert.Equal(t, read(t, example("morning-gate.musicxml")), got.out, "and out of its wrapping nothing is lost")
	got = lickwright("transpose", "--to", "E", "--diff", mxl)
	assert.Equal(t, exitPartly, got.code)
	assert.Contains(t, got.out, "+          <fifths>4</fifths>\n")
}

func TestStrict(t *testing.T) {
	// Up an octave and more, the lick leaves the neck and is folded back.
	args := []string{"transpose", "--by", "P15", example("amber-street.tab")}
	got := lickwright(args...)
	assert.Equal(t, exitDone, got.code)
	assert.NotEmpty(t, got.out)
	assert.Contains(t, got.err, "warning: ")
	got = lickwright(append(args, "--strict")...)
	assert.Equal(t, exitPartly, got.code)
	assert.Empty(t, got.out)
	assert.Contains(t, got.err, "nothing was written")
	got = lickwright(append(args, "--quiet")...)
	assert.Equal(t, exitDone, got.code)
	assert.Empty(t, got.err)
}

func TestWhatWasNotDoneIsCounted(t *testing.T) {
	tab := "Key: C\ne|-22-----|\nB|--------|\nG|--------|\nD|--------|\nA|--------|\nE|----0---|\n   1   3\n"
	got := lickwrightOn(tab, "transpose", "--by", "M2")
	assert.Equal(t, exitPartly, got.code)
	lines := strings.Split(strings.TrimSpace(got.err), "\n")
	assert.Equal(t, "1 thing not done; everything else was", lines[len(lines)-1])
	assert.Contains(t, got.err, "standard input:2:4: not done: bar 1, beat 1: E6 has no place: it is higher than the last fret (22)\n  hint: ")
}

func TestPartFlag(t *testing.T) {
	two := `<?xml version="1.0"?>
<score-partwise version="4.0"><part-list><score-part id="A"><part-name>Lead</part-name></score-part><score-part id="B"><part-name>Bass</part-name></score-part></part-list>
<part id="A"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key></attributes><note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note></measure></part>
<part id="B"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key></attributes><note><pitch><step>C</step><octave>2</octave></pitch><duration>4</duration></note></measure></part>
</score-partwise>
`
	for _, part := range []string{"2", "bass", "B"} {
		got := lickwrightOn(two, "transpose", "--by", "M2", "--part", part)
		assert.Equal(t, exitDone, got.code, got.err)
		assert.Contains(t, got.out, "<step>C</step><octave>4</octave>")
		assert.Contains(t, got.out, "<step>D</step><octave>2</octave>")
	}
	got := lickwrightOn(two, "convert", "--part", "2")
	assert.Equal(t, exitUsage, got.code)
}

func TestSeveralFiles(t *testing.T) {
	dir := t.TempDir()
	got := lickwright("transpose", "--by", "M2", "-d", dir, example("amber-street.tab"), example("lantern-riff.tab"))
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, []string{"amber-street-B-minor.tab", "lantern-riff-E-minor.tab"}, filesIn(t, dir))

	other := filepath.Join(t.TempDir(), "amber-street.tab")
	write(t, other, read(t, example("amber-street.tab")))
	dir = filepath.Join(t.TempDir(), "x")
	got = lickwright("convert", "-d", dir, other, example("amber-street.tab"))
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "would be written to it")
	assert.Equal(t, []string{"amber-street.tab"}, filesIn(t, dir), "the first is written, the second is named")
}

func TestInPlace(t *testing.T) {
	path := write(t, filepath.Join(t.TempDir(), "lick.tab"), read(t, example("amber-street.tab")))
	require.NoError(t, os.Chmod(path, 0o640))
	got := lickwright("transpose", "--by", "M2", "--force", "-o", path, path)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, read(t, path), "Key: B minor")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	assert.Equal(t, []string{"lick.tab"}, filesIn(t, filepath.Dir(path)), "no temporary file is left")
}

func TestErrorsOnATerminalShowTheLine(t *testing.T) {
	var out, errOut bytes.Buffer
	a := &app{in: strings.NewReader("Key: C\ne|-22-----|\nB|--------|\nG|--------|\nD|--------|\nA|--------|\nE|----0---|\n   1   3\n"), out: &out, errOut: &errOut, errTTY: true}
	a.run([]string{"transpose", "-q", "--by", "M2"})
	assert.Contains(t, errOut.String(), "    e|-22-----|\n       ^\n")
}

// The examples in the help texts work when they are pasted at the root of the
// repository.
func TestHelpExamplesWork(t *testing.T) {
	root := example("../..")
	t.Chdir(root)
	n := 0
	for _, text := range []string{convertExample, transposeExample, tuningsExample} {
		for line := range strings.Lines(text) {
			args, ok := strings.CutPrefix(strings.TrimSpace(line), "lickwright ")
			if !ok {
				continue
			}
			n++
			fields := shellFields(args)
			// What they write goes where tests may write.
			for i, f := range fields {
				if i > 0 && (fields[i-1] == "-o" || fields[i-1] == "-d") {
					fields[i] = filepath.Join(t.TempDir(), f)
				}
			}
			got := lickwright(fields...)
			want := exitDone
			if slices.Contains(fields, "--diff") {
				want = exitPartly
			}
			assert.Equal(t, want, got.code, "%s\n%s", line, got.err)
		}
	}
	assert.GreaterOrEqual(t, n, 10)
}

// shellFields splits a command line at spaces outside of double quotes.
func shellFields(s string) []string {
	var fields []string
	quoted := false
	field := ""
	for _, r := range s + " " {
		switch {
		case r == '"':
			quoted = !quoted
		case r == ' ' && !quoted:
			if field != "" {
				fields = append(fields, field)
			}
			field = ""
		default:
			field += string(r)
		}
	}
	return fields
}

func TestHelp(t *testing.T) {
	for _, args := range [][]string{{}, {"--help"}, {"help"}} {
		got := lickwright(args...)
		assert.Equal(t, exitDone, got.code)
		assert.Empty(t, got.err)
		for _, c := range []string{"convert", "transpose", "tunings"} {
			assert.Contains(t, got.out, c)
		}
	}
	got := lickwright("--version")
	assert.Equal(t, ran{"lickwright version test\n", "", exitDone}, got)
}
