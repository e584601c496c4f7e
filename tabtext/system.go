package tabtext

import (
	"bytes"
	"slices"
	"sort"
	"strings"

	"example.org/lickwright/theory/fretboard"
)

// A system is one block of rows with the lines that belong to it.
type system struct {
	rows   []row // in the order of the page
	above  []attached
	below  []attached
	first  int   // first line, attached ones included
	last   int   // line after the last
	doubts []int // lines over it whose chord symbols are not read

	begin, width int // logical columns of the strings: [begin, width)
	clusters     []cluster
	bars         []bar
	flipped      bool // the last string is on top
	short        []shortage
	blank        bool    // it has blanks for hyphens
	of           *system // the system whose rows are all strings, if this one lacks some
	at           []int   // which of them its rows are
}

// A cluster is the signs of one bar line.
type cluster struct {
	from, to int // logical columns [from, to)
	lines    int // how many lines: 2 is a double bar
	left     int // column of the first line, the dots of a repeat left out
	right    int // column after the last line
	forward  bool
	backward bool
}

// A bar is what stands between two clusters, in logical columns. left and
// right are the columns after and before the lines themselves: in rows without
// the dots of a repeat the music begins there.
type bar struct{ from, to, left, right int }

// findSystems finds the blocks of rows in a text, and lines that look like rows
// and are too few.
func findSystems(src *source, known int) (systems []*system, unread []int) {
	var run []row
	var strongs int
	flush := func() {
		run = trimRun(run)
		if strongs > 0 && (len(run) >= fretboard.MinStrings || fewRows(run)) || labelledSet(run) {
			for _, rows := range splitRun(run, known) {
				if ruledLines(rows) || drumRows(rows) {
					continue
				}
				systems = append(systems, newSystem(rows))
			}
		} else if strongs > 0 {
			for i := range run {
				if run[i].surely() {
					unread = append(unread, run[i].line)
				}
			}
		}
		run, strongs = run[:0:0], 0
	}
	blank := 0
	for i := 0; i < len(src.lines); i++ {
		c := src.columns(i)
		if len(run) == 0 || blank > 0 {
			if rows := blankRows(src, i); rows != nil {
				flush()
				blank = 0
				systems = append(systems, newSystem(rows))
				systems[len(systems)-1].blank = true
				i = rows[len(rows)-1].line
				continue
			}
		}
		r, strong, ok := parseRow(c)
		if ok && r.label.text != "" && len(run) == 0 {
			if rows := wrappedRows(src, i); rows != nil {
				systems = append(systems, newSystem(rows))
				i = rows[len(rows)-1].tail.line
				continue
			}
		}
		if ok {
			// One empty line between rows is a mail's double spacing, as long
			// as the block has no full set of strings yet.
			if blank > 0 && !(blank == 1 && len(run) > 0 && doubleSpaced(run, r, i)) {
				flush()
			}
			blank = 0
			r.line = i
			run = append(run, r)
			if strong {
				strongs++
			}
			continue
		}
		if isBlank(c.ch) && len(run) > 0 && blank == 0 {
			blank++
			continue
		}
		flush()
		blank = 0
	}
	flush()
	return systems, unread
}

// ruledLines tells a block of lines that hold nothing but hyphens, and no
// labels or bar lines, from tab.
func ruledLines(rows []row) bool {
	for i := range rows {
		if rows[i].label.text != "" {
			return false
		}
		for _, b := range rows[i].cells.ch[rows[i].start:rows[i].end] {
			if b != '-' && b != '=' && b != '_' && b != ' ' {
				return false
			}
		}
	}
	return true
}

// drumRows tells a drum pattern from tab: it has no frets, and the sign o for a
// stroke.
func drumRows(rows []row) bool {
	strokes := false
	for i := range rows {
		body := rows[i].cells.ch[rows[i].start:rows[i].end]
		for k, b := range body {
			if isDigit(b) {
				return false
			}
			if b|0x20 == 'o' { // beside a bar line it is a dot of a repeat
				strokes = strokes || k > 0 && body[k-1] != '|' && k+1 < len(body) && body[k+1] != '|'
			}
		}
	}
	return strokes
}

// labelledSet tells whether rows have the labels of a usual instrument, which
// makes them tab however short they are: a chord written as e-2-, B-3- and so on.
func labelledSet(run []row) bool {
	if len(run) < 4 || len(run) > fretboard.MaxStrings {
		return false
	}
	s := &system{rows: run}
	if !s.named() {
		return false
	}
	digits := 0
	for i := range run {
		body := run[i].cells.ch[run[i].start:run[i].end]
		if !bytes.ContainsRune(body, '-') || body[0] != '-' && body[0] != '|' { // E 3-1 is a result
			return false
		}
		for _, b := range body {
			digits += b2i(isDigit(b))
		}
	}
	t, _, ok := s.labelTuning()
	return ok && digits > 0 && t.Name != ""
}

