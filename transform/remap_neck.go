package transform

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// How mapped notes take their places. A note that keeps its sound keeps its
// place. The others look for the place that costs least: outside of the frets
// that the hand covered around that note in the source each millimetre counts,
// then another string, then the way from the note before. What is joined keeps
// one string, and a chord has to be held by one hand. What is left over is
// fingered anew like anything that was transposed (refinger.go).

const (
	aroundNotes  = 4                      // notes before and after that tell where the hand is
	handFrets    = 4                      // frets that it covers there
	stringCost   = 4.0                    // millimetres that another string is worth
	apartCost    = 4                      // times as much where a chord would lie on strings further apart
	repeatCost   = 16.0                   // what a pitch costs at another place than that of the same pitch beside it
	openCost     = ReachLimit / 2         // what an open string costs where a finger was
	movementCost = 1.0 / 8                // of the way from the note before
	outsideCost  = 4 * ReachLimit         // what lies outside of the scheme costs, and each millimetre as much
	noRegionFit  = 4 * fretboard.MaxFrets // in frets: how far a region without a place is
)

// place fingers what was mapped.
func (lm *lineMap) place() {
	lm.staleLabels()
	np := collectNeck(lm.part, lm.rep)
	if len(np.notes) == 0 {
		return
	}
	np.link()
	for k := range np.links {
		np.links[k].was = lm.kindBefore[spanID{np.links[k].kind, np.links[k].id}]
	}
	np.findSets()
	var changed []int
	for i := range np.notes {
		n := &np.notes[i]
		n.shape = n.from
		k, ok := lm.index[n.note]
		if !ok || !lm.notes[k].mapped || n.from.IsZero() || n.muted() || !n.onString() {
			continue
		}
		x := lm.notes[k]
		if b, ok := n.note.Bend(); ok && x.bend && !b.WithBar {
			amount := b.Amount.Float()
			neck := n.neck
			n.allow = func(p fretboard.Place) bool { return amount <= bendLimit(neck, p) }
		}
		if d := n.note.Pitch.MIDI() - x.was.MIDI(); d != 0 || n.allow != nil && !n.allow(n.from) || lm.r.opt.Scheme != nil {
			changed = append(changed, i)
			n.moved = true
		}
	}
	if len(changed) == 0 {
		np.tidyMarks()
		return
	}
	hands := np.handsAround()
	region := lm.region(np, hands)
	lm.placeStrands(np, changed, hands, region)
	np.refinger()
	np.breakTechniques()
	np.tidyMarks()
	lm.reportBends(np)
	lm.reportScheme(np, changed, region)
}

// bendLimit returns by how many semitones a string can be bent at a place:
// four on a plain string from the fifth fret on, one less for each two frets
// below; two on a wound one from the fifth fret on, one below. Plain are the
// strings that are G3 or higher.
// Source: common practice, on electric strings; hands and gauges differ.
func bendLimit(n *fretboard.Neck, p fretboard.Place) float64 {
	fret := p.Fret + n.Capo
	plain := n.Tuning.Open(p.String).MIDI() >= plainFrom
	switch {
	case p.Fret == 0:
		return 0
	case plain && fret >= 5:
		return 4
	case plain && fret >= 3:
		return 3
	case plain || fret >= 5:
		return 2
	}
	return 1
}

const plainFrom = 55 // G3, the third string of a guitar

// A window is the frets that the hand covers, and the string it is on.
type window struct{ lo, hi int }

// handsAround returns where the hand is at each note of the source.
func (np *neckPart) handsAround() []window {
	hands := make([]window, len(np.notes))
	for i := range np.notes {
		centre := 0
		if np.notes[i].wasFretted {
			centre = np.notes[i].from.Fret
		} else {
			// An open string is played where the hand is: at the fretted note
			// next to it.
			for d := 1; d <= aroundNotes && centre == 0; d++ {
				for _, j := range [...]int{i - d, i + d} {
					if 0 <= j && j < len(np.notes) && np.notes[j].wasFretted && centre == 0 {
						centre = np.notes[j].from.Fret
					}
				}
			}
			if centre == 0 {
				centre = 1
			}
		}
		w := window{centre, centre}
		for d := 1; d <= aroundNotes; d++ {
			for _, j := range [...]int{i - d, i + d} {
				if j < 0 || j >= len(np.notes) || !np.notes[j].wasFretted {
					continue
				}
				f := np.notes[j].from.Fret
				lo, hi := min(w.lo, f), max(w.hi, f)
				if hi-lo < handFrets {
					w = window{lo, hi}
				}
			}
		}
		for w.hi-w.lo < handFrets-1 { // an equal share on both sides
			if w.lo > 1 {
				w.lo--
			}
			if w.hi-w.lo < handFrets-1 {
				w.hi++
			}
		}
		hands[i] = w
	}
	return hands
}

