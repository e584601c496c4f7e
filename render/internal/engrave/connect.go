package engrave

import (
	"math"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

// within tells whether a head is in the system, and on which side of it it
// lies if not: -1 before, +1 after.
func (c *canvas) within(h *head) int {
	switch {
	case h.bar < c.sys.bars[0].index:
		return -1
	case h.bar > c.sys.bars[len(c.sys.bars)-1].index:
		return 1
	}
	return 0
}

// connections draws ties, slurs and slides. What reaches over the end of a
// system goes on to its edge and begins again in the next.
func (c *canvas) connections() {
	for _, s := range c.spans[c.n] {
		from, to := s.from, s.to
		switch {
		case from == nil && to == nil, from != nil && !from.placed(), to != nil && !to.placed():
			continue
		case from != nil && c.within(from) > 0, to != nil && c.within(to) < 0:
			continue
		case from == nil && c.within(to) != 0, to == nil && c.within(from) != 0:
			continue
		}
		c.connect(s)
	}
}

func (c *canvas) connect(s *span) {
	var a, b point // the middles of what is connected
	half := [2]float64{}
	begins := s.from != nil && c.within(s.from) == 0
	ends := s.to != nil && c.within(s.to) == 0
	switch {
	case begins && ends:
		a, b = point{s.from.x, s.from.y}, point{s.to.x, s.to.y}
	case begins:
		end := c.sys.bars[len(c.sys.bars)-1].x1
		if s.to == nil { // a tie that leads nowhere
			end = min(end, s.from.x+22)
		}
		a, b = point{s.from.x, s.from.y}, point{end, s.from.y}
	case ends:
		start := c.sys.bars[0].x0 + 1
		a, b = point{max(start, min(s.to.x-s.to.half-12, start)), s.to.y}, point{s.to.x, s.to.y}
	default:
		return // goes through the whole system: both ends lie elsewhere
	}
	if begins {
		half[0] = s.from.half
	}
	if ends {
		half[1] = s.to.half
	}
	switch s.kind {
	case 0:
		c.arc(a, b)
		c.used.use("tie")
	case score.HammerOn, score.PullOff:
		c.arc(a, b)
		letter, sign := "H", "hammer"
		if s.kind == score.PullOff {
			letter, sign = "P", "pull"
		}
		if begins {
			c.overText(Text{Class: "letter", X: (a.x + b.x) / 2, Size: labelSize, Anchor: ink.Middle, Text: letter}, 3)
		}
		c.used.use(sign)
	case score.Slur:
		c.arc(a, b)
		c.used.use("slur")
	case score.LegatoSlide, score.ShiftSlide, score.Glissando:
		up := 0
		if s.from != nil && s.to != nil {
			up = s.to.note.Place.Fret - s.from.note.Place.Fret
		}
		c.slide(a, b, half, up, s.kind)
		if s.kind == score.LegatoSlide {
			c.arc(a, b)
			c.used.use("legato slide")
		} else {
			c.used.use("slide")
		}
	}
}

// arc draws a curve from number to number, above them.
func (c *canvas) arc(a, b point) {
	const lift = 5.5 // over the middle of a number
	x0, x1 := a.x+1, b.x-1
	if x1-x0 < 4 {
		x0, x1 = a.x-2, b.x+2
	}
	h := min(3+0.05*(x1-x0), 7)
	y0, y1 := a.y-lift, b.y-lift
	p := filled("arc")
	// two curves make the line thin at its ends and thicker in its middle
	d := (x1 - x0) * 0.28
	p.at(x0, y0).curve(x0+d, y0-h, x1-d, y1-h, x1, y1).
		curve(x1-d, y1-h+1.3, x0+d, y0-h+1.3, x0, y0).close()
	c.path(p)
	c.above.fill(x0, x1, -(min(y0, y1) - 0.75*h - 0.5))
}

// slide draws a line between two numbers of a string, rising or falling as
// the fret does.
func (c *canvas) slide(a, b point, half [2]float64, up int, kind score.SpanKind) {
	x0, x1 := a.x+half[0]+1.5, b.x-half[1]-1.5
	if x1-x0 < 3 {
		x1 = x0 + 3
	}
	const tilt = 3.2
	y0, y1 := a.y+tilt, b.y-tilt
	if up < 0 {
		y0, y1 = a.y-tilt, b.y+tilt
	}
	if kind == score.Glissando {
		c.path(wave("slide", x0, x1, (y0+y1)/2, 1.6))
		return
	}
	c.path(stroke("slide", 1.1).at(x0, y0).to(x1, y1))
}

// wave draws a wavy line.
func wave(class string, x0, x1, y, amplitude float64) *Path {
	const length = 5.0
	p := stroke(class, 1.1).at(x0, y)
	n := max(int(math.Round((x1-x0)/length)), 1)
	step := (x1 - x0) / float64(n)
	sign := -1.0
	for i := range n {
		x := x0 + float64(i)*step
		p.curve(x+step*0.35, y+sign*amplitude*1.6, x+step*0.65, y+sign*amplitude*1.6, x+step, y)
		sign = -sign
	}
	return p
}
