package tabtext

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// timeBySpacing reads bars by the columns of their notes, those with tuplet
// brackets each by itself. Where these fit
// no even grid well, the gaps between the signs may: many people type the same
// number of hyphens after each sign, however wide it is.
func (t *timer) timeBySpacing(bars []*barMusic, brackets []bracket) {
	length := t.metre.length
	if length.Sign() == 0 {
		length = score.Q(4, 1)
	}
	if bars[0].cut {
		t.timeUnbarred(bars, length)
		return
	}
	if len(brackets) > 0 || t.sys.hasNumbers() {
		by := bracketsByBar(brackets, bars)
		var others []*barMusic
		for i, m := range bars {
			if !t.timeByBrackets(m, by[i], length) && !t.timeByNumbers(m, length) {
				others = append(others, m)
			}
		}
		if bars = others; len(bars) == 0 {
			return
		}
	}
	plain, squeezed := make([]spaced, len(bars)), make([]spaced, len(bars))
	for i, m := range bars {
		plain[i], squeezed[i] = m.spaced(false, false), m.spaced(true, false)
		if !squeezed[i].rises() {
			squeezed[i] = plain[i]
		}
	}
	t.leadingSigns(bars, plain, length)
	grids, cost := inferGrids(plain, t.parts(length))
	used := plain
	if gaps, less := inferGrids(squeezed, t.parts(length)); less+squeezeMargin*float64(len(bars)) < cost {
		grids, used = gaps, squeezed
	}
	byGaps := &used[0] == &squeezed[0]
	loose := t.simplest(bars, grids, plain, squeezed, byGaps, length)
	ternary, sounding := 0, 0
	for i, m := range bars {
		m.grid, m.length = grids[i], length
		m.byGaps = byGaps
		if loose != nil && loose[i] != nil {
			m.loose = loose[i]
			m.grid, m.byGaps = m.loose.grid, m.loose.squeezed
			grids[i] = m.grid
		}
		if t.first && i == 0 && len(bars) > 1 && !m.byGaps && !m.byLead {
			t.pickup(m, grids[1:], bars[1:])
		}
		k := 0
		for j, g := range m.groups {
			if g.grace {
				continue
			}
			at := m.grid.at(used[i].offsets[k], m.length)
			if m.loose != nil {
				at = m.length.Mul(score.Q(int64(m.loose.steps[k]), int64(m.grid.n)))
			}
			k++
			m.anchors = append(m.anchors, anchor{g.col, at})
			m.events = append(m.events, timed{onset: at, group: j, col: g.col})
		}
		rounded := m.round()
		if len(m.events) > 1 {
			sounding++
			if slices.ContainsFunc(m.events, func(e timed) bool { return e.onset.Den()%3 == 0 }) {
				ternary++
			}
		}
		if m.loose != nil && m.loose.off > 0 && m.loose.cost <= wildCost {
			t.counted("tab-spacing-off", m, m.from, looseBar, looseBars)
		}
		t.durations(m)
		misfit := m.grid.cost
		if part := m.length.Mul(score.Q(1, int64(max(1, m.grid.n)))); part.Den()%3 == 0 {
			misfit -= ternaryCost // no matter of columns
		}
		if (rounded || misfit > unevenCost || m.loose != nil && m.loose.cost > wildCost) && len(m.events) > 1 {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-spacing-uneven",
				Msg:  "the columns of the bar fit its metre badly; its rhythm is a guess: " + m.lengths(),
				Hint: "write counts under the tab (1 & 2 &), or even out the columns"}, m.from)
		}
	}
	if t.metre.assumed && ternary > 0 && 2*ternary >= sounding {
		t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-metre-doubt",
			Msg:  "no metre is stated, and the columns divide by three: read as 4/4 with triplets, it may be 3/4 or 6/8",
			Hint: "state the metre, as in Time: 3/4"}, bars[0].from)
	}
}

// lengths names how long the notes and rests of a bar are, as far as there is
// room for it in a message.
func (m *barMusic) lengths() string {
	var words []string
	for i := 0; i < len(m.events); {
		e, n := m.events[i], 0
		for ; i < len(m.events) && m.events[i].dur == e.dur && (m.events[i].group < 0) == (e.group < 0); i++ {
			n++
		}
		if len(words) == maxLengths {
			words = append(words, "…")
			break
		}
		switch name := score.LengthName(e.dur); {
		case e.group < 0:
			words = append(words, name+" rest")
		case n == 1:
			words = append(words, name)
		default:
			words = append(words, fmt.Sprintf("%d %s", n, score.LengthNames(e.dur)))
		}
	}
	return strings.Join(words, ", ")
}

// maxLengths is how many lengths a message has room for.
const maxLengths = 8

