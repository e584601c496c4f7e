package musicxml_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
)

// Into a container and out of it again: the same bytes.
func TestPackingLosesNothing(t *testing.T) {
	text := `<?xml version="1.0"?>
<!-- kept --><score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>
<part id="P1"><measure number='1'><note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>
`
	plain, err := musicxml.Read(strings.NewReader(text), "x.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	var packed, unpacked bytes.Buffer
	_, err = plain.WriteMXL(&packed)
	require.NoError(t, err)
	inside, err := musicxml.Read(&packed, "x.mxl", score.ReadOptions{})
	require.NoError(t, err)
	_, err = inside.WriteXML(&unpacked)
	require.NoError(t, err)
	assert.Equal(t, text, unpacked.String())
}

// What is applied to a compressed document is in its plain form too.
func TestPlainFormHasWhatWasApplied(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(outside.Shared(t, "data", "musicxml-songs"), "*.mxl"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	doc := open(t, files[0])
	moved := doc.Score().Clone()
	for n := range score.Notes(moved) {
		n.Pitch.Octave++
		break
	}
	applied, err := doc.Apply(moved)
	require.NoError(t, err)
	var text bytes.Buffer
	_, err = applied.WriteXML(&text)
	require.NoError(t, err)
	again, err := musicxml.Read(&text, "x.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, pitchesOf(moved), pitchesOf(again.Score()))
}

func pitchesOf(s *score.Score) []string {
	var list []string
	for n := range score.Notes(s) {
		list = append(list, n.Pitch.String())
	}
	return list
}

func open(t *testing.T, path string) *musicxml.Document {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	doc, err := musicxml.Read(f, path, score.ReadOptions{})
	require.NoError(t, err)
	return doc
}

// Octaves are 0 to 9 in the schema; a pitch beyond them is an error, in place
// and in a new file.
func TestPitchesBeyondTheOctavesOfTheFormat(t *testing.T) {
	text := `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>
<part id="P1"><measure number="1"><note><pitch><step>C</step><octave>9</octave></pitch><duration>1</duration></note></measure></part></score-partwise>
`
	doc, err := musicxml.Read(strings.NewReader(text), "x.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	high := doc.Score().Clone()
	for n := range score.Notes(high) {
		n.Pitch.Octave = 10
	}
	_, err = doc.Apply(high)
	assert.ErrorContains(t, err, "x.musicxml:2:35: measure 1: C10 cannot be written: MusicXML has octaves 0 to 9 only")
	var out bytes.Buffer
	assert.ErrorContains(t, musicxml.Write(&out, high, score.WriteOptions{}), "C10 cannot be written")
	assert.Zero(t, out.Len())
}

// A harmonic that both staves show is one harmonic.
func TestHarmonicOnBothStaves(t *testing.T) {
	doc := open(t, filepath.Join(outside.Root(), "testdata", "examples", "morning-gate.musicxml"))
	count := 0
	for n := range score.Notes(doc.Score()) {
		for _, x := range n.Techniques {
			if _, ok := x.(score.Harmonic); ok {
				count++
			}
		}
	}
	assert.Equal(t, 1, count)
}
