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
	switch r {
	case Root:
		w := dotR
		paint.Class = "house"
		return ink.Polygon(paint, x, y-roof*dotR, x+w, y-.42*dotR, x+w, y+.95*dotR, x-w, y+.95*dotR, x-w, y-.42*dotR)
	case ChordTone:
		h := .93 * dotR
		paint.Class = "tile"
		return ink.Rect{X: x - h, Y: y - h, W: 2 * h, H: 2 * h, Radius: 2.5, Paint: paint}
	}
	paint.Class = "disc"
	return ink.Circle{X: x, Y: y, R: .96 * dotR, Paint: paint}
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
	switch dot.When {
	case Before:
		g.Class += " before"
		paint, on = ink.Paint{Fill: c.paper, Stroke: c.faint, Width: 1.6}, c.quiet
	case Next:
		g.Class += " next"
		paint, on = ink.Paint{Fill: c.paper, Stroke: c.accent, Width: 2, Dash: nextDash()}, c.ink
	}
	if dot.Again {
		g.Add(ink.Circle{X: x, Y: y - .15*dotR, R: 1.55 * dotR, Paint: ink.Paint{Stroke: c.accent, Width: 2, Dash: nextDash(), Class: "again"}})
	}
	g.Add(shapeOf(dot.Role, x, y, paint))
	if text := dot.inside(inside); text != "" {
		g.Add(fitted(text, b.label, x, labelY(dot.Role, y), on))
	}
	if dot.Reach > 0 {
		g.Add(b.reach(x, y, dot.Back, c))
	}
	for i, line := range dot.beneath(below, b.lineWidth, b.under) {
		t := ink.Text{X: x, Y: y + dotR + b.under + 1 + float64(i)*b.lead(), Size: b.under, Text: line.text, Anchor: ink.Middle, Fill: c.ink, Class: "below",
			Halo: c.paper, HaloWidth: 1.5, Fit: true}
		switch line.of {
		case Order:
			t.Bold, t.Fill = true, c.accent
			if line.first && dot.Steps[0].Number == 1 {
				first, rest := begins(t, c)
				if g.Add(start(first, c), first); rest.Text == "" {
					continue
				}
				t = rest
			}
		case Roles, Intervals:
			t.Italic = true
		}
		g.Add(t)
	}
	return g
}

// nextDash is how what comes next is outlined: 2 of 3 parts are drawn.
func nextDash() []float64 { return []float64{4, 2} }

// begins parts the first number of an order, which stands on its ground, from
// the rest.
func begins(t ink.Text, c palette) (first, rest ink.Text) {
	first, rest = t, t
	first.Fill, first.Halo = c.paper, ink.Color{}
	first.Text, rest.Text, _ = strings.Cut(t.Text, ", ")
	if head, ok := strings.CutSuffix(first.Text, ","); ok { // goes on in the next line
		first.Text, rest.Text = head, ","
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
	if w := t.Width(); w > 1.62*dotR {
		t.Size *= 1.62 * dotR / w
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
	add("order", d.label(Order))
	return data
}

// link draws what leads from one dot to another.
func (b *board) link(l Link, c palette) ink.Shape {
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
		r := dotR + 3
		// What goes over the same frets is beside it.
		off := wayStep * math.Min(float64(b.ways[l]), 1)
		dx, dy := ex*r, ey*r+off
		if b.upright {
			dx, dy = ex*r-off, ey*r
		}
		g.Add(sign(l.Kind, x1+dx, y1+dy, x2+dx-2*ex*r, y2+dy-2*ey*r, b.upright, c))
	}
	if !l.Kind.arched() {
		return g
	}
	// Over level necks, to the right of upright ones. What lies under another
	// curve begins nearer to its notes and is lower.
	nx, ny := 0.0, -1.0
	if b.upright {
		nx, ny = 1, 0
	}
	level := b.levels[l]
	rise, in := slurRise+slurStep*float64(level)*4/3, 5-4*math.Min(float64(level), 1)
	r1, r2 := b.above(l.From), b.above(l.To)
	x1, y1, x2, y2 = x1+nx*r1+ex*in, y1+ny*r1+ey*in, x2+nx*r2-ex*in, y2+ny*r2-ey*in
	// There and back is one curve, which must not run through the first letter.
	back := slices.Index(b.d.Links, Link{From: l.To, To: l.From, Kind: l.Kind})
	if back < 0 || back > slices.Index(b.d.Links, l) {
		g.Add(arch(x1, y1, x2, y2, rise, level > 0, b.upright, c))
	}
	if l.Kind == Slur {
		// Nearer to the note that it sounds, so that an H and a P between the same
		// two stand beside each other.
		off := math.Min(14, d/5)
		g.Add(letter(l.letter(), (x1+x2)/2+nx*rise*.75+ex*off, (y1+y2)/2+ny*rise*.75+ey*off, c))
	}
	return g
}

// letter draws the letter on a slur, in a break of the curve.
func letter(text string, x, y float64, c palette) ink.Text {
	return ink.Text{X: x, Y: y + slurSize*ink.CapHeight/2, Size: slurSize, Bold: true, Anchor: ink.Middle, Text: text, Fill: c.accent, Halo: c.paper, HaloWidth: 3, Fit: true, Class: "slur-letter"}
}

// above returns how far from the middle of a dot a curve may begin: over a
// house that is over its ridge.
func (b *board) above(p fretboard.Place) float64 {
	if dot := b.d.at(p); dot != nil && dot.Role == Root && !b.upright {
		return roof*dotR + 2
	}
	if b.upright {
		return dotR + 6 // beside what stands below dots
	}
	return dotR + 3
}

// arch draws a curve from one point to another. A steep one leaves room for
// what lies under it.
func arch(x1, y1, x2, y2, rise float64, steep, upright bool, c palette) *ink.Path {
	d := math.Max(math.Hypot(x2-x1, y2-y1), 1)
	ex, ey := (x2-x1)/d, (y2-y1)/d
	nx, ny := 0.0, -rise
	if upright {
		nx, ny = rise, 0
	}
	along := d / 4
	if steep {
		along = math.Min(along, 2)
	}
	p := &ink.Path{Paint: ink.Paint{Stroke: c.accent, Width: 1.8, Round: true, Class: "arch"}}
	return p.MoveTo(x1, y1).CurveTo(x1+nx+ex*along, y1+ny+ey*along, x2+nx-ex*along, y2+ny-ey*along, x2, y2)
}

// sign draws what leads along a string from one point to another: an arrow, a
// bar at its end where that is struck, a wave for a glissando.
func sign(k LinkKind, x1, y1, x2, y2 float64, upright bool, c palette) *ink.Path {
	if k == Slur {
		return arch(x1, y1, x2, y2, slurRise, false, upright, c)
	}
	d := math.Max(math.Hypot(x2-x1, y2-y1), 1)
	ex, ey := (x2-x1)/d, (y2-y1)/d
	const head = 6.0
	p := &ink.Path{Paint: ink.Paint{Stroke: c.accent, Width: 2.4, Round: true, Class: "way"}}
	to := func(along, across float64) (x, y float64) {
		return x1 + ex*along - ey*across, y1 + ey*along + ex*across
	}
	if k == StruckSlide {
		x, y := to(d, -struckBar)
		p.MoveTo(x, y)
		x, y = to(d, struckBar)
		p.LineTo(x, y)
		d -= 3
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

// struckBar is half of the bar at the end of a slide that is struck.
const struckBar = 5.0

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
	way := sign(Slide, x1, y1, x2, y2, b.upright, c)
	way.Class = "move-way"
	g.Add(way)
	return g
}
