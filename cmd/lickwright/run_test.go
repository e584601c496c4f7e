package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
)

// ran is what a run of the program left behind.
type ran struct {
	out, err string
	code     int
}

// lickwright runs the program as from a pipe, with nothing on standard input.
func lickwright(args ...string) ran { return lickwrightOn("", args...) }

// lickwrightOn runs the program with something on standard input.
func lickwrightOn(stdin string, args ...string) ran {
	var out, errOut bytes.Buffer
	a := &app{in: strings.NewReader(stdin), out: &out, errOut: &errOut, version: "test"}
	code := a.run(args)
	return ran{out.String(), errOut.String(), code}
}

// example returns the path of a bundled example.
func example(name string) string {
	return filepath.Join(outside.Root(), "testdata", "examples", name)
}

func read(t testing.TB, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func write(t testing.TB, path, text string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	return path
}

// filesIn lists the files in a folder.
func filesIn(t testing.TB, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// musicOf reads a file and lists its notes.
func musicOf(t testing.TB, name, text string) []*score.Note {
	t.Helper()
	f, ok := formatOfPath(name)
	require.True(t, ok)
	doc, err := f.read(strings.NewReader(text), name, score.ReadOptions{})
	require.NoError(t, err)
	var list []*score.Note
	for n := range score.Notes(doc.Score()) {
		list = append(list, n)
	}
	return list
}
