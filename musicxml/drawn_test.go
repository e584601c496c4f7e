package musicxml_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// A drawing is what an independent reader draws of a file.
type drawing struct {
	Words  []string
	Colors []string
}

// drawn asks the npm library verovio for the words and colours of files.
func drawn(t *testing.T, files []string) []drawing {
	t.Helper()
	script := os.Getenv("LICKWRIGHT_HEARD")
	if script == "" {
		outside.Absent(t, "LICKWRIGHT_HEARD does not name the script of an independent reader (see .ci/heard/install)")
	}
	script = filepath.Join(filepath.Dir(script), "drawn.mjs")
	out, err := exec.Command(outside.Program(t, "node"), append([]string{script}, files...)...).Output()
	require.NoError(t, err)
	var all []drawing
	for line := range bytes.Lines(out) {
		var d drawing
		require.NoError(t, json.Unmarshal(line, &d))
		all = append(all, d)
	}
	require.Len(t, all, len(files))
	return all
}

// TestLabelsAreDrawn annotates files and asks an independent reader to draw
// them: every label is there, the legend too, and every colour; and what is
// heard stays the same. The files stay valid. (It draws lyric lines under
// notation, not under tab that stands alone.)
func TestLabelsAreDrawn(t *testing.T) {
	dir := t.TempDir()
	tab := outside.Shared(t, "data", "musicxml-tab")
	suite := outside.Shared(t, "data", "musicxml-suite")
	over, err := theory.ParseProgression("Am7 | D7 G7 | C6", nil)
	require.NoError(t, err)
	var before, after []string
	var scores []*score.Score
	for _, file := range []string{
		filepath.Join("..", "testdata", "examples", "amber-street.musicxml"), filepath.Join("..", "testdata", "examples", "morning-gate.musicxml"),
		filepath.Join(tab, "tutorial-tablature.xml"), filepath.Join(suite, "21a-Chord-Basic.xml"), filepath.Join(suite, "61b-MultipleLyrics.xml"),
	} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		labelled, _ := transform.Annotate(d.Score(), transform.AnnotateOptions{Show: score.LabelKinds(), Chords: over, Color: true})
		out, err := d.Apply(labelled)
		require.NoError(t, err)
		before, after = append(before, file), append(after, filepath.Join(dir, filepath.Base(file)+".musicxml"))
		require.NoError(t, os.WriteFile(after[len(after)-1], written(t, out), 0o600))
		scores = append(scores, labelled)
	}
	assert.Equal(t, heard(t, before[:2]), heard(t, after[:2]))
	for i, d := range drawn(t, after) {
		there := map[string]int{}
		for _, w := range d.Words {
			there[w]++
		}
		want := map[string]int{}
		for n := range score.Notes(scores[i]) {
			for _, a := range n.Annotations {
				want[a.Text]++
				if a.Color != "" {
					assert.Contains(t, d.Colors, a.Color, after[i])
				}
			}
		}
		require.NotEmpty(t, want, before[i])
		for text, n := range want {
			assert.GreaterOrEqual(t, there[text], n, "%s: the label %s", before[i], text)
		}
		if text, _ := os.ReadFile(after[i]); bytes.Contains(text, []byte("<page-margins")) {
			continue // the reader draws no credit at the foot of a page
		}
		for _, line := range scores[i].Legend {
			assert.Positive(t, there[line], "%s: %s", before[i], line)
		}
	}
	valid := validate(t, append(append([]string{}, before...), after...))
	for i := range after {
		assert.Equal(t, valid[before[i]], valid[after[i]], before[i])
	}
}
