package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestMoveFreeKey: a signature with F♯ and B♭, as Bartók wrote for a scale on
// C (Antokoletz, The Music of Béla Bartók, 1984; from memory), is C D E F♯ G A
// B♭. A tone higher that is D E F♯ G♯ A B C: G♯ and F♯ are shown.
func TestMoveFreeKey(t *testing.T) {
	acoustic := []score.KeyAlter{{Name: theory.NoteName{Step: theory.F, Alter: 1}}, {Name: theory.NoteName{Step: theory.B, Alter: -1}}}
	tone := theory.Interval{Steps: 1, Semitones: 2}
	up := moveFreeKey(acoustic, tone)
	assert.Equal(t, []score.KeyAlter{{Name: theory.NoteName{Step: theory.G, Alter: 1}}, {Name: theory.NoteName{Step: theory.F, Alter: 1}}}, up)
	assert.ElementsMatch(t, acoustic, moveFreeKey(up, tone.Neg()))
	quarter := []score.KeyAlter{{Name: theory.NoteName{Step: theory.E, Alter: -1}, Detune: score.Q(1, 2)}}
	up = moveFreeKey(quarter, theory.Interval{Steps: 2, Semitones: 3})
	assert.Equal(t, score.KeyAlter{Name: theory.NoteName{Step: theory.G, Alter: -1}, Detune: score.Q(1, 2)}, up[0])
	assert.Equal(t, quarter, moveFreeKey(up, theory.Interval{Steps: -2, Semitones: -3}))
}
