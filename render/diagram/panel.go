package diagram

import (
	"math"
	"slices"
	"strconv"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/theory/fretboard"
)

const (
	titleSize = 16.0
	rowTitle  = 13.0 // of pictures that stand one below the other
	subSize   = 12.0
	noteSize  = 11.5
	noteLead  = 15.0
	stub      = 9.0  // of strings that go on beyond the picture
	margin    = 18.0 // of the page
)

// A panel is one diagram, drawn, with its size.
type panel struct {
	group *ink.Group
	w, h  float64
}

// drawPanel draws a diagram with its title and what stands round the neck.
func drawPanel(d Diagram, o Options, e extent) panel {
	c := o.palette()
	b := newBoard(d, o, e)
	p := panel{group: &ink.Group{Class: "neck", Title: d.Title, Data: []ink.Data{{Name: "from", Value: strconv.Itoa(e.from)}, {Name: "to", Value: strconv.Itoa(e.to)}}}}
	y := 0.0
	if !o.Plain && !o.thumb.noTitle {
		y = p.heading(d, o, c)
	}
	numbers := b.measures.numbers
	if b.upright {
		numbers = 30 + 2*(b.small-smallSize)
	}
	moves := numbers + moveLane/2
	if len(d.Moves) > 0 {
		numbers += moveLane
	}
	if o.thumb.on {
		d.Spans = nil
	}
	brackets, sideA, sideB := b.lanes(d.Spans, e)

	// Across the neck: what dots need beyond the outer strings, the numbers,
	// the brackets.
	edgeA, edgeB := roof*dotR+4, dotR+6
	before, after := b.before(e), 6.0
	if e.to < d.Neck.TopFret() {
		after += stub
	}
	if b.upright {
		edgeA, edgeB = math.Max(edgeA, math.Max(dotR+8, b.lineUsed/2+2)), math.Max(edgeB, b.lineUsed/2+2)
		if e.over > 0 && b.left { // bows are to the right
			edgeB += e.over + dotR
		} else if e.over > 0 {
			edgeA += e.over + dotR
		}
		w := sideA + edgeA + b.width + edgeB + numbers + sideB
		b.x, b.y = edgeB+numbers+sideB, y+before
		if b.left {
			b.x = edgeA + sideA
		}
		p.w = math.Max(p.w, w)
		p.h = b.y + b.length + math.Max(after, 8)
		b.numbers(p.group, o, edgeB, c)
	} else {
		edgeA += e.over
		edgeB += e.bottom
		b.x, b.y = before, y+sideA+edgeA
		if b.left {
			b.x = after
		}
		p.w = math.Max(p.w, before+b.length+after)
		p.h = b.y + b.width + edgeB + numbers + sideB
		b.numbers(p.group, o, edgeB, c)
	}
	b.neck(p.group, o, e, c)
	b.brackets(p.group, brackets, edgeA, edgeB, numbers, c)
	for _, m := range d.Moves {
		p.group.Add(b.move(m, b.width+edgeB+moves, c))
	}
	for _, bar := range d.barres() {
		p.group.Add(b.barre(bar, c))
	}
	for i := range d.Links {
		p.group.Add(b.link(i, c))
	}
	for _, faint := range []bool{true, false} {
		for _, dot := range d.Dots {
			if dot.Faint == faint {
				p.group.Add(b.mark(dot, o))
			}
		}
	}
	for _, s := range d.Silent {
		p.group.Add(b.silent(s, c))
	}
	if !o.Plain && !o.thumb.on {
		p.notes(d.Notes, c)
	}
	return p
}

// titleWidth is how wide a title may be before it is broken.
const titleWidth = 420.0

