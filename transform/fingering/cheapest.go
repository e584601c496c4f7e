package fingering

import "math"

// cheapest is min-plus with the way to get there. A worth is one integer, so
// that the smaller of two is found without a branch: the cost in millionths
// (of two: 2^-20) above, and below, in stateBits, the state before. Edges are
// rounded to that, which is the only rounding; equal costs go to the lower
// state, so that the result does not depend on the order of edges.
type cheapest struct {
	base float64 // what all worths have in common: taken off at every layer
	back [][]int32
	room []int32 // for what comes next
}

const (
	stateBits = 20
	costUnit  = 1 << 20
	stateMask = 1<<stateBits - 1
	never     = int64(1) << 61
)

// A priced is the costs of a gadget's edges at some haste.
type priced struct {
	haste float64
	cost  []int64
}

// ends are the nodes of an edge, apart from what it costs.
type ends struct{ from, to int32 }

// maxPriced is how many hastes a gadget keeps the costs of: in written music
// there are few, in played music all are different.
const maxPriced = 8

// at returns the costs of the edges at some haste.
func (g *gadget) at(haste float64) []int64 {
	for i := range g.priced {
		if g.priced[i].haste == haste {
			return g.priced[i].cost
		}
	}
	if g.ends == nil {
		g.ends = make([]ends, len(g.edges))
		for i, e := range g.edges {
			g.ends[i] = ends{e.from, e.to}
		}
	}
	if len(g.priced) < maxPriced {
		g.priced = append(g.priced, priced{cost: make([]int64, len(g.edges))})
	}
	p := &g.priced[len(g.priced)-1]
	p.haste = haste
	for i := range g.edges {
		e := &g.edges[i]
		p.cost[i] = int64(math.Round((e.fixed+e.perHaste*haste)*costUnit)) << stateBits
	}
	return p.cost
}

func (*cheapest) zero() int64           { return never }
func (*cheapest) one() int64            { return 0 }
func (*cheapest) dead(w int64) bool     { return w > never/2 }
func (*cheapest) plus(a, b int64) int64 { return min(a, b) }

func (*cheapest) relax(nodes []int64, g *gadget, haste float64) {
	cost := g.at(haste)
	for i, e := range g.ends[:len(cost)] {
		nodes[e.to] = min(nodes[e.to], nodes[e.from]+cost[i])
	}
}

func (c *cheapest) enter(states []int64) {
	if len(c.room) < len(states) {
		c.room = make([]int32, max(1<<14, len(states)))
	}
	back := c.room[:len(states):len(states)]
	c.room = c.room[len(states):]
	least := never
	for _, w := range states {
		least = min(least, w)
	}
	least >>= stateBits
	c.base += float64(least) / costUnit
	for i, w := range states {
		back[i] = int32(w & stateMask)
		if w > never/2 {
			states[i] = never
		} else {
			states[i] = (w>>stateBits-least)<<stateBits | int64(i)
		}
	}
	c.back = append(c.back, back)
}

// cost returns the cost of a worth after the last layer.
func (c *cheapest) cost(w int64) float64 { return c.base + float64(w>>stateBits)/costUnit }

// path returns the states by layer that end in a worth.
func (c *cheapest) path(w int64) []int32 {
	last := int32(w & stateMask)
	path := make([]int32, len(c.back))
	for i := len(path) - 1; i >= 0; i-- {
		path[i] = last
		last = c.back[i][last]
	}
	return path
}
