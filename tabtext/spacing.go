package tabtext

import (
	"math"

	"example.org/lickwright/score"
)

// A grid is how the columns of a bar are read as time: column pad + j·cell
// is j of n equal parts of the bar.
type grid struct {
	pad  int // columns before the first beat
	cell int // columns of one part
	n    int // parts of the bar
	cost float64
}

// at gives the time of a column, counted from the start of a bar of the
// length. Columns between two parts are taken in proportion.
func (g grid) at(col int, length score.Quarters) score.Quarters {
	if g.n == 0 {
		return score.Quarters{}
	}
	return length.Mul(score.Q(int64(col-g.pad), int64(g.n*g.cell)))
}

// spaced is a bar to be read by its spacing: its width in columns and the
// columns, from its start, at which notes begin.
type spaced struct {
	width   int
	offsets []int
}

// rises tells whether each note begins after the one before it. Where signs of
// several rows stand close, what is before one number may lie left of another.
func (b spaced) rises() bool {
	for i := 1; i < len(b.offsets); i++ {
		if b.offsets[i] <= b.offsets[i-1] {
			return false
		}
	}
	return true
}

// ternaryCost is what a grid of triplets costs.
const ternaryCost = 0.2

// maxCell is the widest part of a bar, in columns, that is looked for.
const maxCell = 24

// inferGrids finds the grid of each bar. It looks for one cell that explains
// all bars of a system; where none does well, each bar has its own. It returns
// the sum of the costs.
func inferGrids(bars []spaced, parts []barParts) ([]grid, float64) {
	out := make([]grid, len(bars))
	if best, ok := bestGrid(bars, parts, out); ok && best <= maxMisfit*float64(len(bars)) {
		return out, best
	}
	sum := 0.0
	for i := range bars {
		best, ok := bestGrid(bars[i:i+1], parts, out[i:i+1])
		if !ok {
			out[i], best = grid{}, 1
		}
		sum += best
	}
	return out, sum
}

// maxMisfit is the mean cost of a bar up to which one cell for the whole
// system is preferred to one for each bar.
const maxMisfit = 0.25

// maxPad is how many columns may stand before the first beat of a bar. A
// first note nearer to the bar line is on the beat; further away, a rest is
// before it.
const maxPad = 3

// bestGrid tries all cells on all bars together and fills in the cheapest.
func bestGrid(bars []spaced, parts []barParts, out []grid) (float64, bool) {
	usual := 1 // the pad of bars that begin with a rest
	for _, b := range bars {
		if len(b.offsets) > 0 && b.offsets[0] <= maxPad {
			usual = b.offsets[0]
			break
		}
	}
	best, found := 0.0, false
	trial := make([]grid, len(bars))
	for cell := maxCell; cell >= 1; cell-- {
		for _, pad := range []int{usual, 1, 0, 2, maxPad} {
			sum := 0.0
			ok := true
			for i, b := range bars {
				p := pad
				if len(b.offsets) > 0 && b.offsets[0] <= maxPad {
					p = b.offsets[0]
				}
				g, fits := fitGrid(b, p, cell, parts)
				if !fits {
					ok = false
					break
				}
				trial[i] = g
				sum += g.cost
			}
			if pad != usual {
				sum += 0.05
			}
			if ok && (!found || sum < best-1e-9) {
				best, found = sum, true
				copy(out, trial)
			}
		}
	}
	return best, found
}

// fitGrid reads a bar on a grid of a pad and a cell. All notes must stand on
// it. The number of parts is one that makes a part a plain or a triplet
// value, as near to the width as there is.
func fitGrid(b spaced, pad, cell int, parts []barParts) (grid, bool) {
	last := -1
	for _, o := range b.offsets {
		if o < pad || (o-pad)%cell != 0 {
			return grid{}, false
		}
		last = (o - pad) / cell
	}
	best := grid{}
	notes := math.Log2(float64(max(1, len(b.offsets))))
	room := float64(b.width-pad) / float64(cell)
	for _, p := range parts {
		if p.n <= last {
			continue
		}
		off := room - float64(p.n)
		if off < 0 {
			off = -off * 1.2 // bars are cut short less often than padded
		} else if cell*p.n+pad+2 >= b.width {
			off *= 0.3 // a column or two before the bar line is usual
		}
		cost := off * float64(cell) / float64(b.width)
		if p.ternary {
			cost += ternaryCost
		}
		cost += 0.02 * (p.log - notes)
		if p.small > 0 {
			cost += 0.04 * float64(p.small)
		}
		if best.n == 0 || cost < best.cost {
			best = grid{pad, cell, p.n, cost}
		}
	}
	return best, best.n > 0
}

type barParts struct {
	n       int
	log     float64 // its logarithm to base 2
	ternary bool
	small   int // how much smaller than a sixteenth a part is, in halvings
}

// parts lists the numbers of equal parts of a bar that are note values: from
// whole notes to hundred-and-twenty-eighths, and triplets of them.
func parts(length score.Quarters) []barParts {
	var out []barParts
	for exp := int64(-2); exp <= 5; exp++ {
		for _, den := range []int64{1, 3} {
			unit := score.Q(4, den<<(exp+2))
			n := length.Div(unit)
			if n.Den() == 1 && n.Num() >= 1 && n.Num() <= 4096 {
				small := 0
				for u := unit; u.Less(score.Q(1, 4*den/max(1, den-1))); u = u.Mul(score.Q(2, 1)) {
					small++
				}
				out = append(out, barParts{int(n.Num()), math.Log2(float64(n.Num())), den == 3, small})
			}
		}
	}
	return out
}

// unbarredCell is the finest grid of a system without bar lines: the greatest
// column step of which all distances between notes are multiples.
func unbarredCell(offsets []int) int {
	g := 0
	for i := 1; i < len(offsets); i++ {
		g = gcd(offsets[i]-offsets[i-1], g)
	}
	return max(g, 1)
}
