package tabtext

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// cluster gives the signs of the bar line between two bars, either of which
// may be missing at the ends of a system. dots is for the rows that show the
// dots of a repeat.
func (w *partWriter) cluster(left, right *composed, dots bool) string {
	back := left != nil && left.right == score.Backward
	forward := right != nil && right.left == score.Forward
	dot := "-"
	if dots {
		dot = ":"
	}
	switch {
	case back && forward:
		return dot + "||" + dot
	case back:
		return dot + "||"
	case forward && left != nil && left.double:
		return "|||" + dot
	case forward:
		return "||" + dot
	case left != nil && left.double:
		return "||"
	}
	return "|"
}

// A canvas is the lines of a system while it is written.
type canvas struct {
	lines map[track][]rune // one for each column
	// unclear are lines of lyrics that a reader would not take for such.
	unclear map[track]bool
}

func (c *canvas) put(t track, col int, text string) {
	line := c.lines[t]
	fill := ' '
	if t.kind == stringLine {
		fill = '-'
	}
	for len(line) < col {
		line = append(line, fill)
	}
	for i, r := range []rune(text) {
		if col+i < len(line) {
			line[col+i] = r
		} else {
			line = append(line, r)
		}
	}
	c.lines[t] = line
}

// system writes bars i to j as one system.
func (w *partWriter) system(i, j int) []string {
	n := w.neck.Tuning.Len()
	c := &canvas{lines: map[track][]rune{}}
	labels := w.style.labels
	if labels == nil {
		labels = rowLabels(w.bars[i].neck.Tuning)
	}
	for r := range n {
		c.put(track{kind: stringLine, row: r}, 0, labels[r]+w.style.edge)
	}
	col := width(labels[0]) + width(w.style.edge)
	bars := func(left, right *composed) {
		for r := range n {
			dots := r == n/2-1 || r == n/2 || n == 3 && r == 0
			c.put(track{kind: stringLine, row: r}, col, w.cluster(left, right, dots))
		}
		col += len(w.cluster(left, right, false))
	}
	ext := map[score.SpanKind]int{} // column at which the extent began
	goesOn := map[score.SpanKind]bool{}
	for _, st := range w.bars[i].stretches {
		if st.kind == extentLine && st.goesOn {
			ext[st.span], goesOn[st.span] = 0, true
		}
	}
	bars(nil, w.bars[i])
	for k := i; k < j; k++ {
		bar := w.bars[k]
		w.bar(c, bar, col, ext, goesOn)
		col += bar.width
		for r := range n {
			c.put(track{kind: stringLine, row: r}, col, "")
		}
		if bar.endCount != "" {
			c.put(track{kind: countLine}, col, bar.endCount)
		}
		if bar.times > 0 {
			c.put(track{kind: markLine, name: "times"}, col, "x"+strconv.Itoa(bar.times))
		}
		if bar.endingTo != "" {
			c.put(track{kind: markLine, name: "endings"}, col, bar.endingTo)
		}
		right := w.at(k + 1)
		if k+1 == j {
			right = nil // its repeat sign stands at the beginning of the next system
		}
		bars(bar, right)
	}
	for kind, from := range ext {
		drawExtent(c, kind, from, col-1, goesOn[kind], true)
	}
	c.unclear = w.unclearLyrics(i, j, c)
	return c.finish(w.style)
}

