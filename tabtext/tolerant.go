package tabtext

import (
	"maps"
	"math"
	"slices"

	"example.org/lickwright/score"
)

// A reading is a bar read on a grid that not all of its columns fit: the part
// of the bar at which each note begins.
type reading struct {
	grid
	steps    []int
	off      int // columns too many, too few, or a note beside its place
	squeezed bool
	cost     float64
}

// Weights of what somebody who types by hand does to the columns.
const (
	offColumn  = 1.0 // a column too many or too few
	offNote    = 0.9 // a note a column beside its place
	uneven     = 0.3 // a column too many or too few before a bar that begins with a rest
	otherPad   = 0.2 // each column by which what stands before the first note differs from elsewhere
	restFirst  = 0.4 // a rest within the columns that usually stand before the first note
	otherCell  = 0.5 // another width than the bars around have
	otherLeads = 0.1 // brackets before the numbers taken for the notes
	otherGaps  = 0.4 // gaps counted where the bars around count columns
	maxDrift   = 3   // columns too many or too few in a bar
	maxLoose   = 64  // notes of a bar up to which it is looked at
	wildCost   = 3.0 // above which it is called a guess
	simpleCost = 0.4 // what a reading may cost and be called simple
)

const (
	looseBar  = "a bar has a column too many or too few, or a note a column beside its place, and is read as the simplest rhythm that fits"
	looseBars = "%d bars have columns too many or too few, or notes a column beside their place, and are read as the simplest rhythm that fits"
)

// A looseFit looks for the readings of bars.
type looseFit struct {
	pulse pulse
	parts []barParts
	best  map[int]reading // by columns of a whole bar
	prev  []looseState
	next  []looseState
	trace [][]looseState
}

// A looseState is a way to read the notes up to one of them.
type looseState struct {
	step, drift int
	from        int // index of the state before
	off         int
	cost        float64
}

// read finds the best reading of a bar for each width of a whole bar, in
// columns. usual is how many columns stand before the first beat of a bar.
func (f *looseFit) read(b spaced, usual int, squeezed bool, extra float64) {
	if len(b.offsets) == 0 || len(b.offsets) > maxLoose || !b.rises() {
		return
	}
	first := b.offsets[0]
	type start struct {
		pad  int
		rest bool
		cost float64
	}
	var starts []start
	if first <= maxPad {
		starts = append(starts, start{first, false, extra + otherPad*float64(abs(first-usual))})
	}
	if first > usual+1 {
		cost := extra
		if first <= maxPad {
			cost += restFirst
		}
		starts = append(starts, start{usual, true, cost})
	}
	for _, s := range starts {
		room := b.width - s.pad
		for _, p := range f.parts {
			if p.small > 0 || p.n < len(b.offsets) {
				continue
			}
			for cell := 2; cell <= maxCell; cell++ {
				if span := cell * p.n; 4*span >= 3*room-8 && 4*span <= 5*room+12 {
					f.fit(b, s.pad, s.rest, cell, p, s.cost, squeezed)
				}
			}
		}
	}
}

