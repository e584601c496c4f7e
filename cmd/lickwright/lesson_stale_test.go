package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A source that was corrected after the lesson was made is one fault, whatever
// was made of it; what else is wrong is still found, and words that change no
// music are no fault. What is made again is right.
func TestLessonCheckOfAnOlderSource(t *testing.T) {
	dir := t.TempDir()
	source, lesson, made := filepath.Join(dir, "lick.tab"), filepath.Join(dir, "week.yaml"), filepath.Join(dir, "week")
	lick := "Tuning: standard\nKey: A minor\nTime: 4/4\n\n" +
		"e|-----5-8-----|\nB|-5-8-----8-5-|\nG|-------------|\nD|-------------|\nA|-------------|\nE|-------------|\n   1 & 2 & 3 &\n"
	write := func(path, text string) { require.NoError(t, os.WriteFile(path, []byte(text), 0o666)) }
	write(source, lick)
	write(lesson, "lesson: Week\nsource: lick.tab\ninto: week\nsteps:\n- transpose: {all-keys: true}\n  to: keys/\n  as: [tab, musicxml]\n- convert: {}\n  to: [page.html, page.mid]\n")
	require.Equal(t, exitDone, lickwright("lesson", lesson).code)
	got := lickwright("lesson", "check", made)
	require.Equal(t, exitDone, got.code, got.out+got.err)

	write(source, lick+"\nSlowly.\n")
	got = lickwright("lesson", "check", made)
	assert.Equal(t, exitDone, got.code, "words are no music: %s%s", got.out, got.err)

	write(source, strings.Replace(lick, "-8-----8-5-", "-7-----8-5-", 1))
	got = lickwright("lesson", "check", "-q", made)
	assert.NotEqual(t, exitDone, got.code)
	assert.Equal(t, source+": it was changed after the lesson was made of it, and 26 files are still made of the older one: make the lesson again with lickwright lesson\n", got.out)

	found, err := filepath.Glob(filepath.Join(made, "keys", "*-D-minor.tab"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	key := found[0]
	text, err := os.ReadFile(key)
	require.NoError(t, err)
	write(key, strings.Replace(string(text), "Key: D minor", "Key: E minor", 1))
	got = lickwright("lesson", "check", "-q", made)
	assert.Equal(t, 2, strings.Count(got.out, "\n"), "%s", got.out)
	assert.Contains(t, got.out, "D minor has 1 flat")
	write(key, string(text))

	again := lickwright("lesson", lesson)
	require.Equal(t, exitDone, again.code, again.err)
	got = lickwright("lesson", "check", made)
	assert.Equal(t, exitDone, got.code, got.out+got.err)
}
