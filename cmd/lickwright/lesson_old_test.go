package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A step that is taken out of a lesson leaves its files, which are named;
// --remove-old removes those that the lesson made and nobody has changed, and
// nothing else.
func TestALessonKnowsWhatNoStepMakesAnyMore(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "lick.tab"), read(t, example("amber-street.tab")))
	both := "source: lick.tab\nsteps:\n- transpose: {by: m3}\n  to: up.tab\n- transpose: {all-keys: true}\n  to: deep/keys/\n"
	one := "source: lick.tab\nsteps:\n- transpose: {by: m3}\n  to: up.tab\n"
	file := write(t, filepath.Join(dir, "lesson.yaml"), both)
	out := filepath.Join(dir, "lesson")
	keys := filepath.Join(out, "deep", "keys")
	require.Equal(t, exitDone, lickwright("lesson", "-q", file).code)
	require.Len(t, filesIn(t, keys), 12)

	// Nothing is old while the steps are there, and --remove-old takes nothing.
	got := lickwright("lesson", "--remove-old", file)
	assert.Equal(t, exitDone, got.code)
	assert.NotContains(t, got.err, "any more")

	// Files of others: of the user, of another lesson, and one that was changed.
	mine := write(t, filepath.Join(keys, "mine.tab"), "mine")
	changed := filepath.Join(keys, filesIn(t, keys)[0])
	write(t, changed, "changed")
	other := write(t, filepath.Join(dir, "other.yaml"), "source: lick.tab\ninto: lesson\nsteps:\n- convert:\n  to: deep/other.musicxml\n")
	require.Equal(t, exitDone, lickwright("lesson", "-q", "--force", other).code)

	write(t, file, one)
	got = lickwright("lesson", "--force", file)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, changed+" is made by no step any more (and was changed since)\n")
	assert.Contains(t, got.err, "7 files more of the same\n  hint: --remove-old ")
	assert.NotContains(t, got.err, "other.musicxml")
	assert.NotContains(t, got.err, "up.tab")
	require.Len(t, filesIn(t, keys), 13, "nothing is removed unasked")
	assert.NotContains(t, lickwright("lesson", "-q", file).err, "any more")

	// A lesson that fails removes nothing.
	write(t, file, one+"- transpose: {by: m3, part: 9}\n  to: no.tab\n")
	got = lickwright("lesson", "--remove-old", file)
	require.Equal(t, exitFailure, got.code)
	require.Len(t, filesIn(t, keys), 13)

	write(t, file, one)
	got = lickwright("lesson", "--remove-old", file)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 11, strings.Count(got.err, "is made by no step any more and was removed\n"))
	assert.Contains(t, got.err, changed+" is made by no step any more; it was changed since, so it stays\n")
	assert.Equal(t, []string{filepath.Base(changed), "mine.tab"}, filesIn(t, keys))
	assert.Equal(t, "mine", read(t, mine))
	assert.FileExists(t, filepath.Join(out, "up.tab"))
	assert.FileExists(t, filepath.Join(out, "deep", "other.musicxml"))

	// What stayed is the user's own from now on.
	got = lickwright("lesson", "--remove-old", file)
	assert.NotContains(t, got.err, "any more")
	assert.FileExists(t, changed)
}

// A step with another target leaves what it made at the old one; empty folders
// go with their last file.
func TestALessonWithAnotherTarget(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "lick.tab"), read(t, example("amber-street.tab")))
	file := write(t, filepath.Join(dir, "lesson.yaml"), "source: lick.tab\nsteps:\n- convert:\n  to: [a/b/x.musicxml, y.tab]\n")
	out := filepath.Join(dir, "lesson")
	require.Equal(t, exitDone, lickwright("lesson", "-q", file).code)
	write(t, file, "source: lick.tab\nsteps:\n- convert:\n  to: [c.musicxml, y.tab]\n")
	got := lickwright("lesson", "--remove-old", file)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, filepath.Join(out, "a", "b", "x.musicxml")+" is made by no step any more and was removed\n")
	assert.Equal(t, []string{recordName, "c.musicxml", manifestName, "y.tab"}, filesIn(t, out))

	// A list that names something outside of the folder is not believed.
	outsider := write(t, filepath.Join(dir, "outside.tab"), "mine")
	record := filepath.Join(out, recordName)
	sum := sumOfFile(outsider)
	write(t, record, read(t, record)+`{"source":"lesson.yaml: gone.tab","key":"","files":{"../outside.tab":"`+sum+`"}}`+"\n")
	got = lickwright("lesson", "--remove-old", file)
	require.Equal(t, exitDone, got.code, got.err)
	_, err := os.Stat(outsider)
	assert.NoError(t, err)
}
