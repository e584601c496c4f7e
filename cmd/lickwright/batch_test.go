package main

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// licks writes so many licks into folders of a new folder. They are the bundled
// one with another title and, one after the other, other frets.
func licks(t testing.TB, n int) string {
	t.Helper()
	dir := t.TempDir()
	text := read(t, example("amber-street.tab"))
	for i := range n {
		lick := strings.Replace(text, "Title: Amber Street", fmt.Sprintf("Title: Amber Street %d", i), 1)
		lick = strings.Replace(lick, "B|-----5---8b10--------8p--5-----", fmt.Sprintf("B|-----5---8b10--------8p--%d-----", 3+i%5), 1)
		path := filepath.Join(dir, "week-"+strconv.Itoa(i/10), fmt.Sprintf("lick-%03d.tab", i))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		write(t, path, lick)
	}
	return dir
}

// tree reads all files of a folder, by path.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		files[filepath.ToSlash(rel)] = read(t, path)
		return err
	}))
	return files
}

// A folder goes to a folder, its structure kept, and comes out the same
// whether its files are worked on one by one or beside each other.
func TestFoldersAreWorkedOn(t *testing.T) {
	in := licks(t, 25)
	write(t, filepath.Join(in, "letter.txt"), "Dear circle,\nno music today.\n")
	write(t, filepath.Join(in, "settings.xml"), "<settings/>")
	write(t, filepath.Join(in, ".hidden.tab"), "e|---|")
	write(t, filepath.Join(in, "picture.png"), "\x89PNG")
	together := filepath.Join(t.TempDir(), "out")
	got := lickwright("transpose", "--by", "m3", "-d", together, in)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "27 files read, 25 files written to "+together+"\n")
	assert.Contains(t, got.err, "2 files passed over, in which there is no music: ")
	all := tree(t, together)
	assert.Len(t, all, 25, "and nothing else, not even hidden")
	alone := t.TempDir()
	for path := range all {
		source := filepath.Join(in, strings.Replace(path, "-C-minor", "", 1))
		single := lickwright("transpose", "-q", "--by", "m3", "-o", filepath.Join(alone, "x.tab"), "--force", source)
		require.Equal(t, exitDone, single.code, single.err)
		assert.Equal(t, read(t, filepath.Join(alone, "x.tab")), all[path], path)
	}
	previous := runtime.GOMAXPROCS(1)
	oneByOne := filepath.Join(t.TempDir(), "out")
	slow := lickwright("transpose", "--by", "m3", "-d", oneByOne, in)
	runtime.GOMAXPROCS(previous)
	assert.Equal(t, all, tree(t, oneByOne))
	assert.Equal(t, strings.ReplaceAll(got.err, together, "OUT"), strings.ReplaceAll(slow.err, oneByOne, "OUT"), "said in the same order")
}

// The output folder inside of the input folder is no input.
func TestOutputFolderInsideOfTheInput(t *testing.T) {
	in := licks(t, 2)
	out := filepath.Join(in, "made")
	for range 2 {
		got := lickwright("convert", "--as", "musicxml", "-q", "--force", "-d", out, in)
		require.Equal(t, exitDone, got.code, got.err)
		assert.Len(t, tree(t, out), 2)
	}
}

func TestAFailingFileDoesNotStopTheOthers(t *testing.T) {
	in := licks(t, 12)
	write(t, filepath.Join(in, "week-0", "lick-003.tab"), "no tab at all\n")
	write(t, filepath.Join(in, "week-0", "lick-005.tab"), "")
	out := filepath.Join(t.TempDir(), "out")
	got := lickwright("transpose", "--by", "m3", "-q", "-d", out, in)
	assert.Equal(t, exitFailure, got.code)
	assert.Len(t, tree(t, out), 10)
	assert.Contains(t, got.err, "lick-003.tab: there is no tab in the text")
	assert.Contains(t, got.err, "lick-005.tab: there is nothing in it\n")
	assert.Contains(t, got.err, "2 of 12 files failed: ")

	out = filepath.Join(t.TempDir(), "out")
	got = lickwright("transpose", "--by", "m3", "-q", "--stop-on-error", "-d", out, in)
	assert.Equal(t, exitFailure, got.code)
	assert.Len(t, tree(t, out), 3, "what comes before the first that fails, and nothing after it")
	assert.Contains(t, got.err, "stopped at the first that failed; 8 files left\n")
}

