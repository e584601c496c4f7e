package engrave

import (
	"cmp"
	"slices"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// signs remembers which signs were used.
type signs struct{ names []string }

func (s *signs) use(name string) {
	if !slices.Contains(s.names, name) {
		s.names = append(s.names, name)
	}
}

// A canvas is one staff of one system while it is drawn. y counts from its
// first string.
type canvas struct {
	*layouter
	sys    system
	n      int // of the staff
	st     *staff
	neck   fretboard.Neck
	height float64 // from the first string to the last
	above  *skyline
	below  *skyline
	items  []Item
	used   *signs
	heads  []*head
	// amounts is how far the amounts of bends reach.
	amounts float64
}

// Reading order of texts: names of the strings, the music from left to right,
// then row by row.
const (
	nameGroup = iota
	musicGroup
	rowGroup
)

func (c *canvas) path(p *Path) { c.items = append(c.items, p) }

func (c *canvas) text(t *Text) *Text {
	c.items = append(c.items, t)
	return t
}

// overText puts a text above the staff at x, not beyond the edge of the page,
// and returns the distance of its lower edge from the first string.
func (c *canvas) overText(t Text, gap float64) {
	t.group = musicGroup
	w := textWidth(t.Text, t.Size, t.Bold)
	if t.Anchor == ink.Start {
		t.X = min(t.X, max(c.sys.width-w, c.margin))
	}
	x0, x1 := t.X, t.X+w
	if t.Anchor == ink.Middle {
		x0, x1 = t.X-w/2, t.X+w/2
	}
	t.Y = -c.above.put(x0-2, x1+2, t.Size*ink.CapHeight, gap)
	c.text(&t)
}

// draw draws a system: its staves one under the other.
func (l *layouter) draw(sys system, used *signs) System {
	out := System{First: sys.bars[0].index, Last: sys.bars[len(sys.bars)-1].index}
	y := 0.0
	var tops, bottoms []float64
	var texts []*Text
	for n := range l.staves {
		c := l.canvas(sys, n, used)
		c.staff()
		c.music()
		top := y + c.above.end() + 2
		for _, it := range c.items {
			it.move(top)
			if t, ok := it.(*Text); ok {
				texts = append(texts, t)
			} else {
				out.Items = append(out.Items, it)
			}
		}
		slices.SortStableFunc(texts, func(a, b *Text) int {
			return cmp.Or(cmp.Compare(a.group, b.group), cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
		})
		for _, t := range texts {
			out.Items = append(out.Items, t)
		}
		texts = nil
		tops = append(tops, top)
		bottoms = append(bottoms, top+c.height)
		y = top + c.height + c.below.end() + 2
		if n < len(l.staves)-1 {
			y += 12
		}
	}
	edge := stroke("barline", 1).at(l.margin, tops[0]).to(l.margin, bottoms[len(bottoms)-1])
	out.Items = append([]Item{edge}, out.Items...)
	out.Used, out.Width, out.Height = sys.width, max(sys.width, l.opt.Width), y
	return out
}

func (l *layouter) canvas(sys system, n int, used *signs) *canvas {
	st := l.staves[n]
	c := &canvas{layouter: l, sys: sys, n: n, st: st, used: used, above: newSkyline(sys.width), below: newSkyline(sys.width)}
	c.neck = st.necks[min(sys.bars[0].index, len(st.necks)-1)]
	c.height = float64(c.neck.Tuning.Len()-1) * stringGap
	for _, b := range sys.bars {
		for _, en := range b.entries {
			if en.staff != n {
				continue
			}
			for _, h := range en.heads {
				h.x = b.cols[h.col].x + h.dx
				c.heads = append(c.heads, h)
			}
		}
	}
	return c
}

// music draws what is on and around the strings, from the inside out.
func (c *canvas) music() {
	for _, h := range c.heads {
		c.head(h)
	}
	c.rests()
	c.connections()
	c.barNumbers()
	c.bends()
	c.marks()
	c.waves()
	c.extents()
	c.lanes()
	c.harmonies()
	c.endings()
	c.routes()
	c.words()
	c.labelRows()
	c.lyrics()
}

// head draws a number.
func (c *canvas) head(h *head) {
	if !h.placed() {
		c.overText(Text{Class: "name", X: h.x, Size: labelSize, Bold: true, Text: h.text, Anchor: ink.Middle, Bar: h.bar}, 3)
		return
	}
	if h.twin != nil { // that one is drawn
		h.ring(c, !c.rings(h.twin))
		return
	}
	t := &Text{
		Class: "fret", X: h.x, Y: h.y + h.size()*ink.CapHeight/2, Size: h.size(), Bold: !h.small, Text: h.text,
		Anchor: ink.Middle, Note: h.note, Part: c.st.index, Bar: h.bar, At: h.chord.Onset, Also: h.twins, group: musicGroup,
	}
	c.text(t)
	reach := h.size()*ink.CapHeight/2 + 1
	c.above.fill(h.x-h.half, h.x+h.half, reach-h.y)
	c.below.fill(h.x-h.half, h.x+h.half, h.y+reach-c.height)
	h.ring(c, true)
	switch {
	case h.note.Has(score.Dead):
		c.used.use("dead")
	case h.note.Has(score.Ghost):
		c.used.use("ghost")
	case h.note.Has(score.Held), h.note.TieStop:
		c.used.use("held")
	}
	if h.small && !h.chord.Cue {
		c.used.use("grace")
	}
}

// rings tells whether a head has a ring around it.
func (c *canvas) rings(h *head) bool { return c.opt.Ring != nil && c.opt.Ring(h.note) }

// ring draws the ring around a head that has one.
func (h *head) ring(c *canvas, draw bool) {
	if !draw || !c.rings(h) {
		return
	}
	c.path(stroke("ring", 1.3).ellipse(h.x, h.y, h.half+3.5, 7))
	c.above.fill(h.x-h.half-3, h.x+h.half+3, 8-h.y)
	c.below.fill(h.x-h.half-3, h.x+h.half+3, h.y+8-c.height)
	c.used.use("ring")
}

// entries ranges over the entries of the staff in the system.
func (c *canvas) entries(visit func(b *bar, en *entry)) {
	for _, b := range c.sys.bars {
		for _, en := range b.entries {
			if en.staff == c.n {
				visit(b, en)
			}
		}
	}
}

// xAfter returns how far something that lasts as long as an entry may go: to
// shortly before the next column in which its staff has a chord, or the bar
// line.
func (c *canvas) xAfter(b *bar, en *entry) float64 {
	end := b.x1 - 4
	for _, other := range b.entries {
		if other.staff == c.n && other.col > en.col {
			col := b.cols[other.col]
			end = min(end, col.x-col.left-2)
		}
	}
	return max(end, b.cols[en.col].x+en.dx+9)
}
