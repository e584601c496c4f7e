package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

// What the README shows is what the program does: every console block is run,
// in a copy of the examples, and its output compared, up to a line "…".
func TestReadmeShowsRealOutput(t *testing.T) {
	text := read(t, filepath.Join(outside.Root(), "README.md"))
	dir := t.TempDir()
	examples := filepath.Join("testdata", "examples")
	require.NoError(t, os.CopyFS(filepath.Join(dir, examples), os.DirFS(filepath.Join(outside.Root(), examples))))
	t.Chdir(dir)
	blocks := strings.Split(text, "```console\n")[1:]
	require.NotEmpty(t, blocks)
	for _, b := range blocks {
		block, _, ok := strings.Cut(b, "```")
		require.True(t, ok)
		command, want, _ := strings.Cut(block, "\n")
		args, ok := strings.CutPrefix(command, "$ lickwright ")
		require.True(t, ok, command)
		var out bytes.Buffer
		a := &app{in: strings.NewReader(""), out: &out, errOut: &out}
		code := a.run(shellFields(args))
		assert.LessOrEqual(t, code, exitPartly, "%s\n%s", command, out.String())
		got := out.String()
		if start, elided := strings.CutSuffix(want, "…\n"); elided {
			assert.True(t, strings.HasPrefix(got, start), "%s\nREADME:\n%s\nprogram:\n%s", command, start, got)
		} else {
			assert.Equal(t, want, got, command)
		}
	}
}

// The first code block of the README is two commands: twelve keys, and the
// tests. (The second is what runs this.)
func TestReadmeBeginsWithTwoCommands(t *testing.T) {
	_, text, ok := strings.Cut(read(t, filepath.Join(outside.Root(), "README.md")), "```sh\n")
	require.True(t, ok)
	block, _, _ := strings.Cut(text, "```")
	lines := strings.Split(strings.TrimSpace(block), "\n")
	require.Len(t, lines, 2)
	args, ok := strings.CutPrefix(lines[0], "go run ./cmd/lickwright ")
	require.True(t, ok)
	t.Chdir(outside.Root())
	got := lickwright(shellFields(args)...)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 12, strings.Count(got.out, "\n== ")+strings.Count(got.out[:3], "== "))
	assert.Equal(t, "go test ./...", lines[1])
}
