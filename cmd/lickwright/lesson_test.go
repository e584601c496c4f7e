package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

// aLesson copies the bundled lesson and its lick into a folder of its own.
func aLesson(t testing.TB) (file, lick, out string) {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"week-14.yaml", "amber-street.tab"} {
		write(t, filepath.Join(dir, name), read(t, example(name)))
	}
	return filepath.Join(dir, "week-14.yaml"), filepath.Join(dir, "amber-street.tab"), filepath.Join(dir, "week-14")
}

// One command makes everything; a second one nothing; and after a correction
// of the lick every page that shows it has the correction.
func TestTheBundledLesson(t *testing.T) {
	file, lick, out := aLesson(t)
	got := lickwright("lesson", file)
	require.Equal(t, exitDone, got.code, got.err)
	first := tree(t, out)
	assert.NotContains(t, first, stageName)
	for path, text := range first {
		if f, ok := formatOfPath(path); ok && f.read != nil {
			assert.NotEmpty(t, musicOf(t, path, text), "%s can be read back", path)
		}
	}
	got = lickwright("lesson", file)
	assert.Equal(t, exitDone, got.code)
	assert.Contains(t, got.err, " 0 files written; ")
	assert.Equal(t, first, tree(t, out))

	corrected := strings.Replace(read(t, lick), "Am7                               Am7\n", "Am7                               Am9\n", 1)
	require.NotEqual(t, read(t, lick), corrected)
	corrected = strings.Replace(corrected, "Title: Amber Street", "Title: Amber Street (corrected)", 1)
	write(t, lick, corrected)
	got = lickwright("lesson", file)
	require.Equal(t, exitDone, got.code, got.err)
	second := tree(t, out)
	assert.Equal(t, len(first), len(second))
	for path := range first {
		switch {
		case strings.HasPrefix(path, "practice") || strings.HasPrefix(path, "neck/"):
			assert.Equal(t, first[path], second[path], "%s does not show the lick", path)
		case strings.HasPrefix(path, ".") || path == manifestName:
		default:
			assert.Contains(t, second[path], "Amber Street (corrected)", path)
		}
	}
}

// Every MusicXML page of the bundled lesson is valid. Source: the MusicXML 4.0
// schema of the W3C, by the program xmllint.
func TestTheBundledLessonIsValid(t *testing.T) {
	xmllint := outside.Program(t, "xmllint")
	schema := outside.Shared(t, "data", "musicxml-schema", "musicxml-local.xsd")
	file, _, out := aLesson(t)
	require.Equal(t, exitDone, lickwright("lesson", "-q", file).code)
	pages, err := filepath.Glob(filepath.Join(out, "*", "*.musicxml"))
	require.NoError(t, err)
	more, err := filepath.Glob(filepath.Join(out, "*.musicxml"))
	require.NoError(t, err)
	pages = append(pages, more...)
	require.Len(t, pages, 13)
	said, err := exec.Command(xmllint, append([]string{"--nonet", "--noout", "--schema", schema}, pages...)...).CombinedOutput()
	assert.NoError(t, err, "%s", said)
}

