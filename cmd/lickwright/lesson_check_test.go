package main

import (
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Sheets of every kind are proved from the written file alone, as tab and as
// MusicXML.
func TestLessonCheckProvesSheets(t *testing.T) {
	dir := t.TempDir()
	for _, args := range [][]string{
		{"C", "major"},
		{"D", "dorian", "--notes", "3", "--degree", "2", "--show", "scale,neighbours,sweeps,sequences,joins,views"},
		{"A", "minor", "pentatonic", "--shape", "E", "--show", "chord,arpeggio,pentatonic,scale,neighbours,sweeps,sequences,joins,views,formula,guide-tones", "--over", "ii7 | V7 | Imaj7", "--formula", "1 3 5 9"},
		{"E", "harmonic", "minor", "--all-keys", "--shape", "A", "--time", "7/8", "--value", "1/16"},
		{"F", "lydian", "--position", "5", "--octaves", "1", "--show", "scale,sequences", "--run", "down", "--value", "1/12"},
		{"G", "major", "--home", "A", "--notes", "3", "--degree", "2", "--show", "scale"},
		{"D", "mixolydian", "--tuning", "dadgad", "--scheme", "open", "--show", "scale,arpeggio"},
		{"Eb", "harmonic", "minor", "--shape", "A", "--show", "sweeps"},                                   // with a chord on C flat
		{"A", "minor", "pentatonic", "--tuning", "dadgad", "--shape", "6 little", "--show", "neighbours"}, // with gaps
		{"B", "blues", "--position", "5", "--show", "chord,views"},                                        // with a chord that reaches further
	} {
		var counts []string
		for _, ext := range []string{".tab", ".musicxml"} {
			file := filepath.Join(dir, "sheet"+ext)
			made := lickwright(append([]string{"routine", "-q", "--force", "-o", file}, args...)...)
			require.Equal(t, exitDone, made.code, made.err)
			got := lickwright("lesson", "check", file)
			assert.Equal(t, exitDone, got.code, "%v\n%s%s", args, got.out, got.err)
			require.Contains(t, got.out, "exercise")
			require.Contains(t, got.out, ": nothing wrong\n")
			counts = append(counts, got.out[strings.LastIndex(got.out, ext)+len(ext):])
		}
		assert.Equal(t, counts[0], counts[1], "both files hold the same: %v", args)
	}
}

// One number changed anywhere in a sheet is found.
func TestLessonCheckFindsOneWrongNumber(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.tab")
	text := routineText(t, "C", "major", "--shape", "E", "--show", "arpeggio,pentatonic,scale,neighbours,sweeps,sequences,joins,views,formula,guide-tones", "--over", "Dm7 | G7 | C6", "--formula", "1 2 3 5")
	lines := strings.Split(text, "\n")
	row := regexp.MustCompile(`^[A-Ge]\|`)
	number := regexp.MustCompile(`\d+`)
	type place struct{ line, from, to int }
	var all []place
	for i, l := range lines {
		if row.MatchString(l) {
			for _, m := range number.FindAllStringIndex(l, -1) {
				all = append(all, place{i, m[0], m[1]})
			}
		}
	}
	require.Greater(t, len(all), 300)
	r := rand.New(rand.NewSource(8))
	for range 60 {
		p := all[r.Intn(len(all))]
		l := lines[p.line]
		fret, err := strconv.Atoi(l[p.from:p.to])
		require.NoError(t, err)
		wrong := strconv.Itoa(fret + 1)
		if len(wrong) != p.to-p.from {
			wrong = strconv.Itoa(fret - 1)
		}
		if len(wrong) != p.to-p.from {
			continue
		}
		spoilt := append([]string{}, lines...)
		spoilt[p.line] = l[:p.from] + wrong + l[p.to:]
		require.NoError(t, os.WriteFile(file, []byte(strings.Join(spoilt, "\n")), 0o666))
		got := lickwright("lesson", "check", file)
		assert.Equal(t, exitPartly, got.code, "line %d: %s\n%s", p.line+1, spoilt[p.line], got.out)
		assert.Contains(t, got.out, "sheet.tab:"+strconv.Itoa(p.line+1)+":", "it is found where it is")
	}
}

// What the words of a page promise is proved too.
func TestLessonCheckHoldsPagesToTheirWords(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.tab")
	text := routineText(t, "C", "major", "--shape", "E", "--show", "scale")
	for from, to := range map[string]string{
		"frets 7 to 10":                    "frets 7 to 9",
		"Notes of C major: C D E F G A B.": "Notes of C major: C D E F G A Bb.",
		"stop\nif it hurts or tingles":     "go\non",
		"== C major, E shape ==":           "== C lydian, E shape ==",
		"C major, up and down\n":           "Thirds, up and down\n",
		"   7  1  2  3  4  5  6  7  ":      "   7  1  2  3  5  5  6  7  ",
	} {
		require.Contains(t, text, from)
		require.NoError(t, os.WriteFile(file, []byte(strings.Replace(text, from, to, 1)), 0o666))
		got := lickwright("lesson", "check", file)
		assert.Equal(t, exitPartly, got.code, "%s\n%s", to, got.out)
	}
}

func TestLessonCheckClaims(t *testing.T) {
	tab := example("amber-street.tab")
	got := lickwright("lesson", "check", "--scale", "A dorian", "--frets", "4-10", tab)
	assert.Equal(t, exitDone, got.code, got.out)
	got = lickwright("lesson", "check", "--scale", "A minor pentatonic", "--frets", "5-8", tab)
	assert.Equal(t, exitPartly, got.code)
	assert.Contains(t, got.out, "is no note of A minor pentatonic")
	assert.Contains(t, got.out, "lies outside of frets 5 to 8")
	assert.Contains(t, got.out, tab+":15:56: bar 2, beat 2: ")
	got = lickwright("lesson", "check", "--scale", "A mystery", tab)
	assert.Equal(t, exitUsage, got.code)
	got = lickwright("lesson", "check", "--json", tab)
	assert.Contains(t, got.out, `"faults": []`)
}

// A student's tab: the task itself is all right, and each mistake is named in
// its bar and beat, in words.
func TestLessonCheckMarksStudents(t *testing.T) {
	task := example("amber-street.tab")
	got := lickwright("lesson", "check", "--task", task, task)
	assert.Equal(t, exitDone, got.code)
	assert.Contains(t, got.out, "All 23 notes right, in time and in place.\n")

	student := filepath.Join(t.TempDir(), "mika.tab")
	text := strings.Replace(read(t, task), "8p--5", "8p--6", 1)
	require.NotEqual(t, read(t, task), text)
	require.NoError(t, os.WriteFile(student, []byte(text), 0o666))
	got = lickwright("lesson", "check", "--task", task, "--scale", "A dorian", student)
	assert.Equal(t, exitPartly, got.code)
	assert.Contains(t, got.out, "F (string 2, fret 6) in place of E (string 2, fret 5) (1 fret too high); it is no note of A dorian")
	assert.Contains(t, got.out, "In all: 22 of 23 notes right")
	assert.Contains(t, got.out, "Begin with bar 1, slowly.")

	// In MusicXML the same task marks the same student.
	other := lickwright("lesson", "check", "--task", example("amber-street.musicxml"), "--scale", "A dorian", student)
	assert.Equal(t, strings.SplitN(got.out, "\n", 2)[1], strings.SplitN(other.out, "\n", 2)[1])

	// A whole tone up: said once, not note by note.
	moved := filepath.Join(t.TempDir(), "moved.tab")
	require.Equal(t, exitDone, lickwright("transpose", "-q", "--by", "M2", "-o", moved, task).code)
	got = lickwright("lesson", "check", "--task", task, moved)
	assert.Contains(t, got.out, "Everything lies 2 semitones higher than the task")
	assert.NotContains(t, got.out, "in place of G")
	got = lickwright("lesson", "check", "--json", "--task", task, student)
	assert.Contains(t, got.out, `"kind": "wrong note"`)
}

// A folder is held to its manifest, file by file.
func TestLessonCheckManifest(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
	}
	write("lick.tab", read(t, example("amber-street.tab")))
	lick := filepath.Join(dir, "lick.tab")
	for _, args := range [][]string{
		{"transpose", "-q", "--to", "C", "-o", filepath.Join(dir, "c.tab"), lick},
		{"transpose", "-q", "--to", "E", "-o", filepath.Join(dir, "e.musicxml"), lick},
		{"convert", "-q", "-o", filepath.Join(dir, "same.musicxml"), lick},
		{"routine", "-q", "A", "dorian", "-o", filepath.Join(dir, "sheet.tab")},
	} {
		got := lickwright(args...)
		require.Equal(t, exitDone, got.code, "%v %s", args, got.err)
	}
	manifest := `{
  "lesson": "Amber Street",
  "files": [
    {"file": "c.tab", "key": "C minor", "of": "lick.tab", "semitones": 3},
    {"file": "e.musicxml", "key": "E minor", "of": "lick.tab"},
    {"file": "same.musicxml", "key": "A minor", "scale": "A dorian", "frets": [4, 10], "bars": 5, "of": "lick.tab", "semitones": 0, "exact": true},
    {"file": "sheet.tab", "pages": 5}
  ]
}
`
	write("lesson-manifest.json", manifest)
	got := lickwright("lesson", "check", dir)
	assert.Equal(t, exitDone, got.code, "%s%s", got.out, got.err)
	assert.Equal(t, 5, strings.Count(got.out, ": nothing wrong\n"), got.out) // four files and the sum

	for from, to := range map[string]string{
		`"key": "C minor"`:                  `"key": "D minor"`,
		`"semitones": 3`:                    `"semitones": 4`,
		`"scale": "A dorian"`:               `"scale": "A minor pentatonic"`,
		`"frets": [4, 10]`:                  `"frets": [5, 10]`,
		`"bars": 5`:                         `"bars": 6`,
		`"pages": 5`:                        `"pages": 6`,
		`"of": "lick.tab", "semitones": 0`:  `"of": "sheet.tab", "semitones": 0`,
		`"file": "e.musicxml", "key": "E m`: `"file": "e.musicxml", "scale": "A mystery", "key": "E m`,
		`{"file": "sheet.tab", "pages": 5}`: `{"file": "sheet.tab", "pages": 5}, {"file": "missing.svg"}`,
	} {
		require.Contains(t, manifest, from)
		write("lesson-manifest.json", strings.Replace(manifest, from, to, 1))
		got := lickwright("lesson", "check", dir)
		assert.Equal(t, exitPartly, got.code, "%s\n%s%s", to, got.out, got.err)
	}
	for text, says := range map[string]string{
		"":                          "ends too early",
		"{":                         "ends too early",
		"{]":                        "lesson-manifest.json:1:",
		`{"lesson": 3}`:             "lesson is a number",
		"{\n\"lessons\": \"x\"}":    "unknown field",
		`{"files": [{"key": "C"}]}`: "has no name",
		`{"files": [{"file": "a.tab", "frets": [5]}]}`:      "frets",
		`{"files": [{"file": "a.tab"}, {"file": "a.tab"}]}`: "listed twice",
		`{"files": [{"file": "a.tab", "exact": true}]}`:     "of what music",
		`{"files": [{"file": "gone.tab"}]}`:                 "no such file",
	} {
		write("lesson-manifest.json", text)
		got := lickwright("lesson", "check", dir)
		assert.Equal(t, exitFailure, got.code, "%s\n%s", text, got.out)
		assert.Contains(t, got.err, says, text)
	}
}

