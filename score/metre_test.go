package score_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// TestMetres: lengths in quarter notes. Source: common practice; the upper
// number counts the values that the lower one names (MusicXML 4.0, time).
func TestMetres(t *testing.T) {
	for text, length := range map[string]score.Quarters{
		"4/4": score.Q(4, 1), "6/8": score.Q(3, 1), "3+2/8": score.Q(5, 2), "3/8+2/4": score.Q(7, 2), "C": score.Q(4, 1), "C|": score.Q(4, 1), "5/16": score.Q(5, 4), "free": {},
	} {
		m, ok := score.ParseMetre(text)
		require.True(t, ok, text)
		assert.Equal(t, length, m.Length, text)
		assert.Equal(t, text, m.Metre())
	}
	for _, text := range []string{"", "4", "4/3", "/4", "0/4", "4/4/4", "4/4+", "waltz", "1000/4"} {
		_, ok := score.ParseMetre(text)
		assert.False(t, ok, text)
	}
}

// TestValueOf: a value's length has that value.
func TestValueOf(t *testing.T) {
	for log := int8(-1); log <= 8; log++ {
		for dots := int8(0); dots <= 2; dots++ {
			v := score.NoteValue{Log: log, Dots: dots, Known: true}
			got := score.ValueOf(v.Quarters())
			assert.Equal(t, v.Quarters(), got.Quarters(), "%v", v)
			if log+dots <= 8 {
				assert.True(t, got.Known)
			}
		}
	}
	for _, q := range []score.Quarters{{}, score.Q(5, 4), score.Q(1, 3), score.Q(-1, 1), score.Q(1, 0)} {
		assert.Equal(t, score.NoteValue{}, score.ValueOf(q))
	}
}
