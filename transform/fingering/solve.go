package fingering

import (
	"fmt"
	"math"
	"math/big"
	"slices"

	"example.org/lickwright/score"
)

// Check tells what is wrong with a problem: a neck that is none, groups out
// of order, references to notes that are not earlier ones. The functions that
// solve problems return its error.
func (p *Problem) Check() error {
	if err := p.Neck.Validate(); err != nil {
		return err
	}
	for g := range p.Groups {
		group := &p.Groups[g]
		if math.IsNaN(group.Onset) || math.IsInf(group.Onset, 0) || g > 0 && group.Onset < p.Groups[g-1].Onset {
			return fmt.Errorf("group %d begins at %v, before the one before it", g, group.Onset)
		}
		for i := range group.Notes {
			n := &group.Notes[i]
			if n.Join != NotJoined && (n.From.Group < 0 || n.From.Group >= g || n.From.Note < 0 || n.From.Note >= len(p.Groups[n.From.Group].Notes)) {
				return fmt.Errorf("note %d of group %d is joined to %v, which is no earlier note", i, g, n.From)
			}
		}
	}
	return nil
}

// Solve returns the fingering that costs least. What no hand can play is left
// out and listed in its Breaks; the rest is solved.
func Solve(p *Problem, w *Weights) (*Fingering, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	return newMaker(p, w, nil).solve(), nil
}

func (m *maker) solve() *Fingering {
	a := &cheapest{}
	best, layers := walk(m, a, true)
	f := m.fingering(layers, a.path(best))
	f.Cost = a.cost(best)
	return f
}

// fingering writes a path down.
func (m *maker) fingering(layers []*layer, path []int32) *Fingering {
	f := &Fingering{Stops: make([][]Stop, len(m.p.Groups)), Hand: make([]int, len(m.p.Groups)), Breaks: m.breaks}
	total := 0
	for g := range m.p.Groups {
		total += len(m.p.Groups[g].Notes)
	}
	all := make([]Stop, total)
	for g := range m.p.Groups {
		n := len(m.p.Groups[g].Notes)
		f.Stops[g], all = all[:n:n], all[n:]
	}
	for i, l := range layers {
		state := int(path[i])
		f.Hand[l.group] = int(l.shape.pos[state])
		for v, s := range l.shape.at(state) {
			switch ref := l.refs[v]; {
			case v < l.shape.struck:
				f.Stops[l.group][ref.Note] = Stop{s.place(), score.Finger(s.finger)}
			case s.str == 0:
				before := layers[i-1]
				if k := slices.Index(before.refs, ref); before.shape.at(int(path[i-1]))[k].str != 0 {
					f.Cut = append(f.Cut, Cut{ref, l.group})
				}
			}
		}
	}
	// Groups without notes on the neck leave the hand where it was.
	for g := 1; g < len(f.Hand); g++ {
		if f.Hand[g] == 0 {
			f.Hand[g] = f.Hand[g-1]
		}
	}
	return f
}

// maxWays bounds how many paths are looked at for alternatives.
const maxWays = 4096

// Alternatives returns the k cheapest fingerings that differ from each other
// in the place of at least one note, cheapest first; each with its cheapest
// fingers. There may be fewer. Time and memory rise with k, and with how many
// ways there are to finger each: beyond 4,096 in all it gives up the search
// and returns what it has.
func Alternatives(p *Problem, w *Weights, k int) ([]*Fingering, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	m := newMaker(p, w, nil)
	for n := 4 * max(k, 1); ; n *= 4 {
		m.rewind(p)
		a := &cheapestK{k: n}
		ways, layers := walk(m, a, true)
		var list []*Fingering
		for _, way := range ways {
			f := m.fingering(layers, a.path(way))
			f.Cost = way.cost
			if !slices.ContainsFunc(list, f.samePlaces) {
				if list = append(list, f); len(list) == k {
					return list, nil
				}
			}
		}
		if len(ways) < n || n >= maxWays {
			return list, nil
		}
	}
}

func (f *Fingering) samePlaces(o *Fingering) bool {
	for g := range f.Stops {
		for i := range f.Stops[g] {
			if f.Stops[g][i].Place != o.Stops[g][i].Place {
				return false
			}
		}
	}
	return true
}

// Count returns in how many ways the problem can be played, counting places,
// fingers and where the hand stands.
func Count(p *Problem) (*big.Int, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	n, _ := walk(newMaker(p, &Weights{}, nil), counting{}, false)
	if n == nil {
		n = new(big.Int)
	}
	return n, nil
}

// LeastStretch returns the smallest stretch, in millimetres between the
// lowest and the highest fret held at one time, with which the problem can be
// played.
func LeastStretch(p *Problem) (float64, error) {
	if err := p.Check(); err != nil {
		return 0, err
	}
	mm, _ := walk(newMaker(p, &Weights{}, nil), widest{}, false)
	return mm, nil
}

// LogSum returns the logarithm of the sum of e to the minus cost over all
// fingerings, the normalizer of their likelihood.
func LogSum(p *Problem, w *Weights) (float64, error) {
	if err := p.Check(); err != nil {
		return 0, err
	}
	sum, _ := walk(newMaker(p, w, nil), logSum{}, false)
	return sum, nil
}
