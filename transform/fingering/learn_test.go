package fingering

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The value is the difference of two log-sums, and the gradient is what
// differences of the value say it is.
func TestGradientOfTheLikelihood(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	checked := 0
	for checked < 60 {
		p, w := randomProblem(r), randomWeights(r)
		free := *p
		free.Groups = append([]Group(nil), p.Groups...)
		for g := range free.Groups {
			free.Groups[g].Notes = append([]Note(nil), p.Groups[g].Notes...)
			for i := range free.Groups[g].Notes {
				free.Groups[g].Notes[i].Finger = 0
				free.Groups[g].Notes[i].Strings = 0
			}
		}
		f1, err := Solve(p, w)
		require.NoError(t, err)
		f2, _ := Solve(&free, w)
		if len(f1.Breaks)+len(f2.Breaks) > 0 {
			continue
		}
		checked++
		l, err := NewLikelihood([]Example{{&free, []*Problem{p}, []float64{1.5}}})
		require.NoError(t, err)
		value, gradient := l.At(w)
		z1, _ := LogSum(p, w)
		z2, _ := LogSum(&free, w)
		require.InDelta(t, 1.5*(z2-z1), value, 1e-7)
		for range 8 {
			k := Term(r.IntN(int(numTerms)))
			const h = 1e-5
			up, down := *w, *w
			up[k] += h
			down[k] -= h
			a, _ := l.At(&up)
			b, _ := l.At(&down)
			assert.InDelta(t, (a-b)/(2*h), gradient[k], 1e-5, k.String())
		}
	}
}
