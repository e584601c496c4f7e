package tabtext

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
)

// A shortage is a bar in which a row has fewer columns than the others.
type shortage struct{ row, col, n int }

// maxShort is how many columns a row may lack in a bar and still be set right.
const maxShort = 3

// fillShort sets rows right that lack a hyphen or two in a bar, so that what
// comes after stands under other columns than it should: if more than half of
// the rows have their bar lines in the same columns, and another has as many, it
// gets the columns that it lacks before its bar lines. They take no room in the
// text; an edit leaves the row as short as it was.
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
	for i := range bars {
		same := 0
		for k := range bars {
			same += b2i(slices.Equal(bars[i], bars[k]))
		}
		if 2*same > len(bars) {
			most = bars[i]
			break
		}
	}
	if len(most) < 2 {
		return
	}
	for i := range bars {
		if len(bars[i]) == len(most) && !slices.Equal(bars[i], most) {
			s.fillRow(i, bars[i], most)
		}
	}
}

func (s *system) fillRow(i int, bars, most []int) {
	added := 0
	var found []shortage
	for k, p := range bars {
		n := most[k] - p - added
		if n < 0 || n > maxShort || n > 0 && k == 0 {
			return
		}
		if n > 0 {
			found = append(found, shortage{i, p + added, n})
			added += n
		}
	}
	r := &s.rows[i]
	for _, f := range found {
		r.cells = r.cells.widened(f.col+r.shift, f.n)
		r.end += f.n
	}
	s.width = max(s.width, r.end-r.shift)
	s.short = append(s.short, found...)
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
		if f.n > 1 {
			what = fmt.Sprintf("%d columns", f.n)
		}
		b.report(score.Warning, "tab-bar-ragged", b.sysPos(s, f.row, f.col),
			"the row has "+what+" less than the others in this bar; its bar line is read under theirs", "add the missing hyphens")
	}
}