// heading draws the title and what is under it, and returns where the rest
// begins.
func (p *panel) heading(d Diagram, o Options, c palette) float64 {
	y := 0.0
	size := titleSize
	if d.row {
		size = rowTitle
	}
	for _, line := range breakLines(printed(d.Title), size, o.titleWidth(titleWidth)) {
		y += size + 3
		p.write(ink.Text{Y: y - 5, Size: size, Bold: true, Text: line, Fill: c.ink, Class: "title"})
	}
	if o.thumb.on {
		d.Subtitle = ""
	}
	if d.row && y > 0 && !o.thumb.on {
		// Beside its name, so that rows stay near each other.
		last := p.group.Shapes[len(p.group.Shapes)-1].(ink.Text)
		p.write(ink.Text{X: last.Width()*slack + 10, Y: y - 5, Size: subSize, Text: firstLine(printed(d.Subtitle), subSize, titleWidth), Fill: c.quiet, Class: "subtitle"})
		d.Subtitle = ""
	}
	for _, line := range breakLines(printed(d.Subtitle), subSize, titleWidth) {
		y += subSize + 4
		p.write(ink.Text{Y: y - 3, Size: subSize, Text: line, Fill: c.quiet, Class: "subtitle"})
	}
	if y > 0 {
		y += 5
	}
	return y
}

// write adds a text, for which the panel has to be wide enough.
func (p *panel) write(t ink.Text) {
	p.group.Add(t)
	p.w = math.Max(p.w, t.X+t.Width()*slack)
}

// slack is how much wider words may be in a viewer's font than in ours.
const slack = 1.1

// notes writes lines under the picture, broken at its width.
func (p *panel) notes(notes []string, c palette) {
	width := math.Max(p.w, 180)
	if len(notes) > 0 {
		p.h += 4 // apart from the inlays
	}
	for _, n := range notes {
		for _, line := range breakLines(n, noteSize, width) {
			p.h += noteLead
			p.write(ink.Text{Y: p.h - 3, Size: noteSize, Text: line, Fill: c.ink, Class: "remark"})
		}
	}
}

// neck draws frets, nut, strings and their names.
func (b *board) neck(g *ink.Group, o Options, e extent, c palette) {
	for i, u := range b.wires {
		fret := b.firstFret - 1 + i
		switch {
		case fret > 0:
			g.Add(b.line(u, 0, u, b.width, ink.Paint{Stroke: c.wire, Width: 1.6, Class: "wire"}))
		case b.d.Neck.Capo > 0:
			g.Add(b.line(u, -7, u, b.width+7, ink.Paint{Stroke: c.ink, Width: 8, Round: true, Class: "wire capo"}))
		default:
			g.Add(b.line(u, 0, u, b.width, ink.Paint{Stroke: c.ink, Width: 5, Round: true, Class: "wire nut"}))
		}
	}
	start, end := 0.0, b.length
	if b.firstFret > 1 {
		start -= stub
	}
	if e.to < b.d.Neck.TopFret() {
		end += stub
	}
	high := b.d.Neck.Tuning.High()
	least, most := b.d.Neck.Tuning.Open(1).MIDI(), b.d.Neck.Tuning.Open(1).MIDI()
	for s := 1; s <= b.d.Neck.Tuning.Len(); s++ {
		least, most = min(least, b.d.Neck.Tuning.Open(s).MIDI()), max(most, b.d.Neck.Tuning.Open(s).MIDI())
	}
	for s := 1; s <= b.d.Neck.Tuning.Len(); s++ {
		// Deeper strings are thicker.
		open := b.d.Neck.Tuning.Open(s)
		width := 1.0
		if most > least {
			width += 1.5 * float64(most-open.MIDI()) / float64(most-least)
		}
		g.Add(b.line(start, b.v(s), end, b.v(s), ink.Paint{Stroke: c.str, Width: width, Class: "string"}))
		if o.thumb.noNumber {
			continue
		}
		x, y := b.at(-b.before(e)+b.names/2-5, b.v(s))
		g.Add(ink.Text{X: x, Y: y + b.small*ink.CapHeight/2, Size: b.small, Anchor: ink.Middle, Text: b.d.Neck.Tuning.StringName(s, prettyName), Fill: c.quiet, Class: "tuning", Fit: true})
		if slices.Contains(high, s) {
			size := math.Min(smallestName, b.small*.8)
			g.Add(ink.Text{X: x, Y: y + b.small*ink.CapHeight/2 + size*1.05, Size: size, Anchor: ink.Middle, Text: "high", Fill: c.quiet, Class: "tuning-high", Fit: true, Halo: c.paper, HaloWidth: 2})
		}
	}
}

