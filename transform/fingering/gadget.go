package fingering

import "slices"

// A step from the states of one shape to those of the next is not priced pair
// by pair. What it costs depends on the leads of both (their strings, places,
// fingers) and on how far the hand moves, so the step is a small graph, the
// gadget: states are gathered by lead and hand, moves run along two chains of
// hand positions, one up and one down the neck, and come out at the leads of
// the next shape. Between any two states that can follow each other runs
// exactly one path of edges; so any semiring may be summed over it.
//
// If the hand stays, a finger that is used again for another place is priced
// (Hop); if it moves, all fingers are lifted anyway.

// An edge goes between two nodes of a gadget. It costs fixed + perHaste times
// the haste of the step.
type edge struct {
	from, to        int32
	fixed, perHaste float64
}

// A gadget is the graph of a step. Nodes 0 to before-1 are the states of the
// shape before, the next after the states of the shape after, and then come
// those in between. Edges are in an order in which every node is complete
// before it is left.
type gadget struct {
	before, after int
	nodes         int
	edges         []edge
	rows          []int32   // by edge: its terms in the maker's ledger, if it keeps one
	span          []float64 // by state after
	ends          []ends    // of the edges
	priced        []priced  // the costs of the edges, by haste
	of            *step     // what it was made from; nil if it asks for nothing
}

// a side is one shape as a step sees it: its states by what is carried, by
// lead and by hand.
type side struct {
	keys  [][]stop  // different stops of the carried notes
	byKey [][]class // classes by key
}

// a class is the states of one key and lead, by hand.
type class struct {
	lead lead
	node []int32 // by hand; -1 for none
}

func (x *builder) side(s *shape, voiceOf func(carry) int) side {
	var out side
	index := map[string]int{}
	classOf := map[[2]int32]int{}
	x.keyOf = make([]int32, s.n)
	x.classOf = make([]int32, s.n)
	key := make([]byte, 0, 32)
	for state := range s.n {
		key = key[:0]
		stops := s.at(state)
		for _, c := range x.carries {
			t := stops[voiceOf(c)]
			key = append(key, byte(t.str), byte(t.fret), byte(t.finger))
		}
		k, ok := index[string(key)]
		if !ok {
			k = len(out.keys)
			index[string(key)] = k
			list := make([]stop, len(x.carries))
			for i, c := range x.carries {
				list[i] = stops[voiceOf(c)]
			}
			out.keys = append(out.keys, list)
			out.byKey = append(out.byKey, nil)
		}
		id := [2]int32{int32(k), s.lead[state]}
		c, ok := classOf[id]
		if !ok {
			c = len(out.byKey[k])
			classOf[id] = c
			out.byKey[k] = append(out.byKey[k], class{lead: s.leads[s.lead[state]], node: x.noNodes()})
		}
		x.keyOf[state], x.classOf[state] = int32(k), int32(c)
		out.byKey[k][c].node[s.pos[state]]++ // counts first: -1 + number of states
	}
	return out
}

// a builder makes a gadget.
type builder struct {
	*step
	rules  *rules
	w      *Weights
	g      *gadget
	ledger *ledger
	edges  []edge // of the gadget
	free   tag    // of edges that cost nothing
	keyOf  []int32

	classOf []int32
}

// builder begins a gadget. Room for edges is kept from one to the next.
func (r *rules) builder(s *step, w *Weights, g *gadget, ledger *ledger) *builder {
	x := &builder{step: s, rules: r, w: w, g: g, ledger: ledger, edges: r.edges[:0]}
	x.free = x.tag()
	return x
}

func (x *builder) finish() {
	x.g.edges = slices.Clone(x.edges)
	x.rules.edges = x.edges
}

func (x *builder) noNodes() []int32 {
	list := make([]int32, x.rules.frets+1)
	for i := range list {
		list[i] = -1
	}
	return list
}

func (x *builder) newNode() int32 {
	x.g.nodes++
	return int32(x.g.nodes - 1)
}

// a tag is what edges cost that have the same terms.
type tag struct {
	fixed, perHaste float64
	row             int32
}

func (x *builder) tag(list ...amount) (t tag) {
	t.fixed, t.perHaste = x.w.price(list)
	if x.ledger != nil {
		t.row = x.ledger.row(list)
	}
	return t
}

func (x *builder) edge(from, to int32, t tag) {
	x.edges = append(x.edges, edge{from, to, t.fixed, t.perHaste})
	if x.ledger != nil {
		x.g.rows = append(x.g.rows, t.row)
	}
}

