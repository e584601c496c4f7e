package transform

import (
	"cmp"
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// The rule for fingering anew is a simple one. Notes take their places in
// order of time. Each takes the place nearest to the hand, that is to the
// fretted note before; an open string is taken when nothing is in reach, or
// first of all for a note that was open. A choice that leaves a later note
// without a place is taken back. What sounds together lies on strings of its
// own and under one hand, and what is joined keeps its string (see handProblem
// and linkProblem).
//
// At first only the notes that cannot be held are free; then all that sound
// together with them; then hammer-ons, pull-offs and slides may be given up;
// and at last notes are left without a place, as few as come of it.

// refinger fingers anew what the hand cannot hold.
func (np *neckPart) refinger() {
	for _, t := range np.troubles() {
		wide := np.widen(t.notes)
		switch {
		case np.solve(t.notes):
		case len(wide) > len(t.notes) && np.solve(wide):
			t.notes = wide
		default:
			np.unchain(wide)
			if !np.solve(wide) {
				np.place(wide)
			}
			t.notes = wide
		}
		np.reportAnew(t)
	}
	np.reportHarmonics()
	np.reportJumps()
	np.reportStretches()
}

// widenLimit bounds how many notes are taken back when a few cannot be
// placed, so that time stays linear in long polyphonic music.
const widenLimit = 64

// widen adds to some notes those that sound together with them and their
// chains.
func (np *neckPart) widen(notes []int) []int {
	chains := map[int]bool{}
	for _, i := range notes {
		chains[np.notes[i].chain] = true
		for _, s := range np.of[i] {
			for _, j := range np.sets[s] {
				chains[np.notes[j].chain] = true
			}
		}
	}
	in := map[int]bool{}
	add := func(i int) {
		if n := &np.notes[i]; chains[n.chain] && !n.from.IsZero() && !n.muted() {
			in[i] = true
		}
	}
	// Chains are short and near: look only around the notes themselves.
	lo, hi := max(0, notes[0]-widenLimit), min(len(np.notes), notes[len(notes)-1]+widenLimit)
	for i := lo; i < hi; i++ {
		add(i)
	}
	for _, i := range notes {
		in[i] = true
	}
	wide := make([]int, 0, len(in))
	for i := range in {
		wide = append(wide, i)
	}
	slices.Sort(wide)
	return wide
}

// A strand is a chain of notes with the candidates it has as a whole.
type strand struct {
	notes   []int
	options [][]candidate // each as long as notes
}

// strands groups notes by chain, in order of time.
func (np *neckPart) strands(notes []int) []strand {
	var list []strand
	index := map[int]int{}
	for _, i := range notes {
		c := np.notes[i].chain
		k, ok := index[c]
		if !ok {
			k = len(list)
			index[c] = k
			list = append(list, strand{})
		}
		list[k].notes = append(list[k].notes, i)
	}
	for k := range list {
		list[k].options = np.options(list[k].notes)
	}
	return list
}

// options returns the ways to put a chain on one string.
func (np *neckPart) options(notes []int) [][]candidate {
	first := &np.notes[notes[0]]
	var all [][]candidate
next:
	for _, c := range first.candidates(first.note.Pitch) {
		way := []candidate{c}
		for _, i := range notes[1:] {
			n := &np.notes[i]
			found := false
			for _, d := range n.candidates(n.note.Pitch) {
				if d.place.String == c.place.String && (!n.natural || !first.natural || d == c) {
					way, found = append(way, d), true
					break
				}
			}
			if !found {
				continue next
			}
		}
		all = append(all, way)
	}
	return all
}

// solveBudget bounds the search for places of one group.
const solveBudget = 4000

// solve finds places for some notes, the rest staying where they are. It
// reports whether it did; if not, the notes are as they were.
func (np *neckPart) solve(notes []int) bool {
	before := make([]score.Note, len(notes))
	for k, i := range notes {
		before[k] = *np.notes[i].note
		before[k].Techniques = slices.Clone(before[k].Techniques)
		np.pending[i] = true
	}
	strands := np.strands(notes)
	budget := solveBudget
	var place func(k int, hand float64) bool
	place = func(k int, hand float64) bool {
		if k == len(strands) {
			return true
		}
		s := strands[k]
		for _, way := range np.byNearness(s, hand) {
			if budget--; budget < 0 {
				return false
			}
			np.putStrand(s, way)
			if np.fits(s) && place(k+1, np.handAfter(s, hand)) {
				return true
			}
			np.wait(s)
		}
		return false
	}
	if place(0, np.handBefore(notes)) {
		return true
	}
	for k, i := range notes {
		*np.notes[i].note = before[k]
		np.pending[i] = false
	}
	return false
}

// place puts as many of some notes as it can, one chain after the other, and
// leaves the rest without a place. Of notes that begin together the highest
// comes first: it is the one that is heard as the melody.
func (np *neckPart) place(notes []int) {
	for _, i := range notes {
		np.pending[i] = true
	}
	hand := np.handBefore(notes)
	strands := np.strands(notes)
	slices.SortStableFunc(strands, func(s, t strand) int {
		a, b := &np.notes[s.notes[0]], &np.notes[t.notes[0]]
		return cmp.Or(a.at.Cmp(b.at), cmp.Compare(b.note.Sounding(), a.note.Sounding()))
	})
next:
	for _, s := range strands {
		for _, way := range np.byNearness(s, hand) {
			np.putStrand(s, way)
			if np.fits(s) {
				hand = np.handAfter(s, hand)
				continue next
			}
			np.wait(s)
		}
		for _, i := range s.notes {
			np.notes[i].note.Place = fretboard.Place{}
			np.pending[i] = false
		}
	}
}

func (np *neckPart) putStrand(s strand, way []candidate) {
	for k, i := range s.notes {
		np.notes[i].put(way[k])
		np.pending[i] = false
	}
}

func (np *neckPart) wait(s strand) {
	for _, i := range s.notes {
		np.pending[i] = true
	}
}

// fits tells whether a chain can be played where it is, with what is placed.
func (np *neckPart) fits(s strand) bool {
	for _, i := range s.notes {
		for _, set := range np.of[i] {
			if np.handProblem(np.sets[set]) != "" {
				return false
			}
		}
		for _, l := range np.linksOf[i] {
			if l := np.links[l]; np.notes[l.a].chain == np.notes[l.b].chain && np.linkProblem(l) != "" {
				return false
			}
		}
	}
	return true
}

// byNearness sorts the ways to place a chain by how far its first fretted
// note is from the hand.
func (np *neckPart) byNearness(s strand, hand float64) [][]candidate {
	n := &np.notes[s.notes[0]]
	cost := func(way []candidate) float64 {
		for _, c := range way {
			if c.place.Fret > 0 {
				return math.Abs(n.millimetres(c.place.Fret) - hand)
			}
		}
		if n.from.Fret == 0 && !n.from.IsZero() {
			return -1 // it was open: an open string before all others
		}
		return ReachLimit // open: when nothing is in reach
	}
	ways := slices.Clone(s.options)
	slices.SortStableFunc(ways, func(a, b []candidate) int {
		return cmp.Or(cmp.Compare(faintness(a), faintness(b)), cmp.Compare(cost(a), cost(b)))
	})
	return ways
}

// faintness ranks how hard a natural harmonic is to bring out: the octave, its
// fifth and the second octave (frets 12, 7, 5 and their like) speak easily,
// the third above less so (4, 9, 16), the next fifth least (3). Other notes
// rank 0. Source: common practice.
func faintness(way []candidate) int {
	if way[0].kind != score.NaturalHarmonic {
		return 0
	}
	node, _ := fretboard.NodeAt(way[0].place.Fret)
	return max(0, node.Partial-4)
}

func (n *neckNote) millimetres(fret int) float64 {
	return fretboard.FretDistance(n.neck.Capo+fret, fretboard.ScaleLength)
}

// handAfter returns where the hand is after a chain, in millimetres from the
// nut.
func (np *neckPart) handAfter(s strand, hand float64) float64 {
	for _, i := range s.notes {
		if n := &np.notes[i]; n.fretted() {
			hand = n.millimetres(n.note.Place.Fret)
		}
	}
	return hand
}

// handBefore returns where the hand is before some notes: at the last fretted
// note before them, else at the first after, else where the shape took them.
func (np *neckPart) handBefore(notes []int) float64 {
	near := func(i int) (float64, bool) {
		n := &np.notes[i]
		return n.millimetres(n.note.Place.Fret), n.fretted() && !np.pending[i]
	}
	for i := notes[0] - 1; i >= max(0, notes[0]-widenLimit); i-- {
		if mm, ok := near(i); ok {
			return mm
		}
	}
	for i := notes[0] + 1; i < min(len(np.notes), notes[0]+widenLimit); i++ {
		if mm, ok := near(i); ok {
			return mm
		}
	}
	n := &np.notes[notes[0]]
	return n.millimetres(min(max(n.note.Place.Fret, 0), n.neck.TopFret()))
}
