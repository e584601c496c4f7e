package fingering

import (
	"math"
	"math/big"
)

// An algebra is a semiring over the paths of a trellis: what a path is worth,
// and how the worths of several paths add up.
type algebra[W any] interface {
	zero() W // of no path at all
	one() W  // of the path that has not begun
	plus(a, b W) W
	dead(W) bool // equals zero
	// relax carries worths along the edges of a gadget, in order.
	relax(nodes []W, g *gadget, haste float64)
	// enter is called with the worths of all states of each layer.
	enter(states []W)
}

// cheapestK is the k cheapest with their ways.
type cheapestK struct {
	k    int
	back [][][]way
}

// a way is one of the ways to a state: it came from the rank-th way to the
// state before.
type way struct {
	cost        float64
	state, rank int32
}

func (*cheapestK) zero() []way       { return nil }
func (*cheapestK) one() []way        { return []way{{}} }
func (*cheapestK) dead(w []way) bool { return len(w) == 0 }

func (a *cheapestK) plus(x, y []way) []way {
	if len(x) == 0 || len(y) == 0 {
		if len(x) == 0 {
			return y
		}
		return x
	}
	out := make([]way, 0, min(a.k, len(x)+len(y)))
	for len(out) < a.k && (len(x) > 0 || len(y) > 0) {
		if len(y) == 0 || len(x) > 0 && x[0].cost <= y[0].cost {
			out, x = append(out, x[0]), x[1:]
		} else {
			out, y = append(out, y[0]), y[1:]
		}
	}
	return out
}

func (a *cheapestK) relax(nodes [][]way, g *gadget, haste float64) {
	var buf []way
	for i := range g.edges {
		e := &g.edges[i]
		from, to := nodes[e.from], nodes[e.to]
		cost := e.fixed + e.perHaste*haste
		if len(from) == 0 || len(to) == a.k && from[0].cost+cost >= to[a.k-1].cost {
			continue
		}
		buf = append(buf[:0], from...)
		for j := range buf {
			buf[j].cost += cost
		}
		if len(to) == 0 {
			nodes[e.to] = append([]way(nil), buf...)
		} else {
			nodes[e.to] = a.plus(to, buf)
		}
	}
}

func (a *cheapestK) enter(states [][]way) {
	back := make([][]way, len(states))
	for i, ways := range states {
		back[i] = ways
		fresh := make([]way, len(ways))
		for j, w := range ways {
			fresh[j] = way{w.cost, int32(i), int32(j)}
		}
		states[i] = fresh
	}
	a.back = append(a.back, back)
}

func (a *cheapestK) path(last way) []int32 {
	path := make([]int32, len(a.back))
	for i := len(path) - 1; i >= 0; i-- {
		path[i] = last.state
		last = a.back[i][last.state][last.rank]
	}
	return path
}

// counting counts paths.
type counting struct{}

func (counting) zero() *big.Int       { return nil }
func (counting) one() *big.Int        { return big.NewInt(1) }
func (counting) dead(w *big.Int) bool { return w == nil }
func (counting) enter([]*big.Int)     {}
func (counting) plus(a, b *big.Int) *big.Int {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return new(big.Int).Add(a, b)
}

func (c counting) relax(nodes []*big.Int, g *gadget, _ float64) {
	for _, e := range g.edges {
		nodes[e.to] = c.plus(nodes[e.to], nodes[e.from])
	}
}

// logSum adds e^-cost over all paths; its worths are logarithms.
type logSum struct{}

func (logSum) zero() float64       { return math.Inf(-1) }
func (logSum) one() float64        { return 0 }
func (logSum) dead(w float64) bool { return math.IsInf(w, -1) }
func (logSum) enter([]float64)     {}
func (logSum) plus(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

func (a logSum) relax(nodes []float64, g *gadget, haste float64) {
	for _, e := range g.edges {
		nodes[e.to] = a.plus(nodes[e.to], nodes[e.from]-e.fixed-e.perHaste*haste)
	}
}

// widest is min-max over the stretch of the hand, in millimetres.
type widest struct{}

func (widest) zero() float64             { return math.Inf(1) }
func (widest) one() float64              { return 0 }
func (widest) plus(a, b float64) float64 { return math.Min(a, b) }
func (widest) dead(w float64) bool       { return math.IsInf(w, 1) }
func (widest) enter([]float64)           {}

func (widest) relax(nodes []float64, g *gadget, _ float64) {
	for _, e := range g.edges {
		w := nodes[e.from]
		if i := int(e.to) - g.before; i >= 0 && i < g.after {
			w = math.Max(w, g.span[i])
		}
		if w < nodes[e.to] {
			nodes[e.to] = w
		}
	}
}
