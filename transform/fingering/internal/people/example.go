package people

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/transform/fingering"
)

// A Kind is what a statement is about: the sets of [Set] without overlap.
type Kind int

// The kinds.
const (
	OfPlayed Kind = iota
	OfString
	OfOpen
	OfFinger
	OfRule
	NumKinds
)

// window is how many groups before and after a statement are looked at when
// learning from it.
const window = 6

// Windows cuts pieces into the stretches around statements, so that learning
// need not look at music that nothing is known of.
func Windows(pieces []*Piece) []*Piece {
	var list []*Piece
	for _, p := range pieces {
		wanted := make([]bool, len(p.Problem.Groups))
		for _, s := range p.Stated {
			for g := max(0, s.At.Group-window); g <= min(len(wanted)-1, s.At.Group+window); g++ {
				wanted[g] = true
			}
		}
		for from := 0; from < len(wanted); from++ {
			if !wanted[from] {
				continue
			}
			to := from
			for to < len(wanted) && wanted[to] {
				to++
			}
			w := &Piece{Name: p.Name, Played: p.Played, Rule: p.Rule, Problem: part(p.Problem, from, to)}
			for _, s := range p.Stated {
				if from <= s.At.Group && s.At.Group < to {
					s.At.Group -= from
					w.Stated = append(w.Stated, s)
				}
			}
			list = append(list, w)
			from = to
		}
	}
	return list
}

// Examples makes an example for learning of every piece, with every kind of
// statement apart. share says how much all statements of a kind together
// count; it is spread over their number.
func Examples(pieces []*Piece, share [NumKinds]float64) []fingering.Example {
	var count [NumKinds]int
	for _, p := range pieces {
		for _, s := range p.Stated {
			for _, k := range p.kinds(s) {
				count[k]++
			}
		}
	}
	var list []fingering.Example
	for _, p := range pieces {
		e := fingering.Example{Problem: p.Problem}
		for k := range NumKinds {
			stated := part(p.Problem, 0, len(p.Problem.Groups))
			n := 0
			for _, s := range p.Stated {
				if !slices.Contains(p.kinds(s), k) {
					continue
				}
				note := &stated.Groups[s.At.Group].Notes[s.At.Note]
				if k == OfFinger {
					note.Finger = s.Finger
				} else {
					note.Strings = 1 << s.Place.String
				}
				n++
			}
			if n > 0 && share[k] > 0 {
				e.Stated = append(e.Stated, stated)
				e.Share = append(e.Share, share[k]/float64(count[k]))
			}
		}
		list = append(list, e)
	}
	return list
}

func (p *Piece) kinds(s Stated) []Kind {
	var list []Kind
	switch {
	case p.Rule:
		list = append(list, OfRule)
	case p.Played:
		list = append(list, OfPlayed)
	case s.Open:
		list = append(list, OfOpen)
	case !s.Place.IsZero():
		list = append(list, OfString)
	}
	if s.Finger != score.NoFinger {
		list = append(list, OfFinger)
	}
	return list
}

// part copies some groups of a problem.
func part(p *fingering.Problem, from, to int) *fingering.Problem {
	q := *p
	q.Groups = slices.Clone(p.Groups[from:to])
	for g := range q.Groups {
		q.Groups[g].Notes = slices.Clone(q.Groups[g].Notes)
	}
	if q.Groups[0].Tempo == 0 {
		for g := from; g >= 0; g-- {
			if t := p.Groups[g].Tempo; t > 0 {
				q.Groups[0].Tempo = t
				break
			}
		}
	}
	return &q
}