// fit reads a bar on one grid, with the fewest columns off it.
func (f *looseFit) fit(b spaced, pad int, rest bool, cell int, p barParts, cost float64, squeezed bool) {
	n := len(b.offsets)
	limit := 2.5 + float64(n)/4
	f.trace = f.trace[:0]
	f.prev = f.prev[:0]
	if !rest {
		f.prev = append(f.prev, looseState{cost: cost})
	} else {
		for drift := -1; drift <= 1; drift++ {
			if at := b.offsets[0] - pad - drift; at > 0 && at%cell == 0 && at/cell < p.n {
				f.prev = append(f.prev, looseState{step: at / cell, drift: drift, off: abs(drift), cost: cost + uneven*float64(abs(drift))})
			}
		}
	}
	f.keep(0)
	for i := 1; i < n && len(f.trace[i-1]) > 0; i++ {
		f.next = f.next[:0]
		for from, s := range f.trace[i-1] {
			for drift := max(s.drift-1, -maxDrift); drift <= min(s.drift+1, maxDrift); drift++ {
				for beside := -1; beside <= 1; beside++ {
					at := b.offsets[i] - pad - drift - beside
					if at < 0 || at%cell != 0 {
						continue
					}
					step := at / cell
					if step <= s.step || step > p.n-n+i {
						continue
					}
					c := s.cost + offColumn*float64(abs(drift-s.drift)) + offNote*float64(abs(beside))
					c += 0.01 * float64(step&1) // of two as good, the one on the larger grid
					if c > limit {
						continue
					}
					f.reach(looseState{step, drift, from, s.off + abs(drift-s.drift) + abs(beside), c})
				}
			}
		}
		f.prev, f.next = f.next, f.prev
		f.keep(i)
	}
	if len(f.trace) < n {
		return
	}
	at := make([]int, n)
	part := f.pulse.length / p.n
	for k, s := range f.trace[n-1] {
		r := reading{grid: grid{pad, cell, p.n, 0}, off: s.off, squeezed: squeezed, steps: make([]int, n)}
		for i, j := n-1, k; i >= 0; i-- {
			r.steps[i] = f.trace[i][j].step
			at[i] = r.steps[i] * part
			j = f.trace[i][j].from
		}
		r.cost = s.cost + f.pulse.oddness(at) + tailCost(b.width-pad-s.drift-cell*p.n, b.width) + fineGrid*gridHalves(r.steps)
		if old, found := f.best[cell*p.n]; !found || r.cost < old.cost-1e-9 {
			f.best[cell*p.n] = r
		}
	}
}

// keep notes the states of a note.
func (f *looseFit) keep(i int) {
	if len(f.trace) == i {
		if i < cap(f.trace) { // with the room that it had for the bar before
			f.trace = f.trace[:i+1]
			f.trace[i] = append(f.trace[i][:0], f.prev...)
			return
		}
		f.trace = append(f.trace, slices.Clone(f.prev))
	}
}

// reach notes a state unless it was reached more cheaply.
func (f *looseFit) reach(s looseState) {
	for i := range f.next {
		if o := &f.next[i]; o.step == s.step && o.drift == s.drift {
			if s.cost < o.cost {
				*o = s
			}
			return
		}
	}
	f.next = append(f.next, s)
}

// gridHalves tells how often the grid could be doubled: 0 if two notes stand
// on parts that follow each other.
func gridHalves(steps []int) float64 {
	least := 0
	for i := 1; i < len(steps); i++ {
		if d := steps[i] - steps[i-1]; least == 0 || d < least {
			least = d
		}
	}
	halves := 0.0
	for ; least > 1; least /= 2 {
		halves++
	}
	return halves
}

// simplest finds bars whose columns give a simpler rhythm if one or a few of
// them are a column off: people who type by hand put one too many or too few
// here and there. The readings are nil where the exact grid stands. Bars agree
// in width where nothing speaks against it.
func (t *timer) simplest(bars []*barMusic, grids []grid, plain, squeezed []spaced, byGaps bool, length score.Quarters) []*reading {
	f := &looseFit{pulse: t.metre.pulse(length), parts: t.parts(length)}
	used := plain
	if byGaps {
		used = squeezed
	}
	cost, spans := make([]float64, len(grids)), make([]int, len(grids))
	usual, odd := 1, 0
	for i, g := range grids {
		cost[i] = f.exactCost(used[i], g, length)
		if spans[i] = g.cell * g.n; cost[i] > simpleCost {
			odd++
		}
	}
	if odd == 0 {
		return nil
	}
	for i := range grids {
		if o := used[i].offsets; len(o) > 0 && o[0] <= maxPad && cost[i] <= simpleCost {
			usual = o[0]
			break
		}
	}
	found := make([]map[int]reading, len(grids))
	all := map[int]bool{}
	for i := range grids {
		if cost[i] <= simpleCost {
			if len(used[i].offsets) > 1 {
				all[spans[i]] = true
			}
			continue
		}
		f.best = map[int]reading{}
		f.read(used[i], usual, byGaps, 0)
		if other := [][]spaced{squeezed, plain}[b2i(byGaps)]; !slices.Equal(other[i].offsets, used[i].offsets) {
			f.read(other[i], usual, !byGaps, otherGaps)
		}
		found[i] = f.best
		if lead := bars[i].byBrackets(plain[i]); !slices.Equal(lead.offsets, plain[i].offsets) {
			f.read(lead, usual, false, otherLeads)
		}
		for span := range f.best {
			all[span] = true
		}
	}
	agreed, least := 0, math.Inf(1)
	for _, span := range slices.Sorted(maps.Keys(all)) {
		sum := 0.0
		for i := range grids {
			c := cost[i]
			if spans[i] != span && len(used[i].offsets) > 1 {
				c += otherCell
			}
			if r, ok := bestReading(found[i], span); ok {
				c = min(c, r.cost)
			}
			sum += c
		}
		if sum < least-1e-9 {
			agreed, least = span, sum
		}
	}
	out := make([]*reading, len(grids))
	for i := range grids {
		if spans[i] != agreed {
			cost[i] += otherCell
		}
		if r, ok := bestReading(found[i], agreed); ok && r.cost < cost[i]-1e-9 {
			out[i] = &r
		}
	}
	return out
}