// round rounds the times of a bar whose grid is finer than sixteenths. It tells
// whether it changed anything.
func (m *barMusic) round() bool {
	if m.loose != nil {
		return false
	}
	times := make([]score.Quarters, len(m.events))
	for i, e := range m.events {
		times[i] = e.onset
	}
	times, changed := roundFine(times, m.grid, m.length)
	for i, at := range times {
		m.events[i].onset, m.anchors[i].at = at, at
	}
	return changed
}

// roundFine rounds times of a grid that is finer than sixteenths,
// which careless columns make more often than music does: to the coarsest of
// quarters, eighths and sixteenths that moves no note by more than a
// thirty-second and lets no two meet. It tells whether it changed anything.
func roundFine(at []score.Quarters, g grid, length score.Quarters) ([]score.Quarters, bool) {
	part := length.Mul(score.Q(1, int64(max(1, g.n))))
	if g.n == 0 || !part.Less(score.Q(1, 4)) || part.Den()%3 == 0 {
		return at, false
	}
steps:
	for _, step := range []score.Quarters{score.Q(1, 1), score.Q(1, 2), score.Q(1, 4)} {
		times := make([]score.Quarters, len(at))
		for i, was := range at {
			n := was.Div(step)
			times[i] = step.Mul(score.Q((2*n.Num()+n.Den())/(2*n.Den()), 1))
			off := times[i].Sub(was)
			if off.Sign() < 0 {
				off = off.Neg()
			}
			if score.Q(1, 8).Less(off) || !times[i].Less(length) || i > 0 && !times[i-1].Less(times[i]) {
				continue steps
			}
		}
		return times, !slices.Equal(times, at)
	}
	return at, false
}

// leadingSigns takes, bar by bar, the columns of brackets and other signs
// before the numbers for those of the notes where these fit a grid better.
func (t *timer) leadingSigns(bars []*barMusic, plain []spaced, length score.Quarters) {
	for i, m := range bars {
		lead := m.spaced(false, true)
		if slices.Equal(lead.offsets, plain[i].offsets) || !lead.rises() {
			continue
		}
		trial := slices.Clone(plain)
		trial[i] = lead
		_, cost := inferGrids(plain, t.parts(length))
		if _, less := inferGrids(trial, t.parts(length)); less < cost-1e-9 {
			plain[i], m.byLead = lead, true
		}
	}
}

// squeezeMargin is by how much the gaps must fit better than the columns, in
// cost per bar, to be preferred.
const squeezeMargin = 0.03

// spaced gives the offsets of the groups of a bar from its left bar line, and
// its width. Grace notes belong to the note after them. Squeezed, each group
// takes one column, however many its signs need. With leads a group begins
// with the signs before its numbers.
func (m *barMusic) spaced(squeeze, leads bool) spaced {
	out := spaced{width: m.right - m.left}
	taken, lead := 0, -1
	for _, g := range m.groups {
		from, to := g.col, g.end
		for _, i := range g.signs {
			from, to = min(from, m.signs[i].lead), max(to, m.signs[i].end)
		}
		if lead < 0 {
			lead = from
		}
		if g.grace {
			continue
		}
		if squeeze {
			out.offsets = append(out.offsets, lead-m.left-taken)
			taken += to - lead - 1
		} else if leads {
			out.offsets = append(out.offsets, g.lead-m.left)
		} else {
			out.offsets = append(out.offsets, g.col-m.left)
		}
		lead = -1
	}
	if squeeze {
		out.width -= taken
	}
	return out
}

// unevenCost is the cost of a grid above which the reading of a bar is
// called a guess.
const unevenCost = 0.22

// pickup recognises a first bar that is shorter than the others: on the grid
// of the bar after it, it fills a whole number of parts and at most
// three quarters of a bar.
func (t *timer) pickup(m *barMusic, rest []grid, others []*barMusic) {
	g := rest[0]
	if g.n == 0 || len(others[0].onsets()) < 2 {
		return
	}
	width := m.right - m.left
	cols := m.onsets()
	if len(cols) == 0 || 4*width > 3*(others[0].right-others[0].left) {
		return
	}
	pad := min(g.pad, cols[0]-m.left)
	if cols[0]-m.left <= maxPad {
		pad = cols[0] - m.left
	}
	for _, c := range cols {
		if (c-m.left-pad)%g.cell != 0 {
			return
		}
	}
	n := (width - pad + g.cell/2) / g.cell
	if last := (cols[len(cols)-1] - m.left - pad) / g.cell; n <= last {
		n = last + 1
	}
	if n >= g.n {
		return
	}
	part := m.length.Mul(score.Q(1, int64(g.n)))
	m.start = m.length.Sub(part.Mul(score.Q(int64(n), 1)))
	m.length = part.Mul(score.Q(int64(n), 1))
	m.grid, m.loose = grid{pad, g.cell, n, 0}, nil
}
