package tabtext

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
)

// A metre is the time signature in force as the timing needs it.
type metre struct {
	length  score.Quarters // of a bar; 0 if free
	unit    score.Quarters // of a count
	assumed bool
}

// A timer finds the times of the bars of a system.
type timer struct {
	sys    *system
	metre  metre
	first  bool // the next bar is the first of its part
	report func(d score.Diagnostic, col int)
}

// rhythmRow returns the row of counts or of letters of a system, nil for
// none. Counts win over letters.
func (s *system) rhythmRow(kind lineKind) *attached {
	for _, list := range [][]attached{s.below, s.above} {
		for i := range list {
			if list[i].kind == kind {
				return &list[i]
			}
		}
	}
	return nil
}

// A countAt is a count with its column and time.
type countAt struct {
	count
	col int
	at  score.Quarters
}

// timeByCounts reads a bar by the counts under (or over) it. It tells
// whether there were any.
func (t *timer) timeByCounts(m *barMusic, row *attached) bool {
	limit := m.to
	if cl, ok := t.sys.clusterAt(m.to); ok {
		limit = max(limit, cl.to)
	}
	var counts []countAt
	beat, base, end := score.Quarters{}, score.Quarters{}, score.Quarters{}
	hasEnd := false
	for _, w := range wordsFrom(row.words, m.from-maxLead) {
		if w.col >= limit {
			break
		}
		c, shift, ok := parseCount(w.text)
		col := w.col + shift
		if !ok || col < m.from || col >= limit {
			continue
		}
		if c.num > 0 {
			next := base.Add(t.metre.unit.Mul(score.Q(int64(c.num-1), 1)))
			if n := len(counts); n > 0 && next.Less(beat) && c.num == 1 && t.metre.length.Sign() > 0 {
				base = base.Add(t.metre.length) // a bar line is missing
				next = base
			}
			beat = next
		}
		at := beat.Add(t.metre.unit.Mul(c.frac))
		if col >= m.to {
			end, hasEnd = at, true
			continue
		}
		if n := len(counts); n > 0 && !counts[n-1].at.Less(at) {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-count-order",
				Msg:  "the count " + w.text + " does not come after the one before it",
				Hint: "counts rise within a bar: 1 & 2 & 3 e & a"}, w.col)
			continue
		}
		counts = append(counts, countAt{c, col, at})
	}
	if len(counts) == 0 {
		return false
	}
	m.timing = byCounts
	// A first bar whose first count is not 1, with nothing before it, is a pickup.
	begins := counts[0].col
	for i := range m.signs {
		begins = min(begins, m.signs[i].lead)
	}
	if t.first && counts[0].at.Sign() > 0 && begins <= m.from+pickupPad {
		m.start = counts[0].at
	}
	for _, c := range counts {
		m.anchors = append(m.anchors, anchor{c.col, c.at.Sub(m.start)})
	}
	m.length = t.metre.length.Sub(m.start)
	if hasEnd {
		m.length = end.Sub(m.start)
	}
	last := counts[len(counts)-1].at.Sub(m.start)
	if m.length.Sign() <= 0 || !last.Less(m.length) && !hasEnd {
		// The bar is longer than its metre says (or has none): up to the next beat.
		beats := last.Div(t.metre.unit)
		m.length = t.metre.unit.Mul(score.Q(beats.Num()/beats.Den()+1, 1))
		if t.metre.length.Sign() > 0 {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-bar-length",
				Msg:  "the counts go beyond the metre: the bar lasts " + quartersText(m.length) + ", not " + quartersText(t.metre.length),
				Hint: "write the right metre, as in Time: 5/4"}, m.from)
		}
	}
	t.placeGroups(m)
	for _, c := range counts {
		at := c.at.Sub(m.start)
		if c.rest {
			m.events = append(m.events, timed{onset: at, group: -1, col: c.col})
		}
		if c.tied {
			for i := range m.events {
				if m.events[i].onset == at {
					m.events[i].tied = true
				}
			}
		}
	}
	t.durations(m)
	return true
}

// maxLead is how many signs may stand before the main sign of a count.
const maxLead = 2

// pickupPad is how many columns may stand before the first sign of a pickup.
const pickupPad = 6

