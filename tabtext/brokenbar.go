package tabtext

import (
	"slices"
	"sort"

	"example.org/lickwright/score"
)

// goesOn tells whether the last bar of a system goes on in the next one: the
// system ends without a bar line, the next begins with none but the one that
// parts a label from its string, and each piece is clearly shorter than the whole bars around while both together are about
// as long as one. Many people never draw the outer bar lines; their bars are
// whole.
func (b *builder) goesOn(index int) bool {
	if index+1 == len(b.lay.systems) {
		return false
	}
	s, next := b.lay.systems[index], b.lay.systems[index+1]
	for _, k := range []*system{s, next} {
		if len(k.bars) < 2 || k.rhythmRow(countLine) != nil || k.rhythmRow(letterLine) != nil {
			return false
		}
	}
	if b.lay.statedBetween(headPart, s, next) {
		return false
	}
	last, first := s.bars[len(s.bars)-1], next.bars[0]
	if _, closed := s.clusterAt(last.to); closed || len(next.rows) != len(s.rows) {
		return false
	}
	if cl, opened := next.clusterAt(first.from); opened && (cl.forward || cl.lines > 1) {
		return false
	}
	var whole []int
	for _, k := range []*system{s, next} {
		for _, br := range k.bars {
			if br != last && br != first && k.sounding(br) {
				whole = append(whole, br.right-br.left)
			}
		}
	}
	if len(whole) == 0 {
		return false
	}
	slices.Sort(whole)
	usual := whole[len(whole)/2]
	x, y := last.right-last.left, first.right-first.left
	return 4*x <= 3*usual && 4*y <= 3*usual && 4*(x+y) >= 3*usual && 20*(x+y) <= 27*usual
}

// statedBetween tells whether a line between two systems states something of a kind.
func (l *layout) statedBetween(kind headerKind, from, to *system) bool {
	first := sort.Search(len(l.headers), func(i int) bool { return l.headers[i].line > from.rows[0].line })
	for _, h := range l.headers[first:] {
		if h.line >= to.rows[0].line {
			break
		}
		if h.kind == kind {
			return true
		}
	}
	return false
}

// halfLength is how long the first piece of a broken bar lasts, by the cells
// of the bars before it; 0 if they have none.
func halfLength(before []*barMusic, m *barMusic) score.Quarters {
	g := before[len(before)-1].grid
	if g.n < 2 {
		return score.Quarters{}
	}
	n := (m.right - m.left - g.pad + g.cell/2) / g.cell
	n = min(max(n, 1), g.n-1)
	return m.nominal.Mul(score.Q(int64(n), int64(g.n)))
}

// timeHalf reads a piece of a bar by its spacing.
func (t *timer) timeHalf(m *barMusic, length score.Quarters) {
	whole, first := t.metre, t.first
	t.metre.length, t.metre.assumed, t.first = length, false, false
	t.timeBySpacing([]*barMusic{m}, nil)
	t.metre, t.first = whole, first
}
