package tabtext

import (
	"strings"
)

// A drawnLine is a line of a system as the text of its columns.
type drawnLine struct {
	line   int    // in source.lines
	name   string // that ends it and is repeated where it is cut: (degree)
	kind   lineKind
	row    *row // nil for an attached line
	prefix string
	cols   []string
}

// reflow cuts a system at bar lines into several, so that no row is wider than so many
// columns. It gives the lines of each, one entry for each line that was given; nothing
// if the system cannot be cut: at a plain or double bar line that no bracket, extent or
// remark crosses.
func (s *system) reflow(lines []drawnLine, limit int) [][]string {
	row0 := &s.rows[0]
	// Where the system is cut: before the columns of what follows a bar line.
	type cut struct{ bar, after int } // logical columns of the bar line and after it
	var cuts []cut
	begin, last := row0.start, cut{}
	for _, cl := range s.clusters {
		at := cut{cl.from, cl.to}
		if end := at.after - begin + row0.start + 1; end > limit && last != (cut{}) {
			cuts = append(cuts, last)
			begin, last = last.after-1, cut{}
		}
		if cl.lines <= 2 && !cl.forward && !cl.backward && cl.from > s.begin && cl.to < s.width && !crossed(lines, at.bar+row0.shift, at.after+row0.shift) {
			last = at
		}
	}
	if s.width-begin+row0.start+1 > limit && last != (cut{}) {
		cuts = append(cuts, last)
	}
	if len(cuts) == 0 {
		return nil
	}
	out := make([][]string, len(cuts)+1)
	for k := range out {
		from, to := 0, 1<<30 // logical, of the strings
		if k > 0 {
			from = cuts[k-1].after
		}
		if k < len(cuts) {
			to = cuts[k].after
		}
		for _, l := range lines {
			if l.row != nil {
				out[k] = append(out[k], l.part(l.row, from, to, k > 0))
				continue
			}
			// Counts under the bar line belong before it, what stands over it after.
			lo, hi := from, to
			if l.kind != countLine {
				if k > 0 {
					lo = cuts[k-1].bar
				}
				if k < len(cuts) {
					hi = cuts[k].bar
				}
			}
			out[k] = append(out[k], l.words(row0, lo, hi, from, k > 0))
		}
	}
	return out
}

// part is what a string has between two logical columns, with its label and a
// bar line before it if it begins a new system.
func (l *drawnLine) part(r *row, from, to int, labelled bool) string {
	a, b := max(from+r.shift, 0), len(l.cols)
	if to < 1<<30 {
		b = min(to+r.shift, b)
	}
	a = min(a, b)
	if !labelled {
		return l.prefix + strings.Join(l.cols[:b], "")
	}
	return l.prefix + strings.Join(l.cols[:min(r.start, len(l.cols))], "") + "|" + strings.Join(l.cols[a:b], "")
}

// words is what an attached line has from lo to hi, moved so that the column
// from comes to stand after the bar line that begins the system.
func (l *drawnLine) words(r *row, lo, hi, from int, moves bool) string {
	i, end := 0, len(l.cols)
	if moves {
		i = min(max(lo+r.shift, 0), len(l.cols))
		for i > 0 && i < len(l.cols) && !l.blank(i-1) && !l.blank(i) { // of a word that began before
			i++
		}
	}
	if hi < 1<<30 {
		end = min(end, hi+r.shift)
	}
	var text strings.Builder
	wide := 0
	for i < end {
		if l.blank(i) {
			i++
			continue
		}
		j := i
		for j < len(l.cols) && !l.blank(j) {
			j++
		}
		to := i
		if moves {
			to = max(0, i-(from+r.shift)+r.start+1)
		}
		if wide > 0 {
			to = max(to, wide+1)
		}
		text.WriteString(strings.Repeat(" ", to-wide))
		for _, t := range l.cols[i:j] {
			text.WriteString(t)
		}
		wide = to + j - i
		i = j
	}
	if wide == 0 {
		return ""
	}
	if l.name != "" {
		text.WriteString("  " + l.name)
	}
	return l.prefix + text.String()
}

func (l *drawnLine) blank(i int) bool { return strings.TrimSpace(l.cols[i]) == "" }

// crossed tells whether a bracket, an extent or a remark goes over the columns
// [from, to).
func crossed(lines []drawnLine, from, to int) bool {
	for i := range lines {
		l := &lines[i]
		if l.row != nil {
			continue
		}
		apart := 1
		switch l.kind {
		case extentLine, tupletLine:
		case lyricLine: // words of a remark have a blank between them
			apart = 2
		default:
			continue
		}
		for c := max(from-apart, 0); c+apart < len(l.cols) && c < to; c++ {
			if !l.blank(c) && !l.blank(c+apart) {
				return true
			}
		}
	}
	return false
}

// widest is the width of the widest row of the text.
func (l *layout) widest() int {
	wide := 0
	for _, s := range l.systems {
		wide = max(wide, s.widest())
	}
	return wide
}

func (s *system) widest() int {
	wide := 0
	for i := range s.rows {
		wide = max(wide, s.rows[i].end)
	}
	return wide
}