// placeGroups gives each group the time of its column: of the count over the
// number, else over the signs before it, as in (5) and t12; else, where notes
// were set a column beside their count, of a count next to it that no other
// group has.
func (t *timer) placeGroups(m *barMusic) {
	owner := make([]int, len(m.anchors)) // group + 1 that stands at a count
	found := make([]int, len(m.groups))  // anchor + 1
	find := func(pass int) {
		for i, g := range m.groups {
			if g.grace || found[i] > 0 {
				continue
			}
			from, to := g.col, g.end
			switch pass {
			case 1:
				from, to = g.lead, g.col
			case 2:
				from, to = g.lead-1, g.end+1
			}
			near := 0
			for k, a := range m.anchors {
				if a.col < from || a.col >= to {
					continue
				}
				if pass == 0 || owner[k] == 0 {
					if near == 0 || owner[near-1] > 0 {
						near = k + 1
					}
				}
			}
			if pass == 2 && near > 0 && m.crowded(near-1) {
				near = 0
			}
			if near > 0 {
				found[i] = near
				owner[near-1] = i + 1
			}
		}
	}
	for pass := range 3 {
		find(pass)
	}
	for i, g := range m.groups {
		if g.grace {
			continue
		}
		at := score.Quarters{}
		switch k := found[i]; {
		case k > 0:
			at = m.anchors[k-1].at
			if c := m.anchors[k-1].col; c < g.lead || c >= g.end {
				t.report(score.Diagnostic{Severity: score.Info, Code: "tab-count-beside",
					Msg: "a note stands a column beside its count and is read at it"}, g.col)
			}
		default:
			at, _ = m.timeAt(g.col, g.end)
			t.report(score.Diagnostic{Severity: score.Info, Code: "tab-count-between",
				Msg: "a note stands between two counts and is timed by its distance from them"}, g.col)
		}
		m.events = append(m.events, timed{onset: at, group: i, col: g.col})
	}
}

// crowded tells whether a count has another within two columns, so that a
// note beside it may well be meant to be between them.
func (m *barMusic) crowded(k int) bool {
	return k > 0 && m.anchors[k].col-m.anchors[k-1].col <= 2 || k+1 < len(m.anchors) && m.anchors[k+1].col-m.anchors[k].col <= 2
}

// timeAt returns the time of columns [from, to): of the anchor in them, else
// in proportion between the anchors around. exact tells whether there was one.
func (m *barMusic) timeAt(from, to int) (at score.Quarters, exact bool) {
	i, found := slices.BinarySearchFunc(m.anchors, from, func(a anchor, col int) int { return cmp.Compare(a.col, col) })
	if found || i < len(m.anchors) && m.anchors[i].col < to {
		return m.anchors[i].at, true
	}
	before, after := anchor{m.from, score.Quarters{}}, anchor{m.to, m.length}
	if i > 0 {
		before = m.anchors[i-1]
	}
	if i < len(m.anchors) {
		after = m.anchors[i]
	}
	if after.col <= before.col {
		return before.at, false
	}
	part := score.Q(int64(from-before.col), int64(after.col-before.col))
	span := after.at.Sub(before.at)
	return before.at.Add(snap(part, span)), false
}

// snap rounds a part of a span of time to the nearest sixteenth or, if the
// span is no whole number of them, to the nearest quarter of it.
func snap(part, span score.Quarters) score.Quarters {
	if span.Invalid() || span.Sign() <= 0 {
		return score.Quarters{}
	}
	step := score.Q(1, 4)
	if n := span.Div(step); n.Den() != 1 || n.Num() < 2 {
		step = span.Mul(score.Q(1, 4))
	}
	n := span.Mul(part).Div(step)
	k := (2*n.Num() + n.Den()) / (2 * n.Den())
	return step.Mul(score.Q(k, 1))
}