// surely tells whether a row is one even though it stands alone: it has bar
// lines at both ends and frets between hyphens.
func (r *row) surely() bool {
	body := r.cells.ch[r.start:r.end]
	return len(body) > 5 && body[0] == '|' && body[len(body)-1] == '|' && bytes.ContainsAny(body, "0123456789") && bytes.Count(body, []byte("-")) > 3 &&
		!isTupletLine(string(body))
}

// fewRows tells whether one or two rows are tab for sure: each has the name of
// a string and bar lines at both ends. Which strings they are, other systems
// tell.
func fewRows(run []row) bool {
	digits := 0
	for i := range run {
		r := &run[i]
		body := r.cells.ch[r.start:r.end]
		if !r.label.named || r.label.octave != noOctave || len(body) < 6 || body[0] != '|' || body[len(body)-1] != '|' {
			return false
		}
		for _, b := range body {
			digits += b2i(isDigit(b))
		}
	}
	return digits > 0 && (len(run) == 1 || len(run) == 2 && run[0].label.text != run[1].label.text)
}

// trimRun takes brackets of tuplets off the ends of a run: lines of hyphens
// and numbers that have no label where the rows have some, or begin in
// another column.
func trimRun(run []row) []row {
	var labelled *row
	if i := slices.IndexFunc(run, func(r row) bool { return r.label.text != "" }); i >= 0 {
		labelled = &run[i]
	}
	bracket := func(r, other row) bool {
		if r.label.text != "" {
			return false
		}
		if labelled != nil && other.label.text == "" && isTupletLine(strings.TrimSpace(string(r.cells.ch))) {
			other = *labelled
		}
		if other.label.text != "" && (other.start >= len(r.cells.ch) || r.cells.ch[other.start] != '|') {
			return true // a ruled line
		}
		return isTupletLine(strings.TrimSpace(string(r.cells.ch))) && (other.label.text != "" || r.start > other.start)
	}
	for len(run) > 1 && bracket(run[0], run[1]) {
		run = run[1:]
	}
	for n := len(run); n > 1 && bracket(run[n-1], run[n-2]); n = len(run) {
		run = run[:n-1]
	}
	return run
}

// doubleSpaced tells whether a row after an empty line goes on with the same
// system: the rows before it stand two lines apart too, and its label differs
// from all of theirs or repeats only as strings do.
func doubleSpaced(run []row, r row, line int) bool {
	if len(run) >= fretboard.MaxStrings || r.label.text == "" || run[0].label.text == "" {
		return false
	}
	if len(run) >= 2 && run[1].line-run[0].line != 2 {
		return false
	}
	return line-run[len(run)-1].line == 2
}

func isBlank(ch []byte) bool {
	for _, b := range ch {
		if b != ' ' && b != '>' {
			return false
		}
	}
	return true
}

// splitRun parts rows that follow each other without a break into systems:
// where the labels begin anew, else by the known number of strings.
func splitRun(run []row, known int) [][]row {
	n := len(run)
	if period := labelPeriod(run); period > 0 && period < n {
		return chunk(run, period)
	}
	if n <= 5 || n == known {
		return [][]row{run}
	}
	if known >= fretboard.MinStrings && n%known == 0 {
		return chunk(run, known)
	}
	if n > fretboard.MaxStrings || run[0].label.text == "" && n >= 8 {
		for _, period := range []int{6, 4, 7, 5, 8} {
			if n%period == 0 && n > period && (n > fretboard.MaxStrings || n != 8 || period != 4) {
				return chunk(run, period)
			}
		}
	}
	if n > fretboard.MaxStrings {
		return chunk(run[:n-n%6], 6)
	}
	return [][]row{run}
}

func chunk(run []row, n int) [][]row {
	var parts [][]row
	for len(run) >= n {
		parts = append(parts, run[:n:n])
		run = run[n:]
	}
	return parts
}

// labelPeriod finds after how many rows the labels begin anew, 0 if they do
// not.
func labelPeriod(run []row) int {
	n := len(run)
	for p := fretboard.MinStrings; p <= n/2; p++ {
		if n%p != 0 {
			continue
		}
		repeats := true
		for i := p; i < n && repeats; i++ {
			repeats = run[i].label.text != "" && run[i].label.text == run[i-p].label.text
		}
		if repeats {
			return p
		}
	}
	return 0
}

