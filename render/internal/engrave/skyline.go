package engrave

import "math"

// A skyline knows how far the things beside a staff reach away from it, at
// every unit of its width. Distances are positive away from the staff, whether
// that is up or down.
type skyline struct{ reach []float64 }

func newSkyline(width float64) *skyline {
	return &skyline{make([]float64, int(math.Ceil(max(width, 0)))+2)}
}

func (s *skyline) span(x0, x1 float64) (int, int) {
	last := len(s.reach) - 1
	a := min(max(int(math.Floor(x0)), 0), last)
	b := min(max(int(math.Ceil(x1)), 0), last)
	return a, b
}

// over returns how far what is between two x reaches.
func (s *skyline) over(x0, x1 float64) float64 {
	a, b := s.span(x0, x1)
	top := 0.0
	for i := a; i <= b; i++ {
		top = max(top, s.reach[i])
	}
	return top
}

// fill says that something reaches so far between two x.
func (s *skyline) fill(x0, x1, reach float64) {
	a, b := s.span(x0, x1)
	for i := a; i <= b; i++ {
		s.reach[i] = max(s.reach[i], reach)
	}
}

// put finds room of a height beyond all that is there, with a gap, takes it,
// and returns the distance at which it begins.
func (s *skyline) put(x0, x1, height, gap float64) float64 {
	base := s.over(x0, x1) + gap
	s.fill(x0, x1, base+height)
	return base
}

// A stretch is what a row of things fills of the width.
type stretch struct{ x0, x1 float64 }

// row finds one distance for several things of one height, so that they stand
// in a line.
func (s *skyline) row(spans []stretch, height, gap float64) float64 {
	base := 0.0
	for _, sp := range spans {
		base = max(base, s.over(sp.x0, sp.x1)+gap)
	}
	for _, sp := range spans {
		s.fill(sp.x0, sp.x1, base+height)
	}
	return base
}

// end returns how far the farthest thing reaches.
func (s *skyline) end() float64 {
	top := 0.0
	for _, r := range s.reach {
		top = max(top, r)
	}
	return top
}
