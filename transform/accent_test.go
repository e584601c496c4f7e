package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// TestPulse: ranks of the eighths (or sixteenths) of a bar.
// Source: common practice on metric accent, as in Lerdahl & Jackendoff, A
// Generative Theory of Tonal Music, ch. 4 (from memory): each level of beats
// is every other or every third of the level below.
func TestPulse(t *testing.T) {
	for _, tc := range []struct {
		metre, step string
		want        []int
		assumed     string
	}{
		{"4/4", "1/2", []int{4, 1, 2, 1, 3, 1, 2, 1}, ""},
		{"C|", "1", []int{4, 1, 2, 1}, ""},
		{"2/4", "1/4", []int{4, 0, 1, 0, 2, 0, 1, 0}, ""},
		{"3/4", "1/2", []int{4, 1, 2, 1, 2, 1}, ""},
		{"6/4", "1", []int{4, 2, 2, 3, 2, 2}, ""},
		{"6/8", "1/2", []int{4, 1, 1, 2, 1, 1}, ""},
		{"9/8", "1/2", []int{4, 1, 1, 2, 1, 1, 2, 1, 1}, ""},
		{"12/8", "1/2", []int{4, 1, 1, 2, 1, 1, 3, 1, 1, 2, 1, 1}, ""},
		{"6/8", "1/4", []int{4, 0, 1, 0, 1, 0, 2, 0, 1, 0, 1, 0}, ""},
		{"5/4", "1", []int{4, 2, 2, 3, 2}, "3+2"},
		{"2+3/4", "1", []int{4, 2, 3, 2, 2}, ""},
		{"7/8", "1/2", []int{4, 1, 3, 1, 3, 1, 1}, "2+2+3"},
		{"3+2+2/8", "1/2", []int{4, 1, 1, 3, 1, 3, 1}, ""},
		{"8/8", "1/2", []int{4, 1, 1, 3, 1, 1, 3, 1}, "3+3+2"},
		{"11/8", "1/2", []int{4, 1, 1, 3, 1, 1, 3, 1, 1, 3, 1}, "3+3+3+2"},
		{"13/8", "1/2", []int{4, 1, 1, 3, 1, 1, 3, 1, 1, 3, 1, 3, 1}, "3+3+3+2+2"},
		{"3/8+2/4", "1/2", []int{4, 2, 2, 3, 1, 2, 1}, ""},
		{"free", "1", []int{4, 2, 2}, ""},
		{"4/4", "1/3", []int{4, 1, 1, 2, 1, 1, 3, 1, 1, 2, 1, 1}, ""},
	} {
		m, ok := score.ParseMetre(tc.metre)
		require.True(t, ok, tc.metre)
		p := pulseOf(m)
		assert.Equal(t, tc.assumed, p.assumed, tc.metre)
		step, _ := score.ParseQuarters(tc.step)
		var got []int
		for i := range tc.want {
			got = append(got, p.rank(step.Mul(score.Q(int64(i), 1))))
		}
		assert.Equal(t, tc.want, got, tc.metre)
	}
}
