package prove

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory"
)

// What is wrong is said by the name that a player would say: F for a finger a
// fret above E, whatever the line would ask for on paper, but E# where that is
// a note of the key or the scale. Source: common practice; F# major has the
// signature of six sharps, E# among them, and the leading note of F# harmonic
// minor is E# (any handbook of the rudiments, from memory).
func TestWrongNotesHavePlainNames(t *testing.T) {
	const task = `Time: 4/4

e|-------------------|
B|-7---9---10--7-----|
G|-9---9---9---9-----|
D|-------------------|
A|-------------------|
E|-------------------|
   1   2   3   4
`
	wrong := strings.Replace(task, "G|-9---9---9-", "G|-9---10--9-", 1)
	for _, tt := range []struct{ key, scale, says string }{
		{"B minor", "", "F (string 3, fret 10) in place of E (string 3, fret 9) (1 fret too high)"},
		{"F# minor", "", "F (string 3, fret 10) in place of E (string 3, fret 9) (1 fret too high)"},
		{"F# minor", "F# minor pentatonic", "F (string 3, fret 10) in place of E (string 3, fret 9) (1 fret too high); it is no note of F# minor pentatonic"},
		{"F# minor", "F# harmonic minor", "E# (string 3, fret 10) in place of E (string 3, fret 9) (1 fret too high)"},
		{"F# major", "", "E# (string 3, fret 10) in place of E (string 3, fret 9) (1 fret too high)"},
		{"A minor", "", "F (string 3, fret 10) in place of E (string 3, fret 9) (1 fret too high)"},
		{"Ab minor", "", "F (string 3, fret 10) in place of Fb (string 3, fret 9) (1 fret too high)"},
	} {
		read := func(text string) *score.Score {
			d, err := tabtext.Read(strings.NewReader("Key: "+tt.key+"\n"+text), "tab", score.ReadOptions{})
			require.NoError(t, err)
			return d.Score()
		}
		asked := Task{Score: read(task)}
		if tt.scale != "" {
			scale, ok := ParseScale(tt.scale)
			require.True(t, ok)
			asked.Scale = &scale
		}
		r, err := Mark(asked, read(wrong))
		require.NoError(t, err)
		require.Equal(t, 1, r.Faults(), r.Text())
		assert.Equal(t, tt.says, r.Bars[0].Remarks[0].Text, "%s %s", tt.key, tt.scale)
	}
}

// A plain name sounds the same, and never has more accidentals. The names of
// the white keys are common practice; theory.Pitch.Simplest was written by
// others for the same question.
func TestPlainNames(t *testing.T) {
	for from, to := range map[string]string{"E#4": "F4", "B#3": "C4", "Cb4": "B3", "Fb4": "E4", "F##4": "G4", "Bbb3": "A3", "G#4": "G#4", "Bb4": "Bb4", "B##3": "C#4", "Fbb4": "Eb4", "A4": "A4"} {
		p, err := theory.ParsePitch(from)
		require.NoError(t, err)
		assert.Equal(t, to, plain(p).String(), from)
	}
	for step := range theory.Step(7) {
		for alter := -3; alter <= 3; alter++ {
			for octave := -1; octave <= 9; octave++ {
				p := theory.P(step, alter, octave)
				got := plain(p)
				assert.Equal(t, p.MIDI(), got.MIDI(), "%s: %s", p, got)
				assert.Equal(t, max(p.Simplest().Alter, -p.Simplest().Alter), max(got.Alter, -got.Alter), "%s: %s", p, got)
			}
		}
	}
}
