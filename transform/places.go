package transform

import (
	"fmt"
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

// A neckNote is a note of a part that is played on a neck, with what moving
// it needs to know.
type neckNote struct {
	note    *score.Note
	chord   *score.Chord
	measure int
	at, end score.Quarters // from the start of the part
	neck    *fretboard.Neck

	from       fretboard.Place // before the move; zero if it had none
	wasFretted bool            // a finger held it before the move
	natural    bool            // it was a natural harmonic before the move
	touch      int             // frets from the stopped to the touched fret of other harmonics; 0 for none
	lo, hi     int             // lowest and highest fret at which it can be played as it is marked

	// passing notes (grace notes, cues) take no time of their own: they are
	// looked at as a chord but not together with what sounds on.
	passing bool
	chain   int             // notes of one chain stay on one string
	moved   bool            // its frets or its node had to change
	shape   fretboard.Place // where the shape took it
}

func newNeckNote(n *score.Note, c *score.Chord, measure int, at score.Quarters, neck *fretboard.Neck) neckNote {
	x := neckNote{note: n, chord: c, measure: measure, at: at, end: at.Add(c.Duration), neck: neck, from: n.Place,
		passing: c.Grace != score.NotGrace || c.Cue}
	if h, ok := n.Harmonic(); ok {
		x.natural = h.Kind == score.NaturalHarmonic
		if !x.natural && h.Touch > 0 {
			x.touch = h.Touch - n.Place.Fret
		}
	}
	x.wasFretted = x.fretted()
	x.lo, x.hi = x.playableFrets()
	return x
}

// fretted tells whether a finger of the fretting hand holds the note down.
// Harmonics are only touched, taps are done by the other hand, and a dead
// note is muted wherever the hand is.
func (n *neckNote) fretted() bool {
	if n.note.Place.Fret <= 0 || n.note.Has(score.Dead) || n.note.Has(score.Tap) {
		return false
	}
	h, ok := n.note.Harmonic()
	return !ok || h.Kind != score.NaturalHarmonic
}

// muted tells whether the note is a dead stroke on a string, at no fret in
// particular. It stays where it is: there is no pitch to move.
func (n *neckNote) muted() bool {
	return !n.from.IsZero() && n.from.Fret == 0 && n.note.Has(score.Dead)
}

// onString tells whether the neck has the string that the note came with.
func (n *neckNote) onString() bool { return 1 <= n.from.String && n.from.String <= n.neck.Tuning.Len() }

// playableFrets returns the lowest and highest fret at which the note can be
// played as it is marked: a bend needs a fret under it, a trill its other note
// on the neck too, and so does the touching finger of an artificial harmonic.
func (n *neckNote) playableFrets() (lo, hi int) {
	hi = n.neck.TopFret() - max(n.touch, 0)
	needsFret := n.note.Has(score.Dead)
	for _, t := range n.note.Techniques {
		switch t := t.(type) {
		case score.Bend:
			needsFret = needsFret || !t.WithBar
		case score.SlideEdge:
			needsFret = true
		case score.Harmonic:
			needsFret = needsFret || t.Kind == score.ArtificialHarmonic
		case score.Trill:
			hi -= max(t.To, 0)
			lo = max(lo, -t.To)
		case score.Span:
			needsFret = needsFret || t.Kind == score.LegatoSlide || t.Kind == score.ShiftSlide
		case score.Mark:
			switch t {
			case score.Tap, score.TapLeft, score.Vibrato, score.WideVibrato, score.ThumbOver:
				needsFret = true
			}
		}
	}
	// What was played open in the source may be so again: the writer knew.
	if needsFret && (n.from.IsZero() || n.from.Fret > 0) {
		lo = max(lo, 1)
	}
	return lo, hi
}

// A link is two notes that are joined: by a tie, or by a technique that stays
// on its string.
type link struct {
	a, b int // indices of notes, a first
	kind score.SpanKind
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

// phrases cuts the part into phrases, as ranges of notes: at rests of a beat
// or more in all voices, at double bars and at repeats, but never through a
// tie or a technique that joins two notes.
func (np *neckPart) phrases(p *score.Part) [][2]int {
	cuts := barlineCuts(p)
	joinedTo := 0 // the last note that a link from an earlier one reaches
	reach := map[int]int{}
	for _, l := range np.links {
		reach[l.a] = max(reach[l.a], l.b)
	}
	var ranges [][2]int
	start := 0
	var sounding score.Quarters // until when what came before sounds
	for i := range np.notes {
		n := &np.notes[i]
		if i > start && i > joinedTo {
			gap := n.at.Sub(sounding)
			cut := len(cuts) > 0 && cuts[0].Cmp(n.at) <= 0
			if cut || gap.Cmp(np.rep.beats[n.measure]) >= 0 {
				ranges = append(ranges, [2]int{start, i})
				start = i
			}
		}
		for len(cuts) > 0 && cuts[0].Cmp(n.at) <= 0 {
			cuts = cuts[1:]
		}
		if sounding.Less(n.end) {
			sounding = n.end
		}
		joinedTo = max(joinedTo, reach[i])
	}
	return append(ranges, [2]int{start, len(np.notes)})
}

// barlineCuts returns the times of double bars and repeats.
func barlineCuts(p *score.Part) []score.Quarters {
	var cuts []score.Quarters
	var start score.Quarters
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if b, ok := e.(*score.Barline); ok && (b.Repeat != score.NoRepeat || b.Style == "light-light" || b.Style == "light-heavy" || b.Style == "heavy-light" || b.Style == "heavy-heavy") {
				cuts = append(cuts, start.Add(b.Onset))
			}
		}
		start = start.Add(m.Length)
	}
	return cuts
}

