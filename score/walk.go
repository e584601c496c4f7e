package score

import (
	"iter"
	"slices"
)

// A Node is anything in the tree: [*Score], [*Part], [*Measure], an [Event]
// or a [*Note].
type Node interface{ node() }

func (*Score) node()   {}
func (*Part) node()    {}
func (*Measure) node() {}
func (*Note) node()    {}

// Walk visits a node and then what is below it, depth first, in the order in
// which the tree holds it. Below a node for which visit returns false it does
// not go.
func Walk(n Node, visit func(Node) bool) { walk(n, visit) }

func walk(n Node, visit func(Node) bool) {
	if !visit(n) {
		return
	}
	switch n := n.(type) {
	case *Score:
		for _, p := range n.Parts {
			walk(p, visit)
		}
	case *Part:
		for _, m := range n.Measures {
			walk(m, visit)
		}
	case *Measure:
		for _, e := range n.Events {
			walk(e, visit)
		}
	case *Chord:
		for _, note := range n.Notes {
			walk(note, visit)
		}
	}
}

// Preorder ranges over a node and all that is below it, in the order of Walk.
func Preorder(n Node) iter.Seq[Node] {
	return func(yield func(Node) bool) {
		more := true
		walk(n, func(n Node) bool {
			more = more && yield(n)
			return more
		})
	}
}

// Notes ranges over all notes below a node.
func Notes(n Node) iter.Seq[*Note] {
	return func(yield func(*Note) bool) {
		for n := range Preorder(n) {
			if note, ok := n.(*Note); ok && !yield(note) {
				return
			}
		}
	}
}

// Chords ranges over all chords and rests of a measure, in order of onset.
func (m *Measure) Chords() iter.Seq[*Chord] {
	return func(yield func(*Chord) bool) {
		for _, e := range m.Events {
			if c, ok := e.(*Chord); ok && !yield(c) {
				return
			}
		}
	}
}

// SortEvents puts the events into order of onset, keeping the order of those
// at the same one.
func (m *Measure) SortEvents() {
	slices.SortStableFunc(m.Events, func(a, b Event) int { return a.At().Cmp(b.At()) })
}