// gadget makes the graph of a step. With a ledger it remembers the terms of
// every edge.
func (r *rules) gadget(s *step, w *Weights, ledger *ledger) *gadget {
	g := &gadget{before: s.a.n, after: s.b.n, nodes: s.a.n + s.b.n, span: s.b.span, of: s}
	x := r.builder(s, w, g, ledger)
	before := x.side(s.a, func(c carry) int { return c.before })
	x.gather(before)
	after := x.side(s.b, func(c carry) int { return c.after })
	keyOf, classOf := x.keyOf, x.classOf
	for _, classes := range after.byKey {
		for _, c := range classes {
			for p, n := range c.node {
				if n >= 0 {
					c.node[p] = x.newNode()
				}
			}
		}
	}
	// Which keys can follow which.
	type link struct {
		from, to int
		terms    []amount
		moved    []amount
	}
	var links []link
	for i, a := range before.keys {
		for j, b := range after.keys {
			released, anchored, ok := r.follow(s.carries, a, b)
			if !ok {
				continue
			}
			l := link{from: i, to: j}
			if released > 0 {
				l.terms = []amount{{Release, float64(released)}}
			}
			l.moved = l.terms
			if anchored {
				l.moved = append(slices.Clone(l.terms), amount{Anchored, 1})
			}
			links = append(links, l)
		}
	}
	// The hand moves: by place of the lead, fingers do not matter.
	from := make([][]class, len(before.keys))
	for i, classes := range before.byKey {
		from[i] = x.byPlace(classes, true)
	}
	to := make([][]class, len(after.keys))
	for j, classes := range after.byKey {
		to[j] = x.byPlace(classes, false)
	}
	type chained struct {
		from, place int
		motion      motion
	}
	moved := map[chained][]int32{}
	wanted := make([]bool, r.frets+1)
	for _, classes := range to {
		for _, c := range classes {
			for p, n := range c.node {
				wanted[p] = wanted[p] || n >= 0
			}
		}
	}
	var buf []amount
	for _, l := range links {
		for ia, a := range from[l.from] {
			for _, b := range to[l.to] {
				m := s.motionOf(a.lead, b.lead)
				key := chained{l.from, ia, m}
				chain, ok := moved[key]
				if !ok {
					chain = x.chains(a, m, wanted)
					moved[key] = chain
				}
				buf = append(r.between(s, a.lead, b.lead, buf[:0]), l.moved...)
				if alongString(a.lead, b.lead) {
					buf = append(buf, amount{ShiftOnString, 1})
				}
				t := x.tag(buf...)
				for p, n := range b.node {
					if n >= 0 && chain[p] >= 0 {
						x.edge(chain[p], n, t)
					}
				}
			}
		}
	}
	for j, classes := range after.byKey {
		x.spread(to[j], classes)
	}
	// The hand stays.
	for _, l := range links {
		for _, a := range before.byKey[l.from] {
			for _, b := range after.byKey[l.to] {
				buf = append(hops(a.lead, b.lead, r.between(s, a.lead, b.lead, buf[:0])), l.terms...)
				t := x.tag(buf...)
				for p, n := range a.node {
					if n >= 0 && b.node[p] >= 0 {
						x.edge(n, b.node[p], t)
					}
				}
			}
		}
	}
	for state := range s.b.n {
		c := after.byKey[keyOf[state]][classOf[state]]
		x.edge(c.node[s.b.pos[state]], int32(s.a.n+state), x.tag(s.b.terms[s.b.from[state]:s.b.from[state+1]]...))
	}
	x.finish()
	return g
}

// gather leads the states before into nodes by class and hand.
func (x *builder) gather(side side) {
	for _, classes := range side.byKey {
		for _, c := range classes {
			for p, n := range c.node {
				if n > 0 { // two states or more
					c.node[p] = x.newNode()
				} else if n == 0 {
					c.node[p] = -2 // one: it is its own node
				}
			}
		}
	}
	for state := range x.a.n {
		node := side.byKey[x.keyOf[state]][x.classOf[state]].node
		p := x.a.pos[state]
		if node[p] == -2 {
			node[p] = int32(state)
		} else {
			x.edge(int32(state), node[p], x.free)
		}
	}
}

// byPlace makes nodes for classes whose leads lie at one place, whatever the
// finger; with lead-in edges from the classes if they are those before.
func (x *builder) byPlace(classes []class, before bool) []class {
	var list []class
	for _, c := range classes {
		l := c.lead
		l.finger = 0
		i := slices.IndexFunc(list, func(o class) bool { return o.lead == l })
		if i < 0 {
			i = len(list)
			list = append(list, class{lead: l, node: x.noNodes()})
		}
		for p, n := range c.node {
			if n < 0 {
				continue
			}
			if list[i].node[p] < 0 {
				list[i].node[p] = x.newNode()
			}
			if before {
				x.edge(n, list[i].node[p], x.free)
			}
		}
	}
	return list
}

// spread leads from the nodes by place to those by place and finger.
func (x *builder) spread(places, classes []class) {
	for _, c := range classes {
		l := c.lead
		l.finger = 0
		i := slices.IndexFunc(places, func(o class) bool { return o.lead == l })
		for p, n := range c.node {
			if n >= 0 {
				x.edge(places[i].node[p], n, x.free)
			}
		}
	}
}

// chains moves the hand from where a class has it to where it is wanted, and
// returns the nodes by hand; -1 where it cannot come or is not wanted.
func (x *builder) chains(c class, m motion, wanted []bool) []int32 {
	out := x.noNodes()
	lowest, highest := slices.Index(wanted, true), len(wanted)-1
	for highest > 0 && !wanted[highest] {
		highest--
	}
	if lowest < 0 {
		return out
	}
	run := func(first, last, dir int) {
		prev := int32(-1)
		for p := first; p != last+dir && (last-p)*dir >= 0; p += dir {
			q := p - dir // where the hand comes from
			hasPrev, hasState := prev >= 0, c.node[q] >= 0
			if !hasPrev && !hasState {
				continue
			}
			mm := x.rules.mm[max(p, q)] - x.rules.mm[min(p, q)]
			once, along := moving(m, mm)
			n := x.newNode()
			if hasPrev {
				x.edge(prev, n, x.tag(along[:]...))
			}
			if hasState {
				x.edge(c.node[q], n, x.tag(once[0], once[1], along[0], along[1]))
			}
			prev = n
			if !wanted[p] {
				continue
			}
			if out[p] >= 0 { // the other chain comes here too
				both := x.newNode()
				x.edge(out[p], both, x.free)
				x.edge(n, both, x.free)
				n = both
			}
			out[p] = n
		}
	}
	run(2, highest, 1)
	run(x.rules.frets-1, lowest, -1)
	return out
}
