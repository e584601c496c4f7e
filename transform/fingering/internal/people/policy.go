package people

import (
	"math"
	"slices"

	"example.org/lickwright/transform/fingering"
)

// A Choice is where something puts the notes of a problem.
type Choice func(p *fingering.Problem) [][]fingering.Stop

// LowestFret puts every note at its lowest fret. Of a chord the highest note
// chooses first, and no string is taken twice.
func LowestFret(p *fingering.Problem) [][]fingering.Stop {
	return policy(p, func(fret int, _ float64) float64 { return float64(fret) })
}

// NearestFret puts every note as near as it can to the fret before, or to the
// mean of the frets of a chord before.
func NearestFret(p *fingering.Problem) [][]fingering.Stop {
	return policy(p, func(fret int, last float64) float64 { return math.Abs(float64(fret) - last) })
}

func policy(p *fingering.Problem, cost func(fret int, last float64) float64) [][]fingering.Stop {
	out := make([][]fingering.Stop, len(p.Groups))
	last := 0.0
	for g, group := range p.Groups {
		stops := make([]fingering.Stop, len(group.Notes))
		order := make([]int, len(group.Notes))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return group.Notes[b].Pitch - group.Notes[a].Pitch })
		taken, sum, n := 0, 0, 0
		for _, i := range order {
			best := math.Inf(1)
			for _, pl := range p.Neck.Places(group.Notes[i].Pitch) {
				if c := cost(pl.Fret, last); taken>>pl.String&1 == 0 && c < best {
					best, stops[i].Place = c, pl
				}
			}
			if pl := stops[i].Place; !pl.IsZero() {
				taken |= 1 << pl.String
				sum += pl.Fret
				n++
			}
		}
		if n > 0 {
			last = float64(sum) / float64(n)
		}
		out[g] = stops
	}
	return out
}

// Fingered returns the choice that the search makes with some weights.
func Fingered(w *fingering.Weights) Choice {
	return func(p *fingering.Problem) [][]fingering.Stop {
		f, err := fingering.Solve(p, w)
		if err != nil {
			return make([][]fingering.Stop, len(p.Groups))
		}
		return f.Stops
	}
}
