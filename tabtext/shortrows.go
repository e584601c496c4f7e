package tabtext

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
)

// A shortage is a bar in which a row has n columns fewer than the others, or
// more if n is negative.
type shortage struct{ row, col, n int }

// maxShort is how many columns a row may lack in a bar, or have too many, and
// still be set right.
const maxShort = 3

// fillShort sets rows right that lack a hyphen or two in a bar, or have one too
// many, so that what comes after stands under other columns than it should: if
// more than half of the rows have their bar lines in the same columns, or half
// of them and the others nearly so, and another has as many, the shorter rows get the columns that they lack before
// their bar lines. They take no room in the text; an edit leaves the rows as
// they were.
func (s *system) fillShort() {
	bars := make([][]int, len(s.rows))
	for i := range s.rows {
		r := &s.rows[i]
		for p := r.start; p < r.end; p++ {
			if r.cells.ch[p] == '|' {
				bars[i] = append(bars[i], p-r.shift)
			}
		}
	}
	var most []int
	best := 1
	for i := range bars {
		same := 0
		for k := range bars {
			same += b2i(slices.Equal(bars[i], bars[k]))
		}
		if 2*same >= len(bars) && same > best {
			most, best = bars[i], same
		}
	}
	if len(most) < 2 {
		return
	}
	if 2*best == len(bars) && slices.ContainsFunc(bars, func(row []int) bool { return !nearly(row, most) }) {
		return
	}
	// How wide each bar is in the widest of the rows that can be set right.
	wide := make([]int, len(most))
	for k := range most {
		wide[k] = most[k] - before(most, k)
	}
	odd := false
	for i := range bars {
		if !nearly(bars[i], most) {
			bars[i] = nil
			continue
		}
		for k, p := range bars[i] {
			n := most[k] - before(most, k) - (p - before(bars[i], k))
			if n != 0 {
				s.short = append(s.short, shortage{i, p, n})
				odd = true
			}
			wide[k] = max(wide[k], p-before(bars[i], k))
		}
	}
	if !odd {
		return
	}
	for i := range bars {
		s.fillRow(i, bars[i], wide)
	}
}

// before is the column of the bar line before one; 0 for the first.
func before(bars []int, k int) int {
	if k == 0 {
		return 0
	}
	return bars[k-1]
}

// nearly tells whether a row has as many bar lines as the others, its first in
// the same column and each bar about as wide.
func nearly(bars, most []int) bool {
	if len(bars) != len(most) || bars[0] != most[0] {
		return false
	}
	for k := 1; k < len(bars); k++ {
		if abs(bars[k]-bars[k-1]-(most[k]-most[k-1])) > maxShort {
			return false
		}
	}
	return true
}

func (s *system) fillRow(i int, bars, wide []int) {
	r := &s.rows[i]
	added := 0
	for k, p := range bars {
		n := wide[k] - (p - before(bars, k))
		if n > 0 {
			at := p + added + r.shift
			r.cells = r.cells.widened(at, n)
			r.gained = append(r.gained, span{at, at + n})
			r.end += n
			added += n
		}
	}
	s.width = max(s.width, r.end-r.shift)
}

// widened gives the cells with n hyphens that are not in the text before a
// column.
func (c cells) widened(at, n int) cells {
	if c.off == nil {
		c.text, c.raw = string(c.ch), int32(len(c.ch))
		c.off = make([]int32, len(c.ch)+1)
		for i := range c.off {
			c.off[i] = int32(i)
		}
	}
	c.ch = slices.Insert(slices.Clone(c.ch), at, slices.Repeat([]byte{'-'}, n)...)
	c.off = slices.Insert(slices.Clone(c.off), at, slices.Repeat([]int32{c.off[at]}, n)...)
	return c
}

func (b *builder) shortRows(s *system) {
	for _, f := range s.short {
		what := "a column"
		if abs(f.n) > 1 {
			what = fmt.Sprintf("%d columns", abs(f.n))
		}
		r := &s.rows[f.row]
		than, hint := " less", "add the missing hyphens"
		if f.n < 0 {
			than, hint = " more", "take out the hyphens that are too many"
		}
		b.report(score.Warning, "tab-bar-ragged", b.lay.src.pos(r.line, f.col+r.shift),
			"the row has "+what+than+" than the others in this bar; its bar line is read under theirs", hint)
	}
}