// durations sorts the events and lets each last until the next; time before
// the first is a rest. Two groups at one time are told apart by a small
// fraction never: the later one is moved on half way to what follows.
func (t *timer) durations(m *barMusic) {
	slices.SortStableFunc(m.events, func(a, b timed) int { return a.onset.Cmp(b.onset) })
	if len(m.events) == 0 || m.events[0].onset.Sign() > 0 {
		m.events = slices.Insert(m.events, 0, timed{group: -1, col: m.from})
	}
	for i := 1; i < len(m.events); i++ {
		if m.events[i-1].onset.Less(m.events[i].onset) {
			continue
		}
		next := m.length
		for _, e := range m.events[i+1:] {
			if m.events[i-1].onset.Less(e.onset) {
				next = e.onset
				break
			}
		}
		m.events[i].onset = m.events[i-1].onset.Add(next).Mul(score.Q(1, 2))
	}
	for i := range m.events {
		end := m.length
		if i+1 < len(m.events) {
			end = m.events[i+1].onset
		}
		m.events[i].dur = end.Sub(m.events[i].onset)
	}
}

// A letterAt is a rhythm letter with its columns.
type letterAt struct {
	letterSign
	col  int
	used bool
}

// timeByLetters reads a bar by the rhythm letters over it.
func (t *timer) timeByLetters(m *barMusic, row *attached, tuplets []bracket) bool {
	var letters []letterAt
	for _, w := range wordsFrom(row.words, m.from-maxLead) {
		if w.col >= m.to {
			break
		}
		l, shift, ok := parseLetters(w.text)
		if col := w.col + shift; ok && col >= m.from && col < m.to {
			letters = append(letters, letterAt{l, col, false})
		}
	}
	if len(letters) == 0 {
		return false
	}
	m.timing = byLetters
	type slot struct {
		col, group, letter int
	}
	var slots []slot
	for i, g := range m.groups {
		if g.grace {
			continue
		}
		best := -1
		for k := range letters {
			if letters[k].used || letters[k].rest {
				continue
			}
			if d := abs(letters[k].col - g.col); d <= 1 && (best < 0 || d < abs(letters[best].col-g.col)) {
				best = k
			}
		}
		if best >= 0 {
			letters[best].used = true
		} else {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-letter-missing",
				Msg:  "a note has no rhythm letter over it; it takes the value of the one before",
				Hint: "write one of W H Q E S T over each note"}, g.col)
		}
		slots = append(slots, slot{g.col, i, best})
	}
	for k := range letters {
		if !letters[k].used {
			if !letters[k].rest {
				t.report(score.Diagnostic{Severity: score.Info, Code: "tab-letter-rest",
					Msg: "a rhythm letter has no note under it and is read as a rest"}, letters[k].col)
			}
			slots = append(slots, slot{letters[k].col, -1, k})
		}
	}
	slices.SortStableFunc(slots, func(a, b slot) int { return cmp.Compare(a.col, b.col) })
	now, value := score.Quarters{}, letterSign{length: score.Q(1, 1), value: score.NoteValue{Log: 2, Known: true}}
	for _, s := range slots {
		tied := false
		if s.letter >= 0 {
			value = letters[s.letter].letterSign
			tied = value.tied
		}
		dur := value.length
		for _, b := range tuplets {
			if b.from <= s.col && s.col < b.to {
				dur = dur.Mul(score.Q(int64(b.normal), int64(b.actual)))
			}
		}
		m.anchors = append(m.anchors, anchor{s.col, now})
		m.events = append(m.events, timed{onset: now, dur: dur, group: s.group, col: s.col, tied: tied, value: value.value})
		now = now.Add(dur)
	}
	m.length = now
	if t.metre.length.Sign() > 0 && now != t.metre.length {
		if t.first && now.Less(t.metre.length) {
			m.start = t.metre.length.Sub(now)
		} else {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-bar-length",
				Msg:  "the rhythm letters of the bar add up to " + quartersText(now) + ", its metre says " + quartersText(t.metre.length),
				Hint: "correct the letters, or state the metre, as in Time: 3/4"}, m.from)
		}
	}
	return true
}