// What the lesson writes its manifest by, lickwright lesson check proves with
// code that shares nothing with it; and a page that somebody spoilt is found.
func TestTheBundledLessonIsProved(t *testing.T) {
	file, _, out := aLesson(t)
	require.Equal(t, exitDone, lickwright("lesson", "-q", file).code)
	got := lickwright("lesson", "check", "-q", out)
	assert.Equal(t, exitDone, got.code, got.out+got.err)
	var manifest struct {
		Lesson string
		Files  []promise
	}
	require.NoError(t, json.Unmarshal([]byte(read(t, filepath.Join(out, manifestName))), &manifest))
	assert.Equal(t, "Amber Street, week 14", manifest.Lesson)
	assert.Len(t, manifest.Files, len(tree(t, out))-2, "all but the record and itself")
	i := slices.IndexFunc(manifest.Files, func(p promise) bool { return strings.HasPrefix(p.File, "keys/") && p.Key == "D minor" })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, "../amber-street.tab", manifest.Files[i].Of)
	assert.Equal(t, 5, *manifest.Files[i].Semitones)

	page := filepath.Join(out, filepath.FromSlash(manifest.Files[i].File))
	write(t, page, strings.Replace(read(t, page), "10", "11", 1))
	got = lickwright("lesson", "check", "-q", out)
	assert.Equal(t, exitPartly, got.code, got.out)

	// Sheets and sound are proved too, and only pictures are not.
	require.Equal(t, exitDone, lickwright("lesson", "-q", "--force", file).code)
	got = lickwright("lesson", "check", out)
	require.Equal(t, exitDone, got.code, got.out)
	assert.Equal(t, 1, strings.Count(got.out, "not proved: "), got.out)
	assert.Contains(t, got.out, "not proved: 6 pictures\n")
	for _, name := range []string{"in-major.html", "practice.html", "to-fill-in.html", "answers.html", "amber-street.mid"} {
		assert.Regexp(t, name+`: [1-9]\d* notes: nothing wrong`, got.out)
	}
	sheet := filepath.Join(out, "in-major.html")
	text := read(t, sheet)
	write(t, sheet, strings.Replace(text, "<h2>D major</h2>", "<h2>E major</h2>", 1))
	assert.Contains(t, lickwright("lesson", "check", "-q", out).out, `sheet: the heading "E major" stands in place of "D major"`)
	write(t, sheet, text)
	sound := filepath.Join(out, "amber-street.mid")
	write(t, sound, read(t, sound)[:200])
	got = lickwright("lesson", "check", "-q", out)
	assert.Equal(t, exitPartly, got.code)
	assert.Contains(t, got.out, "amber-street.mid: the file ends too early")
}

// What is stale is made again, and nothing else.
func TestALessonMakesWhatIsStale(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "lick.tab"), read(t, example("amber-street.tab")))
	file := filepath.Join(dir, "lesson.yaml")
	lesson := "source: lick.tab\nsteps:\n- step: up\n  transpose: {by: m3}\n  to: up.tab\n- transpose: {by: -m3, order: semitones}\n  of: {step: up}\n  to: back.tab\n- convert:\n  to: notation/\n  as: [musicxml, mxl]\n"
	lesson = strings.Replace(lesson, ", order: semitones", "", 1)
	write(t, file, lesson)
	out := filepath.Join(dir, "lesson")
	got := lickwright("lesson", "-q", file)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, []string{".lickwright-record", "back.tab", manifestName, "notation", "up.tab"}, filesIn(t, out))
	assert.Equal(t, []string{"lick.musicxml", "lick.mxl"}, filesIn(t, filepath.Join(out, "notation")))
	assert.Equal(t, exitDone, lickwright("compare", "--only", "pitch,time", filepath.Join(dir, "lick.tab"), filepath.Join(out, "back.tab")).code, "there and back")

	// Another flag: its step, and the one that works on its result.
	write(t, file, strings.Replace(lesson, "by: m3", "by: M3", 1))
	got = lickwright("lesson", file)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "2 files written; 1 step unchanged\n")

	// A file that is gone.
	require.NoError(t, os.Remove(filepath.Join(out, "notation", "lick.mxl")))
	got = lickwright("lesson", file)
	assert.Contains(t, got.err, "2 files written; 2 steps unchanged\n")

	// A file that somebody has edited stays, unless --force is said.
	write(t, filepath.Join(out, "up.tab"), "mine")
	got = lickwright("lesson", file)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "up.tab: the file exists already")
	assert.Equal(t, "mine", read(t, filepath.Join(out, "up.tab")))
	got = lickwright("lesson", "--force", file)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.NotEqual(t, "mine", read(t, filepath.Join(out, "up.tab")))

	// Fewer results: those that are made no more go, those of others stay.
	write(t, file, "source: lick.tab\nsteps:\n- transpose: {all-keys: true}\n  to: keys/\n")
	require.Equal(t, exitDone, lickwright("lesson", "-q", file).code)
	assert.Len(t, filesIn(t, filepath.Join(out, "keys")), 12)
	mine := write(t, filepath.Join(out, "keys", "mine.tab"), "mine")
	write(t, file, "source: lick.tab\nsteps:\n- transpose: {by: m3}\n  to: keys/\n")
	got = lickwright("lesson", "-q", file)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, []string{"lick-C-minor.tab", "mine.tab"}, filesIn(t, filepath.Join(out, "keys")))
	assert.Equal(t, "mine", read(t, mine))
}

