package engrave

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// twoVoices is a bar of 4/4 in which two voices strike the frets of a string
// together, in quarter notes; -1 is a rest.
func twoVoices(upper, lower [4]int, more ...score.Event) *score.Score {
	neck := fretboard.Guitar()
	m := &score.Measure{Number: "1", Length: score.Q(4, 1), Nominal: score.Q(4, 1), Events: []score.Event{
		&score.NeckChange{Neck: neck}, &score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)},
	}}
	for v, frets := range [][4]int{upper, lower} {
		for i, f := range frets {
			c := &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 1), Staff: 1}, Duration: score.Q(1, 1), Voice: v + 1}
			if f >= 0 {
				n := &score.Note{Place: fretboard.Place{String: 2, Fret: f}}
				n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
				c.Notes = []*score.Note{n}
			}
			m.Events = append(m.Events, c)
		}
	}
	m.Events = append(m.Events, more...)
	m.SortEvents()
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
}

// Numbers of two voices stand beside each other, the second one with its stem;
// what is the same is one number with two stems.
func TestTwoVoicesOnOneString(t *testing.T) {
	s := twoVoices([4]int{5, 10, 7, 12}, [4]int{3, 12, 7, -1})
	for _, width := range []float64{336, 680} {
		e := Engrave(s, Options{Width: width})
		require.Len(t, e.Systems, 1)
		byText := map[string][]*Text{}
		for _, x := range frets(e.Systems[0]) {
			byText[x.Text] = append(byText[x.Text], x)
		}
		for _, pair := range [][2]string{{"5", "3"}, {"10", "12"}} {
			a, b := byText[pair[0]][0], byText[pair[1]][0]
			assert.Equal(t, a.At, b.At)
			assert.Equal(t, a.Y, b.Y)
			assert.Greater(t, b.Bounds().X0, a.Bounds().X1+1, "%v", pair)
		}
		require.Len(t, byText["7"], 1)
		assert.Len(t, byText["7"][0].Also, 1)
		assert.Len(t, byText["12"], 2)
		// the stems of both voices stand at their numbers
		var above, below []float64
		for _, it := range e.Systems[0].Items {
			if p, ok := it.(*Path); ok && p.Class == "stem" {
				if r := p.Bounds(); r.Y1 < byText["5"][0].Y {
					above = append(above, (r.X0+r.X1)/2)
				} else {
					below = append(below, (r.X0+r.X1)/2)
				}
			}
		}
		assert.Equal(t, []float64{byText["5"][0].X, byText["10"][0].X, byText["7"][0].X, byText["12"][1].X}, above)
		assert.Equal(t, []float64{byText["3"][0].X, byText["12"][0].X, byText["7"][0].X}, below)
	}
}

// The same number with a technique of its own is not shared: its bend would
// be everybody's.
func TestBentNotesOfTwoVoicesStandApart(t *testing.T) {
	s := twoVoices([4]int{5, 5, 5, 5}, [4]int{5, -1, -1, -1})
	for n := range score.Notes(s) {
		n.Techniques = []score.Technique{score.Bend{Amount: score.Q(2, 1)}}
		break
	}
	assert.Len(t, frets(Engrave(s, Options{}).Systems[0]), 5)
}

// An amount of a bend never stands in the row of the chord symbols.
func TestAmountsStandUnderChordSymbols(t *testing.T) {
	chord, err := theory.ParseChord("Am7")
	require.NoError(t, err)
	for _, beat := range []int64{0, 1, 2, 3} {
		s := twoVoices([4]int{5, 5, 8, 8}, [4]int{-1, -1, -1, -1}, &score.Harmony{Common: score.Common{Onset: score.Q(beat, 1)}, Chord: chord})
		for n := range score.Notes(s) {
			n.Techniques = []score.Technique{score.Bend{Amount: score.Q(2, 1)}}
		}
		amounts, symbols := 0, 0
		low, high := 0.0, math.Inf(1)
		for _, it := range Engrave(s, Options{}).Systems[0].Items {
			x, ok := it.(*Text)
			switch {
			case ok && x.Class == "amount":
				high, amounts = min(high, x.Bounds().Y0), amounts+1
			case ok && x.Class == "chord":
				low, symbols = x.Bounds().Y1, symbols+1
			}
		}
		require.Equal(t, 4, amounts)
		require.Equal(t, 1, symbols)
		assert.Less(t, low, high-1)
	}
}

// The music ends with a thin and a thick bar line, unless the file says how it
// ends. Source: common practice.
func TestMusicEndsWithAFinalBarLine(t *testing.T) {
	thickOnes := func(s *score.Score) (n int) {
		for _, sys := range Engrave(s, Options{}).Systems {
			for _, it := range sys.Items {
				if p, ok := it.(*Path); ok && p.Class == "barline" && p.Stroke == 0 && p.Bounds().X1-p.Bounds().X0 == thick {
					n++
				}
			}
		}
		return n
	}
	assert.Equal(t, 1, thickOnes(twoVoices([4]int{1, 2, 3, 4}, [4]int{-1, -1, -1, -1})))
	end := score.Common{Onset: score.Q(4, 1)}
	for _, style := range []string{"regular", "light-light", "none", "dashed"} {
		assert.Zero(t, thickOnes(twoVoices([4]int{1, 2, 3, 4}, [4]int{-1, -1, -1, -1}, &score.Barline{Common: end, Style: style})), style)
	}
	assert.Equal(t, 1, thickOnes(twoVoices([4]int{1, 2, 3, 4}, [4]int{-1, -1, -1, -1}, &score.Barline{Common: end, Repeat: score.Backward})))
}
