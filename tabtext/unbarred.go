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
// multiples, is an eighth note. A few may be a column off. Where each chord symbol
// over it has half as many strokes as a bar has eighths, each begins a bar.
func (b *builder) splitUnbarred(s *system, m *barMusic, mt metre) (bars []*barMusic, byChords bool) {
	cols := m.onsets()
	n := eighthsOf(mt)
	if len(cols) == 0 || n == 0 {
		m.cut = true
		m.grid = grid{cell: 1, n: max(1, m.to-m.from)} // in proportion
		return []*barMusic{m}, false
	}
	cell, steps, off := looseCell(cols)
	if n%2 == 0 && s.chordStep(cols, steps) == n/2 && m.strummed() {
		n, byChords = n/2, true
	}
	if len(cols) == 1 {
		cell = max(1, (m.to-m.from)/n)
	}
	first := cols[0] // column of the first part
	if pad := first - m.from; pad > maxPad {
		first -= pad / cell * cell
		if first-cell >= m.from && first-m.from > maxPad {
			first -= cell
		}
	}
	for i := range steps {
		steps[i] += (cols[0] - first) / cell
	}
	// column gives where a part begins, before note k: in the column of a note
	// that stands on it.
	column := func(step, k int) int {
		switch {
		case k == 0:
			return first + step*cell
		case k == len(cols):
			return cols[k-1] + (step-steps[k-1])*cell
		}
		return min(cols[k-1]+(step-steps[k-1])*cell, cols[k])
	}
	var out []*barMusic
	for k := 0; k < len(cols); {
		begin := len(out) * n
		from, k0 := column(begin, k), k
		for k < len(cols) && steps[k] < begin+n {
			k++
		}
		to := column(begin+n, k)
		part := &barMusic{bar: bar{from: from, to: to, left: from, right: to}, cut: true, grid: grid{pad: 0, cell: cell, n: n}}
		if off > 0 {
			part.loose = &reading{grid: part.grid}
			for _, s := range steps[k0:k] {
				part.loose.steps = append(part.loose.steps, s-begin)
			}
		}
		if len(out) == 0 {
			part.bar.from = m.from
			part.grid.pad = first - m.from
			part.bar.left = m.from
		}
		if k == len(cols) {
			part.bar.to, part.bar.right = max(m.to, part.to), max(m.to, part.to)
			if m.to < s.width { // at a bar line
				part.bar.to, part.bar.right = m.to, m.right
			}
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
	return slices.Clip(out), byChords
}

// timeUnbarred gives the times to bars that were cut. What sounds at a cut sounds
// on after it, since a note lasts until the next one and no bar line stands there.
func (t *timer) timeUnbarred(bars []*barMusic, length score.Quarters) {
	for i, m := range bars {
		m.length = length
		k := 0
		for j, g := range m.groups {
			if g.grace {
				continue
			}
			at := m.grid.at(g.col-m.left, length)
			if m.loose != nil {
				at = length.Mul(score.Q(int64(m.loose.steps[k]), int64(m.grid.n)))
			}
			k++
			m.anchors = append(m.anchors, anchor{g.col, at})
			m.events = append(m.events, timed{onset: at, group: j, col: g.col})
		}
		t.durations(m)
		if first := &m.events[0]; i > 0 && first.group < 0 {
			first.over = true
		}
	}
}

// looseCell is the finest grid of a system without bar lines, and the part on
// which each note stands. Where few of the distances are a column too wide or too
// narrow, the others tell the grid; off is how many those are.
func looseCell(cols []int) (cell int, steps []int, off int) {
	exact := unbarredCell(cols)
	least := cols[len(cols)-1] - cols[0] + 1
	for i := 1; i < len(cols); i++ {
		least = min(least, cols[i]-cols[i-1])
	}
	for cell = least + 1; cell > exact; cell-- {
		off = 0
		for i := 1; i < len(cols) && off >= 0; i++ {
			_, wrong, ok := looseStep(cols[i]-cols[i-1], cell)
			if off += wrong; !ok {
				off = -1
			}
		}
		if off >= 0 && (off <= (len(cols)-1)/looseShare || steady(cols, cell)) {
			break
		}
	}
	steps = make([]int, len(cols))
	for i := 1; i < len(cols); i++ {
		n, _, _ := looseStep(cols[i]-cols[i-1], max(cell, 1))
		steps[i] = steps[i-1] + n
	}
	if cell <= exact {
		off = 0
	}
	return cell, steps, off
}

// steady tells whether the least distances are of two widths, cell and a column
// more, and the hand that typed them changed only now and then from one to the
// other: they are meant to be even.
func steady(cols []int, cell int) bool {
	changes, pairs, before := 0, 0, 0
	for i := 1; i < len(cols); i++ {
		d := cols[i] - cols[i-1]
		if d != cell && d != cell+1 {
			continue
		}
		if before != 0 {
			pairs++
			changes += b2i(d != before)
		}
		before = d
	}
	return pairs >= 4 && 3*changes <= pairs
}

// looseShare is how many distances there must be for each that is a column off.
const looseShare = 5

// looseStep reads a distance in columns as parts of a grid; wrong is 1 if it is
// a column off.
func looseStep(cols, cell int) (n, wrong int, ok bool) {
	for _, d := range []int{0, 1, -1} {
		if at := cols - d; at > 0 && at%cell == 0 {
			return at / cell, abs(d), true
		}
	}
	return 1, 0, false
}
