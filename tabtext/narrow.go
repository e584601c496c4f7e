package tabtext

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// Narrow cuts the systems of a text at bar lines, so that no row of tab is wider than
// so many columns, and gives the text. All that stands beside a system goes with its bars,
// and the music stays the same: what would read otherwise is not cut. Systems that stay
// wider are reported to opt.Report. The other options are those with which the text is
// read. Errors are those of [Read].
func Narrow(data []byte, name string, width int, opt score.ReadOptions) ([]byte, error) {
	report := opt.Report
	opt.Report = nil
	o, err := read(data, name, opt)
	if err != nil {
		return nil, err
	}
	out, left := o.narrowed(width, 0)
	if len(left) > 0 && report != nil {
		s := o.built.lay.systems[left[0]]
		msg := fmt.Sprintf("a system stays %d columns wide, not %d", s.widest(), width)
		if n := len(left); n > 1 {
			msg = fmt.Sprintf("%d systems stay wider than %d columns, the first with %d", n, width, s.widest())
		}
		report(score.Diagnostic{Severity: score.Warning, Code: "tab-width", Pos: o.built.lay.src.pos(s.rows[0].line, s.rows[0].start),
			Msg: msg + ": it can only be cut at a bar line that no bracket, extent or remark crosses, and only so that its rhythm reads the same", Hint: "take another width, or break the lines by hand"})
	}
	return out, nil
}

// narrowed is the text with systems that are wider than so many columns cut, and which
// stay so. Some columns too many are let pass.
func (o *origin) narrowed(width, slack int) (data []byte, left []int) {
	var wide []int
	for i, s := range o.built.lay.systems {
		if s.widest() > width+slack {
			wide = append(wide, i)
		}
	}
	keep := map[int]anew{} // systems that are not cut
	for range 4 {
		e := &editor{o: o, s: o.built.sc}
		cut, over := 0, map[int]bool{} // those with a bar that is wider
		for _, i := range wide {
			if keep[i] > 0 {
				continue
			}
			s := o.built.lay.systems[i]
			lines := s.drawn()
			if parts := s.reflow(lines, width); parts != nil && s.rows[0].tail.line == 0 {
				e.setParts(lines, parts)
				over[i] = rowsOver(lines, parts, width+slack)
				cut++
				continue
			}
			keep[i] = asItWas
		}
		if cut == 0 {
			break
		}
		data := e.bytes()
		again, err := read(data, o.name, o.opt)
		if err != nil {
			break
		}
		diff := compare(o.built.sc, again.built.sc)
		if diff == nil {
			left = slices.DeleteFunc(wide, func(i int) bool { return keep[i] == inItsPlace && !over[i] })
			return data, left
		}
		before := len(keep)
		if o.differing(o.built.sc, again.built.sc, diff, keep); len(keep) == before {
			break
		}
	}
	return o.data, wide
}

// rowsOver tells whether a row of the parts of a system is wider than so many columns.
func rowsOver(lines []drawnLine, parts [][]string, limit int) bool {
	for k, part := range parts {
		for j, text := range part {
			r := lines[j].row
			if r == nil {
				continue
			}
			wide := width(text)
			if k == len(parts)-1 { // words behind the row
				wide -= len(r.cells.ch) - r.end
			}
			if wide > limit {
				return true
			}
		}
	}
	return false
}

// drawn gives the lines of a system as they are.
func (s *system) drawn() []drawnLine {
	var out []drawnLine
	attached := func(list []attached) {
		for i := range list {
			a := &list[i]
			l := drawnLine{line: a.line, kind: a.kind, name: a.tailName()}
			end := len(a.cells.ch)
			if l.name != "" {
				end = len(strings.TrimRight(string(a.cells.ch[:end-width(l.name)]), " "))
			}
			l.prefix, l.cols = columnsOf(&a.cells, indentOf(a.cells.ch), len(a.cells.ch))
			l.cols = l.cols[:end]
			out = append(out, l)
		}
	}
	attached(s.above)
	for i := range s.rows {
		r := &s.rows[i]
		prefix, cols := columnsOf(&r.cells, r.start, r.end)
		out = append(out, drawnLine{line: r.line, kind: stringLine, row: r, prefix: prefix, cols: cols})
	}
	attached(s.below)
	return out
}

// tailName is the name in brackets that ends a row, "" for none.
func (a *attached) tailName() string {
	text := strings.TrimRight(string(a.cells.ch), " ")
	switch {
	case len(text) < len(a.cells.ch): // nothing is cut off
	case a.kind == namedLine:
		return "(" + a.name + ")"
	case a.kind == chordLine && strings.HasSuffix(text, " "+chordsName):
		return chordsName
	}
	return ""
}

// setParts writes the parts of a system that was cut one under the other.
func (e *editor) setParts(lines []drawnLine, parts [][]string) {
	var out []string
	for k, part := range parts {
		if k > 0 {
			out = append(out, "")
		}
		for j, text := range part {
			if lines[j].row != nil || strings.TrimSpace(text) != "" {
				out = append(out, text)
			}
		}
	}
	last := slices.MaxFunc(lines, func(a, b drawnLine) int { return a.line - b.line }).line
	for _, l := range lines {
		e.setLine(l.line)
	}
	e.setLine(last, out...)
}
