package fingering

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
)

// A layer is one group in the trellis: its states and the step that leads to
// them.
type layer struct {
	group  int
	shape  *shape
	refs   []Ref // the notes of the shape's voices
	step   *gadget
	freely *gadget // the same without any condition, for when the step leads nowhere
	haste  float64
	joins  bool // the step carries joins
	rings  bool // or notes that must ring
}

// A maker makes the layers of a problem one after the other. It keeps shapes
// and gadgets, which repeat: music of a million notes has a few thousand.
type maker struct {
	p      *Problem
	rules  *rules
	w      *Weights
	ledger *ledger // terms of the edges, if they are wanted

	notes   map[noteKey]int32
	voices  map[string]int32
	kinds   []voice
	shapes  map[string]*shape
	gadgets map[gadgetKey]*gadget
	edges   int  // of the gadgets that are kept
	steps   bool // layers keep their steps when they have been taken
	free    map[[2]*shape]*gadget
	start   *shape

	seconds []float64   // onsets of the groups
	tempo   []float64   // in force at the groups
	until   map[Ref]int // the last group to which a note is joined
	active  []sounding
	last    *layer
	lastEnd float64 // seconds
	breaks  []Break
	next    int // group
	key     []byte
	text    []byte   // room for the key of a voice
	choice  []option // and for its options
	stock   []layer  // room for layers to come
}

type gadgetKey struct {
	a, b    *shape
	rest    bool
	carries string
}

// a sounding is a note that was struck and has not ended.
type sounding struct {
	ref   Ref
	end   float64 // quarter notes
	until int     // group at which it may go even if it is joined
	ring  bool
}

func newMaker(p *Problem, w *Weights, ledger *ledger) *maker {
	m := &maker{p: p, rules: newRules(p), w: w, ledger: ledger, steps: ledger != nil, notes: map[noteKey]int32{}, voices: map[string]int32{},
		shapes: map[string]*shape{}, gadgets: map[gadgetKey]*gadget{}, free: map[[2]*shape]*gadget{}, start: &shape{n: 1}}
	m.rewind(p)
	return m
}

// rewind begins again with another problem on the same neck.
func (m *maker) rewind(p *Problem) {
	m.p, m.until, m.active, m.last, m.lastEnd, m.breaks, m.next = p, nil, nil, nil, 0, nil, 0
	m.seconds, m.tempo = seconds(p)
	for g := range p.Groups {
		for i := range p.Groups[g].Notes {
			if n := &p.Groups[g].Notes[i]; n.Join != NotJoined {
				if m.until == nil {
					m.until = map[Ref]int{}
				}
				m.until[n.From] = max(m.until[n.From], g)
			}
		}
	}
}

// seconds returns the onsets of the groups in seconds, and the tempo at each.
func seconds(p *Problem) (list, tempos []float64) {
	list, tempos = make([]float64, len(p.Groups)), make([]float64, len(p.Groups))
	tempo, at := float64(DefaultTempo), 0.0
	for i, g := range p.Groups {
		if i > 0 {
			at += (g.Onset - p.Groups[i-1].Onset) * 60 / tempo
		}
		list[i] = at
		if g.Tempo > 0 {
			tempo = g.Tempo
		}
		tempos[i] = tempo
	}
	return list, tempos
}

// maxTracked is how many notes are looked at together before notes that need
// not ring are let go without a price: more than that are not held by fingers
// anyway.
const maxTracked = 4

// together is how much of a note, in quarter notes, may overlap the next
// without counting.
const together = 1e-6

// more makes the next layer; nil at the end.
func (m *maker) more() *layer {
	for m.next < len(m.p.Groups) {
		g := m.next
		m.next++
		if l := m.layer(g); l != nil {
			return l
		}
	}
	return nil
}

func (m *maker) layer(g int) *layer {
	group := &m.p.Groups[g]
	if len(m.stock) == 0 {
		m.stock = make([]layer, min(256, len(m.p.Groups)-g))
	}
	l := &m.stock[0]
	m.stock = m.stock[1:]
	l.group = g
	l.refs = make([]Ref, 0, len(group.Notes)+len(m.active))
	for i := range group.Notes {
		if v := m.voice(Ref{g, i}, false, false); len(m.kinds[v].options) > 0 {
			l.refs = append(l.refs, Ref{g, i})
		} else {
			m.breaks = append(m.breaks, Break{g, []int{i}, m.nowhere(&group.Notes[i])})
		}
	}
	m.active = slices.DeleteFunc(m.active, func(s sounding) bool {
		return s.until <= g && (s.until > 0 || s.end <= group.Onset+together)
	})
	m.letGo(len(l.refs), g)
	struck := len(l.refs)
	for _, s := range m.active {
		l.refs = append(l.refs, s.ref)
	}
	if struck == 0 {
		return nil
	}
	l.shape = m.shape(l.refs, struck, g)
	if l.shape.n == 0 {
		l.shape = m.relieve(l, &struck, g)
	}
	if struck == 0 {
		return nil
	}
	m.link(l)
	m.last = l
	for _, ref := range l.refs[:struck] {
		n := &m.p.Groups[ref.Group].Notes[ref.Note]
		m.active = append(m.active, sounding{ref, group.Onset + n.Duration, m.until[ref], n.Ring})
		m.lastEnd = max(m.lastEnd, group.Onset+n.Duration)
	}
	return l
}

