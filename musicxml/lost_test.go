package musicxml_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// What the standard's element for a technique does not say is reported, and
// what it says comes back. Source: MusicXML 4.0, trill-mark, harmonic and
// notehead.
func TestDetailsThatHaveNoSignAreReported(t *testing.T) {
	for _, tt := range []struct {
		techniques []score.Technique
		code       string // of the report; "" for none
		back       []score.Technique
	}{
		{[]score.Technique{score.Trill{To: 2}}, "xml-write-trill", []score.Technique{score.Trill{}}},
		{[]score.Technique{score.Trill{}}, "", []score.Technique{score.Trill{}}},
		{[]score.Technique{score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12, Touch: 17}}, "xml-write-touch", []score.Technique{score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12}}},
		{[]score.Technique{score.Harmonic{Kind: score.PinchHarmonic, Over: 12}}, "xml-write-harmonic", []score.Technique{score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12}}},
		{[]score.Technique{score.Dead, score.Ghost}, "", []score.Technique{score.Dead, score.Ghost}},
	} {
		neck := fretboard.Guitar()
		place := fretboard.Place{String: 1, Fret: 5}
		note := &score.Note{Pitch: theory.SpellIn(theory.Key{}, neck.Stopped(place)), Place: place, Techniques: tt.techniques}
		m := &score.Measure{Number: "1", Length: score.Q(4, 1), Events: []score.Event{
			&score.NeckChange{Neck: neck},
			&score.Chord{Common: score.Common{Staff: 1}, Duration: score.Q(4, 1), Voice: 1, Notes: []*score.Note{note}},
		}}
		s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
		var codes []string
		var b bytes.Buffer
		require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { codes = append(codes, d.Code) }}))
		if tt.code == "" {
			assert.Empty(t, codes, "%v", tt.techniques)
		} else {
			assert.Equal(t, []string{tt.code}, codes, "%v", tt.techniques)
		}
		doc, err := musicxml.Read(&b, "written", score.ReadOptions{})
		require.NoError(t, err)
		for n := range score.Notes(doc.Score()) {
			assert.ElementsMatch(t, tt.back, n.Techniques)
		}
	}
}