// Every version of a file is there or none is: a file one of whose results
// cannot be written writes nothing.
func TestAFileIsWrittenAsAWhole(t *testing.T) {
	out := t.TempDir()
	write(t, filepath.Join(out, "amber-street-07-Eb-minor.tab"), "mine")
	got := lickwright("transpose", "--all-keys", "-q", "-d", out, example("amber-street.tab"))
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "the file exists already")
	assert.Equal(t, map[string]string{"amber-street-07-Eb-minor.tab": "mine"}, tree(t, out))
	got = lickwright("transpose", "--all-keys", "-q", "--strict", "--by", "P15", "-d", out, example("amber-street.tab"))
	assert.Equal(t, exitUsage, got.code)
	got = lickwright("transpose", "-q", "--strict", "--by", "P15", "-d", out, example("amber-street.tab"))
	assert.Equal(t, exitPartly, got.code, got.err)
	assert.Len(t, tree(t, out), 1)
}

// Two sources of one name: the first is written, the second says so, however
// they are scheduled.
func TestTwoSourcesOfOneName(t *testing.T) {
	a, b := licks(t, 1), licks(t, 1)
	for range 5 {
		out := filepath.Join(t.TempDir(), "out")
		got := lickwright("transpose", "--by", "P1", "-q", "-d", out, a, b)
		assert.Equal(t, exitFailure, got.code)
		assert.Contains(t, got.err, "both "+filepath.Join(a, "week-0", "lick-000.tab")+" and "+filepath.Join(b, "week-0", "lick-000.tab")+" would be written to it")
		assert.Len(t, tree(t, out), 1)
	}
}

// Sources that differ in their extension alone are told apart by it, in
// whatever order they are named; a letter beside a lick changes no name.
func TestSourcesOfOneNameAndTwoFormats(t *testing.T) {
	dir := t.TempDir()
	tab, xml := filepath.Join(dir, "lick.tab"), filepath.Join(dir, "lick.musicxml")
	require.NoError(t, os.WriteFile(tab, []byte(read(t, example("amber-street.tab"))), 0o644))
	require.NoError(t, os.WriteFile(xml, []byte(read(t, example("amber-street.musicxml"))), 0o644))
	want := []string{"lick-musicxml.musicxml", "lick-tab.tab"}
	for _, args := range [][]string{{dir}, {tab, xml}, {xml, tab}} {
		out := filepath.Join(t.TempDir(), "out")
		args = append([]string{"convert", "--skip-unchanged", "-d", out}, args...)
		got := lickwright(args...)
		require.Equal(t, exitDone, got.code, got.err)
		first := tree(t, out)
		delete(first, recordName)
		assert.Equal(t, want, slices.Sorted(maps.Keys(first)))
		got = lickwright(args...)
		assert.Contains(t, got.err, "2 sources unchanged")
	}
	out := filepath.Join(t.TempDir(), "out")
	got := lickwright("transpose", "--all-keys", "-q", "--as", "tab", "-d", out, tab, xml)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Len(t, tree(t, out), 24)

	require.NoError(t, os.Remove(xml))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lick.txt"), []byte("Dear all, here it is.\n"), 0o644))
	out = filepath.Join(t.TempDir(), "out")
	got = lickwright("convert", "-q", "-d", out, dir)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, []string{"lick.tab"}, slices.Sorted(maps.Keys(tree(t, out))))
}

