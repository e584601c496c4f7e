package tabtext

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
)

// A bracketed is a tuplet bracket over a bar that is read by its spacing: the
// first and the last group under it.
type bracketed struct {
	bracket
	first, last int // indices of groups, grace notes left out
}

// timeByBrackets reads a bar by its spacing where tuplet brackets stand over
// it. People who draw them seldom keep the columns in proportion: a triplet is
// typed as wide as its numbers need. So what is under a bracket takes one time
// that its columns do not tell, the notes in it even parts of that, and the
// columns outside of it are read on a grid as in other bars. It tells
// whether that explains the bar.
func (t *timer) timeByBrackets(m *barMusic, brackets []bracket, length score.Quarters) bool {
	groups, times, _, ok := m.bracketTimes(brackets, length, t.parts(length), 1)
	if ok {
		t.setBracketed(m, groups, times, length)
	}
	return ok
}

// bracketTimes gives the groups of a bar that take time, and their times under
// brackets; cost is how badly these fit, least how many columns a quarter has at least.
func (m *barMusic) bracketTimes(brackets []bracket, length score.Quarters, parts []barParts, least int64) (groups []int, times []score.Quarters, cost float64, ok bool) {
	for i, g := range m.groups {
		if !g.grace {
			groups = append(groups, i)
		}
	}
	over := m.bracketsOver(groups, brackets)
	if len(over) == 0 {
		return nil, nil, 0, false
	}
	best, found := 0.0, false
	for _, beat := range []score.Quarters{score.Q(1, 1), score.Q(1, 2), score.Q(2, 1), score.Q(4, 1)} {
		for quarter := least; quarter <= 2*maxCell; quarter++ {
			trial, cost, ok := m.onBracketGrid(groups, over, parts, length, beat, score.Q(quarter, 1))
			if ok && beat != score.Q(1, 1) {
				cost += 0.02 // most tuplets fill a beat
			}
			if ok && (!found || cost < best-1e-9) {
				best, times, found = cost, trial, true
			}
		}
	}
	return groups, times, best, found && best <= unevenCost
}

// setBracketed gives a bar the times that its brackets show.
func (t *timer) setBracketed(m *barMusic, groups []int, times []score.Quarters, length score.Quarters) {
	m.length, m.byGaps, m.bracketed = length, true, true
	for k, i := range groups {
		g := m.groups[i]
		m.anchors = append(m.anchors, anchor{g.col, times[k]})
		m.events = append(m.events, timed{onset: times[k], group: i, col: g.col})
	}
	t.durations(m)
}

// bracketsOver finds the brackets that hold groups of a bar, in order, nothing
// if two of them overlap.
func (m *barMusic) bracketsOver(groups []int, brackets []bracket) []bracketed {
	var over []bracketed
	for _, b := range brackets {
		o := bracketed{b, -1, -1}
		for k, i := range groups {
			if c := m.groups[i].col; b.from <= c && c < b.to {
				if o.first < 0 {
					o.first = k
				}
				if o.last = k; o.last-o.first+1 == b.actual { // it may be drawn up to what follows
					break
				}
			}
		}
		if o.last > o.first {
			over = append(over, o)
		}
	}
	slices.SortFunc(over, func(a, b bracketed) int { return cmp.Compare(a.first, b.first) })
	for i := 1; i < len(over); i++ {
		if over[i].first <= over[i-1].last {
			return nil
		}
	}
	return over
}

// onBracketGrid reads a bar whose quarter has so many columns outside of the
// brackets, each of which takes a beat. It returns the times of the groups.
func (m *barMusic) onBracketGrid(groups []int, over []bracketed, parts []barParts, length, beat, quarter score.Quarters) (times []score.Quarters, cost float64, ok bool) {
	wide := quarter.Mul(beat) // columns that a bracket would take in proportion
	if wide.Den() != 1 {
		return nil, 0, false
	}
	b := spaced{width: m.right - m.left}
	kept := make([]int, len(groups)) // index in the offsets, -1 for what is inside of a bracket
	gained := 0
	for k, o := 0, 0; k < len(groups); k++ {
		col := m.groups[groups[k]].col
		for o < len(over) && over[o].last < k {
			end := m.right
			if next := over[o].last + 1; next < len(groups) {
				end = m.groups[groups[next]].col
			}
			gained += int(wide.Num()) - (end - m.groups[groups[over[o].first]].col)
			o++
		}
		if o < len(over) && over[o].first < k {
			kept[k] = -1
			continue
		}
		kept[k] = len(b.offsets)
		b.offsets = append(b.offsets, col-m.left+gained)
	}
	if last := over[len(over)-1]; last.last == len(groups)-1 {
		gained += int(wide.Num()) - (m.right - m.groups[groups[last.first]].col)
	}
	if b.width += gained; b.width < 1 {
		return nil, 0, false
	}
	pad := b.offsets[0]
	if pad > maxPad {
		pad = 1
	}
	g := grid{}
	for cell := 1; cell <= maxCell; cell++ {
		f, fits := fitGrid(b, pad, cell, parts)
		if fits && score.Q(int64(f.cell*f.n), 1) == length.Mul(quarter) && (!ok || f.cost < g.cost) {
			g, ok = f, true
		}
	}
	if !ok {
		return nil, 0, false
	}
	times = make([]score.Quarters, len(groups))
	for k, i := range kept {
		if i >= 0 {
			times[k] = g.at(b.offsets[i], length)
		}
	}
	for _, o := range over {
		for k := o.first + 1; k <= o.last; k++ {
			step := int64(k - o.first)
			if n := o.last - o.first + 1; n < o.actual { // some parts are longer: by their columns
				from, end := m.groups[groups[o.first]].col, o.to
				step = max(step, int64((2*(m.groups[groups[k]].col-from)*o.actual+(end-from))/(2*(end-from))))
				step = min(step, int64(o.actual-(o.last-k)-1))
			}
			times[k] = times[o.first].Add(beat.Mul(score.Q(step, int64(o.actual))))
		}
		if end := times[o.first].Add(beat); length.Less(end) || o.last+1 < len(groups) && times[o.last+1] != end {
			return nil, 0, false
		}
	}
	return times, g.cost, true
}
