package engrave

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// staff draws strings, their names, bar lines and metres.
func (c *canvas) staff() {
	end := c.sys.bars[len(c.sys.bars)-1].x1
	for s := 1; s <= c.neck.Tuning.Len(); s++ {
		y := float64(s-1) * stringGap
		c.stringLine(s, y, end)
		name := c.neck.Tuning.StringName(s, theory.NoteName.Pretty)
		c.text(&Text{Class: "string-name", X: c.margin - 5, Y: y + labelSize*ink.CapHeight/2, Size: labelSize, Text: name, Anchor: ink.End, group: nameGroup})
	}
	c.above.fill(0, c.margin, labelSize/2)
	c.below.fill(0, c.margin, labelSize/2)
	c.partName()
	for i, b := range c.sys.bars {
		if b.metre != nil {
			c.metre(b)
		}
		c.leftEdge(b)
		c.rightEdge(b, i == len(c.sys.bars)-1)
		for _, at := range b.inner {
			if i := b.colAt(when{at: at}); i < len(b.cols) {
				x := b.cols[i].x - b.cols[i].left - 2
				p := stroke("barline", 0.8).at(x, 0).to(x, c.height)
				p.Dashed = true
				c.path(p)
			}
		}
	}
}

// stringLine draws a string, with gaps where numbers stand on it.
func (c *canvas) stringLine(s int, y, end float64) {
	var gaps []stretch
	for _, h := range c.heads {
		if h.note.Place.String == s {
			gaps = append(gaps, stretch{h.x - h.half - 1.5, h.x + h.half + 1.5})
		}
	}
	slices.SortFunc(gaps, func(a, b stretch) int { return cmp.Compare(a.x0, b.x0) })
	p := stroke("string", 0.7)
	x := c.margin
	for _, g := range gaps {
		if g.x0 > x {
			p.at(x, y).to(g.x0, y)
		}
		x = max(x, g.x1)
	}
	if x < end {
		p.at(x, y).to(end, y)
	}
	c.path(p)
}

// partName writes whose staff it is, where there are several.
func (c *canvas) partName() {
	if len(c.staves) < 2 {
		return
	}
	name := c.st.part.Name
	if name == "" {
		name = c.st.part.ID
	}
	if c.st.part.Staves > 1 {
		name += " " + strconv.Itoa(c.st.number)
	}
	c.overText(Text{Class: "part", X: c.margin, Size: labelSize, Bold: true, Anchor: ink.Start, Text: name}, 9)
}

// metre writes the time signature on the strings.
func (c *canvas) metre(b *bar) {
	x := b.x0 + 4 + metreRoom/2
	if b.left.repeat == score.Forward {
		x += repeatRoom
	}
	var tops, bottoms []string
	for i, beats := range b.metre.Beats {
		tops = append(tops, beats)
		if i < len(b.metre.BeatTypes) {
			bottoms = append(bottoms, strconv.Itoa(b.metre.BeatTypes[i]))
		}
	}
	same := true
	for _, t := range bottoms {
		same = same && t == bottoms[0]
	}
	if same && len(bottoms) > 1 {
		bottoms = bottoms[:1]
	}
	top, bottom := strings.Join(tops, "+"), strings.Join(bottoms, "+")
	mid := c.height / 2
	size := min(15, c.height/2+3)
	size = min(size, size*(metreRoom-1)/max(textWidth(top, size, true), 1))
	c.text(&Text{Class: "metre", X: x, Y: mid - 1.5, Size: size, Bold: true, Text: top, Anchor: ink.Middle, group: musicGroup})
	c.text(&Text{Class: "metre", X: x, Y: mid + 1.5 + size*ink.CapHeight, Size: size, Bold: true, Text: bottom, Anchor: ink.Middle, group: musicGroup})
}

// Thicknesses of bar lines.
const (
	thin  = 1.0
	thick = 3.0
)

func (c *canvas) leftEdge(b *bar) {
	if b.left.repeat == score.Forward {
		c.path(filled("barline").box(b.x0, 0, b.x0+thick, c.height))
		c.path(stroke("barline", thin).at(b.x0+thick+2.5, 0).to(b.x0+thick+2.5, c.height))
		c.dots(b.x0 + thick + 6.5)
		c.used.use("repeat")
	}
}

