package transform

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestBeatsOfMetres: what a bar is counted in. Source: common practice on simple
// and compound metre, and on the grouping of additive ones.
func TestBeatsOfMetres(t *testing.T) {
	for metre, want := range map[string]string{
		"4/4": "[1 1 1 1] 1", "3/4": "[1 1 1] 1", "2/2": "[2 2] 2", "3/8": "[1/2 1/2 1/2] 1/2", "5/4": "[1 1 1 1 1] 1",
		"6/8": "[3/2 3/2] 1/2", "9/8": "[3/2 3/2 3/2] 1/2", "12/8": "[3/2 3/2 3/2 3/2] 1/2", "6/16": "[3/4 3/4] 1/4",
		"7/8": "[1 1 3/2] 1/2", "3+2+2/8": "[3/2 1 1] 1/2", "5/8": "[3/2 1] 1/2",
	} {
		m, ok := score.ParseMetre(metre)
		require.True(t, ok, metre)
		list, unit := barBeats(pulseOf(m), m.Length, m.Beat())
		assert.Equal(t, want, fmt.Sprint(list, " ", unit), metre)
	}
}

// inMetre makes two bars of eighths up and down C major.
func inMetre(t *testing.T, metre string) *score.Score {
	t.Helper()
	m, ok := score.ParseMetre(metre)
	require.True(t, ok, metre)
	p := &score.Part{ID: "P1", Staves: 1}
	for bar := range 2 {
		b := &score.Measure{Number: fmt.Sprint(bar + 1), Length: m.Length, Nominal: m.Length}
		if bar == 0 {
			b.Events = append(b.Events, &score.KeySignature{Key: theory.Key{}, ModeSaid: true}, m)
		}
		for i := 0; score.Q(int64(i), 2).Less(m.Length); i++ {
			pitch := theory.Pitch{NoteName: theory.NoteName{Step: theory.Step(i % 7)}, Octave: 4}
			b.Events = append(b.Events, &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 2), Staff: 1}, Voice: 1, Duration: score.Q(1, 2), Notes: []*score.Note{{Pitch: pitch}}})
		}
		p.Measures = append(p.Measures, b)
	}
	return &score.Score{Parts: []*score.Part{p}}
}

// TestDisplacedByBeats: beats are those of the metre, and are said so.
func TestDisplacedByBeats(t *testing.T) {
	for _, tc := range []struct {
		metre, by, said string
		lead            score.Quarters // how much later the first note is, or how long the pickup
	}{
		{"4/4", "beat", "begins a quarter note later", score.Q(1, 1)},
		{"6/8", "beat", "begins a beat later", score.Q(3, 2)},
		{"12/8", "-2 beats", "begins 2 beats earlier", score.Q(3, 1)},
		{"12/8", "-1/2", "begins a beat and an eighth note earlier", score.Q(2, 1)},
		{"9/8", "1/8", "begins an eighth note later", score.Q(1, 2)},
		{"7/8", "beat", "begins a quarter note later", score.Q(1, 1)},
		{"7/8", "-beat", "begins a dotted quarter note earlier", score.Q(3, 2)},
		{"3+2+2/8", "2 beats", "begins a half note and an eighth note later", score.Q(5, 2)},
		{"2/2", "-beat", "begins a half note earlier", score.Q(2, 1)},
	} {
		out, said := Vary(inMetre(t, tc.metre), []Variation{step(t, "displace "+tc.by)}, VaryOptions{})
		require.NotEmpty(t, said)
		assert.Contains(t, said[0].Msg, tc.said, "%+v", tc)
		first := out.Parts[0].Measures[0]
		if tc.by[0] == '-' {
			assert.Equal(t, tc.lead, first.Length, "%+v", tc)
			continue
		}
		at := score.Quarters{}
		for c := range first.Chords() {
			if !c.IsRest() {
				at = c.Onset
				break
			}
		}
		assert.Equal(t, tc.lead, at, "%+v", tc)
	}
}

// TestShiftsCountInTheMetre: what is tried by itself moves by eighths and by beats
// of dotted quarters in compound metres, by groups in additive ones, and orders have
// three notes or six where beats have three.
func TestShiftsCountInTheMetre(t *testing.T) {
	for metre, want := range map[string]string{
		"12/8": "[1/2 -1/2 3/2 -3/2 3 -3 9/2 -9/2 2 -2]", "6/8": "[1/2 -1/2 3/2 -3/2 2 -2]", "7/8": "[1/2 -1/2 1 -3/2 2 -5/2]", "2/4": "[1/2 -1/2 1 -1 3/2 -3/2 1/4]",
	} {
		s := inMetre(t, metre)
		x := newChoosing(s, VaryOptions{})
		require.NotNil(t, x)
		assert.Equal(t, want, fmt.Sprint(x.shifts), metre)
		for _, v := range x.steps(rand.New(rand.NewPCG(1, 2))) {
			if v.Kind == Permute && metre[len(metre)-1] == '8' && metre != "7/8" {
				assert.Contains(t, []int{2, 3, 6}, len(v.Order), metre)
			}
		}
	}
}
