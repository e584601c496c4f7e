package people

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/transform/fingering"
)

// A Set is one of the sets of statements that are reported apart.
type Set int

// Played is the string of each note played; Strings is where editors printed
// a string number, StringsOpen where they printed that or an open string,
// Fingers where they printed a finger of the left hand. Ruled are the notes
// of [Rules], which nobody played.
const (
	Played Set = iota
	Strings
	StringsOpen
	Fingers
	Ruled
	NumSets
)

// String returns the name of the set as tables have it.
func (s Set) String() string { return [...]string{"played", "S", "S+O", "fingers", "by rule"}[s] }

// A Tally counts by set.
type Tally [NumSets]struct{ Right, Of int }

// Add adds another tally.
func (t *Tally) Add(u Tally) {
	for s := range t {
		t[s].Right += u[s].Right
		t[s].Of += u[s].Of
	}
}

// Judge compares a choice with what people did: over all statements, and over
// those on notes that have more than one place (for fingers: all).
func (p *Piece) Judge(stops [][]fingering.Stop) (all, ambiguous Tally) {
	for _, s := range p.Stated {
		got := stops[s.At.Group][s.At.Note]
		choice := len(p.Problem.Neck.Places(p.Problem.Groups[s.At.Group].Notes[s.At.Note].Pitch)) > 1
		count := func(set Set, right bool) {
			n := 0
			if right {
				n = 1
			}
			all[set].Of++
			all[set].Right += n
			if choice {
				ambiguous[set].Of++
				ambiguous[set].Right += n
			}
		}
		if !s.Place.IsZero() {
			right := got.Place.String == s.Place.String
			switch {
			case p.Rule:
				count(Ruled, right)
			case p.Played:
				count(Played, right)
			case s.Open:
				count(StringsOpen, right)
			default:
				count(Strings, right)
				count(StringsOpen, right)
			}
		}
		if s.Finger != score.NoFinger {
			count(Fingers, got.Finger == s.Finger)
		}
	}
	return all, ambiguous
}

// Interval returns the share of a set that is right, in percent, with its
// 95 % confidence interval: percentiles of 2,000 resamplings of the pieces.
// Source: the percentile bootstrap by cluster (Efron & Tibshirani, An
// Introduction to the Bootstrap, 1993, ch. 13; pieces being the clusters).
func Interval(set Set, pieces []Tally) (share, low, high float64) {
	var sum Tally
	pieces = slices.DeleteFunc(slices.Clone(pieces), func(t Tally) bool { return t[set].Of == 0 })
	for _, t := range pieces {
		sum.Add(t)
	}
	if sum[set].Of == 0 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	r := rand.New(rand.NewPCG(1, uint64(set)))
	draws := make([]float64, 2000)
	for i := range draws {
		right, of := 0, 0
		for range pieces {
			t := pieces[r.IntN(len(pieces))]
			right += t[set].Right
			of += t[set].Of
		}
		draws[i] = 100 * float64(right) / float64(of)
	}
	slices.Sort(draws)
	return 100 * float64(sum[set].Right) / float64(sum[set].Of), draws[len(draws)*25/1000], draws[len(draws)*975/1000]
}

// Line writes one line of a table: the shares of all sets.
func Line(name string, pieces []Tally) string {
	s := fmt.Sprintf("%-28s", name)
	for set := range Ruled {
		share, low, high := Interval(set, pieces)
		if math.IsNaN(share) {
			s += fmt.Sprintf("  %17s", "-")
			continue
		}
		s += fmt.Sprintf("  %5.1f (%4.1f–%5.1f)", share, low, high)
	}
	return s
}

// Header is the head of the table that [Line] writes lines of.
func Header() string {
	s := fmt.Sprintf("%-28s", "per cent (95 % by piece)")
	for set := range Ruled {
		s += fmt.Sprintf("  %18s", set)
	}
	return s
}
