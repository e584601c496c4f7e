package fingering

import (
	"slices"

	"example.org/lickwright/score"
)

// A Cost is what one term costs in each of two fingerings, in the unit of
// [Fingering.Cost].
type Cost struct {
	Term            Term
	Best, Preferred float64
}

// A Difference is the terms that cost differently in a group and on the way
// to it, the greatest loss of the preferred fingering first.
type Difference struct {
	Group int
	Costs []Cost
}

// A Comparison says why the search does not choose a fingering that a player
// prefers.
type Comparison struct {
	Best      *Fingering
	Preferred *Fingering // the cheapest that has the places and fingers asked for
	// Broken are the rules that the preferred fingering breaks; if there are
	// any, its cost means nothing.
	Broken []Break
	Groups []Difference
}

// WhyNot compares the cheapest fingering with one that a player prefers. Where
// preferred has the zero Place the place is free, and where it has no finger
// the finger is.
func WhyNot(p *Problem, w *Weights, preferred [][]Stop) (*Comparison, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	asked := *p
	asked.Groups = slices.Clone(p.Groups)
	var c Comparison
	for g := range min(len(asked.Groups), len(preferred)) {
		notes := slices.Clone(asked.Groups[g].Notes)
		asked.Groups[g].Notes = notes
		for i := range min(len(notes), len(preferred[g])) {
			s := preferred[g][i]
			if s.Place.IsZero() {
				continue
			}
			allowed := notes[i].Strings == 0 || notes[i].Strings>>s.Place.String&1 == 1
			if !allowed || notes[i].Fret > 0 && notes[i].Fret != s.Place.Fret+1 {
				c.Broken = append(c.Broken, Break{g, []int{i}, "another place is prescribed"})
				continue
			}
			notes[i].Strings, notes[i].Fret = 1<<s.Place.String, s.Place.Fret+1
			if s.Finger >= score.Index && s.Finger <= score.Little {
				notes[i].Finger = s.Finger
			}
		}
	}
	var best, other [][]amount
	c.Best, best = explained(p, w)
	c.Preferred, other = explained(&asked, w)
	for _, b := range c.Preferred.Breaks {
		if !slices.ContainsFunc(c.Best.Breaks, func(o Break) bool { return o.Group == b.Group && slices.Equal(o.Notes, b.Notes) }) {
			c.Broken = append(c.Broken, b)
		}
	}
	for g := range p.Groups {
		if d := difference(g, w, best[g], other[g]); len(d.Costs) > 0 {
			c.Groups = append(c.Groups, d)
		}
	}
	return &c, nil
}

// difference lists the terms in which two lists of amounts differ. Haste is
// in the amounts already.
func difference(g int, w *Weights, best, other []amount) Difference {
	var sum [2][numTerms]float64
	for i, list := range [][]amount{best, other} {
		for _, a := range list {
			sum[i][a.term] += w[a.term] * a.n
		}
	}
	d := Difference{Group: g}
	for t := range numTerms {
		if x, y := sum[0][t], sum[1][t]; x-y > 1e-9 || y-x > 1e-9 {
			d.Costs = append(d.Costs, Cost{t, x, y})
		}
	}
	slices.SortStableFunc(d.Costs, func(a, b Cost) int {
		if x, y := a.Preferred-a.Best, b.Preferred-b.Best; x > y {
			return -1
		} else if x < y {
			return 1
		}
		return 0
	})
	return d
}

// explained solves a problem and lists the terms of the solution by group.
func explained(p *Problem, w *Weights) (*Fingering, [][]amount) {
	m := newMaker(p, w, nil)
	m.steps = true
	a := &cheapest{}
	best, layers := walk(m, a, true)
	path := a.path(best)
	f := m.fingering(layers, path)
	f.Cost = a.cost(best)
	terms := make([][]amount, len(p.Groups))
	for i, l := range layers {
		list := l.shape.terms[l.shape.from[path[i]]:l.shape.from[path[i]+1]]
		list = slices.Clone(list)
		if i > 0 && l.step != l.freely {
			list = append(list, m.rules.way(l.step.of, int(path[i-1]), int(path[i]), l.haste)...)
		}
		terms[l.group] = list
	}
	return f, terms
}

// way returns the terms of the step between two states, multiplied by haste
// where they are hasty. It is the definition that the gadget factors.
func (r *rules) way(s *step, from, to int, haste float64) []amount {
	a, b := s.a.leads[s.a.lead[from]], s.b.leads[s.b.lead[to]]
	list := r.between(s, a, b, nil)
	before, after := make([]stop, len(s.carries)), make([]stop, len(s.carries))
	for i, c := range s.carries {
		before[i], after[i] = s.a.at(from)[c.before], s.b.at(to)[c.after]
	}
	released, anchored, _ := r.follow(s.carries, before, after)
	if released > 0 {
		list = append(list, amount{Release, float64(released)})
	}
	p, q := s.a.pos[from], s.b.pos[to]
	if p == q {
		list = hops(a, b, list)
	} else {
		once, along := moving(s.motionOf(a, b), r.mm[max(p, q)]-r.mm[min(p, q)])
		list = append(append(list, once[:]...), along[:]...)
		if anchored {
			list = append(list, amount{Anchored, 1})
		}
		if alongString(a, b) {
			list = append(list, amount{ShiftOnString, 1})
		}
	}
	for i := range list {
		if list[i].term.hasty() {
			list[i].n *= haste
		}
	}
	return list
}
