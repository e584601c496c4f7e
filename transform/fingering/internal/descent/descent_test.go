package descent_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/transform/fingering/internal/descent"
)

// Source: Rosenbrock, "An automatic method for finding the greatest or least
// value of a function", The Computer Journal 3 (1960): the minimum is at 1, 1.
func TestRosenbrocksValley(t *testing.T) {
	f := func(x []float64) (float64, []float64) {
		a, b := 1-x[0], x[1]-x[0]*x[0]
		return a*a + 100*b*b, []float64{-2*a - 400*x[0]*b, 200 * b}
	}
	x := descent.Minimise(f, []float64{-1.2, 1}, 200, func(int, float64) {})
	assert.InDelta(t, 1, x[0], 0.02)
	assert.InDelta(t, 1, x[1], 0.04)
}
