package fingering

import (
	"encoding/binary"
	"errors"
	"math"
)

// An Example is a problem in which people said something, for learning.
type Example struct {
	Problem *Problem
	// Stated are the problem with what was stated prescribed in its notes;
	// several where several kinds of statement count apart. Share says how
	// much each of them counts.
	Stated []*Problem
	Share  []float64
}

// A ledger numbers the different lists of terms that edges have.
type ledger struct {
	rows [][]amount
	ids  map[string]int32
	key  []byte
}

func newLedger() *ledger { return &ledger{ids: map[string]int32{}} }

func (l *ledger) row(list []amount) int32 {
	l.key = l.key[:0]
	for _, a := range list {
		if a.n != 0 {
			l.key = append(l.key, byte(a.term))
			l.key = binary.LittleEndian.AppendUint64(l.key, math.Float64bits(a.n))
		}
	}
	if id, ok := l.ids[string(l.key)]; ok {
		return id
	}
	id := int32(len(l.rows))
	l.ids[string(l.key)] = id
	var row []amount
	for _, a := range list {
		if a.n != 0 {
			row = append(row, a)
		}
	}
	l.rows = append(l.rows, row)
	return id
}

// A Likelihood is the function that learning minimises: minus the logarithm
// of how likely weights make what people stated, where fingerings are as
// likely as e to the minus their cost. It is for one goroutine.
type Likelihood struct {
	ledger   *ledger
	examples []compiled

	factor []float64 // by row: e to the minus its fixed cost
	haste  []float64 // by row: its cost per haste
	count  []float64 // by row: expected uses
	hasty  []float64 // by row: expected uses times haste
	alpha  [][]float64
	beta   []float64
}

type compiled struct {
	problem *Problem
	free    []*layer
	stated  [][]*layer
	share   []float64
}

// NewLikelihood prepares examples. Memory rises with how much music they
// hold: some hundred bytes for each way from one state to the next.
func NewLikelihood(examples []Example) (*Likelihood, error) {
	l := &Likelihood{ledger: newLedger()}
	var makers []*maker // one for each neck
	layers := func(p *Problem) ([]*layer, error) {
		if err := p.Check(); err != nil {
			return nil, err
		}
		var m *maker
		for _, o := range makers {
			if o.p.Neck.Equal(p.Neck) && o.p.ScaleLength == p.ScaleLength && o.p.Hand == p.Hand {
				m = o
			}
		}
		if m == nil || p.Prefer != nil {
			m = newMaker(p, &Weights{}, l.ledger)
			if p.Prefer == nil {
				makers = append(makers, m)
			}
		}
		m.rewind(p)
		n, list := walk(m, logSum{}, true)
		if math.IsInf(n, -1) {
			return nil, errors.New("an example cannot be played")
		}
		return list, nil
	}
	for _, e := range examples {
		free, err := layers(e.Problem)
		if err != nil {
			return nil, err
		}
		c := compiled{problem: e.Problem, free: free, share: e.Share}
		for _, s := range e.Stated {
			list, err := layers(s)
			if err != nil {
				return nil, err
			}
			c.stated = append(c.stated, list)
		}
		l.examples = append(l.examples, c)
	}
	return l, nil
}

// At returns the value at some weights, and its gradient by weight.
func (l *Likelihood) At(w *Weights) (value float64, gradient Weights) {
	n := len(l.ledger.rows)
	l.factor, l.haste = resized(l.factor, n), resized(l.haste, n)
	l.count, l.hasty = resized(l.count, n), resized(l.hasty, n)
	for i, row := range l.ledger.rows {
		fixed, perHaste := w.price(row)
		l.factor[i], l.haste[i] = math.Exp(-fixed), perHaste
		l.count[i], l.hasty[i] = 0, 0
	}
	for _, e := range l.examples {
		whole := 0.0
		for i, s := range e.stated {
			value -= e.share[i] * l.pass(s, e.share[i])
			whole += e.share[i]
		}
		if whole != 0 {
			value += whole * l.pass(e.free, -whole)
		}
	}
	for i, row := range l.ledger.rows {
		for _, a := range row {
			if a.term.hasty() {
				gradient[a.term] += a.n * l.hasty[i]
			} else {
				gradient[a.term] += a.n * l.count[i]
			}
		}
	}
	return value, gradient
}

