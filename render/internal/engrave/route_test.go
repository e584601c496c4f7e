package engrave

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The way through the music is drawn where nothing but the way is known, and
// is left to words that say it. Source: common practice.
func TestRoutesAreDrawn(t *testing.T) {
	for _, tt := range []struct {
		name  string
		route score.Route
		words string
		text  string // drawn at the end of the bar
		signs []string
	}{
		{"none", score.Route{}, "", "", nil},
		{"segno", score.Route{Segno: "segno"}, "", "", []string{"segno"}},
		{"segno in words", score.Route{Segno: "segno"}, "Segno", "", nil},
		{"coda", score.Route{Coda: "coda"}, "", "", []string{"coda"}},
		{"coda beside other words", score.Route{Coda: "coda"}, "D.S. al Coda", "", []string{"coda"}},
		{"coda in words", score.Route{Coda: "coda"}, "Coda", "", nil},
		{"to coda", score.Route{ToCoda: "coda"}, "", "To Coda", []string{"to coda"}},
		{"D.C.", score.Route{DaCapo: true}, "", "D.C. al Fine", []string{"da capo"}},
		{"D.C. in words", score.Route{DaCapo: true}, "D.C. al Fine", "", nil},
		{"D.S.", score.Route{DalSegno: "segno"}, "slowly", "D.S. al Fine", []string{"dal segno"}},
		{"D.S. in words", score.Route{DalSegno: "segno"}, "Dal  Segno", "", nil},
		{"fine", score.Route{Fine: true}, "", "Fine", []string{"fine"}},
	} {
		var bars []*score.Measure
		for i := range 3 {
			m := &score.Measure{Number: itoa(i + 1), Length: score.Q(4, 1)}
			if i == 0 {
				m.Events = append(m.Events, &score.NeckChange{Neck: fretboard.Guitar()})
			}
			m.Events = append(m.Events, &score.Chord{Common: score.Common{Staff: 1}, Duration: score.Q(4, 1), Voice: 1,
				Notes: []*score.Note{{Pitch: theory.P(theory.A, 0, 4), Place: fretboard.Place{String: 1, Fret: 5}}}})
			bars = append(bars, m)
		}
		bars[1].Route = tt.route
		if tt.words != "" {
			bars[1].Events = append(bars[1].Events, &score.Words{Common: score.Common{Staff: 1}, Kind: "words", Text: tt.words})
		}
		if tt.route.DaCapo || tt.route.DalSegno != "" {
			bars[0].Route.Fine = true
			bars[0].Events = append(bars[0].Events, &score.Words{Kind: "words", Text: "Fine"})
		}
		e := Engrave(&score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: bars}}}, Options{})
		require.Len(t, e.Systems, 1, tt.name)
		got, drawn := "", 0
		for _, it := range e.Systems[0].Items {
			switch it := it.(type) {
			case *Text:
				if it.Class == "route" {
					got += it.Text
				}
			case *Path:
				if it.Class == "route" {
					drawn++
				}
			}
			r := it.Bounds()
			assert.GreaterOrEqual(t, r.Y0, -0.5, tt.name)
		}
		assert.Equal(t, tt.text, got, tt.name)
		assert.Equal(t, 2*(len(tt.signs))*boolInt(tt.text == ""), drawn, tt.name)
		for _, s := range tt.signs {
			assert.Contains(t, e.Signs, s, tt.name)
			look, meaning := SignMeaning(s)
			assert.NotEmpty(t, look)
			assert.NotEmpty(t, meaning)
		}
	}
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
