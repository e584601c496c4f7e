package main

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

// corpus lists the MusicXML files of the shared data and our own examples.
func corpus(t testing.TB) []string {
	t.Helper()
	var files []string
	for _, pattern := range []string{"musicxml-suite/*", "musicxml-tab/*", "musicxml-songs/*"} {
		found, err := filepath.Glob(filepath.Join(outside.Shared(t, "data"), pattern))
		require.NoError(t, err)
		for _, f := range found {
			if _, ok := formatOfPath(f); ok {
				files = append(files, f)
			}
		}
	}
	own, err := filepath.Glob(example("*.musicxml"))
	require.NoError(t, err)
	require.Greater(t, len(files), 90)
	return append(files, own...)
}

// refused lists the files of the suite that are rightly refused, and what
// is said of them.
func refused() map[string]string {
	return map[string]string{
		"32ad-Notations5.musicxml": "</part> does not close <measure>", // not well-formed
	}
}

// readable is the corpus without the files that are rightly refused.
func readable(t testing.TB) []string {
	var files []string
	for _, f := range corpus(t) {
		if refused()[filepath.Base(f)] == "" {
			files = append(files, f)
		}
	}
	return files
}

func TestBrokenFilesOfTheCorpusAreRefused(t *testing.T) {
	n := 0
	for _, path := range corpus(t) {
		if says := refused()[filepath.Base(path)]; says != "" {
			got := lickwright("convert", path)
			assert.Equal(t, exitFailure, got.code)
			assert.Empty(t, got.out)
			assert.Contains(t, got.err, says)
			n++
		}
	}
	assert.Equal(t, len(refused()), n)
}

// Every MusicXML file comes out of a conversion to its own format as it went
// in, byte for byte.
func TestMusicXMLConvertsToItself(t *testing.T) {
	for _, path := range readable(t) {
		got := lickwright("convert", "-q", path)
		assert.Equal(t, exitDone, got.code, "%s: %s", path, got.err)
		assert.True(t, got.out == read(t, path), "%s differs", path)
	}
}

// Transposing never makes a valid file invalid. Source: the MusicXML 4.0
// schema of the W3C, by the program xmllint.
func TestTransposedFilesAreValid(t *testing.T) {
	xmllint := outside.Program(t, "xmllint")
	schema := outside.Shared(t, "data", "musicxml-schema", "musicxml-local.xsd")
	invalid := func(files []string) string {
		out, _ := exec.Command(xmllint, append([]string{"--nonet", "--noout", "--schema", schema}, files...)...).CombinedOutput()
		return string(out)
	}
	intervals := []string{"m3", "-A4", "M9", "A1", "-P15"}
	dir := t.TempDir()
	var before, after []string
	origin := map[string]string{}
	for i, path := range readable(t) {
		name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)) + ".musicxml"
		old := write(t, filepath.Join(dir, "old-"+name), plainXML(t, path, read(t, path)))
		by := intervals[i%len(intervals)]
		got := lickwright("transpose", "-q", "--by", by, path)
		if got.code == exitFailure && strings.Contains(got.err, "MusicXML has octaves 0 to 9 only") {
			assert.Equal(t, "-P15", by, "two octaves down, and no less, is too low for some files")
			continue
		}
		require.Contains(t, []int{exitDone, exitPartly}, got.code, "%s: %s", path, got.err)
		moved := write(t, filepath.Join(dir, "new-"+name), plainXML(t, path, got.out))
		before, after = append(before, old), append(after, moved)
		origin[moved] = path + " by " + by
	}
	wasInvalid := invalid(before)
	report := invalid(after)
	valid := 0
	for i, f := range after {
		switch {
		case strings.Contains(report, f+" validates"):
			valid++
		case strings.Contains(wasInvalid, before[i]+" validates"):
			t.Errorf("%s became invalid:\n%s", origin[f], linesWith(report, f))
		}
	}
	assert.Greater(t, valid, 80)
}

func linesWith(text, part string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		if strings.Contains(line, part) {
			b.WriteString(line)
		}
	}
	return b.String()
}

// plainXML returns the score of a compressed file, and others as they are.
func plainXML(t testing.TB, path, data string) string {
	t.Helper()
	if filepath.Ext(path) != ".mxl" {
		return data
	}
	z, err := zip.NewReader(bytes.NewReader([]byte(data)), int64(len(data)))
	require.NoError(t, err)
	for _, f := range z.File {
		if strings.HasPrefix(f.Name, "META-INF/") || !strings.HasSuffix(f.Name, "xml") {
			continue
		}
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		return string(text)
	}
	t.Fatalf("%s has no score", path)
	return ""
}

// Moving there and back leaves every file as it was in what sounds.
func TestThereAndBackOverTheCorpus(t *testing.T) {
	folded := 0
	for _, path := range readable(t) {
		up := lickwright("transpose", "--respell", "never", "--by", "m3", path)
		require.Contains(t, []int{exitDone, exitPartly}, up.code, "%s: %s", path, up.err)
		down := lickwrightOn(up.out, "transpose", "--respell", "never", "--by", "-m3")
		require.Contains(t, []int{exitDone, exitPartly}, down.code, "%s: %s", path, down.err)
		if strings.Contains(up.err+down.err, "on top of the interval") {
			folded++ // a phrase changed its octave to stay on the neck, and it is said
			continue
		}
		assert.Equal(t, soundsOf(t, path, read(t, path)), soundsOf(t, path, down.out), path)
	}
	assert.Less(t, folded, 6)
}

func soundsOf(t testing.TB, path, text string) []int {
	t.Helper()
	var list []int
	for _, line := range musicOf(t, path, text) {
		list = append(list, line.Sounding())
	}
	return list
}

func TestMain(m *testing.M) {
	// The command must not depend on the folder it runs in.
	if err := os.Chdir(os.TempDir()); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}
