package transform

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The rule for fingering anew is a simple one. Notes take their places in
// order of time. Each takes the place nearest to the hand, that is to the
// fretted note before; an open string is taken when nothing is in reach, or
// first of all for a note that was open. A choice that leaves a later note without a place is taken back. What sounds
// together lies on strings of its own and under one hand, and what is joined
// keeps its string (see handProblem and linkProblem).
//
// At first only the notes that cannot be held are free; then all that sound
// together with them; then hammer-ons, pull-offs and slides may be given up;
// and at last notes are left without a place, as few as come of it.

// A candidate is a place for a note, and by what harmonic it sounds there if
// the note was a natural harmonic.
type candidate struct {
	place fretboard.Place
	kind  score.HarmonicKind // 0: as the note is marked
	over  int                // semitones of the harmonic above the stopped pitch
}

// candidates returns the places at which a stopped pitch can be played as its
// note is marked.
func (n *neckNote) candidates(pitch theory.Pitch) []candidate {
	var list []candidate
	if !n.natural {
		for _, p := range n.neck.Places(pitch.MIDI()) {
			if n.lo <= p.Fret && p.Fret <= n.hi {
				list = append(list, candidate{place: p})
			}
		}
		return list
	}
	h, _ := n.note.Harmonic()
	sound := pitch.MIDI() + h.Over
	for _, p := range n.neck.HarmonicPlaces(sound) {
		node, _ := fretboard.NodeAt(p.Fret)
		list = append(list, candidate{p, score.NaturalHarmonic, node.Semitones - p.Fret})
	}
	if len(list) == 0 {
		// Touched an octave above a stopped fret the string sounds an octave
		// higher.
		for _, p := range n.neck.Places(sound - 12) {
			if p.Fret >= 1 && p.Fret+12 <= n.neck.TopFret() {
				list = append(list, candidate{p, score.ArtificialHarmonic, 12})
			}
		}
	}
	return list
}

// put takes the note to a place. What sounds stays as it is.
func (n *neckNote) put(c candidate) {
	n.note.Place = c.place
	for i, t := range n.note.Techniques {
		h, ok := t.(score.Harmonic)
		if !ok {
			continue
		}
		if c.kind != 0 {
			// The stopped pitch is what the string gives at the new place.
			sound := n.note.Pitch.Transpose(plainInterval(h.Over))
			n.note.Pitch = sound.Transpose(plainInterval(c.over).Neg())
			h.Kind, h.Over, h.Touch = c.kind, c.over, 0
			if c.kind == score.ArtificialHarmonic {
				h.Touch = c.place.Fret + 12
			}
		} else if n.touch != 0 {
			h.Touch = c.place.Fret + n.touch
		}
		n.note.Techniques[i] = h
		break // a note is one harmonic
	}
}

// plainInterval returns the interval by which a number of semitones is usually
// named: major, minor and perfect ones and the augmented fourth.
func plainInterval(semitones int) theory.Interval {
	steps := [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}
	octaves := int(math.Floor(float64(semitones) / 12))
	rest := semitones - 12*octaves
	return theory.Interval{Steps: steps[rest], Semitones: rest}.Add(theory.Octaves(octaves))
}

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
	slices.SortStableFunc(ways, func(a, b []candidate) int { return cmp.Compare(cost(a), cost(b)) })
	return ways
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