func resized(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	return s[:n]
}

// pass returns the log-sum of a trellis and adds the expected uses of its
// edges, times a share, to the counts. Values are scaled layer by layer, so
// that they neither vanish nor overflow.
func (l *Likelihood) pass(layers []*layer, share float64) (logSum float64) {
	if len(layers) == 0 {
		return 0
	}
	for len(l.alpha) < len(layers) {
		l.alpha = append(l.alpha, nil)
	}
	widest := 0
	for i, layer := range layers {
		g := layer.step
		nodes := resized(l.alpha[i], g.nodes)
		l.alpha[i] = nodes
		widest = max(widest, g.nodes)
		clear(nodes)
		if i == 0 {
			nodes[0] = 1
		} else {
			before := layers[i-1].step
			copy(nodes, l.alpha[i-1][before.before:before.before+before.after])
		}
		for j := range g.edges {
			e := &g.edges[j]
			if from := nodes[e.from]; from != 0 {
				nodes[e.to] += from * l.weight(g.rows[j], layer.haste)
			}
		}
		sum := 0.0
		after := nodes[g.before : g.before+g.after]
		for _, a := range after {
			sum += a
		}
		logSum += math.Log(sum)
		for j := range after {
			after[j] /= sum
		}
	}
	// Backwards: beta of a state is the scaled sum over what may follow it.
	l.beta = resized(l.beta, 2*widest)
	next, now := l.beta[:widest], l.beta[widest:2*widest]
	last := layers[len(layers)-1].step
	for j := range last.after {
		next[j] = 1
	}
	for i := len(layers) - 1; i >= 0; i-- {
		g, haste := layers[i].step, layers[i].haste
		nodes := l.alpha[i]
		b := now[:g.nodes]
		clear(b)
		sum := 0.0
		for j := range g.after {
			b[g.before+j] = next[j]
		}
		for j := len(g.edges) - 1; j >= 0; j-- {
			e := &g.edges[j]
			w := b[e.to] * l.weight(g.rows[j], haste)
			b[e.from] += w
		}
		for j := range g.before {
			sum += nodes[j] * b[j]
		}
		scale := share / sum
		for j := range g.edges {
			e := &g.edges[j]
			if p := nodes[e.from] * b[e.to]; p != 0 {
				row := g.rows[j]
				p *= l.weight(row, haste) * scale
				l.count[row] += p
				l.hasty[row] += p * haste
			}
		}
		for j := range g.before {
			next[j] = b[j] / sum
		}
	}
	return logSum
}

func (l *Likelihood) weight(row int32, haste float64) float64 {
	if h := l.haste[row]; h != 0 {
		return l.factor[row] * math.Exp(-h*haste)
	}
	return l.factor[row]
}

// Fingerings returns the cheapest fingering of each example at some weights.
// It is much faster than [Solve], since the trellises stand already.
func (l *Likelihood) Fingerings(w *Weights) []*Fingering {
	n := len(l.ledger.rows)
	fixed := make([]float64, n)
	perHaste := make([]float64, n)
	for i, row := range l.ledger.rows {
		fixed[i], perHaste[i] = w.price(row)
	}
	list := make([]*Fingering, len(l.examples))
	for i, e := range l.examples {
		a := &pricing{fixed: fixed, perHaste: perHaste}
		now, nodes := []int64{a.one()}, []int64(nil)
		for _, layer := range e.free {
			now, nodes = advance(a, layer.step, layer.haste, now, nodes)
			a.enter(now)
		}
		best := a.zero()
		for _, x := range now {
			best = a.plus(best, x)
		}
		m := maker{p: e.problem}
		if len(e.free) > 0 {
			list[i] = m.fingering(e.free, a.path(best))
		} else {
			list[i] = m.fingering(nil, nil)
		}
		list[i].Cost = a.cost(best)
	}
	return list
}

// pricing is [cheapest] at prices that are looked up in the ledger.
type pricing struct {
	cheapest
	fixed, perHaste []float64
}

func (c *pricing) relax(nodes []int64, g *gadget, haste float64) {
	for i := range g.edges {
		e := &g.edges[i]
		row := g.rows[i]
		cost := int64((c.fixed[row]+c.perHaste[row]*haste)*costUnit) << stateBits
		nodes[e.to] = min(nodes[e.to], nodes[e.from]+cost)
	}
}