// letGo forgets sounding notes beyond what is tracked, those that end first.
func (m *maker) letGo(struck, g int) {
	room := max(0, maxTracked-struck)
	soft := 0
	for _, s := range m.active {
		if !s.ring && s.until <= g {
			soft++
		}
	}
	for ; soft > 0 && len(m.active) > room; soft-- {
		first := -1
		for i, s := range m.active {
			if !s.ring && s.until <= g && (first < 0 || s.end < m.active[first].end) {
				first = i
			}
		}
		m.active = slices.Delete(m.active, first, first+1)
	}
}

// shape returns the states of some notes, the first of which are struck now.
func (m *maker) shape(refs []Ref, struck, g int) *shape {
	m.key = append(m.key[:0], byte(struck))
	for i, ref := range refs {
		ring := false
		if i >= struck {
			s := m.active[i-struck]
			ring = s.ring || s.until > g
		}
		m.key = binary.LittleEndian.AppendUint32(m.key, uint32(m.voice(ref, i >= struck, ring)))
	}
	if s, ok := m.shapes[string(m.key)]; ok {
		return s
	}
	s := &shape{struck: struck}
	for k := 1; k < len(m.key); k += 4 {
		s.voices = append(s.voices, m.kinds[binary.LittleEndian.Uint32(m.key[k:])])
	}
	key := string(m.key)
	m.rules.build(s)
	m.shapes[key] = s
	return s
}

// relieve takes notes away from a layer that no hand can hold, until one can:
// first it lets what should ring on go, then it drops as few of the struck
// notes as it can, inner ones before the bass, and the highest last.
func (m *maker) relieve(l *layer, struck *int, g int) *shape {
	notes := slices.Clone(l.refs[:*struck])
	if len(m.active) > 0 {
		m.active = m.active[:0]
		l.refs = notes
		m.breaks = append(m.breaks, Break{Group: g, Reason: "what should ring on cannot be held under what is struck"})
		if s := m.shape(l.refs, *struck, g); s.n > 0 {
			return s
		}
	}
	order := slices.Clone(notes)
	pitch := func(r Ref) int { return m.p.Groups[r.Group].Notes[r.Note].Pitch }
	slices.SortStableFunc(order, func(a, b Ref) int { return cmp.Compare(pitch(a), pitch(b)) })
	if len(order) > 2 { // inner notes, the bass, the top
		order = append(slices.Clone(order[1:len(order)-1]), order[0], order[len(order)-1])
	}
	for drop := 1; drop <= len(order); drop++ {
		var found *shape
		combinations(len(order), drop, func(out []int) bool {
			gone := make([]int, drop)
			for i, o := range out {
				gone[i] = order[o].Note
			}
			var rest []Ref
			for _, r := range notes {
				if !slices.Contains(gone, r.Note) {
					rest = append(rest, r)
				}
			}
			s := &shape{n: 1}
			if len(rest) > 0 {
				s = m.shape(rest, len(rest), g)
			}
			if s.n == 0 {
				return true
			}
			found = s
			l.refs, *struck = rest, len(rest)
			slices.Sort(gone)
			m.breaks = append(m.breaks, Break{g, gone, fmt.Sprintf("no hand holds these %d notes at once", len(notes))})
			return false
		})
		if found != nil {
			return found
		}
	}
	return nil // cannot be: without notes there is nothing to hold
}

// combinations calls f with every choice of k of n, in order, until it
// returns false.
func combinations(n, k int, f func([]int) bool) {
	pick := make([]int, k)
	var rec func(i, from int) bool
	rec = func(i, from int) bool {
		if i == k {
			return f(pick)
		}
		for v := from; v <= n-k+i; v++ {
			pick[i] = v
			if !rec(i+1, v+1) {
				return false
			}
		}
		return true
	}
	rec(0, 0)
}

