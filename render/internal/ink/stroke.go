package ink

import "math"

// stroke draws along lines: the outline of what a pen covers is filled.
func (c *canvas) stroke(lines []polyline, p Paint, scale float64) {
	r := p.Width * scale / 2
	var pieces [][]point
	for _, l := range lines {
		pts := distinct(l.pts)
		switch {
		case len(p.Dash) > 0:
			if l.closed && len(pts) > 1 {
				pts = append(pts, pts[0])
			}
			for _, run := range dashed(pts, p.Dash, scale) {
				pieces = append(pieces, openStroke(run, r, p.Round)...)
			}
		case l.closed && len(pts) > 2:
			pieces = append(pieces, closedStroke(pts, r)...)
		default:
			pieces = append(pieces, openStroke(pts, r, p.Round)...)
		}
	}
	c.paint(pieces, p.Stroke)
}

// distinct returns the points without those that repeat the one before, or in
// a closed line the first.
func distinct(pts []point) []point {
	var out []point
	for _, p := range pts {
		if len(out) == 0 || math.Hypot(p.x-out[len(out)-1].x, p.y-out[len(out)-1].y) > 1e-9 {
			out = append(out, p)
		}
	}
	if n := len(out); n > 2 && math.Hypot(out[0].x-out[n-1].x, out[0].y-out[n-1].y) <= 1e-9 {
		out = out[:n-1]
	}
	return out
}

// openStroke returns the outline round a line with two ends: up along its one
// side and back along the other.
func openStroke(pts []point, r float64, round bool) [][]point {
	pts = distinct(pts)
	if len(pts) == 1 && round {
		return [][]point{arc(nil, pts[0], r, 0, 2*math.Pi)}
	}
	if len(pts) < 2 {
		return nil
	}
	var out []point
	side := func(q []point) {
		for i := 1; i < len(q); i++ {
			if i > 1 {
				out = join(out, q[i-2], q[i-1], q[i], r)
			}
			n := normal(q[i-1], q[i], r)
			out = append(out, point{q[i-1].x + n.x, q[i-1].y + n.y}, point{q[i].x + n.x, q[i].y + n.y})
		}
		if end := len(q) - 1; round {
			n := normal(q[end-1], q[end], r)
			a := math.Atan2(n.y, n.x)
			out = arc(out, q[end], r, a, a-math.Pi)
		}
	}
	side(pts)
	side(reversed(pts))
	return [][]point{out}
}

// closedStroke returns the two outlines of a line that ends where it begins.
func closedStroke(pts []point, r float64) [][]point {
	side := func(q []point) []point {
		var out []point
		n := len(q)
		for i := range n {
			a, b, next := q[i], q[(i+1)%n], q[(i+2)%n]
			off := normal(a, b, r)
			out = append(out, point{a.x + off.x, a.y + off.y}, point{b.x + off.x, b.y + off.y})
			out = join(out, a, b, next, r)
		}
		return out
	}
	return [][]point{side(pts), side(reversed(pts))}
}

func reversed(pts []point) []point {
	out := make([]point, len(pts))
	for i, p := range pts {
		out[len(pts)-1-i] = p
	}
	return out
}

// normal returns the way from a line to its one side, r long.
func normal(a, b point, r float64) point {
	d := math.Hypot(b.x-a.x, b.y-a.y)
	return point{-(b.y - a.y) / d * r, (b.x - a.x) / d * r}
}

// join goes round the corner at b on the side of [normal]: an arc where that
// is the outer side, else through the corner, so that what is covered twice
// turns the same way.
func join(out []point, a, b, c point, r float64) []point {
	n, m := normal(a, b, r), normal(b, c, r)
	turn := n.x*m.y - n.y*m.x
	if turn >= 0 && n.x*m.x+n.y*m.y > 0 || turn > 0 {
		if turn > r*r*1e-3 {
			out = append(out, b)
		}
		return out
	}
	from := math.Atan2(n.y, n.x)
	to := math.Atan2(m.y, m.x)
	if to > from {
		to -= 2 * math.Pi
	}
	return arc(out, b, r, from, to)
}

// arc appends points along a circle.
func arc(out []point, c point, r, from, to float64) []point {
	step := 2 * math.Acos(1-math.Min(tolerance/2/math.Max(r, tolerance), .5))
	n := max(int(math.Ceil(math.Abs(to-from)/step)), 1)
	for i := 1; i < n; i++ {
		a := from + (to-from)*float64(i)/float64(n)
		out = append(out, point{c.x + r*math.Cos(a), c.y + r*math.Sin(a)})
	}
	return out
}

// dashed cuts a line into the pieces that are drawn.
func dashed(pts []point, dash []float64, scale float64) [][]point {
	total := 0.0
	for _, d := range dash {
		total += d
	}
	if total <= 0 || len(pts) < 2 {
		return [][]point{pts}
	}
	var out [][]point
	i, left, on := 0, dash[0]*scale, true
	run := []point{pts[0]}
	for j := 1; j < len(pts); j++ {
		a, p := pts[j-1], pts[j]
		for d := math.Hypot(p.x-a.x, p.y-a.y); d > left; d = math.Hypot(p.x-a.x, p.y-a.y) {
			t := left / d
			a = point{a.x + (p.x-a.x)*t, a.y + (p.y-a.y)*t}
			if on {
				out = append(out, append(run, a))
			}
			run = []point{a}
			i, on = i+1, !on
			left = dash[i%len(dash)] * scale
		}
		left -= math.Hypot(p.x-a.x, p.y-a.y)
		if on {
			run = append(run, p)
		}
	}
	if on && len(run) > 1 {
		out = append(out, run)
	}
	return out
}
