package musicxml_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// concerned are the elements that a move to another key changes, and the
// layout list in the documentation of Apply. Everything else must survive.
var concerned = map[string]bool{
	"step": true, "alter": true, "octave": true, "accidental": true, "fifths": true, "cancel": true, "key-octave": true,
	"key-step": true, "key-alter": true, "key-accidental": true,
	"root-step": true, "root-alter": true, "bass-step": true, "bass-alter": true, "string": true, "fret": true,
	"frame": true, "stem": true,
}

// rest lists all elements that are not concerned: name, attributes and text.
func rest(t *testing.T, data []byte) []string {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	var out []string
	var walk func(e *etree.Element)
	walk = func(e *etree.Element) {
		if concerned[e.Tag] {
			return
		}
		var b strings.Builder
		b.WriteString(e.Tag)
		for _, a := range e.Attr {
			if e.Tag == "note" && (a.Key == "default-y" || a.Key == "relative-y") {
				continue
			}
			b.WriteString(" " + a.Key + "=" + a.Value)
		}
		b.WriteString(" " + strings.TrimSpace(e.Text()))
		out = append(out, b.String())
		for _, c := range e.Child {
			switch c := c.(type) {
			case *etree.Element:
				walk(c)
			case *etree.Comment:
				out = append(out, "comment "+c.Data)
			case *etree.ProcInst:
				out = append(out, "instruction "+c.Inst)
			}
		}
	}
	walk(doc.Root())
	return out
}

// TestWhatIsNotConcernedSurvives holds that promise on every file.
func TestWhatIsNotConcernedSurvives(t *testing.T) {
	for _, file := range corpus(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		moved, report := transform.Transpose(d.Score(), theory.Interval{Steps: 2, Semitones: 3}, transform.TransposeOptions{})
		if report.Count(score.NotDone) > 0 {
			continue // a note that lost its place loses what held it
		}
		applied, err := d.Apply(moved)
		require.NoError(t, err)
		out := written(t, applied)
		require.Equal(t, rest(t, plainXML(t, data)), rest(t, plainXML(t, out)), filepath.Base(file))
	}
}