// movesAsShape tells whether the note moves along its string with the rest.
func (n *neckNote) movesAsShape() bool { return n.onString() && !n.natural && !n.muted() }

// room returns how many frets the notes of a range can move down (a number of
// 0 or less) and up. Where they fit nowhere, lo is above hi.
func (np *neckPart) room(r [2]int) (lo, hi int) {
	lo, hi = -fretboard.MaxFrets, fretboard.MaxFrets
	for i := r[0]; i < r[1]; i++ {
		n := &np.notes[i]
		if n.movesAsShape() {
			lo, hi = max(lo, n.lo-n.from.Fret), min(hi, n.hi-n.from.Fret)
		}
	}
	return lo, hi
}

// octavesInto returns the octaves that bring a move of some frets into the
// room, fewest first, and whether any do.
func octavesInto(frets, lo, hi int) (octaves int, ok bool) {
	for ; frets < lo; frets += 12 {
		octaves++
	}
	for ; frets > hi; frets -= 12 {
		octaves--
	}
	return octaves, lo <= frets && frets <= hi
}

// shifts chooses for each phrase by how many octaves it moves beside the
// interval, and reports those that do.
func (np *neckPart) shifts(ranges [][2]int, semitones int) []int {
	shifts := make([]int, len(ranges))
	if semitones == 0 {
		return shifts
	}
	all := [2]int{0, len(np.notes)}
	lo, hi := np.room(all)
	if k, ok := octavesInto(semitones, lo, hi); ok {
		for i := range shifts {
			shifts[i] = k
		}
		if k != 0 {
			np.reportOctave(all, k, semitones)
		}
		return shifts
	}
	for i, r := range ranges {
		lo, hi := np.room(r)
		k, ok := octavesInto(semitones, lo, hi)
		if !ok {
			// No octave has room for the shape. Its notes are fingered anew,
			// in the octave in which most of them are on the neck at all.
			k = np.octaveOfMost(r)
		}
		if shifts[i] = k; k != 0 {
			np.reportOctave(r, k, semitones)
		}
	}
	return shifts
}

// octaveOfMost returns the octave shift, as it is if possible, in which the
// fewest pitches of a range are nowhere on the neck.
func (np *neckPart) octaveOfMost(r [2]int) int {
	best, fewest := 0, r[1]-r[0]+1
	for _, k := range []int{0, 1, -1, 2, -2, 3, -3} {
		missing := 0
		for i := r[0]; i < r[1]; i++ {
			n := &np.notes[i]
			if n.from.IsZero() || n.muted() {
				continue
			}
			if len(n.candidates(n.note.Pitch.Transpose(theory.Octaves(k)))) == 0 {
				missing++
			}
		}
		if missing < fewest {
			best, fewest = k, missing
		}
	}
	return best
}

func (np *neckPart) reportOctave(r [2]int, octaves, semitones int) {
	why := ""
	for i := r[0]; i < r[1]; i++ {
		n := &np.notes[i]
		if f := n.from.Fret + semitones; n.movesAsShape() && (f < n.lo || f > n.hi) {
			why = fmt.Sprintf(": the note at bar %s, beat %s would lie at fret %d of string %d", np.rep.bar(n.measure), np.rep.beat(n.measure, n.chord.Onset), f, n.from.String)
			if f >= 0 && f <= n.neck.TopFret() {
				why += ", where it cannot be played as it is marked"
			}
			break
		}
	}
	first, last := &np.notes[r[0]], &np.notes[r[1]-1]
	bars := np.rep.inPart() + "bar " + np.rep.bar(first.measure)
	if last.measure != first.measure {
		bars = np.rep.inPart() + "bars " + np.rep.bar(first.measure) + " to " + np.rep.bar(last.measure)
	}
	np.rep.add(score.Warning, CodeOctave, first.note.Src,
		fmt.Sprintf("%s moved %s on top of the interval%s", bars, octaveWords(octaves), why),
		"the same key in the other direction may stay on the neck")
}

func octaveWords(n int) string {
	dir := "up"
	if n < 0 {
		n, dir = -n, "down"
	}
	if n == 1 {
		return "an octave " + dir
	}
	return fmt.Sprintf("%d octaves %s", n, dir)
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

// nearestHarmonic returns the place for a moved natural harmonic that is
// nearest to where it was, on its own string if there is one.
func (n *neckNote) nearestHarmonic() (best candidate, ok bool) {
	cost := func(c candidate) int {
		d := max(c.place.Fret-n.from.Fret, n.from.Fret-c.place.Fret)
		return d + harmonicJumpsString*max(c.place.String-n.from.String, n.from.String-c.place.String)
	}
	for _, c := range n.candidates(n.note.Pitch) {
		if !ok || cost(c) < cost(best) {
			best, ok = c, true
		}
	}
	return best, ok
}