// A step that fails does not keep the others from being made.
func TestAFailingStep(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "lick.tab"), read(t, example("kitchen-waltz.tab"))) // it does not say its key
	file := write(t, filepath.Join(dir, "lesson.yaml"), "source: lick.tab\nsteps:\n- transpose: {to: E}\n  to: e.tab\n- transpose: {by: m3}\n  to: up.tab\n")
	got := lickwright("lesson", file)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, file+":3:3: "+filepath.Join(dir, "lick.tab")+": its key is not known\n  hint: ")
	assert.Contains(t, got.err, "1 step failed: step 1 (transpose)\n")
	assert.FileExists(t, filepath.Join(dir, "lesson", "up.tab"))
	assert.NoFileExists(t, filepath.Join(dir, "lesson", manifestName), "a lesson that is not whole promises nothing")

	write(t, file, "source: lick.tab\nkey: D\nsteps:\n- transpose: {to: E}\n  to: e.tab\n- transpose: {by: m3}\n  to: up.tab\n")
	got = lickwright("lesson", file)
	assert.Equal(t, exitDone, got.code, got.err)

	write(t, file, "source: lick.tab\nkey: D\nsteps:\n- transpose: {to: E, part: 7}\n  to: other.tab\n- convert:\n  to: x.tab\n")
	got = lickwright("lesson", "--stop-on-error", file)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, file+":4:28: --part: ")
	assert.NoFileExists(t, filepath.Join(dir, "lesson", "x.tab"))
}

