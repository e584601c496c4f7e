package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// How a part moves on the neck, in this order:
//
//  1. Shape. All frets move by the semitones of the interval, on the same
//     strings. If a fret would leave the neck, the whole part moves by as many
//     octaves as bring it back, else each phrase for itself.
//  2. Harmonics. A natural harmonic goes to the node that gives the moved
//     sound, on its own string if there is one, else the nearest; where there
//     is no node it becomes an artificial harmonic.
//  3. Hand (hand.go). What sounds together, or is joined by a hammer-on or
//     pull-off, must be held by one hand. A shape that the hand could hold
//     before and cannot any more is fingered anew (refinger.go).
//  4. Techniques. A hammer-on, pull-off or slide that could not be kept on
//     one string is taken off, and said.

// A link is two notes that are joined: by a tie, or by a technique that stays
// on its string.
type link struct {
	a, b int // indices of notes, a first
	kind score.SpanKind
	was  score.SpanKind // before a transform that turned it round; 0 for the same
	id   int
	tie  bool
}

// neckPart is a part while it is moved.
type neckPart struct {
	rep   *reporter
	notes []neckNote // in order of onset
	links []link
	sets  [][]int // notes that sound together
	of    [][]int // sets by note

	members map[int][]int              // notes by chain, see [neckPart.settle]
	homes   []*home                    // by note, see [neckPart.settle]
	open    map[*fretboard.Neck][]home // between which the search chooses
	leave   bool                       // joined notes may leave their home, see [neckPart.reached]

	linksOf [][]int // links by note
	pending []bool  // by note: it waits for a place
}

func moveOnNeck(p *score.Part, by theory.Interval, rep *reporter) {
	np := collectNeck(p, rep)
	if len(np.notes) == 0 {
		return
	}
	np.link()
	ranges := np.phrases(p)
	for i, shift := range np.shifts(ranges, by.Semitones) {
		np.moveShape(ranges[i], by, shift)
	}
	if by.Semitones != 0 {
		np.findSets()
		np.refinger()
		np.breakTechniques()
	}
	np.tidyMarks()
}

// collectNeck lists the notes that lie on staves with a neck, in order.
func collectNeck(p *score.Part, rep *reporter) *neckPart {
	np := &neckPart{rep: rep}
	necks := map[int]*fretboard.Neck{}
	var start score.Quarters
	for i, m := range p.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.NeckChange:
				if e.Staff == 0 {
					clear(necks)
				}
				necks[e.Staff] = &e.Neck
			case *score.Chord:
				neck := necks[e.Staff]
				if neck == nil {
					neck = necks[0]
				}
				if neck == nil && e.Staff == 0 {
					neck = necks[1]
				}
				if neck == nil {
					continue
				}
				at := start.Add(e.Onset)
				for _, n := range e.Notes {
					if n.Unpitched {
						continue
					}
					np.notes = append(np.notes, newNeckNote(n, e, i, at, neck))
				}
			}
		}
		start = start.Add(m.Length)
	}
	slices.SortStableFunc(np.notes, func(a, b neckNote) int { return a.at.Cmp(b.at) })
	return np
}

// link finds ties and techniques that keep a string, and gives the notes they
// join one chain.
func (np *neckPart) link() {
	type tieKey struct{ voice, staff, midi int }
	type spanKey struct {
		kind score.SpanKind
		id   int
	}
	ties := map[tieKey]int{}
	spans := map[spanKey]int{}
	for i := range np.notes {
		n := &np.notes[i]
		key := tieKey{n.chord.Voice, n.chord.Staff, n.note.Pitch.MIDI()}
		if n.note.TieStop {
			if a, ok := ties[key]; ok {
				np.links = append(np.links, link{a: a, b: i, tie: true})
				delete(ties, key)
			}
		}
		if n.note.TieStart {
			ties[key] = i
		}
		for _, end := range []score.SpanEnd{score.Stop, score.Start} {
			for _, t := range n.note.Techniques {
				if s, ok := t.(score.Span); ok && s.End == end && s.Kind.KeepsString() {
					k := spanKey{s.Kind, s.ID}
					if a, ok := spans[k]; ok {
						np.links = append(np.links, link{a: min(a, i), b: max(a, i), kind: s.Kind, id: s.ID})
						delete(spans, k)
					} else {
						spans[k] = i
					}
				}
			}
		}
	}
	np.linksOf = make([][]int, len(np.notes))
	for k, l := range np.links {
		np.linksOf[l.a] = append(np.linksOf[l.a], k)
		np.linksOf[l.b] = append(np.linksOf[l.b], k)
	}
	u := newUnion(len(np.notes))
	for _, l := range np.links {
		if np.notes[l.a].from.String == np.notes[l.b].from.String {
			u.join(l.a, l.b)
		}
	}
	for i := range np.notes {
		np.notes[i].chain = u.find(i)
	}
}

// unchain lets hammer-ons, pull-offs and slides of some notes go, so that only
// ties hold their strings together.
func (np *neckPart) unchain(notes []int) {
	for _, i := range notes {
		np.notes[i].chain = i
	}
	for _, i := range notes {
		for _, k := range np.linksOf[i] {
			// Ties are met in order of time, so the earlier chain is final.
			if l := np.links[k]; l.tie && l.b == i {
				np.notes[i].chain = np.notes[l.a].chain
			}
		}
	}
}

// moveShape moves the notes of a phrase along the neck.
func (np *neckPart) moveShape(r [2]int, by theory.Interval, octaves int) {
	frets := by.Semitones + 12*octaves
	for i := r[0]; i < r[1]; i++ {
		n := &np.notes[i]
		if n.muted() {
			n.note.Pitch = n.note.Pitch.Transpose(by.Neg())
			continue
		}
		n.note.Pitch = n.note.Pitch.Transpose(theory.Octaves(octaves))
		n.moved = frets != 0 && !n.from.IsZero()
		switch {
		case frets == 0:
		case n.natural && !n.from.IsZero():
			if c, ok := n.nearestHarmonic(); ok {
				n.put(c)
			}
		case n.movesAsShape():
			n.put(candidate{place: fretboard.Place{String: n.from.String, Fret: n.from.Fret + frets}})
		}
		n.shape = n.note.Place
	}
}

// harmonicJumpsString is what going to another string costs a harmonic, in
// frets: more than any node is away on its own string.
const harmonicJumpsString = 2 * fretboard.MaxFrets

// nearestHarmonic returns the place for a moved natural harmonic: of the nodes
// that speak best the one nearest to where it was, on its own string if there
// is one.
func (n *neckNote) nearestHarmonic() (best candidate, ok bool) {
	cost := func(c candidate) int {
		d := max(c.place.Fret-n.from.Fret, n.from.Fret-c.place.Fret)
		return d + harmonicJumpsString*max(c.place.String-n.from.String, n.from.String-c.place.String)
	}
	for _, c := range n.candidates(n.note.Pitch) {
		faint, fainter := faintness([]candidate{c}), faintness([]candidate{best})
		if !ok || faint < fainter || faint == fainter && cost(c) < cost(best) {
			best, ok = c, true
		}
	}
	return best, ok
}
