package diagram

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/theory/fretboard"
)

// shapeOf returns the outline that tells a role: a house, a tile, a disc.
func shapeOf(r Role, x, y float64, paint ink.Paint) ink.Shape {
	return shapeSized(r, x, y, dotR, paint)
}

// shapeSized returns the outline in another size, given as the radius of a disc.
func shapeSized(r Role, x, y, size float64, paint ink.Paint) ink.Shape {
	switch r {
	case Root:
		paint.Class = "house"
		return ink.Polygon(paint, x, y-roof*size, x+size, y-.42*size, x+size, y+.95*size, x-size, y+.95*size, x-size, y-.42*size)
	case ChordTone:
		h := .93 * size
		paint.Class = "tile"
		return ink.Rect{X: x - h, Y: y - h, W: 2 * h, H: 2 * h, Radius: 2.5, Paint: paint}
	}
	paint.Class = "disc"
	return ink.Circle{X: x, Y: y, R: .96 * size, Paint: paint}
}

// paintOf returns how a role is painted, and the colour of words on it.
func (c palette) paintOf(r Role) (ink.Paint, ink.Color) {
	switch r {
	case Root:
		return ink.Paint{Fill: c.root, Stroke: c.root, Width: 2}, c.onRoot
	case ChordTone:
		return ink.Paint{Fill: c.tone, Stroke: c.outline, Width: 2.2}, c.onTone
	}
	return ink.Paint{Fill: c.other, Stroke: c.outline, Width: 1.3}, c.onOther
}

// mark draws a dot with its words.
func (b *board) mark(dot Dot, o Options) ink.Shape {
	c := o.palette()
	x, y := b.place(dot.Place)
	inside, below := o.shows(b.d)
	g := &ink.Group{Class: "note " + strings.ReplaceAll(dot.Role.String(), " ", "-"), Title: dot.words(b.d), Data: dot.data()}
	if dot.Faint {
		g.Class += " faint"
		g.Add(ink.Circle{X: x, Y: y, R: 4, Paint: ink.Paint{Fill: c.faint, Stroke: c.paper, Width: 1.5, Class: "speck"}})
		return g
	}
	paint, on := c.paintOf(dot.Role)
	size := dotR
	switch {
	case dot.When == Before:
		g.Class += " before"
		paint, on = ink.Paint{Fill: c.paper, Stroke: c.faint, Width: 1.4}, c.quiet
	case dot.When == Next:
		g.Class += " next"
		paint, on = ink.Paint{Fill: c.paper, Stroke: c.quiet, Width: 1.6, Dash: nextDash()}, c.quiet
	case b.d.Step != "": // what is due now is the strongest of a frame
		paint, on = ink.Paint{Fill: c.accent, Stroke: c.accent, Width: 2}, c.paper
		size *= nowSize
	}
	if dot.Again {
		g.Add(ink.Circle{X: x, Y: y - .15*dotR, R: 1.75 * dotR, Paint: ink.Paint{Stroke: c.quiet, Width: 1.6, Dash: nextDash(), Class: "again"}})
	}
	g.Add(shapeSized(dot.Role, x, y, size, paint))
	if text := dot.inside(inside); text != "" {
		g.Add(fitted(text, b.label, x, labelY(dot.Role, y), on))
	}
	if dot.Reach > 0 {
		g.Add(b.reach(x, y, dot.Back, c))
	}
	halo := 1.5
	if b.upright { // where it stands on the line of a string
		halo = 3
	}
	for i, line := range dot.beneath(below, b.lineWidth, b.under, b.d.firstStep()) {
		t := ink.Text{X: x, Y: y + dotR + b.under + 1 + float64(i)*b.lead(), Size: b.under, Text: line.text, Anchor: ink.Middle, Fill: c.ink, Class: "below",
			Halo: c.paper, HaloWidth: halo, Fit: true}
		switch line.of {
		case Order:
			t.Bold, t.Fill = true, c.accent
			if line.first {
				first, rest := begins(t, c)
				if g.Add(start(first, c), first); rest.Text == "" {
					continue
				}
				t = rest
			}
		case Roles, Intervals:
			t.Italic = true
		case Fingers:
			if t.Bold = true; b.upright { // beside the line of the string, not on it
				t.X, t.Anchor = x+4, ink.Start
			}
		}
		g.Add(t)
	}
	return g
}

// nowSize is how much larger what is due now is than the rest of a frame.
const nowSize = 1.2

