package tabtext

import (
	"slices"
	"strings"
)

// parseBlankRow reads a row in which blanks stand for hyphens: the name of a
// string, and bar lines at both ends. Such rows are tab where all rows of an
// instrument are typed so; their blanks stay blanks in the text.
func parseBlankRow(c cells) (r row, ok bool) {
	r = row{cells: c, blank: true}
	i := skipQuote(c.ch)
	r.label, i = scanLabel(c, i)
	r.start = i
	r.end = strings.LastIndexByte(string(c.ch), '|') + 1
	if !r.label.named || r.end-r.start < 6 || c.ch[r.start] != '|' {
		return r, false
	}
	blanks := 0
	for _, b := range c.ch[r.start:r.end] {
		switch {
		case b == ' ':
			blanks++
		case b == '-':
			return r, false
		case !isDigit(b) && strings.IndexByte("|xXhpbrtsvSPT/\\~^()<>=*:.", b) < 0:
			return r, false
		}
	}
	if 2*blanks < r.end-r.start {
		return r, false
	}
	if c.off == nil {
		r.cells = c.widened(0, 0)
	}
	r.cells.ch = slices.Clone(r.cells.ch)
	for i := r.start; i < r.end; i++ {
		if r.cells.ch[i] == ' ' {
			r.cells.ch[i] = '-'
		}
	}
	return r, true
}

// blanksAreTab tells whether rows without hyphens are tab: none of them has
// any, and their labels are those of a usual instrument.
func blanksAreTab(run []row) bool {
	return !slices.ContainsFunc(run, func(r row) bool { return !r.blank }) && labelledSet(run)
}