func TestSkipUnchanged(t *testing.T) {
	in := licks(t, 6)
	out := filepath.Join(t.TempDir(), "out")
	args := []string{"transpose", "--all-keys", "--skip-unchanged", "-d", out, in}
	got := lickwright(args...)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "6 files read, 72 files written to ")
	first := tree(t, out)

	got = lickwright(args...)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "6 files read, 0 files written to "+out+"; 6 sources unchanged\n")
	assert.Equal(t, first, tree(t, out))

	// A correction of one source, and a result that is gone.
	path := filepath.Join(in, "week-0", "lick-002.tab")
	write(t, path, strings.Replace(read(t, path), "Tempo: 96", "Tempo: 92", 1))
	require.NoError(t, os.Remove(filepath.Join(out, "week-0", "lick-004-03-B-minor.tab")))
	got = lickwright(args...)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "24 files written to "+out+"; 4 sources unchanged\n")
	second := tree(t, out)
	assert.Equal(t, len(first), len(second))
	assert.Contains(t, second["week-0/lick-002-05-Csharp-minor.tab"], "Tempo: 92")
	assert.Equal(t, first["week-0/lick-004-03-B-minor.tab"], second["week-0/lick-004-03-B-minor.tab"])

	// Another flag makes other results.
	got = lickwright("transpose", "--all-keys", "--respell", "never", "--skip-unchanged", "-d", out, in)
	assert.Contains(t, got.err, "72 files written")

	// What somebody has edited since is not overwritten.
	edited := write(t, filepath.Join(out, "week-0", "lick-000-01-A-minor.tab"), "my own remarks")
	got = lickwright(args...)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, edited+": the file exists already")
	assert.Equal(t, "my own remarks", read(t, edited))
	got = lickwright("transpose", "--by", "m3", "--skip-unchanged", path)
	assert.Equal(t, exitUsage, got.code)
}

// An interrupted run has written whole files only, and the next one, which
// skips what is there, ends where one run would have.
func TestInterruptAndGoOn(t *testing.T) {
	in := licks(t, 16)
	whole := filepath.Join(t.TempDir(), "out")
	require.Equal(t, exitDone, lickwright("transpose", "--all-keys", "--skip-unchanged", "-q", "-d", whole, in).code)
	want := tree(t, whole)

	out := filepath.Join(t.TempDir(), "out")
	work, cancel := context.WithCancel(context.Background())
	var stdout, stderr bytes.Buffer
	a := &app{in: strings.NewReader(""), out: &stdout, errOut: &stderr, version: "test", work: work}
	go func() { // as soon as something is there
		for {
			if entries, _ := os.ReadDir(out); len(entries) > 1 {
				cancel()
				return
			}
			time.Sleep(time.Millisecond)
		}
	}()
	code := a.run([]string{"transpose", "--all-keys", "--skip-unchanged", "-q", "-d", out, in})
	require.Equal(t, exitFailure, code, "it was not done before it was interrupted")
	assert.Contains(t, stderr.String(), "interrupted: what was written is whole")
	for path, text := range tree(t, out) {
		if path != recordName {
			require.Equal(t, want[path], text, path)
		}
	}
	again := lickwright("transpose", "--all-keys", "--skip-unchanged", "-q", "-d", out, in)
	require.Equal(t, exitDone, again.code, again.err)
	assert.Equal(t, want, tree(t, out))
}

// The same when the program is killed and can do nothing any more.
func TestKilledAndRunAgain(t *testing.T) {
	if os.Getenv("LICKWRIGHT_AS_PROGRAM") != "" {
		os.Exit(newApp().run(strings.Split(os.Getenv("LICKWRIGHT_AS_PROGRAM"), "\n")))
	}
	in := licks(t, 20)
	whole := filepath.Join(t.TempDir(), "out")
	args := []string{"transpose", "--all-keys", "--skip-unchanged", "-q", "-d", whole, in}
	program := func(args []string) *exec.Cmd {
		cmd := exec.Command(os.Args[0], "-test.run=^TestKilledAndRunAgain$")
		cmd.Env = append(os.Environ(), "LICKWRIGHT_AS_PROGRAM="+strings.Join(args, "\n"))
		return cmd
	}
	said, err := program(args).CombinedOutput()
	require.NoError(t, err, "%s", said)
	want := tree(t, whole)
	assert.Len(t, want, 20*12+1)

	out := filepath.Join(t.TempDir(), "out")
	args[5] = out
	killed := program(args)
	require.NoError(t, killed.Start())
	for { // in the middle
		if files, _ := filepath.Glob(filepath.Join(out, "week-1", "*")); len(files) > 0 {
			break
		}
		time.Sleep(time.Millisecond)
	}
	require.NoError(t, killed.Process.Kill())
	_ = killed.Wait()
	for path, text := range tree(t, out) {
		if !strings.HasPrefix(path, ".") {
			require.Equal(t, want[path], text, "%s is whole", path)
		}
	}
	said, err = program(args).CombinedOutput()
	require.NoError(t, err, "%s", said)
	assert.Equal(t, want, tree(t, out), "as if nothing had happened, the record and what is hidden included")
}

