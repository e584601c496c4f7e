package main

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
)

// namesOfNotes lists the sounding names of a file.
func namesOfNotes(t testing.TB, name, text string) string {
	var list []string
	for _, n := range musicOf(t, name, text) {
		list = append(list, n.Pitch.String())
	}
	return strings.Join(list, " ")
}

// The two mappings of a minor pentatonic, as the help promises, in both
// formats.
func TestRemapInBothFormats(t *testing.T) {
	for _, file := range []string{"amber-street.tab", "amber-street.musicxml"} {
		degree := lickwright("remap", "--from", "A minor pentatonic", "--to", "A major pentatonic", example(file))
		require.Equal(t, exitDone, degree.code, degree.err)
		step := lickwright("remap", "-q", "--from", "A minor pentatonic", "--to", "A major pentatonic", "--map", "step", example(file))
		require.Equal(t, exitDone, step.code, step.err)
		assert.Contains(t, degree.err, "bar 1: mapped by degree; by step some notes would differ: C4, now C♯4, would be B3")
		assert.NotEqual(t, namesOfNotes(t, file, degree.out), namesOfNotes(t, file, step.out))
		for _, out := range []string{degree.out, step.out} {
			for _, n := range musicOf(t, file, out) {
				// A B C# E F#, the F# of the bar over D7 among them.
				assert.Contains(t, []int{9, 11, 1, 4, 6}, n.Pitch.Class(), n.Pitch.String())
			}
		}
	}
}

// The key of the file is where it comes from, if nothing else is said.
func TestRemapFromTheKey(t *testing.T) {
	got := lickwright("remap", "-q", "--to", "phrygian", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "Key: A phrygian")
	again := lickwrightOn(got.out, "remap", "-q", "--to", "natural minor", "-")
	assert.Equal(t, namesOfNotes(t, "x.tab", read(t, example("amber-street.tab"))), namesOfNotes(t, "x.tab", again.out))
}

// A phrase through other chords, longer than it was, reads back in both
// formats and is the same music.
func TestRemapOver(t *testing.T) {
	tab := lickwright("remap", "-q", "--over", "Dm7 | G7 | Cmaj7 | % | F7 | E7", example("amber-street.tab"))
	require.Equal(t, exitDone, tab.code, tab.err)
	xml := lickwright("remap", "-q", "--over", "Dm7 | G7 | Cmaj7 | % | F7 | E7", example("amber-street.musicxml"))
	require.Equal(t, exitDone, xml.code, xml.err)
	var sounds [2][]int
	for i, s := range []struct{ name, text string }{{"x.tab", tab.out}, {"x.musicxml", xml.out}} {
		for _, n := range musicOf(t, s.name, s.text) {
			sounds[i] = append(sounds[i], n.Sounding())
		}
	}
	assert.Equal(t, sounds[0], sounds[1])
	assert.Contains(t, tab.out, "Cmaj7")
	assert.NotContains(t, tab.out, "Am7")
}