// nextDash is how what comes next is outlined: 2 of 3 parts are drawn.
func nextDash() []float64 { return []float64{4, 2} }

// begins parts the first number of an order, which stands on its ground, from
// the rest.
func begins(t ink.Text, c palette) (first, rest ink.Text) {
	first, rest = t, t
	first.Fill, first.Halo = c.paper, ink.Color{}
	if i := strings.IndexAny(t.Text, ":,"); i >= 0 {
		first.Text, rest.Text = t.Text[:i], strings.TrimSpace(t.Text[i+1:])
		if rest.Text == "" {
			rest.Text = "," // goes on in the next line
		}
	} else {
		rest.Text = ""
	}
	if rest.Text == "" {
		return first, rest
	}
	const pad = .45 + .2 // of the ground, and beyond it, in the size
	first.X -= (rest.Width() + pad*t.Size) / 2
	rest.X += (first.Width() + pad*t.Size) / 2
	return first, rest
}

// start draws the ground of the number at which a phrase begins, so that it is
// found at a glance and its kind is not taken for degrees or fingers.
func start(t ink.Text, c palette) ink.Shape {
	w, h := t.Width()+.9*t.Size, (ink.CapHeight+.48)*t.Size
	return ink.Rect{X: t.X - w/2, Y: t.Y - (ink.CapHeight+.24)*t.Size, W: w, H: h, Radius: h / 2, Paint: ink.Paint{Fill: c.accent, Class: "start"}}
}

// labelY returns the middle of what is written in a shape: a house has more
// room below its ridge.
func labelY(r Role, y float64) float64 {
	if r == Root {
		return y + .14*dotR
	}
	return y
}

// fitted makes the words in a dot small enough for it.
func fitted(text string, size, x, y float64, on ink.Color) ink.Text {
	t := ink.Text{X: x, Text: text, Size: size, Anchor: ink.Middle, Bold: true, Fill: on, Fit: true, Class: "label"}
	// The corners of its box lie within the outline: a flat has ink in its own.
	const inner = .93 * dotR
	if corner := math.Hypot(t.Width(), t.Size*ink.CapHeight) / 2; corner > inner {
		t.Size *= inner / corner
	}
	t.Y = y + t.Size*ink.CapHeight/2
	return t
}

// reach draws the hook that says: the finger stretches this way. It stands
// apart from the dot, as far as the next one allows.
func (b *board) reach(x, y float64, back bool, c palette) ink.Shape {
	dx, dy := b.towards(back)
	r := dotR + math.Max(2.5, math.Min(6, b.narrowest()-2*dotR-hookDepth-2))
	if b.upright && !back {
		r += float64(b.belowLines) * b.lead() // what stands below comes first
	}
	return hook(x+dx*r, y+dy*r, dx, dy, c)
}

// towards returns the direction of reaching, back to the nut or away from it.
func (b *board) towards(back bool) (dx, dy float64) {
	du := 1.0
	if back {
		du = -1
	}
	switch {
	case b.upright:
		return 0, du
	case b.left:
		return -du, 0
	}
	return du, 0
}

const hookDepth = 3.5

// hook draws an angle that opens at x, y and points in a direction.
func hook(x, y, dx, dy float64, c palette) ink.Shape {
	p := &ink.Path{Paint: ink.Paint{Stroke: c.quiet, Width: 2, Round: true, Class: "reach"}}
	return p.MoveTo(x+dy*4.5, y+dx*4.5).LineTo(x+dx*hookDepth, y+dy*hookDepth).LineTo(x-dy*4.5, y-dx*4.5)
}

// data is what a program may want to know about a dot.
func (d Dot) data() []ink.Data {
	data := []ink.Data{{Name: "string", Value: strconv.Itoa(d.Place.String)}, {Name: "fret", Value: strconv.Itoa(d.Place.Fret)}}
	add := func(name, value string) {
		if value != "" {
			data = append(data, ink.Data{Name: name, Value: value})
		}
	}
	if !d.Dead {
		add("note", d.Pitch.Pretty())
	}
	if d.Degree.Number > 0 {
		add("degree", d.label(Degrees))
	}
	add("function", d.Function)
	add("finger", d.label(Fingers))
	add("order", d.numbers())
	return data
}