// bar writes one bar at a column.
func (w *partWriter) bar(c *canvas, bar *composed, col int, ext map[score.SpanKind]int, goesOn map[score.SpanKind]bool) {
	if bar.endingFrom != "" && len(bar.points) > 0 {
		c.put(track{kind: markLine, name: "endings"}, col+bar.points[0].col, bar.endingFrom)
	}
	for i := range bar.points {
		p := &bar.points[i]
		for t, pc := range p.pieces {
			if t.kind == stringLine && pc.slide != 0 {
				pc.body = w.slideOut(bar, i, t, pc)
			}
			c.put(t, col+p.col-width(pc.lead), pc.lead+pc.body)
		}
	}
	for _, s := range bar.stretches {
		switch s.kind {
		case tupletLine:
			from, to := col+bar.points[s.from].col, col+bar.points[s.to].col+1
			if to-from < len(s.text)+4 {
				to = from + len(s.text) + 4
			}
			free := to - from - 2 - len(s.text)
			text := "|" + strings.Repeat("-", free/2) + s.text + strings.Repeat("-", free-free/2) + "|"
			c.put(track{kind: tupletLine, row: s.level}, from, text)
		case extentLine:
			if !s.goesOn {
				ext[s.span] = col + bar.points[s.from].col
				goesOn[s.span] = false
			}
			if s.to >= 0 {
				drawExtent(c, s.span, ext[s.span], col+bar.points[s.to].col+1, goesOn[s.span], false)
				delete(ext, s.span)
			}
		}
	}
}

// slideOut writes a slide as / or \ where the next number is in the same bar;
// else the s stays.
func (w *partWriter) slideOut(bar *composed, i int, t track, pc piece) string {
	for k := i + 1; k < len(bar.points); k++ {
		next, ok := bar.points[k].pieces[t]
		if !ok {
			continue
		}
		if !strings.ContainsAny(next.lead, `/\`) {
			return pc.body[:len(pc.body)-1] + string(pc.slide)
		}
		break
	}
	return pc.body
}

// drawExtent writes PM---| from a column to another; a stretch that goes on
// from the system before begins with a hyphen, one that goes on into the next
// has no end sign.
func drawExtent(c *canvas, kind score.SpanKind, from, to int, goesOn, open bool) {
	text := extentText(kind)
	if goesOn {
		text = "-" + text
	}
	if len(text) > to-from && kind == score.LetRingSpan {
		text = strings.Replace(text, "let ring", "LR", 1)
	}
	if to-from > len(text) {
		text += strings.Repeat("-", to-from-len(text))
	}
	if !open {
		text += "|"
	}
	c.put(track{kind: extentLine, row: int(kind)}, from, text)
}

// finish puts the lines into the order of the page: marks, extents, brackets,
// signs and chords above, the strings, counts and names below.
func (c *canvas) finish(st style) []string {
	var tracks []track
	for t := range c.lines {
		tracks = append(tracks, t)
	}
	slices.SortFunc(tracks, func(a, b track) int {
		if x, y := lineRank(a), lineRank(b); x != y {
			return x - y
		}
		if a.row != b.row {
			if a.kind == stringLine && st.flipped {
				return b.row - a.row
			}
			return a.row - b.row
		}
		return cmp.Or(cmp.Compare(labelRank(a.name), labelRank(b.name)), strings.Compare(a.name, b.name))
	})
	var out []string
	for _, t := range tracks {
		text := strings.TrimRight(string(c.lines[t]), " ")
		switch {
		case t.kind == stringLine && st.signs != nil:
			text = st.signs.Replace(text)
		case t.kind == namedLine:
			text += "  (" + t.name + ")"
		case t.kind == lyricLine && c.unclear[t]:
			text += "  (" + namedWords + ")"
		case t.kind == chordLine && len(strings.Fields(text)) > 2 && strings.Trim(text, "E ") == "":
			text += "  " + chordsName
		}
		out = append(out, text)
	}
	return out
}

// lineRank orders the lines of a system from the top of the page down.
func lineRank(t track) int {
	switch t.kind {
	case markLine:
		switch t.name {
		case "endings":
			return 1
		case "times":
			return 2
		}
		return 0
	case extentLine:
		return 3
	case chordLine:
		return 4
	case letterLine:
		return 6
	case tupletLine:
		return 7
	case strokeLine:
		return 8
	case stringLine:
		return 10
	case countLine:
		return 11
	case namedLine:
		if t.name == namedSigns {
			return 5
		}
		return 12
	}
	return 13
}
