package engrave

import (
	"math"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// Room in a bar, in units.
const (
	barPad     = 10.0 // from a bar line to the first number
	columnGap  = 3.0  // at least, between the things of two columns
	labelGap   = 3.0  // between the labels or lines below them, which may reach under the numbers beside
	graceGap   = 12.0
	repeatRoom = 13.0
	finalRoom  = 5.0
	metreRoom  = 18.0 // of a number with one digit; more have wideMetre more
	wideMetre  = 5.0
	symbolGap  = 6.0 // between two chord symbols
)

// roomOf returns the width that a metre takes behind a bar line.
func roomOf(t *score.TimeSignature) float64 {
	if len(strings.Join(t.Beats, "+")) > 1 {
		return metreRoom + wideMetre
	}
	return metreRoom
}

// gapFor returns the width that a length asks for. It grows with the power
// 0.55 of the length, so that a note twice as long takes about half as much
// room again. Source: engraving practice; Gould, "Behind Bars", on spacing
// ratios of about 1.4 for double the length, from memory.
func gapFor(q score.Quarters) float64 {
	return 31 * math.Pow(max(q.Float(), 1.0/16), 0.55)
}

// A layouter finds widths, systems and places.
type layouter struct {
	*collector
	rows   [][]rowKind // of each staff
	margin float64     // left of the strings, for their names and for labels
	spans  [][]*span
}

func newLayouter(c *collector) *layouter {
	l := &layouter{collector: c}
	for n, st := range c.staves {
		l.rows = append(l.rows, c.rowsOf(n))
		for _, k := range l.rows[n] {
			l.margin = max(l.margin, textWidth(k.label, labelSize, false)+8)
		}
		for _, neck := range st.necks {
			for s := 1; s <= neck.Tuning.Len(); s++ {
				l.margin = max(l.margin, textWidth(neck.Tuning.Open(s).NoteName.Pretty(), labelSize, false)+8)
			}
		}
		l.spans = append(l.spans, c.spansOf(n))
	}
	for _, b := range c.bars {
		l.measure(b)
	}
	return l
}

// measure finds the room that the columns of a bar need, and its widths.
func (l *layouter) measure(b *bar) {
	l.part(b)
	for _, en := range b.entries {
		col := b.cols[en.col]
		if en.chord.IsRest() {
			col.left, col.right = max(col.left, 5), max(col.right, 6)
		}
		for _, h := range en.heads {
			left, right := l.roomOf(h)
			if right += h.dx; h.dx > 0 {
				right += voiceGap // so that it does not go with the next column
			}
			col.left, col.right = max(col.left, left-h.dx), max(col.right, right)
		}
		for _, k := range l.rows[en.staff] {
			for _, h := range en.heads {
				half := textWidth(k.text(h.note), labelSize, false) / 2
				col.left, col.right = max(col.left, half-h.dx), max(col.right, half+h.dx)
				if line, _ := l.opt.lines(h.note, k.kind); line {
					half = max(half, blankWidth/2)
				}
				col.labelLeft, col.labelRight = max(col.labelLeft, half-h.dx), max(col.labelRight, half+h.dx)
			}
		}
	}
	l.lyricRoom(b)
	l.symbolRoom(b)
	b.natural, b.least = 0, 0
	for i := range b.gaps() {
		g := b.gap(i)
		b.natural += g.natural
		b.least += g.least
	}
	if len(b.cols) == 0 {
		b.natural, b.least = 40, 30
	}
	if b.left.repeat == score.Forward {
		b.natural, b.least = b.natural+repeatRoom, b.least+repeatRoom
	}
	if b.right.repeat == score.Backward {
		b.natural, b.least = b.natural+repeatRoom, b.least+repeatRoom
	}
	if l.final(b) {
		b.natural, b.least = b.natural+finalRoom, b.least+finalRoom
	}
	if b.metre != nil {
		b.natural, b.least = b.natural+roomOf(b.metre), b.least+roomOf(b.metre)
	}
}

// final tells whether a bar ends the music with a bar line of its own: a thin
// and a thick one, where the file says nothing else. Source: common practice.
func (c *collector) final(b *bar) bool {
	return b.index == len(c.bars)-1 && b.right.style == "" && b.right.repeat == score.NoRepeat
}

// lyricRoom gives the columns the room that sung words need.
func (l *layouter) lyricRoom(b *bar) {
	for _, st := range l.staves {
		if b.index >= len(st.part.Measures) {
			continue
		}
		for _, e := range st.part.Measures[b.index].Events {
			if w, ok := e.(*score.Words); ok && w.Kind == "lyric" && st.shown(e) {
				col := b.cols[b.colAt(when{at: w.Onset})]
				half := textWidth(w.Text, labelSize, false) / 2
				col.left, col.right = max(col.left, half), max(col.right, half)
			}
		}
	}
}

// symbolRoom widens the gaps of a bar so that each chord symbol ends before the
// next, or the bar, begins.
func (l *layouter) symbolRoom(b *bar) {
	b.extra = make([]float64, b.gaps())
	for _, st := range l.staves {
		if b.index >= len(st.part.Measures) || len(b.cols) == 0 {
			continue
		}
		last, width := -1, 0.0
		widen := func(to int) {
			if last < 0 || to <= last {
				return
			}
			for i := last + 1; i <= to; i++ {
				width -= b.gap(i).least
			}
			b.extra[to] += max(width, 0)
		}
		for _, e := range st.part.Measures[b.index].Events {
			if h, ok := e.(*score.Harmony); ok && st.shown(e) {
				i := b.colAt(when{at: h.Onset})
				widen(i)
				last, width = i, textWidth(h.Chord.Pretty(), chordSize, true)+symbolGap
			}
		}
		widen(len(b.cols))
	}
}

// A gap is the room between two columns, or a bar line and a column.
type gap struct{ natural, least float64 }

// gaps counts the gaps of a bar: before the first column, between, and after
// the last.
func (b *bar) gaps() int {
	if len(b.cols) == 0 {
		return 0
	}
	return len(b.cols) + 1
}

// gap returns the room of a gap, with what texts need of it.
func (b *bar) gap(i int) gap {
	g := b.plainGap(i)
	return gap{g.natural + b.extra[i], g.least + b.extra[i]}
}

func (b *bar) plainGap(i int) gap {
	n := len(b.cols)
	if i == 0 {
		w := max(barPad+b.cols[0].left-3, b.cols[0].labelLeft+1)
		return gap{w, w}
	}
	col := b.cols[i-1]
	least := col.right + columnGap
	var length score.Quarters
	if i < n {
		least = max(least+b.cols[i].left, col.labelRight+labelGap+b.cols[i].labelLeft)
		length = b.cols[i].at.Sub(col.at)
	} else {
		least = max(least+4, col.labelRight+1)
		length = b.length.Sub(col.at)
	}
	switch {
	case col.grace < 0:
		return gap{max(graceGap, least), max(graceGap, least)}
	case length.Sign() <= 0 || length.Invalid():
		return gap{max(12, least), least}
	}
	natural := gapFor(length)
	return gap{max(natural, least), max(0.72*natural, least)}
}

// A system is a line of bars.
type system struct {
	bars  []*bar
	width float64
	last  bool
}

// systems breaks the bars into lines so that all of them together are as
// near to their natural width as can be: the cheapest path over the breaks,
// as for the lines of a paragraph. Source: the method is that of Knuth and
// Plass, "Breaking paragraphs into lines" (1981).
func (l *layouter) systems() []system {
	n := len(l.bars)
	room := l.opt.Width - l.margin - 2
	cost := make([]float64, n+1)
	from := make([]int, n+1)
	for end := 1; end <= n; end++ {
		cost[end] = math.Inf(1)
		natural, least := 0.0, 0.0
		for start := end - 1; start >= 0; start-- {
			natural += l.bars[start].natural
			least += l.bars[start].least
			if least > room && start < end-1 {
				break
			}
			if c := cost[start] + lineCost(natural, room, end == n || l.beginsSection(end)); c < cost[end] {
				cost[end], from[end] = c, start
			}
			if l.mustBreak(start) {
				break
			}
		}
	}
	var out []system
	for end := n; end > 0; end = from[end] {
		out = append(out, system{bars: l.bars[from[end]:end], last: end == n || l.beginsSection(end)})
	}
	slices.Reverse(out)
	for i := range out {
		l.place(&out[i], room)
	}
	return out
}

// lineCost judges a line by how far its bars are from their natural width.
func lineCost(natural, room float64, last bool) float64 {
	r := room/natural - 1
	switch {
	case r < 0:
		return 1 + 25*r*r
	case last:
		return 0.5
	}
	return 1 + r*r
}

// beginsSection tells whether a bar begins a section under a heading: after a
// double bar line, with words over its beginning, as on practice sheets.
func (l *layouter) beginsSection(i int) bool {
	if i <= 0 || i >= len(l.bars) || l.bars[i-1].right.style != "light-light" {
		return false
	}
	for _, st := range l.staves {
		if i >= len(st.part.Measures) {
			continue
		}
		for _, e := range st.part.Measures[i].Events {
			if w, ok := e.(*score.Words); ok && w.Onset.IsZero() && (w.Kind == "words" || w.Kind == "rehearsal") {
				return true
			}
		}
	}
	return false
}

// mustBreak tells whether a system has to begin with a bar: where a section
// begins, and where a staff has another number of strings.
func (l *layouter) mustBreak(i int) bool {
	if l.beginsSection(i) {
		return true
	}
	for _, st := range l.staves {
		if 0 < i && i < len(st.necks) && st.necks[i].Tuning.Len() != st.necks[i-1].Tuning.Len() {
			return true
		}
	}
	return false
}

// place gives the bars and columns of a system their x.
func (l *layouter) place(s *system, room float64) {
	natural, least := 0.0, 0.0
	for _, b := range s.bars {
		natural += b.natural
		least += b.least
	}
	// The last line of a piece is not pulled wide if it is short.
	target := room
	if s.last && natural < 0.8*room {
		target = natural
	}
	x := l.margin
	for _, b := range s.bars {
		w := b.natural * target / natural
		if target < natural {
			share := 1.0
			if natural > least {
				share = min((natural-target)/(natural-least), 1)
			}
			w = b.natural - share*(b.natural-b.least)
		}
		b.x0, b.x1 = x, x+w
		l.placeColumns(b)
		x += w
	}
	s.width = x + 1.5
}

// placeColumns gives the columns of a bar their x between its bar lines.
func (l *layouter) placeColumns(b *bar) {
	start, end := b.x0, b.x1
	if b.left.repeat == score.Forward {
		start += repeatRoom
	}
	if b.metre != nil {
		start += roomOf(b.metre)
	}
	if b.right.repeat == score.Backward {
		end -= repeatRoom
	}
	if l.final(b) {
		end -= finalRoom
	}
	natural, least := 0.0, 0.0
	for i := range b.gaps() {
		natural += b.gap(i).natural
		least += b.gap(i).least
	}
	width := end - start
	x := start
	for i, col := range b.cols {
		g := b.gap(i)
		switch {
		case width >= natural && i == 0 && natural > g.natural:
			// the room before the first note does not grow
			x += g.natural
		case width >= natural:
			first := b.gap(0).natural
			x += g.natural * (width - first) / max(natural-first, 1)
		case natural > least:
			x += g.natural - (g.natural-g.least)*min((natural-width)/(natural-least), 1)
		default:
			x += g.natural
		}
		col.x = x
	}
}
