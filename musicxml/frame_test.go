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
	"example.org/lickwright/transform"
)

// withFrame is one chord symbol with a diagram: dots by string from the
// first, -1 for a string that is not played.
func withFrame(root string, first string, frets ...int) string {
	var b strings.Builder
	for i, f := range frets {
		if f >= 0 {
			b.WriteString("<frame-note><string>" + string(rune('1'+i)) + "</string><fret>" + string(rune('0'+f)) + "</fret><fingering>1</fingering></frame-note>")
		}
	}
	return `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">` +
		`<harmony><root><root-step>` + root + `</root-step></root><kind>major</kind><frame><frame-strings>6</frame-strings><frame-frets>4</frame-frets>` +
		first + b.String() + `</frame></harmony><note><rest/><duration>1</duration></note></measure></part></score-partwise>`
}

// TestChordDiagramsMove: the E shape becomes F, G and so on by barring it,
// the A shape likewise (common practice: barre chords); the open C and G
// shapes have no finger left for a barre up the neck within reach, or they do:
// each case says which.
func TestChordDiagramsMove(t *testing.T) {
	for _, tc := range []struct {
		name, xml, by string
		frets         []string // nil: taken out
		first         string
	}{
		{"E to F", withFrame("E", "", 0, 0, 1, 2, 2, 0), "m2", []string{"1", "1", "2", "3", "3", "1"}, ""},
		{"E to B, the barre at 7", withFrame("E", "", 0, 0, 1, 2, 2, 0), "P5", []string{"7", "7", "8", "9", "9", "7"}, "7"},
		{"F down to E: on the nut it cannot be a barre, so an octave up", withFrame("F", "", 1, 1, 2, 3, 3, 1), "-m2", []string{"12", "12", "13", "14", "14", "12"}, "12"},
		{"A shape at 5 down to 3", withFrame("D", `<first-fret text="5fr">5</first-fret>`, 5, 7, 7, 7, 5, -1), "-M2", []string{"3", "5", "5", "5", "3"}, "3"},
		{"G to A: four fingers and open strings", withFrame("G", "", 3, 3, 0, 0, 2, 3), "M2", nil, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d := read(t, []byte(tc.xml), "frame.xml")
			got := string(written(t, up(t, d, tc.by, transform.RespellAuto)))
			if tc.frets == nil {
				assert.NotContains(t, got, "<frame>")
				return
			}
			for _, f := range tc.frets {
				require.Contains(t, got, "<fret>"+f+"</fret>")
				got = strings.Replace(got, "<fret>"+f+"</fret>", "", 1)
			}
			assert.NotContains(t, got, "<fret>")
			if tc.first == "" {
				assert.NotContains(t, got, "first-fret")
			} else {
				assert.Contains(t, got, ">"+tc.first+"</first-fret>")
			}
		})
	}
}

func TestChordDiagramOfTheTutorial(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(outside.Shared(t, "data", "musicxml-tab"), "tutorial-chord-symbols.xml"))
	require.NoError(t, err)
	var reports []string
	d, err := musicxml.Read(bytes.NewReader(data), "tutorial", score.ReadOptions{Report: func(d score.Diagnostic) { reports = append(reports, d.Error()) }})
	require.NoError(t, err)
	// Each of its diagrams has an open string that no hand could bar two frets
	// up while reaching the rest.
	got := string(written(t, up(t, d, "M2", transform.RespellAuto)))
	assert.NotContains(t, got, "<frame")
	assert.Len(t, reports, strings.Count(string(data), "<frame "))
	assert.Equal(t, "tutorial:107:9: the chord diagram of G6/D cannot be held as A6/E; it is taken out", reports[0])
}
