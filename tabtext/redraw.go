package tabtext

import (
	"bytes"
	"slices"
	"sort"
	"strings"
)

// An insertion is columns that a system gains before a logical column.
// sum is what was inserted up to it, itself included.
type insertion struct{ at, n, sum int }

// solve finds the columns to insert. A bar that is read by counts or letters
// gains them where they are missing; one that is read by its spacing gains
// the same number in each part of its grid, so that it still reads the same.
func solve(music []*barMusic, needs []need) ([]insertion, bool) {
	if len(needs) == 0 {
		return nil, true
	}
	var ends []int // ends of the parts of the grids
	for _, m := range music {
		if m.timing != bySpacing || m.grid.n == 0 || m.byGaps {
			continue
		}
		ends = append(ends, m.partEnds()...)
	}
	k := 0
	local := map[int]int{}
	for _, n := range needs {
		m := barOf(music, n.from)
		if m != nil && (m.timing != bySpacing || m.grid.n == 0 || m.byGaps) {
			local[n.at] = max(local[n.at], n.short)
			continue
		}
		cells := sort.SearchInts(ends, n.to+1) - sort.SearchInts(ends, n.from+1)
		if cells == 0 && n.soft {
			continue
		}
		if cells == 0 {
			return nil, false
		}
		k = max(k, (n.short+cells-1)/cells)
	}
	var out []insertion
	if k > 0 {
		for _, at := range ends {
			out = append(out, insertion{at: at, n: k})
		}
	}
	for at, n := range local {
		out = append(out, insertion{at: at, n: n})
	}
	slices.SortFunc(out, func(a, b insertion) int { return a.at - b.at })
	sum := 0
	for i := range out {
		sum += out[i].n
		out[i].sum = sum
	}
	return out, true
}

// moved gives the new column of an old one.
func moved(ins []insertion, col int) int {
	i := sort.Search(len(ins), func(i int) bool { return ins[i].at > col })
	if i == 0 {
		return col
	}
	return col + ins[i-1].sum
}

// redraw writes the lines of a system.
func (e *editor) redraw(ed *systemEdit, byRow [][]*item, ins []insertion) bool {
	s := ed.sys
	var drawn []drawnLine
	draw := func(line int, kind lineKind, r *row, prefix string, cols []string) {
		drawn = append(drawn, drawnLine{line: line, kind: kind, row: r, prefix: prefix, cols: cols})
	}
	shift := s.rows[0].shift
	for i, a := range slices.Concat(s.above, s.below) {
		if i == len(s.above) {
			e.redrawRows(ed, byRow, ins, draw)
		}
		touched := len(ins) > 0
		for w := range ed.words {
			touched = touched || w.line == a.line
		}
		if a.kind == namedLine && ed.relabel[a.name] {
			e.setLine(a.line)
			continue
		}
		if !touched {
			continue
		}
		switch a.kind {
		case extentLine, tupletLine:
			prefix, cols := stretched(&a, ins, shift)
			draw(a.line, a.kind, nil, prefix, cols)
		default:
			prefix, cols := e.rewords(ed, &a, ins, shift)
			draw(a.line, a.kind, nil, prefix, cols)
		}
	}
	if len(s.below) == 0 {
		e.redrawRows(ed, byRow, ins, draw)
	}
	for _, l := range drawn {
		e.setLine(l.line, l.prefix+strings.Join(l.cols, ""))
	}
	if ed.relabelled() {
		e.labelRows(ed, ins)
	}
	return true
}

// redrawRows draws the strings of a system that change.
func (e *editor) redrawRows(ed *systemEdit, byRow [][]*item, ins []insertion, draw func(int, lineKind, *row, string, []string)) {
	for r := range ed.sys.rows {
		touched := len(ins) > 0
		for _, it := range ed.items {
			touched = touched || it.row == r || it.from == r
		}
		if touched {
			prefix, cols := e.redrawRow(ed, r, byRow[r], ins)
			draw(ed.sys.rows[r].line, stringLine, &ed.sys.rows[r], prefix, cols)
		}
	}
}

// labelRows adds the rows of annotations under a system.
func (e *editor) labelRows(ed *systemEdit, ins []insertion) {
	s := ed.sys
	last := s.last - 1
	lines, touched := e.lines[last]
	if !touched {
		lines = []string{e.o.built.lay.src.text(last)}
	}
	prefix := strings.Repeat(" ", max(s.rows[0].shift, 0))
	if quote := s.rows[0].cells.ch[:min(s.rows[0].label.col, s.rows[0].start)]; strings.Contains(string(quote), ">") {
		prefix = string(quote)
	}
	for _, kind := range ed.labelKinds() {
		words := slices.Clone(ed.labels[kind])
		for i := range words {
			early := e.early(ed, words[i])
			words[i].col = moved(ins, words[i].col) + s.rows[0].shift - early
		}
		for _, row := range stacked(words) {
			line := prefix
			for _, w := range row {
				line += strings.Repeat(" ", max(w.col-width(line), 0)) + w.text
			}
			lines = append(lines, line+"  ("+kind+")")
		}
	}
	e.setLine(last, lines...)
}

// indentOf is how many columns stand empty before the first sign.
func indentOf(ch []byte) int { return len(ch) - len(bytes.TrimLeft(ch, " ")) }

// columnsOf cuts a line into the text of its columns. Between two columns tabs
// become spaces; before and after, where no column is inserted, they stay.
func columnsOf(c *cells, from, to int) (prefix string, cols []string) {
	cols = make([]string, len(c.ch))
	if c.off != nil {
		prefix = c.text[:c.off[0]]
	}
	for i := range cols {
		t := c.slice(i, i+1)
		if c.ch[i] == ' ' && (t == "" || t == "\t") && i >= from && i < to {
			t = " "
		}
		cols[i] = t
	}
	return prefix, cols
}