// All keys in all positions of a scheme: every version is there once, and in
// its position the notes that have a place lie there.
func TestAllKeysInAllPositions(t *testing.T) {
	out := t.TempDir()
	got := lickwright("transpose", "--all-keys", "--scheme", "chord-shape", "--all-positions", "-q", "-d", out, example("amber-street.tab"))
	require.Contains(t, []int{exitDone, exitPartly}, got.code, got.err)
	files := tree(t, out)
	assert.Len(t, files, 60, "twelve keys, five shapes")
	for path, text := range files {
		assert.Len(t, musicOf(t, path, text), 23, path)
	}
	got = lickwright("transpose", "--by", "P1", "--position", "5", "--scheme", "position", "--all-positions", "-q", example("amber-street.tab"))
	assert.Equal(t, exitDone, got.code, got.err)
	got = lickwright("refinger", "--scheme", "position", "--all-positions", "-q", "-d", filepath.Join(out, "positions"), example("amber-street.tab"))
	require.Contains(t, []int{exitDone, exitPartly}, got.code, got.err)
	assert.Len(t, tree(t, filepath.Join(out, "positions")), 12)
	for _, args := range [][]string{{"transpose", "--by", "m3", "--all-positions"}, {"transpose", "--by", "m3", "--fold"}, {"refinger", "--all-positions"}} {
		got = lickwright(append(args, example("amber-street.tab"))...)
		assert.Equal(t, exitUsage, got.code)
		assert.Contains(t, got.err, "goes with a scheme")
	}
}

// On a terminal long work shows how far it is; in a pipe nothing.
func TestProgress(t *testing.T) {
	assert.Equal(t, "3 of 10 files, 7 s left", progressLine("file", 3, 10, 3*time.Second))
	assert.Equal(t, "1 of 100 files, 3 min left", progressLine("file", 1, 100, 2*time.Second))
	assert.Equal(t, "10 of 10 files", progressLine("file", 10, 10, time.Second))
	var stderr bytes.Buffer
	a := &app{errOut: &stderr, errTTY: true}
	p := a.newProgress("file", 3)
	p.shown = p.shown.Add(-time.Hour)
	p.step(true)
	p.clear()
	p.end()
	assert.Contains(t, stderr.String(), "\r\x1b[K1 of 3 files")
	assert.True(t, strings.HasSuffix(stderr.String(), "\r\x1b[K"), "and takes it away")
	assert.Nil(t, (&app{}).newProgress("file", 3))
}

// BenchmarkVersions is the cost of one version of a lick: moved, fingered in a
// position, written to a file.
func BenchmarkVersions(b *testing.B) {
	in := licks(b, 20)
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			previous := runtime.GOMAXPROCS(workers)
			defer runtime.GOMAXPROCS(previous)
			withGarbageFloor(func() {
				for b.Loop() {
					out := b.TempDir()
					got := lickwright("transpose", "--all-keys", "--scheme", "position", "--all-positions", "-q", "-d", out, in)
					require.Contains(b, []int{exitDone, exitPartly}, got.code, got.err)
				}
			})
			versions := float64(20*12*12) * float64(b.N)
			b.ReportMetric(b.Elapsed().Seconds()*1000/versions, "ms/version")
		})
	}
}
