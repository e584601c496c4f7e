package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

// Bad input never panics, never overwrites anything: one line says where and
// what, the next what to do, and nothing is written.
func TestBadInput(t *testing.T) {
	amber := read(t, example("amber-street.musicxml"))
	for _, tt := range []struct {
		name, file, data string
		code             int
		says             []string // in the first line
		hint             bool
	}{
		{"empty", "empty.tab", "", exitFailure, []string{"empty.tab: ", "nothing in it"}, true},
		{"only spaces", "blank.musicxml", " \n\n", exitFailure, []string{"blank.musicxml: ", "nothing in it"}, true},
		{"binary as tab", "noise.tab", "\x00\x01\x02\xff\xfe\x00\x90|--\x00\x07", exitFailure, []string{"noise.tab:"}, true},
		{"binary as MusicXML", "noise.musicxml", "\x00\x01\x02\xff\xfe\x00\x90", exitFailure, []string{"noise.musicxml:"}, true},
		{"truncated XML", "cut.musicxml", amber[:len(amber)/2], exitFailure, []string{"cut.musicxml:"}, true},
		{"XML that is not MusicXML", "page.musicxml", "<html><body/></html>", exitFailure, []string{"page.musicxml:1:1: ", "html"}, true},
		{"wrong nesting", "nest.musicxml", "<score-partwise>\n<part-list></score-partwise>", exitFailure, []string{"nest.musicxml:2:"}, true},
		{"mxl that is no zip", "broken.mxl", "PK\x03\x04 and nothing more", exitFailure, []string{"broken.mxl:"}, true},
		{"mxl that is text", "text.mxl", "e|--3--|\n", exitFailure, []string{"text.mxl:"}, true},
		{"tab without notes", "prose.tab", "Dear diary,\nno music today.\n", exitFailure, []string{"prose.tab:"}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			path := write(t, filepath.Join(dir, tt.file), tt.data)
			out := filepath.Join(dir, "out.musicxml")
			for _, args := range [][]string{
				{"convert", "-o", out, path},
				{"transpose", "--by", "m3", "-o", out, path},
				{"transpose", "--by", "m3", "--diff", path},
			} {
				got := lickwright(args...)
				assert.Equal(t, tt.code, got.code, got.err)
				assert.Empty(t, got.out)
				lines := strings.Split(strings.TrimRight(got.err, "\n"), "\n")
				for _, s := range tt.says {
					assert.Contains(t, lines[0], s)
				}
				if tt.hint {
					require.Len(t, lines, 2, got.err)
					assert.Contains(t, lines[1], "hint: ")
				}
				assert.Equal(t, []string{tt.file}, filesIn(t, dir))
			}
		})
	}
}

