package ink

import "math"

// A Path is an outline of lines and curves. Build it with its methods, the
// first of which is MoveTo.
type Path struct {
	Paint
	segs []seg
}

type segKind int8

const (
	moveTo segKind = iota
	lineTo
	cubeTo
	closing
)

type seg struct {
	kind segKind
	p    [3]point // the end last; one point but for curves
}

type point struct{ x, y float64 }

// MoveTo begins a new outline.
func (p *Path) MoveTo(x, y float64) *Path { return p.add(moveTo, point{x, y}) }

// LineTo goes on in a straight line.
func (p *Path) LineTo(x, y float64) *Path { return p.add(lineTo, point{x, y}) }

// CurveTo goes on in a cubic Bézier curve.
func (p *Path) CurveTo(x1, y1, x2, y2, x, y float64) *Path {
	return p.add(cubeTo, point{x1, y1}, point{x2, y2}, point{x, y})
}

// Close goes back to where the outline began.
func (p *Path) Close() *Path { return p.add(closing) }

func (p *Path) add(kind segKind, pts ...point) *Path {
	s := seg{kind: kind}
	copy(s.p[:], pts)
	p.segs = append(p.segs, s)
	return p
}

// Polygon makes a closed path of corners x, y, x, y, …
func Polygon(paint Paint, corners ...float64) *Path {
	p := &Path{Paint: paint}
	for i := 0; i+1 < len(corners); i += 2 {
		if i == 0 {
			p.MoveTo(corners[0], corners[1])
		} else {
			p.LineTo(corners[i], corners[i+1])
		}
	}
	return p.Close()
}

// arcRatio is how far the handles of a cubic curve lie from its ends, in
// radii, for a quarter of a circle. Source: (4/3)·tan(π/8).
const arcRatio = 0.5522847498307936

func (c Circle) path() *Path {
	k := c.R * arcRatio
	p := &Path{Paint: c.Paint}
	p.MoveTo(c.X+c.R, c.Y)
	p.CurveTo(c.X+c.R, c.Y+k, c.X+k, c.Y+c.R, c.X, c.Y+c.R)
	p.CurveTo(c.X-k, c.Y+c.R, c.X-c.R, c.Y+k, c.X-c.R, c.Y)
	p.CurveTo(c.X-c.R, c.Y-k, c.X-k, c.Y-c.R, c.X, c.Y-c.R)
	p.CurveTo(c.X+k, c.Y-c.R, c.X+c.R, c.Y-k, c.X+c.R, c.Y)
	return p.Close()
}

func (r Rect) path() *Path {
	c := math.Min(r.Radius, math.Min(r.W, r.H)/2)
	if c <= 0 {
		return Polygon(r.Paint, r.X, r.Y, r.X+r.W, r.Y, r.X+r.W, r.Y+r.H, r.X, r.Y+r.H)
	}
	k := c * (1 - arcRatio)
	x, y, a, b := r.X, r.Y, r.X+r.W, r.Y+r.H
	p := &Path{Paint: r.Paint}
	p.MoveTo(x+c, y).LineTo(a-c, y).CurveTo(a-k, y, a, y+k, a, y+c)
	p.LineTo(a, b-c).CurveTo(a, b-k, a-k, b, a-c, b)
	p.LineTo(x+c, b).CurveTo(x+k, b, x, b-k, x, b-c)
	p.LineTo(x, y+c).CurveTo(x, y+k, x+k, y, x+c, y)
	return p.Close()
}

func (l Line) path() *Path {
	p := &Path{Paint: l.Paint}
	return p.MoveTo(l.X1, l.Y1).LineTo(l.X2, l.Y2)
}

// A polyline is a flattened outline.
type polyline struct {
	pts    []point
	closed bool
}

// flatten turns the path, placed by m, into straight lines that stay within a
// tolerance of the curves.
func (p *Path) flatten(m matrix, tolerance float64) []polyline {
	var lines []polyline
	var cur polyline
	finish := func() {
		if len(cur.pts) > 0 {
			lines = append(lines, cur)
		}
		cur = polyline{}
	}
	for _, s := range p.segs {
		switch s.kind {
		case moveTo:
			finish()
			cur.pts = append(cur.pts, m.apply(s.p[0]))
		case lineTo:
			cur.pts = append(cur.pts, m.apply(s.p[0]))
		case cubeTo:
			if len(cur.pts) == 0 {
				continue
			}
			a, b, c, d := cur.pts[len(cur.pts)-1], m.apply(s.p[0]), m.apply(s.p[1]), m.apply(s.p[2])
			// A curve of n pieces is off by at most its bend over 8n².
			bend := math.Max(math.Hypot(a.x-2*b.x+c.x, a.y-2*b.y+c.y), math.Hypot(b.x-2*c.x+d.x, b.y-2*c.y+d.y)) * 6
			n := int(math.Ceil(math.Sqrt(bend / (8 * tolerance))))
			n = min(max(n, 1), 200)
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				u := 1 - t
				w0, w1, w2, w3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
				cur.pts = append(cur.pts, point{w0*a.x + w1*b.x + w2*c.x + w3*d.x, w0*a.y + w1*b.y + w2*c.y + w3*d.y})
			}
		case closing:
			cur.closed = true
			finish()
		}
	}
	finish()
	return lines
}

// A matrix scales and then moves.
type matrix struct{ scale, x, y float64 }

func (m matrix) apply(p point) point { return point{p.x*m.scale + m.x, p.y*m.scale + m.y} }

// in returns the matrix of something within a group.
func (m matrix) in(g Group) matrix {
	s := g.Scale
	if s == 0 {
		s = 1
	}
	at := m.apply(point{g.X, g.Y})
	return matrix{m.scale * s, at.x, at.y}
}
