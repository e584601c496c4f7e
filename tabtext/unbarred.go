package tabtext

import (
	"slices"

	"example.org/lickwright/score"
)

// unbarred tells whether a system has no bar lines but, at most, at its
// beginning.
func (s *system) unbarred() bool {
	for _, cl := range s.clusters {
		if cl.from > s.begin {
			return false
		}
	}
	return true
}

// splitUnbarred cuts the music of a system without bar lines into bars: its
// finest step, the greatest of which all distances between notes are
// multiples, is an eighth note.
func (b *builder) splitUnbarred(m *barMusic, mt metre) []*barMusic {
	cols := m.onsets()
	length := mt.length
	if length.IsZero() {
		length = score.Q(4, 1)
	}
	eighths := length.Div(score.Q(1, 2))
	if len(cols) == 0 || eighths.Den() != 1 {
		m.cut = true
		m.grid = grid{cell: 1, n: max(1, m.to-m.from)} // in proportion
		return []*barMusic{m}
	}
	cell, n := unbarredCell(cols), int(eighths.Num())
	if len(cols) == 1 {
		cell = max(1, (m.to-m.from)/n)
	}
	first := cols[0]
	if pad := first - m.from; pad > maxPad {
		first -= pad / cell * cell
		if first-cell >= m.from && first-m.from > maxPad {
			first -= cell
		}
	}
	var out []*barMusic
	last := cols[len(cols)-1]
	for from := first; from <= last; from += cell * n {
		part := &barMusic{bar: bar{from: from, to: from + cell*n, left: from, right: from + cell*n}, cut: true, grid: grid{pad: 0, cell: cell, n: n}}
		if len(out) == 0 {
			part.bar.from = m.from
			part.grid.pad = first - m.from
			part.bar.left = m.from
		}
		if part.to > last {
			part.bar.to, part.bar.right = max(m.to, part.to), max(m.to, part.to)
		}
		for i, g := range m.groups {
			if g.col < part.from || g.col >= part.to {
				continue
			}
			moved := g
			moved.signs = nil
			for _, k := range m.groups[i].signs {
				moved.signs = append(moved.signs, len(part.signs))
				part.signs = append(part.signs, m.signs[k])
			}
			part.groups = append(part.groups, moved)
		}
		out = append(out, part)
	}
	return slices.Clip(out)
}

// timeUnbarred gives the times to bars that were cut.
func (t *timer) timeUnbarred(bars []*barMusic, length score.Quarters) {
	for _, m := range bars {
		m.length = length
		for j, g := range m.groups {
			if g.grace {
				continue
			}
			at := m.grid.at(g.col-m.left, length)
			m.anchors = append(m.anchors, anchor{g.col, at})
			m.events = append(m.events, timed{onset: at, group: j, col: g.col})
		}
		t.durations(m)
	}
}