// Everything that is wrong with a lesson file is said at its line and column,
// with what to do.
func TestWrongLessonFiles(t *testing.T) {
	for _, tt := range []struct {
		name, lesson string
		says         []string
	}{
		{"nothing", "", []string{":1:1: there is nothing in it", "lickwright lesson --help"}},
		{"no YAML", "source: a.tab\nsteps: [", []string{":2:1: this is no YAML"}},
		{"a tab", "source: a.tab\n\tkey: A\n", []string{"this is no YAML", "indent with spaces"}},
		{"a list", "- a\n- b\n", []string{":1:1: a lesson has to be keys with values"}},
		{"no steps", "source: a.tab\n", []string{":1:1: it has no steps"}},
		{"steps of another kind", "source: a.tab\nsteps: 3\n", []string{":2:8: steps has to be a list"}},
		{"an unknown key", "sorce: a.tab\nsteps:\n- convert:\n  to: x.tab\n", []string{":1:1: a lesson has nothing called \"sorce\"", "did you mean source?"}},
		{"a key twice", "source: a.tab\nsource: b.tab\nsteps:\n- convert:\n  to: x.tab\n", []string{":2:1: source is said twice, in line 1 already"}},
		{"an unknown command", "source: a.tab\nsteps:\n- transpos: {by: m3}\n  to: x.tab\n", []string{":3:3: a step has nothing called \"transpos\"", "did you mean transpose?"}},
		{"two commands", "source: a.tab\nsteps:\n- transpose: {by: m3}\n  convert:\n  to: x.tab\n", []string{":4:3: a step is one command, and this one has transpose and convert"}},
		{"no command", "source: a.tab\nsteps:\n- to: x.tab\n", []string{":3:3: the step names no command"}},
		{"an unknown flag", "source: a.tab\nsteps:\n- transpose: {buy: m3}\n  to: x.tab\n", []string{":3:15: transpose has nothing called \"buy\"", "did you mean by?"}},
		{"a flag of the lesson's", "source: a.tab\nsteps:\n- transpose: {by: m3, dir: x}\n  to: x.tab\n", []string{":3:23: dir is not said in a step", "say to: beside the command"}},
		{"a value of another kind", "source: a.tab\nsteps:\n- refinger: {position: five}\n  to: x.tab\n", []string{":3:24: --position: \"five\" is no whole number"}},
		{"no value", "source: a.tab\nsteps:\n- transpose: {by: }\n  to: x.tab\n", []string{":3:19: here belongs a text or a number"}},
		{"a mapping for a value", "source: a.tab\nsteps:\n- transpose: {by: {a: b}}\n  to: x.tab\n", []string{":3:19: the value of by has to be"}},
		{"a list for one value", "source: a.tab\nsteps:\n- refinger: {position: [5, 7]}\n  to: x.tab\n", []string{":3:24: position takes one value and no list"}},
		{"no target", "source: a.tab\nsteps:\n- convert:\n", []string{":3:3: the step does not say where to write"}},
		{"a target without a format", "source: a.tab\nsteps:\n- convert:\n  to: x\n", []string{":4:7: the name \"x\" says no format"}},
		{"out of the folder", "source: a.tab\nsteps:\n- convert:\n  to: ../x.tab\n", []string{":4:7: ../x.tab leads out of the folder"}},
		{"a format that is none", "source: a.tab\nsteps:\n- convert:\n  to: x/\n  as: [tab, musixml]\n", []string{":5:13: there is no format \"musixml\"", "did you mean musicxml?"}},
		{"a format with a file", "source: a.tab\nsteps:\n- convert:\n  to: x.tab\n  as: tab\n", []string{":5:7: as: goes with a folder"}},
		{"a step that is not there", "source: a.tab\nsteps:\n- step: up\n  transpose: {by: m3}\n  to: up.tab\n- convert:\n  of: {step: upp}\n  to: x.tab\n", []string{":7:14: there is no step called \"upp\" before this one", "did you mean up?"}},
		{"two steps of one name", "source: a.tab\nsteps:\n- step: up\n  convert:\n  to: x.tab\n- step: up\n  convert:\n  to: y.tab\n", []string{":6:9: there is a step called \"up\" already"}},
		{"two steps with one target", "source: a.tab\nsteps:\n- convert:\n  to: x.tab\n- convert:\n  to: x.tab\n", []string{":5:3: step 1 (convert) and step 2 (convert) both write to x.tab"}},
		{"a worksheet that is no sheet", "source: a.tab\nsteps:\n- convert: {worksheet: true}\n  to: x.tab\n", []string{":3:24: worksheet is about a sheet to read and print, which this step does not make", ".html"}},
		{"a worksheet that asks for nothing known", "source: a.tab\nsteps:\n- convert: {worksheet: [find, shap]}\n  to: x.html\n", []string{":3:31: --worksheet: a worksheet cannot ask for \"shap\"", "did you mean shape?"}},
		{"answers of no worksheet", "source: a.tab\nsteps:\n- convert:\n  to: x.html\n  answers: y.html\n", []string{":5:12: answers: goes with a worksheet", "say worksheet: true"}},
		{"answers that are sound", "source: a.tab\nsteps:\n- convert: {worksheet: true}\n  to: x.html\n  answers: y.mid\n", []string{":5:12: answers are a sheet in html"}},
		{"answers over the sheet", "source: a.tab\nsteps:\n- convert: {worksheet: true}\n  to: x.html\n  answers: x.html\n", []string{":3:3: step 1 (convert) writes twice to x.html"}},
		{"answers twice", "source: a.tab\nsteps:\n- convert: {worksheet: true, answers: none}\n  to: x.html\n  answers: y.html\n", []string{":3:39: where the answers go is said twice"}},
		{"sound that is not made", "source: a.tab\nsteps:\n- convert: {loop: 3}\n  to: x.html\n", []string{":3:19: loop is about sound to play along with", ".mid"}},
		{"no source", "steps:\n- convert:\n  to: x.tab\n", []string{":2:3: there is nothing that convert could work on", "source:"}},
		{"no words", "steps:\n- scales: {shape: E}\n  to: x.tab\n", []string{":2:3: scales does not say what of"}},
		{"wrong usage", "source: a.tab\nsteps:\n- transpose: {by: m3, to: E}\n  to: x.tab\n", []string{":3:3: --by, --to and --all-keys exclude each other"}},
		{"a source that is not there", "source: b.tab\nsteps:\n- convert:\n  to: x.tab\n", []string{":3:3: ", "b.tab: cannot be read"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			write(t, filepath.Join(dir, "a.tab"), read(t, example("amber-street.tab")))
			file := write(t, filepath.Join(dir, "lesson.yaml"), tt.lesson)
			got := lickwright("lesson", file)
			assert.Equal(t, exitFailure, got.code, got.err)
			assert.Empty(t, got.out)
			assert.Contains(t, got.err, file+":")
			for _, s := range tt.says {
				assert.Contains(t, got.err, s)
			}
			assert.NoFileExists(t, filepath.Join(dir, "lesson", "x.tab"))
		})
	}
	got := lickwright("lesson")
	assert.Equal(t, exitUsage, got.code)
	got = lickwright("lesson", filepath.Join(t.TempDir(), "none.yaml"))
	assert.Equal(t, exitFailure, got.code)
}