// timeBySpacing reads bars by the columns of their notes. Where these fit
// no even grid well, the gaps between the signs may: many people type the same
// number of hyphens after each sign, however wide it is.
func (t *timer) timeBySpacing(bars []*barMusic) {
	length := t.metre.length
	if length.Sign() == 0 {
		length = score.Q(4, 1)
	}
	if bars[0].cut {
		t.timeUnbarred(bars, length)
		return
	}
	plain, squeezed := make([]spaced, len(bars)), make([]spaced, len(bars))
	for i, m := range bars {
		plain[i], squeezed[i] = m.spaced(false, false), m.spaced(true, false)
	}
	t.leadingSigns(bars, plain, length)
	grids, cost := inferGrids(plain, length)
	used := plain
	if gaps, less := inferGrids(squeezed, length); less+squeezeMargin*float64(len(bars)) < cost {
		grids, used = gaps, squeezed
	}
	ternary, sounding := 0, 0
	for i, m := range bars {
		m.grid, m.length = grids[i], length
		m.byGaps = &used[0] == &squeezed[0]
		if t.first && i == 0 && len(bars) > 1 && !m.byGaps && !m.byLead {
			t.pickup(m, grids[1:], bars[1:])
		}
		k := 0
		for j, g := range m.groups {
			if g.grace {
				continue
			}
			at := m.grid.at(used[i].offsets[k], m.length)
			k++
			m.anchors = append(m.anchors, anchor{g.col, at})
			m.events = append(m.events, timed{onset: at, group: j, col: g.col})
		}
		rounded := m.roundFine()
		if len(m.events) > 1 {
			sounding++
			if part := m.length.Mul(score.Q(1, int64(max(1, m.grid.n)))); part.Den()%3 == 0 {
				ternary++
			}
		}
		if (rounded || m.grid.cost > unevenCost) && len(m.events) > 0 {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-spacing-uneven",
				Msg:  "the columns of the bar fit its metre badly; its rhythm is a guess",
				Hint: "write counts under the tab (1 & 2 &), or even out the columns"}, m.from)
		}
		t.durations(m)
	}
	if t.metre.assumed && ternary > 0 && 2*ternary >= sounding {
		t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-metre-doubt",
			Msg:  "no metre is stated, and the columns divide by three: read as 4/4 with triplets, it may be 3/4 or 6/8",
			Hint: "state the metre, as in Time: 3/4"}, bars[0].from)
	}
}

// roundFine rounds the times of a bar whose grid is finer than sixteenths,
// which careless columns make more often than music does: to the coarsest of
// quarters, eighths and sixteenths that moves no note by more than a
// thirty-second and lets no two meet. It tells whether it changed anything.
func (m *barMusic) roundFine() bool {
	part := m.length.Mul(score.Q(1, int64(max(1, m.grid.n))))
	if m.grid.n == 0 || !part.Less(score.Q(1, 4)) || part.Den()%3 == 0 {
		return false
	}
steps:
	for _, step := range []score.Quarters{score.Q(1, 1), score.Q(1, 2), score.Q(1, 4)} {
		times := make([]score.Quarters, len(m.events))
		for i, e := range m.events {
			n := e.onset.Div(step)
			times[i] = step.Mul(score.Q((2*n.Num()+n.Den())/(2*n.Den()), 1))
			off := times[i].Sub(e.onset)
			if off.Sign() < 0 {
				off = off.Neg()
			}
			if score.Q(1, 8).Less(off) || !times[i].Less(m.length) || i > 0 && !times[i-1].Less(times[i]) {
				continue steps
			}
		}
		changed := false
		for i := range m.events {
			changed = changed || m.events[i].onset != times[i]
			m.events[i].onset, m.anchors[i].at = times[i], times[i]
		}
		return changed
	}
	return false
}

// leadingSigns takes, bar by bar, the columns of brackets and other signs
// before the numbers for those of the notes where these fit a grid better.
func (t *timer) leadingSigns(bars []*barMusic, plain []spaced, length score.Quarters) {
	for i, m := range bars {
		lead := m.spaced(false, true)
		if slices.Equal(lead.offsets, plain[i].offsets) {
			continue
		}
		trial := slices.Clone(plain)
		trial[i] = lead
		_, cost := inferGrids(plain, length)
		if _, less := inferGrids(trial, length); less < cost-1e-9 {
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
	m.grid = grid{pad, g.cell, n, 0}
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

func quartersText(q score.Quarters) string {
	if q == score.Q(1, 1) {
		return "1 quarter note"
	}
	return q.String() + " quarter notes"
}
