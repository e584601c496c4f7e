package tabtext

import (
	"slices"

	"example.org/lickwright/score"
)

// closedLine tells whether a system whose only bar line is the last column's
// is a line without bar lines: many people close each line of a page so. Its
// finest step decides, which is an eighth note in a line without bar lines: one
// that makes no more than a bar is a bar. So is one that is as wide as the bars
// of other systems, one that its metre lets be a bar of sixteenths, and one of
// eighths and sixteenths together.
func (b *builder) closedLine(s *system, m *barMusic, mt metre) bool {
	var end *cluster
	for i := range s.clusters {
		if cl := &s.clusters[i]; cl.from > s.begin {
			if end != nil {
				return false
			}
			end = cl
		}
	}
	cols := m.onsets()
	if end == nil || end.forward || end.backward || len(cols) < 4 {
		return false
	}
	cell, steps, _ := looseCell(cols)
	if cell < 2 {
		return false
	}
	n := eighthsOf(mt)
	total := steps[len(steps)-1] + max(1, (m.right-cols[len(cols)-1]+cell/2)/cell)
	if n == 0 || total <= n+1 || b.barsAsWide(m.right-m.left) {
		return false
	}
	if s.chordStep(cols, steps) == n {
		return true
	}
	single, gaps := 0, len(steps)-1
	for i := 1; i < len(steps); i++ {
		single += b2i(steps[i]-steps[i-1] == 1)
	}
	if total > 2*n+1 { // finer than sixteenths, as one bar
		return 2*single >= gaps
	}
	return mt.assumed && total >= 2*n-1 && 8*single >= 7*gaps
}

// cutLine cuts a line without bar lines and says how.
func (b *builder) cutLine(s *system, m *barMusic, mt metre) []*barMusic {
	bars, byChords := b.splitUnbarred(s, m, mt)
	if slices.ContainsFunc(bars, func(m *barMusic) bool { return m.loose != nil }) {
		b.reportCounted("tab-spacing-off", bars[0], b.sysAt(s, 0, s.begin), looseBar, looseBars)
	}
	what := "there are no bar lines: "
	if !s.unbarred() {
		what = "there is no bar line but at the end: "
	}
	if byChords {
		what += "each chord symbol is read as the beginning of a bar"
	} else {
		what += "the finest step of the columns is read as an eighth note, and the bars are cut by the metre"
	}
	b.reportOnce(score.Warning, "tab-no-bars", "", b.sysAt(s, 0, s.begin), what, "draw bar lines, or write counts under the tab")
	return bars
}

// barsAsWide tells whether a system with bar lines within it has bars that are about
// so many columns wide.
func (b *builder) barsAsWide(width int) bool {
	if b.widestBar == 0 {
		b.widestBar = 1
		for _, o := range b.lay.systems {
			if len(o.bars) < 2 {
				continue
			}
			for _, r := range o.bars {
				b.widestBar = max(b.widestBar, r.right-r.left)
			}
		}
	}
	return 3*width <= 4*b.widestBar
}

// eighthsOf is how many eighth notes a bar has, 0 if no whole number.
func eighthsOf(mt metre) int {
	length := mt.length
	if length.IsZero() {
		length = score.Q(4, 1)
	}
	n := length.Div(score.Q(1, 2))
	if n.Den() != 1 {
		return 0
	}
	return int(n.Num())
}

// chordStep is how many parts of a grid there are from each chord symbol over
// a system to the next, if all of three or more begin with a note and are as far from
// each other; 0 if they are not.
func (s *system) chordStep(cols, steps []int) int {
	apart, last, names := 0, 0, 0
	for _, a := range s.above {
		if a.kind != chordLine {
			continue
		}
		for i, w := range a.words {
			if !a.bound(i) || isMark(w.text) {
				continue
			}
			k := nearest(cols, w.col)
			switch {
			case abs(cols[k]-w.col) > 1:
				return 0
			case names == 0 && k != 0:
				return 0
			case names == 1:
				apart = steps[k] - last
			case names > 1 && steps[k]-last != apart:
				return 0
			}
			last = steps[k]
			names++
		}
	}
	if names < 3 {
		return 0
	}
	return apart
}

// nearest is the index of the column that is nearest to one.
func nearest(cols []int, col int) int {
	k := 0
	for i := range cols {
		if abs(cols[i]-col) < abs(cols[k]-col) {
			k = i
		}
	}
	return k
}

// strummed tells whether most groups of a bar are chords of three or more notes.
func (m *barMusic) strummed() bool {
	n := 0
	for _, g := range m.groups {
		n += b2i(len(g.signs) >= 3)
	}
	return 2*n > len(m.groups)
}
