package musicxml_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// timewise turns a partwise document inside out, as the standard's own
// transformation parttime.xsl does: measures that hold parts.
func timewise(t testing.TB, data []byte) []byte {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	root := doc.Root()
	root.Tag = "score-timewise"
	parts := root.SelectElements("part")
	for _, p := range parts {
		root.RemoveChild(p)
	}
	for i := range parts[0].SelectElements("measure") {
		bar := root.CreateElement("measure")
		for _, p := range parts {
			measures := p.SelectElements("measure")
			if i >= len(measures) {
				continue
			}
			m := measures[i]
			for _, a := range m.Attr {
				if bar.SelectAttr(a.Key) == nil {
					bar.CreateAttr(a.Key, a.Value)
				}
			}
			part := bar.CreateElement("part")
			part.CreateAttr("id", p.SelectAttrValue("id", ""))
			for _, c := range m.ChildElements() {
				part.AddChild(c)
			}
		}
	}
	out, err := doc.WriteToBytes()
	require.NoError(t, err)
	return out
}

// TestTimewise: the same music timewise reads the same, and is edited in
// place and stays timewise.
func TestTimewise(t *testing.T) {
	count := 0
	for _, file := range corpus(t) {
		if filepath.Ext(file) == ".mxl" {
			continue
		}
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		part := read(t, data, file)
		if len(part.Score().Parts) == 0 || part.Score().Parts[0].ID == "" {
			continue
		}
		count++
		text := timewise(t, data)
		d := read(t, text, file)
		require.Equal(t, music(part.Score()), music(d.Score()), file)
		moved, _ := transform.Transpose(d.Score(), theory.Interval{Steps: 2, Semitones: 3}, transform.TransposeOptions{})
		out, err := d.Apply(moved)
		require.NoError(t, err)
		assert.Contains(t, string(written(t, out)), "<score-timewise")
		require.Equal(t, music(moved), music(read(t, written(t, out), file).Score()), file)
	}
	assert.Greater(t, count, 60)
}

// TestPitchOrFret: the bass part of the shared data contradicts itself. The
// fret is read unless the caller wants the pitch; both are reported.
func TestPitchOrFret(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(outside.Shared(t, "data", "musicxml-tab"), "bass-four-strings.musicxml"))
	require.NoError(t, err)
	for _, pitchWins := range []bool{false, true} {
		var reports []string
		d, err := musicxml.Read(bytes.NewReader(data), "bass", score.ReadOptions{PitchWins: pitchWins, Report: func(d score.Diagnostic) { reports = append(reports, d.Error()) }})
		require.NoError(t, err)
		winner := map[bool]string{false: "fret", true: "pitch"}[pitchWins]
		assert.Contains(t, reports, "bass:172:7: measure 1: the pitch says C4, string 2 fret 2 says E2; read as the "+winner)
		neck := fretboardOf(d.Score())
		for n := range score.Notes(d.Score()) {
			if !n.Place.IsZero() {
				assert.Equal(t, neck.Stopped(n.Place), n.Pitch.MIDI())
			}
		}
		same, err := d.Apply(d.Score().Clone())
		require.NoError(t, err)
		assert.Equal(t, data, written(t, same))
	}
}

func fretboardOf(s *score.Score) fretboard.Neck {
	for n := range score.Preorder(s) {
		if c, ok := n.(*score.NeckChange); ok {
			return c.Neck
		}
	}
	return fretboard.Neck{}
}
