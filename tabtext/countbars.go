package tabtext

import (
	"example.org/lickwright/score"
)

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
		if col >= m.to && hasEnd {
			continue
		}
		if n := len(counts); n > 0 && !counts[n-1].at.Less(at) {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-count-order",
				Msg:  "the count " + w.text + " does not come after the one before it",
				Hint: "counts rise within a bar: 1 & 2 & 3 e & a"}, w.col)
			continue
		}
		if col >= m.to {
			end, hasEnd = at, true
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
				t.counted("tab-count-beside", m, g.col, "a note stands a column beside its count and is read at it", "%d notes stand a column beside their counts and are read at them")
			}
		default:
			at, _ = m.timeAt(g.col, g.end)
			t.counted("tab-count-between", m, g.col, "a note stands between two counts and is timed by its distance from them", "%d notes stand between two counts and are timed by their distance from them")
		}
		m.events = append(m.events, timed{onset: at, group: i, col: g.col})
	}
}

// crowded tells whether a count has another within two columns, so that a
// note beside it may well be meant to be between them.
func (m *barMusic) crowded(k int) bool {
	return k > 0 && m.anchors[k].col-m.anchors[k-1].col <= 2 || k+1 < len(m.anchors) && m.anchors[k+1].col-m.anchors[k].col <= 2
}
