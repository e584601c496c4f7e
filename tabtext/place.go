package tabtext

import (
	"maps"
	"strings"

	"example.org/lickwright/score"
)

// The layout of a bar. Columns are proportional to time where that fits: the
// bar is cut into the finest even parts that its times need, and each part
// gets the same number of columns. Where that would make the bar wider than
// maxBar, the columns only keep their order.
const (
	maxBar     = 72 // columns of a bar that is laid out in proportion
	minQuarter = 4  // columns of a quarter note, at least
)

// minGap is the number of columns between two signs of a track.
func minGap(p piece) int {
	if p.tight {
		return 0
	}
	return 1
}

// place gives each point of a bar its column and finds the bar's width.
// perQuarter is how many columns a quarter should have, if possible; 0 for as
// few as will do. It returns how many a quarter has, 0 if out of proportion.
func (bar *composed) place(minPad int, perQuarter score.Quarters) score.Quarters {
	bar.pad = max(1, minPad)
	if len(bar.points) > 0 {
		for _, p := range bar.points[0].pieces {
			bar.pad = max(bar.pad, width(p.lead)+1)
		}
	}
	part := bar.part()
	if part.Sign() > 0 {
		for cell := int64(1); ; cell++ {
			q := score.Q(cell, 1).Div(part) // columns of a quarter
			if q.Less(score.Q(minQuarter, 1)) || q.Less(perQuarter) {
				continue
			}
			if width := bar.length.Mul(q); q.Invalid() || width.Float() > maxBar {
				break
			}
			if bar.tryPlace(q) {
				return q
			}
			if cell > 4*maxBar {
				break
			}
		}
	}
	bar.tryPlace(score.Quarters{})
	return score.Quarters{}
}

// part is the longest time of which all times of the bar are multiples, 0 if
// it is too short to lay columns by.
func (bar *composed) part() score.Quarters {
	g := bar.length
	for _, p := range bar.points {
		g = gcdQ(g, p.at)
		if g.Invalid() || g.Den() > 1<<20 {
			return score.Quarters{}
		}
	}
	if n := bar.length.Div(g); n.Float() > 4*maxBar {
		return score.Quarters{}
	}
	return g
}

// gcdQ is the greatest common divisor of two times.
func gcdQ(a, b score.Quarters) score.Quarters {
	if a.IsZero() || b.IsZero() {
		return a.Add(b)
	}
	// gcd(p/q, r/s) = gcd(p·s, r·q) / (q·s)
	x, y := a.Num()*b.Den(), b.Num()*a.Den()
	for y != 0 {
		x, y = y, x%y
	}
	if x < 0 {
		x = -x
	}
	return score.Q(x, 1).Div(score.Q(a.Den(), 1).Mul(score.Q(b.Den(), 1)))
}

// tryPlace puts the points at perQuarter columns for each quarter. It tells
// whether everything fits so. With 0 it uses as many columns as each point
// needs, and always succeeds.
func (bar *composed) tryPlace(perQuarter score.Quarters) bool {
	free := perQuarter.IsZero()
	used := map[track]int{} // first free column of each track
	for i := range bar.points {
		p := &bar.points[i]
		col := bar.pad
		if i > 0 {
			col = bar.points[i-1].col + 1
		}
		if !free {
			q := p.at.Mul(perQuarter)
			if col = bar.pad + int(q.Num()); q.Den() != 1 {
				return false
			}
		}
		need := col
		if i > 0 {
			need = max(col, bar.points[i-1].col+1)
			if free { // a hint of proportion
				need = max(need, bar.points[i-1].col+min(int(p.at.Sub(bar.points[i-1].at).Mul(score.Q(minQuarter, 1)).Float()), 24))
			}
		}
		for t, pc := range p.pieces {
			if u, ok := used[t]; ok {
				need = max(need, u+width(pc.lead))
			}
			if i > 0 && t.kind == stringLine && strings.Contains(pc.lead, "g") { // grace notes come after what is before them
				need = max(need, bar.points[i-1].col+width(pc.lead)+1)
			}
		}
		for _, s := range bar.stretches {
			if n := s.minimum(); n > 0 && s.to >= 0 && s.to+1 == i && s.from >= 0 {
				need = max(need, bar.points[s.from].col+n)
			}
		}
		if need > col && !free {
			return false
		}
		p.col = need
		for t, pc := range p.pieces {
			used[t] = p.col + width(pc.body) + minGap(pc)
		}
	}
	end := bar.pad
	if n := len(bar.points); n > 0 {
		end = bar.points[n-1].col + 1
	}
	need := end + 1
	for u := range maps.Values(used) {
		need = max(need, u)
	}
	for _, s := range bar.stretches {
		if n := s.minimum(); n > 0 && (s.to == -1 || s.to+1 >= len(bar.points)) {
			from := 0
			if s.from >= 0 {
				from = bar.points[s.from].col
			}
			need = max(need, from+n)
		}
	}
	if bar.endingFrom != "" && len(bar.points) > 0 {
		need = max(need, bar.points[0].col+len(bar.endingFrom)+1)
	}
	if !free {
		q := bar.length.Mul(perQuarter)
		if q.Den() != 1 {
			return false
		}
		bar.width = bar.pad + int(q.Num())
		if need > bar.width {
			// A last sign that needs a column more than its time has may have it:
			// the bar line is no time.
			if need > bar.width+2 {
				return false
			}
			bar.width = need
		}
		return true
	}
	bar.width = max(need, 4)
	return true
}

// minimum is how many columns a stretch needs from its first point to what
// comes after its last.
func (s stretch) minimum() int {
	switch s.kind {
	case tupletLine:
		return len(s.text) + 4
	case extentLine:
		if s.goesOn {
			return 0
		}
		return len(extentText(s.span)) + 2
	}
	return 0
}