// What is wrong is said once, at its own place, however many steps it
// concerns, and all of it at once.
func TestAllFaultsOfALessonAtOnce(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "a.tab"), read(t, example("amber-street.tab")))
	file := write(t, filepath.Join(dir, "lesson.yaml"), `source: a.tab
key: H moll
tuning: banana
capo: two
neck-frets: 900
time: 4/5
tempo: -3
trust: ears
steps:
- transpose: {by: m9x, respell: auto}
  to: a.musicxml
- transpose: {to: Q, order: fourth}
  too: b.tab
- annotate: {show: [degrees, degre, roels], home: H, scale: A dorain}
  to: c.html
- remap: {to: A lydan, map: degre}
  to: d.tab
- refinger: {frets: x-5, scheme: chord-shap, strings: 0}
  to: e.tab
- scales: {degree: zz, notes: 0, run: sideways}
  of: C major
  to: f.svg
- routine: {show: [arpegio]}
  of: C major
  to: g.mid
- diagram: {show: degres}
  of: C major
  to: h/
- diagram: {shape: H, spacing: tru, draw: [neck, bokses]}
  of: C majro
  to: k/
- diagram: {shape: E, show: fingers}
  of: a.tab
  to: l/
- routine: {shape: E}
  of: C majro
  to: m.tab
- diagram: {legend: true}
  to: n.png
- convert: {swing: 9, count-in: 99}
  to: i.mid
`)
	got := lickwright("lesson", file)
	assert.Equal(t, exitFailure, got.code)
	for _, at := range []string{"2:6: --key", "3:9: --tuning", "4:7: --capo", "5:13: --neck-frets", "6:7: --time", "7:8: --tempo", "8:8: --trust",
		"10:19: --by", "12:19: --to", "12:29: --order", "13:3: a step has nothing called \"too\"", "14:30: --show", "14:37: --show", "14:51: --home", "14:61: --scale", "16:15: --to", "16:29: --map",
		"18:21: --frets", "18:34: --scheme", "18:55: --strings", "20:20: --degree", "20:31: --notes", "20:39: --run", "23:20: --show", "26:19: --show",
		"29:20: --shape", "29:32: --spacing", "29:50: --draw", "32:20: shape chooses places", "36:7: ", "38:3: diagram does not say what of", "40:20: --swing", "40:33: --count-in"} {
		assert.Equal(t, 1, strings.Count(got.err, file+":"+at), "%s in\n%s", at, got.err)
	}
	assert.Equal(t, 33, strings.Count(got.err, file+":"), got.err)
	assert.Contains(t, got.err, "or for the lick of: a.tab")
	assert.NoFileExists(t, filepath.Join(dir, "lesson"))
}

// What reading a source tells is said once, before the steps and as none of
// theirs; what a step tells is said once, however many targets it has.
func TestALessonSaysOnceWhatReadingTells(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "a.tab"), "Key: A minor\n\nSome words.\n\ne|-5-8-5---|\nB|-------8-|\nG|---------|\nD|---------|\nA|---------|\nE|---------|\n")
	file := write(t, filepath.Join(dir, "lesson.yaml"), `source: a.tab
steps:
- transpose: {by: m3}
  to: [a.tab, a.musicxml, a.mid]
- convert:
  to: [b.musicxml, c.musicxml]
- annotate: {show: [degrees]}
  to: [d.tab, e.tab]
`)
	got := lickwright("lesson", file)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 1, strings.Count(got.err, "no counts or rhythm letters"), got.err)
	assert.Less(t, strings.Index(got.err, "no counts or rhythm letters"), strings.Index(got.err, "step 1"), got.err)
	assert.Equal(t, 2, strings.Count(got.err, "is not carried over"), "once for each of the two steps that leave it out\n%s", got.err)

	// Remarks that are not said again count as before.
	got = lickwright("lesson", "--strict", "-d", filepath.Join(dir, "strict"), file)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "step 1 (transpose), step 2 (convert)")
}