// reachOut returns the millimetres from a fret to the hand.
func (w window) reachOut(n *neckNote, fret int) float64 {
	switch {
	case fret < w.lo:
		return n.millimetres(w.lo) - n.millimetres(fret)
	case fret > w.hi:
		return n.millimetres(fret) - n.millimetres(w.hi)
	}
	return 0
}

// region returns the region of the scheme that is nearest to the hand of the
// source, nil if no scheme was asked for or it cannot be had.
func (lm *lineMap) region(np *neckPart, hands []window) *fretboard.Region {
	if lm.r.opt.Scheme == nil {
		return nil
	}
	regions, err := lm.r.opt.Scheme.Regions(*np.notes[0].neck, lm.r.scheme)
	if err != nil {
		lm.rep.add(score.NotDone, CodeRemapScheme, lm.part.Src, lm.rep.inPart()+"the scheme cannot be had: "+err.Error(), "the notes stay near the old hand")
		return nil
	}
	var best *fretboard.Region
	least := math.Inf(1)
	for k := range regions {
		total := 0.0
		for i := range np.notes {
			n := &np.notes[i]
			nearest := float64(noRegionFit)
			for _, c := range n.candidates(n.note.Pitch) {
				if mm, ok := regions[k].Fit(c.place); ok {
					nearest = min(nearest, mm+hands[i].reachOut(n, c.place.Fret))
				}
			}
			total += nearest
		}
		if total < least {
			best, least = &regions[k], total
		}
	}
	return best
}

// placeStrands gives the changed notes their places, in order of time; of
// those that begin together the highest first.
func (lm *lineMap) placeStrands(np *neckPart, changed []int, hands []window, region *fretboard.Region) {
	all := np.withChains(changed)
	for _, i := range all {
		np.pending[i] = true
		np.notes[i].moved = true
	}
	strands := np.strands(all)
	slices.SortStableFunc(strands, func(s, t strand) int {
		a, b := &np.notes[s.notes[0]], &np.notes[t.notes[0]]
		return cmp.Or(a.at.Cmp(b.at), cmp.Compare(b.note.Sounding(), a.note.Sounding()))
	})
	hand := np.handBefore(all)
	for _, s := range strands {
		cost := func(way []candidate) float64 {
			total := 0.0
			for k, i := range s.notes {
				n := &np.notes[i]
				p := way[k].place
				d := float64(max(p.String-n.from.String, n.from.String-p.String))
				total += stringCost * (d + apartCost*np.spreads(i, p))
				if np.repeats(i, p) {
					total += repeatCost
				}
				switch {
				case p.Fret > 0:
					total += hands[i].reachOut(n, p.Fret) + movementCost*math.Abs(n.millimetres(p.Fret)-hand)
				case n.from.Fret != 0:
					total += openCost
				}
				if region != nil {
					mm, ok := region.Fit(p)
					if !ok {
						mm = outsideCost + outsideCost*window{region.Low, region.High}.reachOut(n, p.Fret)
					}
					total += mm
				}
			}
			return total
		}
		done := np.cheapest(s, cost)
		if !done && np.allowAll(s) { // a bend that is too wide is said, the note stays
			s.options = np.options(s.notes)
			done = np.cheapest(s, cost)
		}
		if !done {
			// Where it would lie on its own string; refinger looks for more
			// room and says what cannot be had.
			for _, i := range s.notes {
				np.notes[i].alongString()
				np.pending[i] = false
			}
		}
		hand = np.handAfter(s, hand)
	}
}

