package diagram

import (
	"math"
	"strconv"
	"strings"

	"example.org/lickwright/render/internal/ink"
)

// A bracket is a span with the lane in which it is drawn. Lanes count from
// the neck outwards, on side A (of string 1) and on side B.
type bracket struct {
	Span
	sideB  bool
	lane   int
	u1, u2 float64
	depth  float64 // room that a lane takes across the neck
}

// lanes deals the spans out to both sides of the neck in turn, so that
// neighbours that share frets can be seen to, and returns the room that each
// side takes.
func (b *board) lanes(spans []Span, e extent) (brackets []bracket, roomA, roomB float64) {
	depth := laneStep
	if b.upright {
		for _, s := range spans {
			depth = math.Max(depth, b.nameWidth(s)+8)
		}
	}
	ends := [2][]float64{} // by side and lane, where the last bracket ends
	for i, s := range spans {
		from, to := b.span(s)
		half := b.nameWidth(s)/2 + 6
		if b.upright {
			half = smallSize
		}
		mid := b.middle(from, to, half, e)
		first, last := math.Min(from, mid-half), math.Max(to, mid+half)
		side := i % 2
		if b.d.row {
			side = 0 // the places of one shape, beside each other
		}
		lane := 0
		for lane < len(ends[side]) && ends[side][lane] > first+1 {
			lane++
		}
		if lane == len(ends[side]) {
			ends[side] = append(ends[side], 0)
		}
		ends[side][lane] = last
		brackets = append(brackets, bracket{s, side == 1, lane, from, to, depth})
	}
	return brackets, float64(len(ends[0])) * depth, float64(len(ends[1])) * depth
}

const smallestName = 8.5

// pillRoom is the room for the fret of the index finger before the name of a
// bracket.
func pillRoom(s Span) float64 {
	if s.Index == 0 {
		return 0
	}
	return 2*pillSize + 4
}

// pillSize is the height of that number.
const pillSize = 9.5

// nameWidth returns how wide what stands at a bracket is.
func (b *board) nameWidth(s Span) float64 { return b.nameOf(s).Width()*slack + pillRoom(s) }

// nameOf returns the name of a bracket, cut where the neck has no room for it.
func (b *board) nameOf(s Span) ink.Text {
	width := b.length
	if b.upright {
		width = titleWidth / 2
	}
	name := printed(s.Name)
	if lines := breakLines(name, smallSize, width); len(lines) > 1 {
		name = strings.TrimRight(lines[0], "…") + "…"
	}
	return ink.Text{Text: name, Size: smallSize, Anchor: ink.Middle, Bold: true, Class: "span-name"}
}

// span returns where a span begins and ends along the neck, a little inside
// of its frets.
func (b *board) span(s Span) (u1, u2 float64) {
	u1 = -b.openCell
	if s.From >= b.firstFret {
		u1 = b.wires[s.From-b.firstFret]
	}
	u2 = 0
	if s.To >= b.firstFret {
		u2 = b.wires[s.To-b.firstFret+1]
	}
	return u1 + 3, u2 - 3
}

// middle returns where the name of a bracket stands: in its middle, but not
// beyond the ends of the neck.
func (b *board) middle(u1, u2, half float64, e extent) float64 {
	first, last := -b.before(e)+4, b.length
	return math.Max(first+half, math.Min(last-half, (u1+u2)/2))
}

// brackets draws them.
func (b *board) brackets(g *ink.Group, all []bracket, edgeA, edgeB, numbers float64, c palette) {
	var e extent
	e.open = b.firstFret == 1 && b.d.From == 0
	for _, br := range all {
		v, tick := -(edgeA + (float64(br.lane)+.5)*br.depth), 5.0
		if br.sideB {
			v, tick = b.width+edgeB+numbers+(float64(br.lane)+.5)*br.depth, -5
		}
		paint := ink.Paint{Stroke: c.mark, Width: 1.6, Round: true, Class: "bracket"}
		text := b.nameOf(br.Span)
		text.Fill = c.ink
		if !b.upright {
			// Small enough that the ends of the bracket can be seen beside it.
			for text.Size > smallestName && text.Width()*slack+pillRoom(br.Span)+22 > br.u2-br.u1 {
				text.Size -= .5
			}
		}
		pill := pillRoom(br.Span)
		half := (text.Width()*slack+pill)/2 + 5
		room := half
		if b.upright {
			room = smallSize
		}
		mid := b.middle(br.u1, br.u2, half, e)
		if b.upright {
			mid = (br.u1 + br.u2) / 2
		}
		one := &ink.Group{Class: "span", Title: br.Name, Data: []ink.Data{{Name: "name", Value: br.Name}}}
		if mid-room > br.u1 {
			one.Add(b.side(br.u1, v, tick, mid-room, br.Before, -1, paint, c)...)
		}
		if mid+room < br.u2 {
			one.Add(b.side(br.u2, v, tick, mid+room, br.Beyond, 1, paint, c)...)
		}
		text.X, text.Y = b.at(mid, v)
		if pill > 0 {
			n := ink.Text{X: text.X - text.Width()*slack/2 - 2, Y: text.Y + pillSize*ink.CapHeight/2, Size: pillSize, Anchor: ink.Middle, Bold: true, Text: strconv.Itoa(br.Index), Fill: c.paper, Class: "span-fret", Fit: true}
			ground := indexLabel(n.X, text.Y, pillSize, c).(ink.Rect)
			ground.Paint.Class = "span-index"
			one.Add(ground, n)
		}
		text.X += pill / 2
		text.Y += smallSize * ink.CapHeight / 2
		one.Add(text)
		g.Add(one)
	}
}

// side draws one side of a bracket, from its end to its name: with a tick, or
// with points where it goes on beyond the picture.
func (b *board) side(u, v, tick, to float64, open bool, way float64, paint ink.Paint, c palette) []ink.Shape {
	if !open {
		return []ink.Shape{b.pen(paint, u, v+tick, u, v, to, v)}
	}
	u -= 12 * way
	at := func(du, dv float64) (x, y float64) { return b.at(u+du, v+dv) }
	if (to-u)*way >= 0 {
		return []ink.Shape{goesOn(at, way, c)}
	}
	return []ink.Shape{b.pen(paint, u, v, to, v), goesOn(at, way, c)}
}

// goesOn draws three points beyond the end of a line.
func goesOn(at func(u, v float64) (x, y float64), way float64, c palette) ink.Shape {
	g := &ink.Group{}
	for i := range 3 {
		x, y := at((3.5+3.5*float64(i))*way, 0)
		g.Add(ink.Circle{X: x, Y: y, R: 1, Paint: ink.Paint{Fill: c.mark, Class: "goes-on"}})
	}
	return g
}

// pen draws a line through points given by u and v.
func (b *board) pen(paint ink.Paint, uv ...float64) *ink.Path {
	p := &ink.Path{Paint: paint}
	for i := 0; i+1 < len(uv); i += 2 {
		x, y := b.at(uv[i], uv[i+1])
		if i == 0 {
			p.MoveTo(x, y)
		} else {
			p.LineTo(x, y)
		}
	}
	return p
}