// --scheme keeps the notes in a position.
func TestRemapIntoAScheme(t *testing.T) {
	got := lickwright("remap", "--from", "A minor pentatonic", "--to", "A dorian", "--frets", "7-12", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	for _, n := range musicOf(t, "x.tab", got.out) {
		assert.GreaterOrEqual(t, n.Place.Fret, 7)
		assert.LessOrEqual(t, n.Place.Fret, 12)
	}
}

func TestRemapUsage(t *testing.T) {
	amber, waltz := example("amber-street.tab"), example("kitchen-waltz.tab")
	for _, tt := range []struct {
		args       []string
		code       int
		says, hint string
	}{
		{[]string{amber}, exitUsage, "it is not said where to", "say --to SCALE"},
		{[]string{"--to", "dorian", "--over", "G7", amber}, exitUsage, "exclude each other", "say one of them"},
		{[]string{"--to", "doriam", amber}, exitUsage, "--to: ", "dorian"},
		{[]string{"--to", "dorian", "--map", "stepp", amber}, exitUsage, "--map: ", "did you mean step?"},
		{[]string{"--over", "G7", "--map", "step", amber}, exitUsage, "--map goes with --to", "keep their job"},
		{[]string{"--over", "H7", amber}, exitUsage, "--over: ", ""},
		{[]string{"--over", "G7", "--from", "A minor pentatonic", amber}, exitUsage, "--from: ", ""},
		{[]string{"--over", "G7", waltz}, exitFailure, "over which chord", "--from Am7"},
		{[]string{"--to", "dorian", waltz}, exitFailure, "its key is not known", "--key"},
		{[]string{"--to", "D dorian", "--up", "--down", amber}, exitUsage, "exclude each other", ""},
	} {
		got := lickwright(append([]string{"remap"}, tt.args...)...)
		assert.Equal(t, tt.code, got.code, "%v: %s", tt.args, got.err)
		assert.Empty(t, got.out)
		assert.Contains(t, got.err, tt.says)
		assert.Contains(t, got.err, tt.hint)
	}
}

// Over every file: rhythm and number of notes stay, what comes out is read
// again as what was made, and valid files stay valid. Source: the MusicXML 4.0
// schema of the W3C, by the program xmllint.
func TestRemapOverTheCorpus(t *testing.T) {
	xmllint := outside.Program(t, "xmllint")
	schema := outside.Shared(t, "data", "musicxml-schema", "musicxml-local.xsd")
	invalid := func(files []string) string {
		out, _ := exec.Command(xmllint, append([]string{"--nonet", "--noout", "--schema", schema}, files...)...).CombinedOutput()
		return string(out)
	}
	dir := t.TempDir()
	var before, after []string
	for i, path := range readable(t) {
		if i%3 != 0 {
			continue
		}
		name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)) + ".musicxml"
		old := write(t, filepath.Join(dir, "old-"+name), plainXML(t, path, read(t, path)))
		args := []string{"remap", "-q", "--from", "C major", "--to", "C dorian", old}
		if i%2 == 0 {
			args = []string{"remap", "-q", "--from", "C", "--over", "Fm7 Bb7 | Ebmaj7", old}
		}
		got := lickwright(args...)
		if got.code == exitFailure && strings.Contains(got.err, "its divisions change on the way") {
			continue // chord symbols cannot be put into such bars, and that is said
		}
		if !assert.Contains(t, []int{exitDone, exitPartly}, got.code, "%s: %s", path, got.err) {
			continue
		}
		f, _ := formatOfPath("x.musicxml")
		in, err := f.read(strings.NewReader(read(t, old)), name, score.ReadOptions{})
		require.NoError(t, err)
		out, err := f.read(strings.NewReader(got.out), name, score.ReadOptions{})
		require.NoError(t, err, path)
		for k, p := range in.Score().Parts {
			for b, m := range p.Measures {
				assert.Equal(t, m.Length, out.Score().Parts[k].Measures[b].Length, "%s bar %d", path, b+1)
			}
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

// Bends whose amount changed and legato that turned round are edited into both
// formats: the same music comes out of both.
func TestRemapTechniquesInBothFormats(t *testing.T) {
	tab := "Tuning: standard\nKey: A minor\nTime: 4/4\n\n" +
		"e|---------------------------------|\n" +
		"B|-1-------3h--4---5-------8b10----|\n" +
		"G|---------------------------------|\n" +
		"D|---------------------------------|\n" +
		"A|---------------------------------|\n" +
		"E|---------------------------------|\n" +
		"   1   &   2   &   3   &   4   &\n"
	xml := lickwrightOn(tab, "convert", "-q", "--as", "musicxml", "-")
	require.Equal(t, exitDone, xml.code, xml.err)
	var got [2][]string
	for i, in := range []struct{ name, text string }{{"x.tab", tab}, {"x.musicxml", xml.out}} {
		out := lickwrightOn(in.text, "remap", "-q", "--from", "A minor pentatonic", "--to", "A major pentatonic", "-")
		require.Equal(t, exitDone, out.code, out.err)
		for _, n := range musicOf(t, in.name, out.out) {
			text := n.Pitch.String()
			for _, tech := range n.Techniques {
				switch tech := tech.(type) {
				case score.Bend:
					text += " bend " + tech.Amount.String()
				case score.Span:
					if tech.Kind == score.PullOff {
						text += " pull-off"
					}
				}
			}
			got[i] = append(got[i], text)
		}
	}
	// C D h Eb E G(b)A becomes C# E p Eb E F#(b)A: a bend of a minor third.
	// The blue note has the letter that the reader of the tab gives it.
	for _, list := range got {
		for i := range list {
			list[i] = strings.Replace(list[i], "D#4", "Eb4", 1)
		}
		assert.Equal(t, []string{"C#4", "E4 pull-off", "Eb4 pull-off", "E4", "F#4 bend 3"}, list)
	}
}
