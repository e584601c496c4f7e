package engrave

import (
	"iter"
	"math"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

// A Scene is a drawing of a size. Its lines and shapes come first, then its
// texts in the order in which they are read.
type Scene struct {
	Width, Height float64
	Items         []Item
}

// An Item is a [*Path] or a [*Text].
type Item interface {
	// Bounds returns the rectangle that the item fills, stroke included; that
	// of a text is what it fills in the fonts it was measured with.
	Bounds() Rect
	move(dy float64)
}

// A Rect is a rectangle, X0 ≤ X1 and Y0 ≤ Y1.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// Overlaps tells whether two rectangles share more than a margin of each.
func (r Rect) Overlaps(s Rect, margin float64) bool {
	return r.X0+margin < s.X1 && s.X0+margin < r.X1 && r.Y0+margin < s.Y1 && s.Y0+margin < r.Y1
}

// A Path is a line or a shape. Its class says what it is for: "string",
// "barline", "stem", "beam", "rest", "bend", "arc", …
type Path struct {
	Class  string
	Stroke float64 // thickness; 0 for a shape that is filled
	Dashed bool
	ops    []op
}

// An op is a step of a path: M and L with one point, C with three, Z.
type op struct {
	code byte
	pts  []point
}

type point struct{ x, y float64 }

func stroke(class string, width float64) *Path { return &Path{Class: class, Stroke: width} }

func filled(class string) *Path { return &Path{Class: class} }

func (p *Path) add(code byte, pts ...point) *Path {
	p.ops = append(p.ops, op{code, pts})
	return p
}

func (p *Path) at(x, y float64) *Path { return p.add('M', point{x, y}) }

func (p *Path) to(x, y float64) *Path { return p.add('L', point{x, y}) }

func (p *Path) curve(ax, ay, bx, by, x, y float64) *Path {
	return p.add('C', point{ax, ay}, point{bx, by}, point{x, y})
}

func (p *Path) close() *Path { return p.add('Z') }

// box adds a rectangle.
func (p *Path) box(x0, y0, x1, y1 float64) *Path {
	return p.at(x0, y0).to(x1, y0).to(x1, y1).to(x0, y1).close()
}

// ellipse adds an ellipse of four curves. Source of the factor: 4/3·(√2 − 1),
// the usual approximation of a quarter circle by a cubic curve.
func (p *Path) ellipse(x, y, rx, ry float64) *Path {
	const k = 0.5523
	return p.at(x-rx, y).
		curve(x-rx, y-k*ry, x-k*rx, y-ry, x, y-ry).
		curve(x+k*rx, y-ry, x+rx, y-k*ry, x+rx, y).
		curve(x+rx, y+k*ry, x+k*rx, y+ry, x, y+ry).
		curve(x-k*rx, y+ry, x-rx, y+k*ry, x-rx, y).close()
}

// Bounds returns the rectangle of the path's points, control points included.
func (p *Path) Bounds() Rect {
	r := Rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, o := range p.ops {
		for _, q := range o.pts {
			r.X0, r.X1 = min(r.X0, q.x-p.Stroke/2), max(r.X1, q.x+p.Stroke/2)
			r.Y0, r.Y1 = min(r.Y0, q.y-p.Stroke/2), max(r.Y1, q.y+p.Stroke/2)
		}
	}
	return r
}

func (p *Path) move(dy float64) {
	for _, o := range p.ops {
		for i := range o.pts {
			o.pts[i].y += dy
		}
	}
}

// Steps ranges over the commands of an SVG path: M, L, C and Z, each with its
// coordinates x, y, x, y, …
func (p *Path) Steps() iter.Seq2[byte, []float64] {
	return func(yield func(byte, []float64) bool) {
		var xy []float64
		for _, o := range p.ops {
			xy = xy[:0]
			for _, q := range o.pts {
				xy = append(xy, q.x, q.y)
			}
			if !yield(o.code, xy) {
				return
			}
		}
	}
}

// An Anchor says which point of a text stands at its x.
type Anchor = ink.Anchor

// A Text is a line of text on its base line. Its class says what it is for:
// "fret", "chord", "label", "bar-number", …
type Text struct {
	Class  string
	X, Y   float64
	Size   float64
	Bold   bool
	Italic bool
	Anchor Anchor
	Text   string
	// Note is what a number stands for, and Part, Bar and At where in the
	// music that is; nil for other texts.
	Note *score.Note
	// Also are the notes of other voices that the number stands for too.
	Also []*score.Note
	// Color is the colour that a label's annotation asks for, "#RRGGBB"; ""
	// for none.
	Color string
	Part  int
	Bar   int // from 0
	At    score.Quarters

	group int // of the reading order
}

// Bounds returns the rectangle of the capitals and digits of the text.
func (t *Text) Bounds() Rect {
	w := textWidth(t.Text, t.Size, t.Bold)
	r := Rect{t.X - w/2, t.Y - ink.CapHeight*t.Size, t.X + w/2, t.Y}
	switch t.Anchor {
	case ink.Start:
		r.X0, r.X1 = t.X, t.X+w
	case ink.End:
		r.X0, r.X1 = t.X-w, t.X
	}
	return r
}

func (t *Text) move(dy float64) { t.Y += dy }

// textWidth returns how wide a text is. The Go fonts, in which it is measured,
// run some per cent wider than the faces that most machines show, so there is
// room to spare.
func textWidth(s string, size float64, bold bool) float64 {
	return ink.Text{Text: s, Size: size, Bold: bold}.Width()
}
