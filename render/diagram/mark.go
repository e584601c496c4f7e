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
	g.Add(shapeOf(dot.Role, x, y, paint))
	if text := dot.inside(inside); text != "" {
		g.Add(fitted(text, b.label, x, labelY(dot.Role, y), on))
	}
	if dot.Reach > 0 {
		g.Add(b.reach(x, y, dot.Back, c))
	}
	if text := dot.label(below); text != "" {
		for i, line := range wrapped(text, cellMin-2) {
			t := ink.Text{X: x, Y: y + dotR + belowSize + 1 + float64(i)*belowLead, Size: belowSize, Text: line, Anchor: ink.Middle, Fill: c.ink, Class: "below",
				Halo: c.paper, HaloWidth: 2, Fit: true}
			if b.below == Order {
				t.Bold, t.Fill = true, c.accent
				if i == 0 && dot.Steps[0].Number == 1 {
					g.Add(start(t, c))
					t.Fill, t.Halo = c.paper, ink.Color{}
				}
			}
			g.Add(t)
		}
	}
	return g
}

// start draws the ground of the number at which a phrase begins, so that it is
// found at a glance and its kind is not taken for degrees or fingers.
func start(t ink.Text, c palette) ink.Shape {
	w := t.Width() + 9
	return ink.Rect{X: t.X - w/2, Y: t.Y - belowSize*ink.CapHeight - 2.4, W: w, H: belowSize*ink.CapHeight + 4.8, Radius: 6, Paint: ink.Paint{Fill: c.accent, Class: "start"}}
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
		r += float64(b.belowLines) * belowLead // what stands below comes first
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
	g := &ink.Group{Class: "link " + [...]string{Slide: "slide", Slur: "slur"}[l.Kind], Title: l.words(),
		Data: []ink.Data{{Name: "string", Value: strconv.Itoa(l.From.String)}, {Name: "from", Value: strconv.Itoa(l.From.Fret)}, {Name: "to", Value: strconv.Itoa(l.To.Fret)}}}
	d := math.Hypot(x2-x1, y2-y1)
	if d == 0 {
		return g
	}
	ex, ey := (x2-x1)/d, (y2-y1)/d
	r := dotR + 3
	if l.Kind == Slur {
		// Over level necks, to the right of upright ones.
		nx, ny := 0.0, -1.0
		if b.upright {
			nx, ny = 1, 0
		}
		r1, r2 := b.above(l.From), b.above(l.To)
		x1, y1, x2, y2 = x1+nx*r1+ex*5, y1+ny*r1+ey*5, x2+nx*r2-ex*5, y2+ny*r2-ey*5
		// There and back is one curve, which must not run through the first letter.
		back := slices.Index(b.d.Links, Link{From: l.To, To: l.From, Kind: Slur})
		if back < 0 || back > slices.Index(b.d.Links, l) {
			g.Add(sign(Slur, x1, y1, x2, y2, b.upright, c))
		}
		// Nearer to the note that it sounds, so that an H and a P between the same
		// two stand beside each other.
		off := math.Min(14, d/5)
		t := letter(l.letter(), (x1+x2)/2+nx*slurRise*.75+ex*off, (y1+y2)/2+ny*slurRise*.75+ey*off, c)
		g.Add(t)
		return g
	}
	g.Add(sign(l.Kind, x1+ex*r, y1+ey*r, x2-ex*r, y2-ey*r, b.upright, c))
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

// sign draws a curve or an arrow from one point to another.
func sign(k LinkKind, x1, y1, x2, y2 float64, upright bool, c palette) ink.Shape {
	d := math.Hypot(x2-x1, y2-y1)
	if d == 0 {
		d = 1
	}
	ex, ey := (x2-x1)/d, (y2-y1)/d
	p := &ink.Path{Paint: ink.Paint{Stroke: c.accent, Width: 2.4, Round: true}}
	p.MoveTo(x1, y1)
	if k == Slur {
		nx, ny := 0.0, -slurRise
		if upright {
			nx, ny = slurRise, 0
		}
		p.Width = 1.8
		return p.CurveTo(x1+nx+ex*d/4, y1+ny+ey*d/4, x2+nx-ex*d/4, y2+ny-ey*d/4, x2, y2)
	}
	head := 6.0
	p.LineTo(x2, y2)
	return p.MoveTo(x2-ex*head+ey*head*.8, y2-ey*head-ex*head*.8).LineTo(x2, y2).LineTo(x2-ex*head-ey*head*.8, y2-ey*head+ex*head*.8)
}

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
	g.Add(sign(Slide, x1, y1, x2, y2, b.upright, c))
	return g
}