func (e *editor) redrawRow(ed *systemEdit, r int, items []*item, ins []insertion) (string, []string) {
	row := &ed.sys.rows[r]
	prefix, cols := columnsOf(&row.cells, row.start, row.end)
	dash := "-"
	for i := row.start; i < row.end; i++ {
		if row.cells.ch[i] == '-' {
			dash = cols[i]
			break
		}
	}
	for _, it := range ed.items {
		if it.from != r {
			continue
		}
		for c := it.was.from; c < it.was.to; c++ {
			if p := c + row.shift; p >= 0 && p < len(cols) {
				cols[p] = dash
			}
		}
	}
	var out []string
	k := 0
	for p := 0; p <= len(cols); p++ {
		for k < len(ins) && ins[k].at <= p-row.shift && p <= row.end {
			for range ins[k].n {
				out = append(out, dash)
			}
			k++
		}
		if p < len(cols) {
			out = append(out, cols[p])
		}
	}
	for i, it := range items {
		if !it.new && len(ins) == 0 {
			continue
		}
		body := []rune(it.body)
		at := moved(ins, it.col) + row.shift
		if it.pad != 0 && i+1 < len(items) && it.was.to == items[i+1].was.from {
			// A slide that touched the next number goes on touching it.
			next := moved(ins, items[i+1].col) + row.shift - width(items[i+1].lead)
			pad := rune(it.pad)
			if leans(it.pad, it.body, items[i+1].body) { // 7/--9 is read as leading there too
				pad = []rune(dash)[0]
			}
			for at+len(body) < next {
				body = append(body, pad)
			}
		}
		for j, c := range []rune(it.lead) {
			set(&out, at-width(it.lead)+j, string(c), dash)
		}
		for j, c := range body {
			set(&out, at+j, string(c), dash)
		}
	}
	return prefix, out
}

// leans tells whether a slide's sign leans the way its frets go.
func leans(sign byte, from, to string) bool {
	a, ok := leadingNumber(from)
	b, ok2 := leadingNumber(to)
	return ok && ok2 && (sign == '/' && b > a || sign == '\\' && b < a)
}

func set(cols *[]string, at int, text, fill string) {
	for len(*cols) <= at {
		*cols = append(*cols, fill)
	}
	if at >= 0 {
		(*cols)[at] = text
	}
}

// rewords writes a line of words, each at its new column.
func (e *editor) rewords(ed *systemEdit, a *attached, ins []insertion, shift int) (string, []string) {
	indent := indentOf(a.cells.ch)
	prefix, cols := columnsOf(&a.cells, indent, len(a.cells.ch))
	var out []string
	put := func(at int, text []string) {
		if n := len(out); n > 0 && at <= n && out[n-1] != " " {
			at = n + 1
		}
		for len(out) < at {
			if len(out) < indent && indent <= at {
				out = append(out, cols[len(out)])
				continue
			}
			out = append(out, " ")
		}
		out = append(out, text...)
	}
	for i := 0; i < len(cols); {
		if a.cells.ch[i] == ' ' {
			i++
			continue
		}
		j := i
		for j < len(cols) && (a.cells.ch[j] != ' ' || a.kind == lyricLine && !a.sung && j+1 < len(cols) && a.cells.ch[j+1] != ' ') { // a remark stays together
			j++
		}
		text := cols[i:j]
		if t, changed := ed.words[wordAt{a.line, i}]; changed {
			text = nil
			for _, r := range t {
				text = append(text, string(r))
			}
		}
		// What stands at the time is the sign after a tie or a bracket.
		main := i + mainSign(a.kind, strings.Join(cols[i:j], ""))
		put(moved(ins, main-shift)+shift-(main-i), text)
		i = j
	}
	return prefix, out
}

// mainSign is how many columns right of its beginning the main sign of a word
// stands.
func mainSign(kind lineKind, word string) int {
	n := 0
	switch kind {
	case countLine:
		_, n, _ = parseCount(word)
	case letterLine:
		_, n, _ = parseLetters(word)
	}
	return n
}

// stretched writes a line of extents or brackets with the columns that were
// inserted: hyphens inside of them, spaces between.
func stretched(a *attached, ins []insertion, shift int) (string, []string) {
	prefix, cols := columnsOf(&a.cells, indentOf(a.cells.ch), len(a.cells.ch))
	var out []string
	for p := 0; p < len(cols); p++ {
		from := sort.Search(len(ins), func(i int) bool { return ins[i].at >= p-shift })
		for _, in := range ins[from:] {
			if in.at != p-shift {
				break
			}
			fill := " "
			if p > 0 && strings.IndexByte("-_~=.", a.cells.ch[p-1]) >= 0 && (a.cells.ch[p] == a.cells.ch[p-1] || a.cells.ch[p] == '|' || isDigit(a.cells.ch[p])) {
				fill = cols[p-1]
			} else if strings.IndexByte("-_~=.", a.cells.ch[p]) >= 0 && p > 0 && a.cells.ch[p-1] != ' ' {
				fill = cols[p]
			} else if p > 0 && a.cells.ch[p] != ' ' && a.cells.ch[p-1] != ' ' {
				fill = ""
			}
			for range in.n {
				out = append(out, fill)
			}
		}
		out = append(out, cols[p])
	}
	return prefix, out
}
