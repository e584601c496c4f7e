package fingering

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The terms of a fingering sum up to its cost, and the terms by which another
// one loses to how much more it costs.
func TestTermsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	for checked := 0; checked < 300; {
		p, w := randomProblem(r), randomWeights(r)
		list, err := Alternatives(p, w, 3)
		require.NoError(t, err)
		if len(list) < 2 || len(list[0].Breaks) > 0 {
			continue
		}
		checked++
		f, terms := explained(p, w)
		sum := 0.0
		for _, group := range terms {
			for _, a := range group {
				sum += a.n * w[a.term]
			}
		}
		require.InDelta(t, f.Cost, sum, 1e-4)
		require.InDelta(t, f.Cost, list[0].Cost, 1e-4)

		other := list[len(list)-1]
		for g := range other.Stops { // the places alone; the fingers are free
			for i := range other.Stops[g] {
				other.Stops[g][i].Finger = 0
			}
		}
		c, err := WhyNot(p, w, other.Stops)
		require.NoError(t, err)
		assert.Empty(t, c.Broken)
		assert.InDelta(t, other.Cost, c.Preferred.Cost, 1e-4, "the alternative has its cheapest fingers")
		loss := 0.0
		for _, d := range c.Groups {
			for _, k := range d.Costs {
				loss += k.Preferred - k.Best
			}
		}
		require.InDelta(t, other.Cost-f.Cost, loss, 1e-4)
	}
}