func (c *canvas) rightEdge(b *bar, last bool) {
	x := b.x1
	switch {
	case b.right.repeat == score.Backward:
		c.path(filled("barline").box(x-thick, 0, x, c.height))
		c.path(stroke("barline", thin).at(x-thick-2.5, 0).to(x-thick-2.5, c.height))
		c.dots(x - thick - 6.5)
		c.used.use("repeat")
		if b.right.times > 2 {
			text := "×" + strconv.Itoa(b.right.times)
			w := textWidth(text, labelSize, true)
			c.overText(Text{Class: "times", X: x - w, Size: labelSize, Bold: true, Anchor: ink.Start, Text: text}, 4)
		}
		return
	case b.right.style == "none":
		return
	case c.final(b), strings.HasSuffix(b.right.style, "-heavy"), b.right.style == "heavy":
		c.path(filled("barline").box(x-thick, 0, x, c.height))
		if b.right.style != "heavy" {
			c.path(stroke("barline", thin).at(x-thick-2.5, 0).to(x-thick-2.5, c.height))
		}
		return
	case b.right.style == "light-light":
		c.path(stroke("barline", thin).at(x-3, 0).to(x-3, c.height))
	}
	p := stroke("barline", thin).at(x, 0).to(x, c.height)
	p.Dashed = b.right.style == "dashed" || b.right.style == "dotted"
	c.path(p)
}

// dots draws the two dots of a repeat.
func (c *canvas) dots(x float64) {
	off := min(stringGap, c.height/3)
	p := filled("barline")
	p.ellipse(x, c.height/2-off/2-2.2, 1.6, 1.6)
	p.ellipse(x, c.height/2+off/2+2.2, 1.6, 1.6)
	c.path(p)
}

// barNumbers writes the number of each bar at its beginning.
func (c *canvas) barNumbers() {
	if c.n > 0 {
		return
	}
	for _, b := range c.sys.bars {
		if b.index >= len(c.st.part.Measures) {
			continue
		}
		m := c.st.part.Measures[b.index]
		if m.Number == "" || m.Implicit {
			continue
		}
		x := max(b.x0-textWidth(m.Number, 7.5, false)/2, c.margin)
		c.overText(Text{Class: "bar-number", X: x, Size: 7.5, Anchor: ink.Start, Text: m.Number, Bar: b.index}, 4)
	}
}

// endings draws the brackets of first and second endings.
func (c *canvas) endings() {
	if c.n > 0 {
		return
	}
	var spans []stretch
	type bracket struct {
		stretch
		text        string
		open, close bool
	}
	var out []bracket
	on, label, start := false, "", 0.0
	for i := range c.bars { // an ending may have begun in an earlier system
		b := c.bars[i]
		if b.index >= c.sys.bars[0].index {
			break
		}
		on, label = b.ending(on, label)
	}
	began := false
	for i, b := range c.sys.bars {
		if b.left.endingType == "start" {
			on, label, start, began = true, b.left.ending, b.x0+2, true
		} else if on && i == 0 {
			start = b.x0
		}
		stop := b.right.endingType == "stop" || b.right.endingType == "discontinue"
		if on && (stop || i == len(c.sys.bars)-1) {
			text := ""
			if began {
				text = label + "."
			}
			out = append(out, bracket{stretch{start, b.x1 - 2}, text, began, b.right.endingType == "stop"})
			began = false
		}
		if stop {
			on = false
		}
	}
	for _, b := range out {
		spans = append(spans, b.stretch)
	}
	if len(out) == 0 {
		return
	}
	base := c.above.row(spans, 11, 4)
	y := -(base + 11)
	for _, b := range out {
		p := stroke("ending", 0.9)
		if b.open {
			p.at(b.x0, y+10).to(b.x0, y)
		} else {
			p.at(b.x0, y)
		}
		p.to(b.x1, y)
		if b.close {
			p.to(b.x1, y+10)
		}
		c.path(p)
		if b.text != "" {
			c.text(&Text{Class: "ending", X: b.x0 + 3, Y: y + 9, Size: labelSize, Anchor: ink.Start, Text: b.text, group: musicGroup})
		}
	}
	c.used.use("ending")
}

// ending follows an ending through a bar.
func (b *bar) ending(on bool, label string) (bool, string) {
	if b.left.endingType == "start" {
		on, label = true, b.left.ending
	}
	if b.right.endingType == "stop" || b.right.endingType == "discontinue" {
		on = false
	}
	return on, label
}