// The flags that a lesson refuses in a picture of a phrase are those that the
// command refuses.
func TestPlacesOfScalesAreNoneOfPhrases(t *testing.T) {
	values := map[string]string{"hold-position": "true", "position": "5", "notes": "3", "shape": "E", "degree": "1", "strings": "1-3"}
	for _, flag := range placesOfScales() {
		got := lickwright("diagram", "--"+flag+"="+nonEmptyOr(values[flag], "neck"), example("amber-street.tab"))
		assert.Equal(t, exitUsage, got.code, flag)
		assert.Contains(t, got.err, "--"+flag+" chooses places", flag)
	}
}

func nonEmptyOr(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// A lesson can ask for every kind of file; a flag about one format is for that
// alone, and the answers of a worksheet can stand apart from it.
func TestALessonAsksForEverything(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "a.tab"), read(t, example("amber-street.tab")))
	file := write(t, filepath.Join(dir, "lesson.yaml"), `source: a.tab
steps:
- convert: {worksheet: [find, shape], loop: 2}
  to: [w.html, w.mid, w.tab, w.musicxml, w.mxl, w.svg, w.png, w.degrees]
  answers: key.html
- routine: {shape: E, worksheet: true}
  of: A dorian
  to: sheets/
  as: [html, svg]
  answers: keys/
- diagram: {frames: true, shape: E, draw: chain}
  of: A dorian
  to: frames/
- convert: {worksheet: true}
  to: whole.html
`)
	got := lickwright("lesson", "-q", file)
	require.Equal(t, exitDone, got.code, got.err)
	out := filepath.Join(dir, "lesson")
	for name, begins := range map[string]string{"w.html": "<!DOCTYPE", "w.mid": "MThd", "w.tab": "Title", "w.musicxml": "<?xml", "w.mxl": "PK", "w.svg": "<", "w.png": "\x89PNG", "w.degrees": ""} {
		assert.True(t, strings.HasPrefix(read(t, filepath.Join(out, name)), begins), name)
	}
	sheet, key, whole := read(t, filepath.Join(out, "w.html")), read(t, filepath.Join(out, "key.html")), read(t, filepath.Join(out, "whole.html"))
	assert.Contains(t, sheet, "Draw a ring around the number on the strings of every ♭3")
	assert.NotContains(t, sheet, "Write the degree")
	assert.NotContains(t, sheet, `id="answers-1"`)
	assert.Contains(t, key, `id="answers-1"`)
	assert.NotContains(t, key, `id="section-1"`)
	assert.Contains(t, whole, "Write the degree")
	assert.Contains(t, whole, `id="answers-1"`)
	assert.Len(t, filesIn(t, filepath.Join(out, "keys")), 1)
	assert.Len(t, filesIn(t, filepath.Join(out, "sheets")), 2)
	assert.Greater(t, len(filesIn(t, filepath.Join(out, "frames"))), 3)
	got = lickwright("lesson", file)
	assert.Contains(t, got.err, " 0 files written; ")

	// Where the answers go decides about what is made.
	write(t, file, strings.Replace(read(t, file), "  answers: key.html\n", "", 1))
	require.Equal(t, exitDone, lickwright("lesson", "-q", file).code)
	assert.Contains(t, read(t, filepath.Join(out, "w.html")), `id="answers-1"`)
}

// A lesson file of chance is read or refused, and what is refused says where.
func FuzzReadLesson(f *testing.F) {
	f.Add(read(f, example("week-14.yaml")))
	f.Add("source: a.tab\nsteps:\n- &x {convert: , to: x.tab}\n- *x\n")
	f.Add("steps: [{scales: {shape: E}, of: [C major], to: [a/, b.tab], as: svg}]")
	f.Add("? [a]\n: b\nsteps: [{convert: 3}]")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := readLesson([]byte(text), "lesson.yaml", stepCommands(nil))
		if err == nil {
			require.NotEmpty(t, l.steps)
			for _, s := range l.steps {
				require.NotEmpty(t, s.targets)
				require.True(t, s.at.IsValid())
			}
			return
		}
		require.Nil(t, l)
		for line := range strings.Lines(err.Error()) {
			require.Regexp(t, `^lesson\.yaml:\d+:\d+: |^and \d+ more`, line)
		}
	})
}
