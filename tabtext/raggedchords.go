package tabtext

import (
	"cmp"
	"slices"
)

// ownGap is how far apart, in columns, all else in a bar must stand for two
// signs in adjacent columns to be one chord.
const ownGap = 3

// mergeRagged makes one group of two that stand in adjacent columns on different
// rows, where nothing else in the bar stands as close and one of them, or
// others in the bar, is a chord: somebody typed a hyphen too many or too few
// before one of its numbers. It returns how many it found.
func (m *barMusic) mergeRagged() int {
	var near []int // the first of each pair
	chords := false
	for i, g := range m.groups {
		chords = chords || len(g.signs) > 1
		if g.grace {
			return 0
		}
		if i == 0 {
			continue
		}
		before := &m.groups[i-1]
		switch gap := g.col - before.col; {
		case gap == 1 && m.apart(before, &g) && (len(near) == 0 || near[len(near)-1] < i-2):
			near = append(near, i-1)
		case gap < ownGap || g.col-before.end < 1:
			return 0
		}
	}
	if len(near) == 0 || !chords {
		return 0
	}
	for _, i := range slices.Backward(near) {
		a, b := &m.groups[i], &m.groups[i+1]
		a.end, a.lead = max(a.end, b.end), min(a.lead, b.lead)
		a.signs = append(slices.Clone(a.signs), b.signs...)
		slices.SortFunc(a.signs, func(x, y int) int { return cmp.Compare(m.signs[x].row, m.signs[y].row) })
		m.groups = slices.Delete(m.groups, i+1, i+2)
	}
	return len(near)
}

// apart tells whether two groups are on different rows and have no signs that
// lead from one note to the next.
func (m *barMusic) apart(a, b *group) bool {
	for _, i := range a.signs {
		if m.signs[i].conn != 0 || m.signs[i].end > b.col+1 {
			return false
		}
		for _, k := range b.signs {
			if m.signs[i].row == m.signs[k].row {
				return false
			}
		}
	}
	return true
}
