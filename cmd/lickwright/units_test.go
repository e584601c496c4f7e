package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

func TestDidYouMean(t *testing.T) {
	names := []string{"convert", "transpose", "tunings"}
	assert.Equal(t, "did you mean tunings?", didYouMean("tuning", names))
	assert.Equal(t, "did you mean convert?", didYouMean("covnert", names))
	assert.Empty(t, didYouMean("play", names))
	assert.Empty(t, didYouMean("x", []string{"y"}))
}

func TestFormatOfContent(t *testing.T) {
	for _, tt := range []struct{ data, want string }{
		{"e|--3--|", "tab"}, {"<?xml version", "musicxml"}, {"\xef\xbb\xbf\n<score", "musicxml"},
		{"\xff\xfe<\x00?\x00", "musicxml"}, {"\xfe\xff\x00<\x00?", "musicxml"}, {"PK\x03\x04...", "mxl"},
		{"<pre>\ne|--3--5--|\nB|--------|\nG|--------|\n</pre>", "tab"}, {"<!-- a lick -->\ne|--3--5--|\nB|--------|\nG|--------|\n", "tab"},
		{"<html><body/></html>", "musicxml"}, {"<!-- e|--3--| -->\n<score-partwise/>", "musicxml"},
	} {
		f, _ := formatOfContent([]byte(tt.data))
		assert.Equal(t, tt.want, f.name, "%q", tt.data)
	}
}

// The diff is right if the program patch makes the second text of the first
// with it. Source: the unified format of POSIX diff.
func TestDiffIsAPatch(t *testing.T) {
	patch := outside.Program(t, "patch")
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 40 {
		a, b := randomTexts(r, 1+r.IntN(60))
		if i == 0 {
			a, b = "one\ntwo\nthree", "one\n2\nthree\nfour"
		}
		d, err := unifiedDiff("a", "b", a, b)
		require.NoError(t, err)
		if a == b {
			assert.Empty(t, d)
			continue
		}
		dir := t.TempDir()
		write(t, filepath.Join(dir, "a"), a)
		write(t, filepath.Join(dir, "d"), d)
		out, err := exec.Command(patch, "-s", filepath.Join(dir, "a"), filepath.Join(dir, "d")).CombinedOutput()
		require.NoError(t, err, "%s\n%s", out, d)
		require.Equal(t, b, read(t, filepath.Join(dir, "a")), d)
	}
}

func randomTexts(r *rand.Rand, lines int) (a, b string) {
	for range lines {
		line := fmt.Sprintf("line %d\n", r.IntN(8))
		switch r.IntN(8) {
		case 0:
			a += line
		case 1:
			b += line
		case 2:
			a, b = a+line, b+strings.ToUpper(line)
		default:
			a, b = a+line, b+line
		}
	}
	return a, b
}

// applied makes the second text of a diff's lines; it checks the block-wise
// comparison of long texts without an outside program.
func TestLongTextsAreComparedInBlocks(t *testing.T) {
	var a, b strings.Builder
	for i := range 3 * blockLines {
		fmt.Fprintf(&a, "line %d\n", i)
		if i%3 == 0 {
			fmt.Fprintf(&b, "LINE %d\n", i)
		} else {
			fmt.Fprintf(&b, "line %d\n", i)
		}
	}
	var x, y strings.Builder
	for _, l := range compareLines(a.String(), b.String()) {
		if l.op != '+' {
			x.WriteString(l.text)
		}
		if l.op != '-' {
			y.WriteString(l.text)
		}
	}
	assert.Equal(t, a.String(), x.String())
	assert.Equal(t, b.String(), y.String())
}

func TestTooManyLinesAreRefused(t *testing.T) {
	var b strings.Builder
	for i := range maxDiffLines + 1 {
		fmt.Fprintln(&b, i)
	}
	_, err := unifiedDiff("a", "b", b.String(), "")
	assert.ErrorContains(t, err, "too many to compare")
}

func TestColoredDiff(t *testing.T) {
	assert.Equal(t, " a\n\x1b[31m-b\x1b[0m\n\x1b[32m+c\x1b[0m\n", colored(" a\n-b\n+c\n"))
}

func TestAtomicWrite(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "file")
	require.NoError(t, writeAtomic(path, []byte("one")))
	assert.Equal(t, "one", read(t, path))
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink(path, link))
	require.NoError(t, writeAtomic(link, []byte("two")))
	assert.Equal(t, "two", read(t, path))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still one")
	assert.Len(t, filesIn(t, dir), 2)
	require.NoError(t, writeAtomic(os.DevNull, []byte("gone")))
	assert.Error(t, writeAtomic(filepath.Join(dir, "no", "file"), nil))
}