func TestBadPaths(t *testing.T) {
	amber := example("amber-street.tab")
	t.Run("not there", func(t *testing.T) {
		got := lickwright("convert", "nowhere.tab")
		assert.Equal(t, ran{"", "nowhere.tab: cannot be read: no such file or directory\n", exitFailure}, got)
	})
	t.Run("a folder to read", func(t *testing.T) {
		dir := t.TempDir()
		got := lickwright("convert", dir)
		assert.Equal(t, ran{"", dir + ": there is no music in this folder\n  hint: music has one of the extensions " + strings.Join(readExtensions(), " ") + "\n", exitFailure}, got)
	})
	t.Run("a folder to write", func(t *testing.T) {
		dir := t.TempDir()
		got := lickwright("convert", "--as", "tab", "-q", "-o", dir, amber)
		assert.Equal(t, ran{"", dir + ": it is a folder\n  hint: name a file, or use -d to write into a folder\n", exitFailure}, got)
	})
	t.Run("no such folder", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "no", "out.tab")
		got := lickwright("convert", "-q", "-o", path, amber)
		assert.Equal(t, ran{"", path + ": cannot be written: no such file or directory\n", exitFailure}, got)
	})
	t.Run("a file where a folder should be", func(t *testing.T) {
		path := filepath.Join(write(t, filepath.Join(t.TempDir(), "file"), "mine"), "out.tab")
		got := lickwright("convert", "-q", "-o", path, amber)
		assert.Equal(t, ran{"", path + ": not a directory\n", exitFailure}, got)
	})
	t.Run("a full disk", func(t *testing.T) {
		const full = "/dev/full" // Linux: every write to it fails
		if _, err := os.Stat(full); err != nil {
			outside.Absent(t, "no "+full+" on this machine")
		}
		got := lickwright("convert", "-q", "-o", full, amber)
		assert.Equal(t, ran{"", full + ": cannot be written: no space left on device\n", exitFailure}, got)
	})
	t.Run("not writable", func(t *testing.T) {
		if os.Geteuid() == 0 { // who may write in every folder of a disk
			const sys = "/sys" // Linux: nobody makes files there
			if _, err := os.Stat(sys); err != nil {
				outside.Absent(t, "no "+sys+" on this machine")
			}
			path := filepath.Join(sys, "out.tab")
			got := lickwright("convert", "-q", "-o", path, amber)
			assert.Equal(t, exitFailure, got.code)
			assert.Regexp(t, "^"+path+": cannot be written: (permission denied|read-only file system)\n$", got.err)
			assert.NoFileExists(t, path)
			return
		}
		dir := t.TempDir()
		require.NoError(t, os.Chmod(dir, 0o500))
		path := filepath.Join(dir, "out.tab")
		got := lickwright("convert", "-q", "-o", path, amber)
		assert.Equal(t, ran{"", path + ": cannot be written: permission denied\n", exitFailure}, got)
	})
	t.Run("the output exists", func(t *testing.T) {
		path := write(t, filepath.Join(t.TempDir(), "out.tab"), "mine")
		got := lickwright("convert", "-q", "-o", path, amber)
		assert.Equal(t, ran{"", path + ": the file exists already\n  hint: say --force to overwrite it\n", exitFailure}, got)
		assert.Equal(t, "mine", read(t, path))
		got = lickwright("convert", "-q", "--force", "-o", path, amber)
		assert.Equal(t, ran{"", "", exitDone}, got)
		assert.Equal(t, read(t, amber), read(t, path))
	})
	t.Run("one of twelve exists", func(t *testing.T) {
		dir := t.TempDir()
		taken := write(t, filepath.Join(dir, "amber-street-07-Eb-minor.tab"), "mine")
		got := lickwright("transpose", "-q", "--all-keys", "-d", dir, amber)
		assert.Equal(t, exitFailure, got.code)
		assert.Equal(t, taken+": the file exists already\n  hint: say --force to overwrite it\n", got.err)
		assert.Len(t, filesIn(t, dir), 1, "nothing else was written")
	})
	t.Run("a writer that fails", func(t *testing.T) {
		var errOut strings.Builder
		a := &app{in: strings.NewReader(""), out: failing{}, errOut: &errOut}
		assert.Equal(t, exitFailure, a.run([]string{"convert", "-q", amber}))
		assert.Equal(t, "standard output: cannot be written: the pipe is broken\n", errOut.String())
	})
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("the pipe is broken") }