// A folder of students' tabs is marked file by file; what is no tab in it is
// passed over, and what cannot be read does not stop the others.
func TestLessonCheckMarksAClass(t *testing.T) {
	dir := t.TempDir()
	task := example("amber-street.tab")
	for name, text := range map[string]string{
		"ana.tab": read(t, task), "ben.tab": read(t, example("amber-street-by-ear.tab")), "letter.txt": "Dear teacher,\nthe dog ate it.\n", "photo.png": "\x89PNG",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
	}
	got := lickwright("lesson", "check", "--task", task, dir)
	assert.Equal(t, exitPartly, got.code, got.err)
	assert.Equal(t, 2, strings.Count(got.out, "marked against"))
	assert.Contains(t, got.out, "your bar 2: this bar is not in the task\n")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "cut.musicxml"), []byte("<score-partwise><part"), 0o666))
	got = lickwright("lesson", "check", "--task", task, dir)
	assert.Equal(t, exitFailure, got.code)
	assert.Equal(t, 2, strings.Count(got.out, "marked against"))
	assert.Contains(t, got.err, "cut.musicxml")
	got = lickwright("lesson", "check", dir)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.out, "2 files, 52 notes: nothing wrong\n")
}

// A length that needs tied notes in notation is one note all the same, in a
// lesson as in compare; of files that cannot be read one line is said, and no
// counts. Source: MusicXML 4.0, element tie (from memory).
func TestLessonCheckOfTiesAndPictures(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, filepath.FromSlash(name)) }
	require.NoError(t, os.WriteFile(at("lick.tab"), []byte(`Key: B minor
Time: 4/4

e|-------------------|
B|-7---9-9-----------|
G|-------------------|
D|-------------------|
A|-------------------|
E|-------------------|
   1 & 2 & 3   4
`), 0o666))
	require.NoError(t, os.WriteFile(at("week.yaml"), []byte(`lesson: Held
source: lick.tab
into: out
steps:
  - step: up
    transpose: {by: M2}
    to: keys/
    as: [musicxml, tab]
  - step: page
    convert:
    to: [lick.html, lick.mid]
`), 0o666))
	made := lickwright("lesson", at("week.yaml"))
	require.Equal(t, exitDone, made.code, made.err)
	xml := at("out/keys/lick-Csharp-minor.musicxml")
	require.Contains(t, read(t, xml), "<tie ")
	same := lickwright("compare", xml, at("out/keys/lick-Csharp-minor.tab"))
	require.Equal(t, exitDone, same.code, same.out)
	got := lickwright("lesson", "check", at("out"))
	assert.Equal(t, exitDone, got.code, got.out)
	assert.Equal(t, 2, strings.Count(got.out, ": 1 bar, 3 notes: nothing wrong\n"), got.out)
	assert.Contains(t, got.out, "lick.html: 3 notes: nothing wrong\n")
	assert.Contains(t, got.out, "lick.mid: 3 notes: nothing wrong\n")
	assert.NotContains(t, got.out, "not proved")
	assert.NotContains(t, got.out, "0 bars")

	// What is gone is said in one line too.
	require.NoError(t, os.Remove(at("out/lick.mid")))
	require.NoError(t, os.WriteFile(at("out/lick.html"), nil, 0o666))
	got = lickwright("lesson", "check", at("out"))
	assert.Equal(t, exitPartly, got.code)
	assert.Contains(t, got.out, at("out/lick.mid")+": it is not there, or cannot be read\n")
	assert.Contains(t, got.out, at("out/lick.html")+": there is nothing in it\n")
	assert.NotContains(t, got.out, "not proved")
	assert.NotContains(t, got.out, "0 bars")
}
