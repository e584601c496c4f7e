package musicxml_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
)

// labelled puts labels on every note of a clone.
func labelled(d *musicxml.Document) *score.Score {
	s := d.Score().Clone()
	i := 0
	for n := range score.Notes(s) {
		i++
		n.Annotations = append(n.Annotations, score.Annotation{Kind: "degree", Text: fmt.Sprintf("b%d", i%7+1)},
			score.Annotation{Kind: "chord tone", Text: "R"})
	}
	return s
}

// TestLabels: labels are put on in place and read back, a file that was valid
// stays so, and taking them off gives the file as it was, byte for byte.
func TestLabels(t *testing.T) {
	dir := t.TempDir()
	var before, after []string
	for _, file := range corpus(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		out, err := d.Apply(labelled(d))
		require.NoError(t, err)
		text := written(t, out)
		again := read(t, text, file)
		require.Equal(t, music(labelled(d)), music(again.Score()), file)
		clear := again.Score().Clone()
		for n := range score.Notes(clear) {
			n.Annotations = nil
		}
		off, err := again.Apply(clear)
		require.NoError(t, err)
		require.Equal(t, string(plainXML(t, data)), string(plainXML(t, written(t, off))), file)

		name := filepath.Join(dir, filepath.Base(file)+".xml")
		require.NoError(t, os.WriteFile(name, plainXML(t, text), 0o600))
		orig := filepath.Join(dir, "before "+filepath.Base(file)+".xml")
		require.NoError(t, os.WriteFile(orig, plainXML(t, data), 0o600))
		before, after = append(before, orig), append(after, name)
	}
	valid := validate(t, append(append([]string{}, before...), after...))
	for i := range after {
		if valid[before[i]] {
			assert.True(t, valid[after[i]], after[i])
		}
	}
}

// TestLabelsReadFromTop: the labels of a chord stand with its first note, that
// of the highest note first, below what is sung.
func TestLabelsReadFromTop(t *testing.T) {
	const file = `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">` +
		`<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><lyric number="1"><text>la</text></lyric></note>` +
		`<note><chord/><pitch><step>E</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>`
	d := read(t, []byte(file), "chord")
	s := d.Score().Clone()
	for n := range score.Notes(s) {
		n.Annotations = []score.Annotation{{Kind: "degree", Text: map[string]string{"C4": "1", "E4": "3"}[n.Pitch.String()]}}
	}
	out, err := d.Apply(s)
	require.NoError(t, err)
	assert.Contains(t, string(written(t, out)), `<lyric number="1"><text>la</text></lyric>`+
		`<lyric number="2" name="lickwright degree"><text>3</text></lyric><lyric number="3" name="lickwright degree 2"><text>1</text></lyric></note>`)
	var b bytes.Buffer
	require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
	assert.Equal(t, 3, strings.Count(b.String(), "<lyric "))
	assert.Equal(t, comparable(s), comparable(read(t, b.Bytes(), "new").Score()))
}