// byBrackets takes the columns of brackets for those of the numbers in them.
func (m *barMusic) byBrackets(b spaced) spaced {
	b.offsets = slices.Clone(b.offsets)
	k := 0
	for _, g := range m.groups {
		if g.grace {
			continue
		}
		for _, i := range g.signs {
			if sg := &m.signs[i]; (sg.paren || sg.harmonic == '<' || sg.harmonic == '[') && sg.lead == g.col-1 {
				b.offsets[k] = g.col - 1 - m.left
			}
		}
		k++
	}
	return b
}

// bestReading is the cheapest reading of a bar if the others have a width.
func bestReading(found map[int]reading, agreed int) (best reading, ok bool) {
	for _, span := range slices.Sorted(maps.Keys(found)) {
		r := found[span]
		if span != agreed {
			r.cost += otherCell
		}
		if !ok || r.cost < best.cost-1e-9 {
			best, ok = r, true
		}
	}
	return best, ok
}

// exactCost weighs the reading of a bar on a grid that all its columns fit.
func (f *looseFit) exactCost(b spaced, g grid, length score.Quarters) float64 {
	if len(b.offsets) < 2 {
		return 0
	}
	if g.n == 0 {
		return math.Inf(1)
	}
	times := make([]score.Quarters, len(b.offsets))
	common := g.n
	for i, o := range b.offsets {
		times[i] = g.at(o, length)
		common = gcd(common, (o-g.pad)/g.cell)
	}
	times, rounded := roundFine(times, g, length)
	at := make([]int, len(times))
	for i, q := range times {
		at[i] = int(q.Num() * tick / q.Den())
	}
	if !rounded && f.pulse.evenHalves(at) {
		return tailCost(b.width-g.pad-g.cell*g.n, b.width)
	}
	cost := f.pulse.oddness(at) + tailCost(b.width-g.pad-g.cell*g.n, b.width) + gridCost(b.offsets, g.cell*common)
	if rounded {
		cost += offColumn
	}
	return cost
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// partEnds lists where the parts of a bar's grid end, in columns.
func (m *barMusic) partEnds() []int {
	var ends []int
	add := func(at int) bool {
		ends = append(ends, min(at, m.to))
		return at < m.to
	}
	if m.loose == nil {
		for j := 1; j <= m.grid.n && add(m.left+m.grid.pad+j*m.grid.cell); j++ {
		}
		return ends
	}
	// Where a note stands on a part, the part begins in its column.
	cols, k := m.onsets(), 0
	step, col := 0, m.left+m.grid.pad
	for j := 1; j <= m.grid.n; j++ {
		for k < len(cols) && m.loose.steps[k] <= j {
			step, col = m.loose.steps[k], cols[k]
			k++
		}
		at := col + (j-step)*m.grid.cell
		if k < len(cols) {
			at = min(at, cols[k])
		}
		if !add(at) {
			break
		}
	}
	return ends
}