// numbers draws the numbers of the frets, with points where the side of a
// neck has them. The number under the index finger stands in a label.
func (b *board) numbers(g *ink.Group, o Options, edge float64, c palette) {
	if o.thumb.noNumber {
		return
	}
	made := b.d.Neck.Tuning.Instrument()
	for i := range b.wires[1:] {
		fret := b.firstFret + i
		x, y := b.at(b.u(fret), b.width)
		dx, dy := 0.0, edge+b.small*.5+2
		if b.upright {
			dx, dy = -(edge + 9 + b.small - smallSize), 0
			if b.left {
				dx = -dx
			}
		}
		t := ink.Text{X: x + dx, Y: y + dy + b.small*ink.CapHeight/2, Size: b.small, Anchor: ink.Middle, Text: strconv.Itoa(fret), Fill: c.quiet, Class: "fret"}
		points := made.Inlays(fret + b.d.Neck.Capo)
		t.Bold = points > 0
		if b.d.marks(fret) {
			g.Add(indexLabel(t.X, y+dy, b.small, c))
			t.Fill, t.Bold = c.paper, true
		}
		g.Add(t)
		for k := range points {
			off := (float64(k) - float64(points-1)/2) * 6
			px, py := t.X+off, y+dy+math.Max(b.small*.5+6, b.small*8/11+3)
			if b.upright {
				px, py = t.X-6-b.small, y+off
				if b.left {
					px = t.X + 6 + b.small
				}
			}
			g.Add(ink.Circle{X: px, Y: py, R: 1.6, Paint: ink.Paint{Fill: c.quiet, Class: "point"}})
		}
	}
}

// indexLabel draws the ground of the number of the fret at which the index
// finger stands.
func indexLabel(x, y, size float64, c palette) ink.Shape {
	return ink.Rect{X: x - size, Y: y - size*8/11, W: 2 * size, H: size * 16 / 11, Radius: size * 8 / 11, Paint: ink.Paint{Fill: c.quiet, Class: "index"}}
}

func (b *board) barre(bar barre, c palette) ink.Shape {
	x1, y1 := b.at(b.u(bar.fret), b.v(bar.first))
	x2, y2 := b.at(b.u(bar.fret), b.v(bar.last))
	if b.upright {
		y1 -= float64(b.belowLines) * b.lead() / 2
		y2 = y1
	}
	return &ink.Group{Class: "barre", Title: "one finger across", Shapes: []ink.Shape{
		ink.Line{X1: x1, Y1: y1, X2: x2, Y2: y2, Paint: ink.Paint{Stroke: c.faint, Width: 9, Round: true}},
	}}
}

// silent draws the cross of a string that is not played.
func (b *board) silent(str int, c palette) ink.Shape {
	x, y := b.place(fretboard.Place{String: str})
	return &ink.Group{Class: "silent", Title: "string " + strconv.Itoa(str) + " is not played", Data: []ink.Data{{Name: "string", Value: strconv.Itoa(str)}}, Shapes: []ink.Shape{cross(x, y, c)}}
}

func cross(x, y float64, c palette) ink.Shape {
	const r = 4.5
	p := &ink.Path{Paint: ink.Paint{Stroke: c.ink, Width: 1.8, Round: true}}
	return p.MoveTo(x-r, y-r).LineTo(x+r, y+r).MoveTo(x-r, y+r).LineTo(x+r, y-r)
}