// link draws what leads from one dot to another.
func (b *board) link(i int, c palette) ink.Shape {
	l := b.d.Links[i]
	x1, y1 := b.place(l.From)
	x2, y2 := b.place(l.To)
	g := &ink.Group{Class: "link " + linkNames[l.Kind], Title: l.words(),
		Data: []ink.Data{{Name: "string", Value: strconv.Itoa(l.From.String)}, {Name: "from", Value: strconv.Itoa(l.From.Fret)}, {Name: "to", Value: strconv.Itoa(l.To.Fret)}}}
	d := math.Hypot(x2-x1, y2-y1)
	if d == 0 {
		return g
	}
	ex, ey := (x2-x1)/d, (y2-y1)/d
	if l.Kind != Slur {
		r := dotR + 4
		// What goes over the same frets is beside it.
		off := wayStep * math.Min(float64(b.ways[i]), 1)
		ax, ay, bx, by := x1+ex*r, y1+ey*r+off, x2-ex*r, y2-ey*r+off
		if b.upright {
			ax, ay, bx, by = x1+ex*r-off, y1+ey*r, x2-ex*r-off, y2-ey*r
			// Clear of what stands below the upper note.
			if y1 < y2 {
				ay, by = ay+b.depth(l.From), by-b.ridge(l.To)
			} else {
				ay, by = ay-b.ridge(l.From), by+b.depth(l.To)
			}
		}
		g.Add(sign(l.Kind, ax, ay, bx, by, c))
	}
	k := slices.IndexFunc(b.bowed, func(w bow) bool { return slices.Contains(w.links, i) })
	if k < 0 {
		return g
	}
	w := b.bowed[k]
	// There and back, and again, are one curve, which the first of them draws.
	if w.arched && w.links[0] == i {
		g.Add(b.curve(w, c))
	}
	for _, t := range b.words(w, i, c) {
		g.Add(t)
	}
	return g
}

// ridge returns how far the ridge of a house rises over what other shapes have.
func (b *board) ridge(p fretboard.Place) float64 {
	if dot := b.d.at(p); dot != nil && dot.Role == Root && !dot.Faint {
		return (roof - 1) * dotR
	}
	return 0
}

// depth returns how deep what stands below a dot is.
func (b *board) depth(p fretboard.Place) float64 {
	dot := b.d.at(p)
	if dot == nil {
		return 0
	}
	return float64(len(dot.beneath(b.below, b.lineWidth, b.under, b.d.firstStep()))) * b.lead()
}

// sign draws what leads along a string from one point to another: an arrow, in
// a wave for a glissando.
func sign(k LinkKind, x1, y1, x2, y2 float64, c palette) *ink.Path {
	d := math.Max(math.Hypot(x2-x1, y2-y1), 1)
	ex, ey := (x2-x1)/d, (y2-y1)/d
	const head = 6.0
	p := &ink.Path{Paint: ink.Paint{Stroke: c.accent, Width: 2.4, Round: true, Class: "way"}}
	to := func(along, across float64) (x, y float64) {
		return x1 + ex*along - ey*across, y1 + ey*along + ex*across
	}
	p.MoveTo(x1, y1)
	if k == Glissando {
		const wave, high = 6.0, 3.0
		n := max(math.Floor((d-head)/wave), 1)
		for i := range int(n) {
			side := high - 2*high*float64(i%2)
			ax, ay := to(wave*(float64(i)+.4), side)
			bx, by := to(wave*(float64(i)+.6), side)
			x, y := to(wave*float64(i+1), 0)
			p.CurveTo(ax, ay, bx, by, x, y)
		}
	}
	x, y := to(d, 0)
	p.LineTo(x, y)
	x, y = to(d-head, -.8*head)
	p.MoveTo(x, y)
	x, y = to(d, 0)
	p.LineTo(x, y)
	x, y = to(d-head, .8*head)
	p.LineTo(x, y)
	return p
}

// wayStep is how far slides over the same frets lie apart.
const wayStep = 10.0

// moveLane is the room for moves of the hand, beyond the numbers of frets.
const moveLane = 15.0

// move draws the way of the hand from one position to the next, below the
// numbers of the frets at which its index finger stands.
func (b *board) move(m Move, v float64, c palette) ink.Shape {
	g := &ink.Group{Class: "move", Title: m.words(), Data: []ink.Data{{Name: "from", Value: strconv.Itoa(m.From)}, {Name: "to", Value: strconv.Itoa(m.To)}}}
	side := 5.0
	if m.To < m.From {
		side = -side
	}
	x1, y1 := b.at(b.u(m.From)+side, v)
	x2, y2 := b.at(b.u(m.To)-side, v)
	way := sign(Slide, x1, y1, x2, y2, c)
	way.Class = "move-way"
	g.Add(way)
	return g
}