// maxEdges bounds the gadgets that are kept, so that memory does not rise with
// music that never repeats itself.
const maxEdges = 2_000_000

// link makes the step from the layer before.
func (m *maker) link(l *layer) {
	if m.last == nil {
		l.step = m.freely(m.start, l.shape)
		return
	}
	a := m.last
	s := step{a: a.shape, b: l.shape}
	key := m.key[:0]
	for i, ref := range l.refs {
		c := carry{after: i, held: i >= l.shape.struck}
		if c.held {
			l.rings = l.rings || l.shape.voices[i].ring
		} else {
			n := &m.p.Groups[ref.Group].Notes[ref.Note]
			if n.Join == NotJoined {
				continue
			}
			ref, c.join = n.From, n.Join
			l.joins = true
		}
		c.before = slices.Index(a.refs, ref)
		if c.before < 0 {
			continue // what it is joined to has no place
		}
		s.carries = append(s.carries, c)
		key = append(key, byte(c.before), byte(c.after), byte(c.join))
	}
	onset := m.p.Groups[l.group].Onset
	between := onset - m.p.Groups[a.group].Onset
	// Rounded, so that equal note values have equal haste wherever they stand.
	time := math.Round((m.seconds[l.group]-m.seconds[a.group])*1e9) / 1e9
	if between > 0 {
		s.rest = (onset-m.lastEnd)*time/between >= restTime
	}
	l.haste = haste(time)
	k := gadgetKey{a.shape, l.shape, s.rest, string(key)}
	if l.step = m.gadgets[k]; l.step == nil {
		made := s
		l.step = m.rules.gadget(&made, m.w, m.ledger)
		if m.edges += len(l.step.edges); m.edges > maxEdges {
			clear(m.gadgets)
			clear(m.free)
			m.edges = 0
		}
		m.gadgets[k] = l.step
	}
	if len(s.carries) > 0 {
		l.freely = m.freely(a.shape, l.shape)
	}
}

// freely returns the step between two shapes that costs nothing and asks for
// nothing, for the beginning and for breaks.
func (m *maker) freely(a, b *shape) *gadget {
	k := [2]*shape{a, b}
	g := m.free[k]
	if g == nil {
		g = &gadget{before: a.n, after: b.n, nodes: a.n + b.n, span: b.span}
		x := m.rules.builder(&step{a: a, b: b}, m.w, g, m.ledger)
		mid := x.newNode()
		for i := range a.n {
			x.edge(int32(i), mid, x.free)
		}
		for i := range b.n {
			x.edge(mid, int32(a.n+i), x.tag(b.terms[b.from[i]:b.from[i+1]]...))
		}
		x.finish()
		m.free[k] = g
	}
	return g
}

// walk goes through the trellis of a problem with an algebra and returns the
// sum over all paths, and the layers.
func walk[W any, A algebra[W]](m *maker, a A, keepLayers bool) (W, []*layer) {
	var layers []*layer
	now := []W{a.one()}
	var nodes []W
	for l := m.more(); l != nil; l = m.more() {
		now, nodes = advance(a, l.step, l.haste, now, nodes)
		if l.freely != nil && !slices.ContainsFunc(now, func(w W) bool { return !a.dead(w) }) {
			m.breaks = append(m.breaks, Break{Group: l.group, Reason: l.broken()})
			l.step = l.freely
			now, nodes = advance(a, l.step, 0, nodes[:l.step.before], nodes)
		}
		a.enter(now)
		if !m.steps {
			l.step, l.freely = nil, nil
		}
		if keepLayers {
			layers = append(layers, l)
		}
	}
	sum := a.zero()
	for _, w := range now {
		sum = a.plus(sum, w)
	}
	return sum, layers
}

// advance relaxes one step. now may lie in nodes, as its beginning.
func advance[W any, A algebra[W]](a A, g *gadget, haste float64, now, nodes []W) (after, buffer []W) {
	if cap(nodes) < g.nodes {
		grown := make([]W, g.nodes, 2*g.nodes)
		copy(grown, now)
		nodes = grown
	} else {
		nodes = nodes[:g.nodes]
		copy(nodes, now)
	}
	zero := a.zero()
	rest := nodes[g.before:]
	for i := range rest {
		rest[i] = zero
	}
	a.relax(nodes, g, haste)
	return nodes[g.before : g.before+g.after], nodes
}

// broken says why a step leads nowhere.
func (l *layer) broken() string {
	switch {
	case l.joins && l.rings:
		return "what is joined or should ring on cannot be kept"
	case l.joins:
		return "notes that are joined cannot be played on one string in this way"
	}
	return "what should ring on cannot be held"
}