// repeats tells whether the note before or after has the same pitch at another
// place.
func (np *neckPart) repeats(i int, p fretboard.Place) bool {
	for _, j := range [...]int{i - 1, i + 1} {
		if j < 0 || j >= len(np.notes) || np.pending[j] {
			continue
		}
		m := &np.notes[j]
		if m.chord != np.notes[i].chord && !m.note.Place.IsZero() && m.note.Place != p && m.note.Pitch.MIDI() == np.notes[i].note.Pitch.MIDI() {
			return true
		}
	}
	return false
}

// spreads returns by how many strings a place would change the distances
// between a note and the notes of its chord that have their places.
func (np *neckPart) spreads(i int, p fretboard.Place) float64 {
	n := &np.notes[i]
	total := 0
	for j := max(0, i-fretboard.MaxStrings); j < min(len(np.notes), i+fretboard.MaxStrings); j++ {
		m := &np.notes[j]
		if j == i || m.chord != n.chord || np.pending[j] || m.note.Place.IsZero() {
			continue
		}
		d := (p.String - m.note.Place.String) - (n.from.String - m.from.String)
		total += max(d, -d)
	}
	return float64(total)
}

// cheapest puts a strand the cheapest way in which it can be played, and
// tells whether there is one.
func (np *neckPart) cheapest(s strand, cost func([]candidate) float64) bool {
	ways := slices.Clone(s.options)
	slices.SortStableFunc(ways, func(a, b []candidate) int { return cmp.Compare(cost(a), cost(b)) })
	for _, way := range ways {
		np.putStrand(s, way)
		if np.fits(s) {
			return true
		}
		np.wait(s)
	}
	return false
}

// allowAll lifts what a transform does not allow, and tells whether there was
// anything.
func (np *neckPart) allowAll(s strand) (any bool) {
	for _, i := range s.notes {
		any = any || np.notes[i].allow != nil
		np.notes[i].allow = nil
	}
	return any
}

// alongString puts a note on the string it had, at whatever fret that is.
func (n *neckNote) alongString() {
	p := fretboard.Place{String: n.from.String}
	p.Fret = n.note.Pitch.MIDI() - n.neck.Stopped(p)
	if !n.natural {
		n.put(candidate{place: p})
	}
}

// withChains adds to notes those on whose string they depend.
func (np *neckPart) withChains(notes []int) []int {
	chains := map[int]bool{}
	for _, i := range notes {
		chains[np.notes[i].chain] = true
	}
	var all []int
	for i := range np.notes {
		if n := &np.notes[i]; chains[n.chain] && !n.from.IsZero() && !n.muted() {
			all = append(all, i)
		}
	}
	return all
}

// reportBends names the bends that are wider than their strings allow.
func (lm *lineMap) reportBends(np *neckPart) {
	for i := range np.notes {
		n := &np.notes[i]
		b, ok := n.note.Bend()
		k, known := lm.index[n.note]
		if !ok || !known || !lm.notes[k].bend || b.WithBar {
			continue
		}
		amount := b.Amount.Float()
		if p := n.note.Place; !p.IsZero() && amount > bendLimit(n.neck, p) {
			lm.rep.add(score.NotDone, CodeRemapBend, n.note.Src, fmt.Sprintf("%s: a bend of %v semitones is more than string %d allows at fret %d, about %v",
				np.whereIs(i), b.Amount, p.String, p.Fret, bendLimit(n.neck, p)), "it is written as it would have to sound; slide or pluck the target instead")
		}
	}
}

// reportScheme names the notes that lie outside of the scheme.
func (lm *lineMap) reportScheme(np *neckPart, changed []int, region *fretboard.Region) {
	if region == nil {
		return
	}
	for _, i := range changed {
		n := &np.notes[i]
		if n.note.Place.IsZero() {
			continue
		}
		if _, ok := region.Fit(n.note.Place); !ok {
			lm.rep.add(score.Warning, CodeRemapScheme, n.note.Src, fmt.Sprintf("%s: %s lies outside of %s, at string %d fret %d",
				np.whereIs(i), n.note.Pitch.Pretty(), region.Name, n.note.Place.String, n.note.Place.Fret), "")
		}
	}
}