// Mistakes on the command line: the message, a hint, the usage line, code 2.
func TestWrongUsage(t *testing.T) {
	amber, waltz := example("amber-street.tab"), example("kitchen-waltz.tab")
	for _, tt := range []struct {
		args []string
		says string
		hint string
	}{
		{[]string{"transpsoe"}, `there is no command "transpsoe"`, "did you mean transpose?"},
		{[]string{"trnspose", "--to", "G", "a.tab"}, `there is no command "trnspose"`, "did you mean transpose?"},
		{[]string{"lesson", "chekc", "--task", "a.tab", "b.tab"}, `lesson has no command "chekc"`, "did you mean check?"},
		{[]string{"--tp", "G"}, "unknown flag: --tp", ""},
		{[]string{"play"}, `there is no command "play"`, "lickwright --help lists the commands"},
		{[]string{"convert", "--tuninng", "drop-d"}, "unknown flag: --tuninng", "did you mean --tuning?"},
		{[]string{"convert", "--capo", "two"}, `--capo: "two" is no whole number`, ""},
		{[]string{"convert", "--as", "musixml", amber}, `there is no format "musixml"`, "did you mean musicxml?"},
		{[]string{"convert", "--as", "docx", amber}, `there is no format "docx"`, "there are tab (plain-text tab), musicxml (MusicXML), mxl (compressed MusicXML)"},
		{[]string{"convert", "-o", "x.docx", amber}, `-o: the extension of "x.docx" names no format`, "say --as"},
		{[]string{"convert", "-o", "x.tab", "-d", "y", amber}, "two places to write to", "use -o for one file"},
		{[]string{"convert", amber, waltz}, "several files need a folder", "say -d FOLDER"},
		{[]string{"convert", "--tuning", "drop-x", amber}, `--tuning: "drop-x" is no tuning`, "did you mean drop-d?"},
		{[]string{"convert", "--tuning", "E A", amber}, "--tuning: ", ""},
		{[]string{"convert", "--key", "H", amber}, `--key: "H" is no key`, "write tonic and mode"},
		{[]string{"convert", "--time", "4:4", amber}, `--time: "4:4" is no metre`, "as in 4/4"},
		{[]string{"convert", "--tempo", "-3", amber}, "--tempo: -3 is no number of quarter notes per minute", ""},
		{[]string{"convert", "--neck-frets", "0", amber}, "--neck-frets: a neck has 1 to 36 frets", ""},
		{[]string{"convert", "--capo", "22", amber}, "--capo: the capo stands at fret 0 to 21", ""},
		{[]string{"convert", "--width", "3", amber}, "--width: a tab needs 20 columns", ""},
		{[]string{"convert", "--as", "musicxml", "--part", "9", amber}, `--part: there is no part "9"`, "the parts are: 1"},
		{[]string{"transpose", amber}, "it is not said where to", "say --by INTERVAL"},
		{[]string{"transpose", "--by", "m3", "--to", "C", amber}, "exclude each other", "say one of them"},
		{[]string{"transpose", "--to", "C", "--up", "--down", amber}, "--up and --down exclude each other", ""},
		{[]string{"transpose", "--by", "m3", "--down", amber}, "--up and --down go with", "--by -m3"},
		{[]string{"transpose", "--by", "m5", amber}, `--by: "m5" is no interval: a fifth is perfect, never minor`, "write quality and number"},
		{[]string{"transpose", "--by", "semitone", amber}, "a semitone has two names", "say m2"},
		{[]string{"transpose", "--to", "J", amber}, `--to: "J" is no key`, "write tonic and mode"},
		{[]string{"transpose", "--to", "C major", amber}, "would change the mode", `say --to "C minor"`},
		{[]string{"transpose", "--all-keys", "--order", "forths", amber}, `"forths" is no order of keys`, "did you mean fourths?"},
		{[]string{"transpose", "--by", "m3", "--order", "fifths", amber}, "--order goes with --all-keys", ""},
		{[]string{"transpose", "--by", "m3", "--respell", "maybe", amber}, `--respell: "maybe" is neither auto nor never`, ""},
		{[]string{"transpose", "--by", "m3", "--diff", "-o", "x.tab", amber}, "--diff shows changes instead of writing", "leave out -o"},
		{[]string{"transpose", "--all-keys", example("amber-street.musicxml")}, "12 results do not fit into one MusicXML file", "say -d FOLDER"},
		{[]string{"transpose", "--all-keys", "--as", "mxl", amber}, "12 results do not fit into one compressed MusicXML file", "say -d FOLDER"},
		{[]string{"tunings", "dorp-d"}, `"dorp-d" is no tuning`, "did you mean drop-d?"},
	} {
		t.Run(strings.Join(tt.args[:min(len(tt.args), 4)], " "), func(t *testing.T) {
			got := lickwright(tt.args...)
			assert.Equal(t, exitUsage, got.code, got.err)
			assert.Empty(t, got.out)
			assert.Contains(t, got.err, tt.says)
			if tt.hint != "" {
				_, hint, _ := strings.Cut(got.err, "\n  hint: ")
				assert.Contains(t, hint, tt.hint)
			}
			assert.Contains(t, got.err, "usage: lickwright")
		})
	}
}

// Without a key there is no way to go to one.
func TestUnknownKey(t *testing.T) {
	waltz := example("kitchen-waltz.tab")
	for _, args := range [][]string{{"--to", "Eb"}, {"--all-keys"}} {
		got := lickwright(append([]string{"transpose", "-q", waltz}, args...)...)
		assert.Equal(t, exitFailure, got.code)
		assert.Empty(t, got.out)
		assert.Contains(t, got.err, "kitchen-waltz.tab: its key is not known\n  hint: say it with --key")
		got = lickwright(append([]string{"transpose", "-q", "--key", "D", waltz}, args...)...)
		assert.NotEqual(t, exitFailure, got.code, got.err)
		assert.NotEmpty(t, got.out)
	}
	got := lickwright("transpose", "-q", "--by", "M2", waltz)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.NotEmpty(t, got.out)
}
