package transform

import (
	"fmt"
	"slices"
)

// findSets lists which notes sound together, at every onset at which more
// than one does.
func (np *neckPart) findSets() {
	np.of = make([][]int, len(np.notes))
	np.pending = make([]bool, len(np.notes))
	add := func(set []int) {
		if len(set) < 2 {
			return
		}
		for _, i := range set {
			np.of[i] = append(np.of[i], len(np.sets))
		}
		np.sets = append(np.sets, slices.Clone(set))
	}
	var active []int
	for i := 0; i < len(np.notes); {
		at := np.notes[i].at
		active = slices.DeleteFunc(active, func(j int) bool { return np.notes[j].end.Cmp(at) <= 0 })
		before := len(active)
		var passing []int
		for ; i < len(np.notes) && np.notes[i].at == at; i++ {
			if n := &np.notes[i]; !n.passing {
				active = append(active, i)
			} else {
				if len(passing) > 0 && np.notes[passing[0]].chord != n.chord {
					add(passing)
					passing = nil
				}
				passing = append(passing, i)
			}
		}
		add(passing)
		if len(active) > before {
			add(active)
		}
	}
}

// A trouble is a group of notes that have to be fingered anew together.
type trouble struct {
	notes  []int
	reason string
}

// troubles finds the notes that cannot be played where the shape took them.
func (np *neckPart) troubles() []trouble {
	u := newUnion(len(np.notes))
	reasons := map[int]string{}
	bad := func(notes []int, reason string) {
		for _, i := range notes {
			u.join(notes[0], i)
			u.join(i, np.notes[i].chain)
			if reasons[i] == "" {
				reasons[i] = reason
			}
		}
	}
	for i := range np.notes {
		n := &np.notes[i]
		switch p := n.note.Place; {
		case !n.moved: // what the source has, stands
		case !n.onString():
			bad([]int{i}, fmt.Sprintf("there is no string %d", n.from.String))
		case n.natural && len(n.candidates(n.note.Pitch)) == 0:
			bad([]int{i}, "its harmonic is nowhere on this neck")
		case !n.natural && (p.Fret < n.lo || p.Fret > n.hi):
			bad([]int{i}, fmt.Sprintf("it would lie at fret %d of string %d", p.Fret, p.String))
		}
	}
	for _, set := range np.sets {
		if problem := np.handProblem(set); problem != "" {
			bad(set, problem)
		}
	}
	for _, l := range np.links {
		if problem := np.linkProblem(l); problem != "" {
			bad([]int{l.a, l.b}, problem)
		}
	}
	if len(reasons) == 0 {
		return nil
	}
	// A chain is fingered as a whole, so its sound members join in.
	byRoot := map[int]*trouble{}
	inTrouble := map[int]bool{}
	for i := range reasons {
		inTrouble[u.find(i)] = true
	}
	var order []int
	for i := range np.notes {
		root := u.find(np.notes[i].chain)
		if !inTrouble[root] || np.notes[i].from.IsZero() || np.notes[i].muted() {
			continue
		}
		t := byRoot[root]
		if t == nil {
			t = &trouble{}
			byRoot[root] = t
			order = append(order, root)
		}
		t.notes = append(t.notes, i)
		if t.reason == "" {
			t.reason = reasons[i]
		}
	}
	list := make([]trouble, len(order))
	for i, root := range order {
		list[i] = *byRoot[root]
	}
	return list
}
