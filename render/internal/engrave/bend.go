package engrave

import (
	"strconv"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

// BendAmount writes the amount of a bend as players say it, in whole tones:
// "full" for two semitones, "½" for one, "1½" for three.
func BendAmount(semitones score.Quarters) string {
	sign := ""
	if semitones.Sign() < 0 {
		sign, semitones = "−", semitones.Neg()
	}
	quarter := semitones.Mul(score.Q(2, 1)) // quarter tones; a whole tone has four
	if quarter.Den() != 1 {
		return sign + semitones.Div(score.Q(2, 1)).String()
	}
	whole, rest := quarter.Num()/4, quarter.Num()%4
	fraction := [...]string{"", "¼", "½", "¾"}[rest]
	switch {
	case sign == "" && whole == 1 && rest == 0:
		return "full"
	case whole == 0 && rest > 0:
		return sign + fraction
	}
	return sign + strconv.FormatInt(whole, 10) + fraction
}

// bends draws the arrows of bends, up over the strings with the amount at the
// tip, and what is done with the bar.
func (c *canvas) bends() {
	for _, h := range c.heads {
		b, ok := h.note.Bend()
		if !ok || !h.placed() {
			continue
		}
		if b.WithBar || b.Amount.Sign() < 0 {
			c.bar(h, b)
			continue
		}
		c.bend(h, b)
	}
}

func (c *canvas) bend(h *head, b score.Bend) {
	const tipGap = 7.0
	amount := BendAmount(b.Amount)
	w := textWidth(amount, labelSize, false)
	x0 := h.x + h.half + 1
	tip := x0 + 9
	if b.PreBend {
		tip = x0 + 4
	}
	x1 := tip + max(w/2, 4)
	if b.Release {
		x1 = max(x1, tip+releaseRoom+2)
	}
	base := max(c.above.over(tip-w/2-1, x1), 4) + tipGap
	top := -base
	line := stroke("bend", 1)
	if b.PreBend {
		line.at(tip, h.y-1).to(tip, top+3)
		c.path(stroke("bend", 1).at(x0, h.y).to(tip, h.y))
		c.used.use("pre-bend")
	} else {
		line.at(x0, h.y).curve(tip-2, h.y, tip, h.y-3, tip, min(h.y-9, top+6)).to(tip, top+3)
		c.used.use("bend")
	}
	c.path(line)
	c.path(arrow(tip, top, -1))
	c.text(&Text{Class: "amount", X: tip, Y: top - 2, Size: labelSize, Text: amount, Anchor: ink.Middle, Bar: h.bar, At: h.chord.Onset, group: musicGroup})
	c.above.fill(tip-w/2, tip+w/2, base+2+labelSize*ink.CapHeight)
	c.above.fill(tip-3, x1, base)
	c.amounts = max(c.amounts, base+2+labelSize*ink.CapHeight)
	if b.Release {
		down := tip + releaseRoom - 2
		end := h.y - 4
		c.path(stroke("bend", 1).at(tip, top+2.5).curve(tip+4, top+2.5, down, top+5, down, top+9).to(down, end-3))
		c.path(arrow(down, end, 1))
		if !b.ReleaseTo.IsZero() {
			c.text(&Text{Class: "amount", X: down + 3, Y: end, Size: 7, Text: BendAmount(b.ReleaseTo), Anchor: ink.Start, Bar: h.bar, At: h.chord.Onset, group: musicGroup})
		}
		c.used.use("release")
	}
}

// arrow draws the head of an arrow whose tip is at y; dir is -1 for upwards.
func arrow(x, y, dir float64) *Path {
	return filled("bend").at(x, y).to(x-2.4, y-dir*5).to(x+2.4, y-dir*5).close()
}

// bar draws what the tremolo bar does, as a dip over the strings.
func (c *canvas) bar(h *head, b score.Bend) {
	text := BendAmount(b.Amount)
	w := max(textWidth(text, labelSize, false), 10)
	base := c.above.put(h.x-w/2-1, h.x+w/2+1, 18, 4)
	y := -base
	p := stroke("bar", 1)
	if b.Amount.Sign() < 0 {
		p.at(h.x-5, y-7).to(h.x, y)
		if b.Release {
			p.to(h.x+5, y-7)
		}
	} else {
		p.at(h.x-5, y).to(h.x, y-7)
		if b.Release {
			p.to(h.x+5, y)
		}
	}
	c.path(p)
	c.amounts = max(c.amounts, base+18)
	c.text(&Text{Class: "amount", X: h.x, Y: y - 9.5, Size: labelSize, Text: text, Anchor: ink.Middle, Bar: h.bar, At: h.chord.Onset, group: musicGroup})
	c.used.use("bar")
}