func newSystem(rows []row) *system {
	s := &system{rows: slices.Clone(rows), first: rows[0].line, last: rows[len(rows)-1].lastLine() + 1}
	s.align()
	s.fillShort()
	s.findBars()
	return s
}

// align finds the shifts of the rows. Rows usually begin in one column; where
// labels of unequal width push them apart, they are aligned by their
// beginnings if that makes more bar lines meet.
func (s *system) align() {
	same := true
	for i := range s.rows {
		same = same && s.rows[i].start == s.rows[0].start
	}
	if !same {
		asIs := s.barsMeeting()
		for i := range s.rows {
			s.rows[i].shift = s.rows[i].start - s.rows[0].start
		}
		if s.barsMeeting() < asIs {
			for i := range s.rows {
				s.rows[i].shift = 0
			}
		}
	}
	s.begin, s.width = 1<<30, 0
	for i := range s.rows {
		r := &s.rows[i]
		s.begin = min(s.begin, r.start-r.shift)
		s.width = max(s.width, r.end-r.shift)
	}
}

// barsMeeting counts the columns in which every row has a bar line.
func (s *system) barsMeeting() int {
	r0 := &s.rows[0]
	n := 0
	for p := r0.start; p < r0.end; p++ {
		if r0.cells.ch[p] != '|' {
			continue
		}
		all := true
		for i := range s.rows {
			all = all && s.rows[i].at(p-r0.shift) == '|'
		}
		if all {
			n++
		}
	}
	return n
}

// findBars finds bar lines: columns in which more than half of the rows have
// one, together with the repeat signs beside them.
func (s *system) findBars() {
	n := len(s.rows)
	isBar := make([]bool, s.width+1)
	marks := make([]bool, s.width+1)
	for c := s.begin; c < s.width; c++ {
		bars, dots, other := 0, 0, 0
		for i := range s.rows {
			switch s.rows[i].at(c) {
			case '|':
				bars++
			case ':', '*', 'o', 'O', '.':
				dots++
			case '-', ' ':
			default:
				other++
			}
		}
		isBar[c] = 2*bars > n
		marks[c] = dots > 0 && other == 0 && bars == 0
	}
	for c := s.begin; c < s.width; c++ {
		if !isBar[c] {
			continue
		}
		cl := cluster{from: c, to: c + 1, lines: 1, left: c, right: c + 1}
		for cl.from > s.begin && marks[cl.from-1] && s.repeatDots(cl.from-1) {
			cl.from--
			cl.backward = true
		}
		for cl.to < s.width {
			switch {
			case isBar[cl.to]:
				cl.lines++
				cl.right = cl.to + 1
			case cl.to+1 < s.width && marks[cl.to] && isBar[cl.to+1]: // |:| or |::|
				cl.forward = true
			case marks[cl.to] && s.repeatDots(cl.to):
				cl.forward = true
			default:
				goto done
			}
			cl.to++
		}
	done:
		s.clusters = append(s.clusters, cl)
		c = cl.to - 1
	}
	from, left := s.begin, s.begin
	for _, cl := range s.clusters {
		if cl.from > from {
			s.bars = append(s.bars, bar{from, cl.from, left, cl.left})
		}
		from, left = cl.to, cl.right
	}
	if from < s.width {
		s.bars = append(s.bars, bar{from, s.width, left, s.width})
	}
}

// repeatDots tells whether a column beside a bar line holds the dots of a
// repeat sign: a colon, or another dot in at least two rows.
func (s *system) repeatDots(col int) bool {
	dots := 0
	for i := range s.rows {
		switch s.rows[i].at(col) {
		case ':':
			return true
		case '*', 'o', 'O', '.':
			dots++
		}
	}
	return dots >= 2
}

// clusterAt returns the bar line that begins (or ends) at a column.
func (s *system) clusterAt(from int) (cluster, bool) {
	i := sort.Search(len(s.clusters), func(i int) bool { return s.clusters[i].to >= from })
	if i < len(s.clusters) && (s.clusters[i].from == from || s.clusters[i].to == from) {
		return s.clusters[i], true
	}
	return cluster{}, false
}

// setStrings gives each row its string.
func (s *system) setStrings(flipped bool) {
	s.flipped = flipped
	n := s.strings()
	for i := range s.rows {
		at := i
		if s.of != nil {
			at = s.at[i]
		}
		if s.rows[i].str = at + 1; flipped {
			s.rows[i].str = n - at
		}
	}
}

// rowOf returns the index of the row of a string, -1 if it has none.
func (s *system) rowOf(str int) int {
	return slices.IndexFunc(s.rows, func(r row) bool { return r.str == str })
}
