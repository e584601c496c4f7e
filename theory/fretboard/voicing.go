package fretboard

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/theory"
)

// A Voicing is a chord that one hand holds: at most one place on a string.
type Voicing struct {
	Spots   []Spot          // the last string first
	Missing []theory.Degree // tones that the hand does not have beside the others
	Fingers int             // that it takes, barrés counted as one
	// Whole is what would be held in place of this smaller grip if a hand could
	// reach it, see [Region.VoicingsHeld]; nil where this is the whole.
	Whole   *Voicing
	strings int
}

// String writes the frets from the last string to the first, x for a string
// that is not played: "x 3 2 0 1 0".
func (v Voicing) String() string {
	words := make([]string, v.strings)
	for i := range words {
		words[i] = "x"
	}
	for _, s := range v.Spots {
		words[v.strings-s.Place.String] = strconv.Itoa(s.Place.Fret)
	}
	return strings.Join(words, " ")
}

// LeftOut returns the strings that the whole has and this smaller grip has not,
// the last first.
func (v Voicing) LeftOut() []int {
	if v.Whole == nil {
		return nil
	}
	var out []int
	for _, s := range v.Whole.Spots {
		if !slices.ContainsFunc(v.Spots, func(o Spot) bool { return o.Place.String == s.Place.String }) {
			out = append(out, s.Place.String)
		}
	}
	return out
}

// Voicings returns the chord as players hold it in the region: from the
// string of its bass up, one place on each string, with four fingers. It
// prefers, in this order: root, third and seventh, or what stands for them;
// the other tones but a perfect fifth; no string left out between others; the
// fifth; no string left out above; nothing reached for; the lower frets.
//
// Where the hand stands in one place there is one voicing, or none if the
// hand has not two strings of the chord. Else there is one for every place
// of a hand, from the nut up, that gives the tones but for the fifth; then any
// tone may be the lowest, inversions being wanted on a set of strings, unless
// the chord names its bass. On a re-entrant tuning any tone may be the lowest.
func (r Region) Voicings(t ToneSet) []Voicing { return r.VoicingsHeld(t, nil) }

// VoicingsHeld returns the voicings of [Region.Voicings] that a hand can hold, as
// holds tells of their spots, the last string first. Where it can not hold what is
// preferred it has the best of what it can, and Voicing.Whole says what that stands
// for. Without holds whatever takes no more than four fingers can be held.
func (r Region) VoicingsHeld(t ToneSet, holds func([]Spot) bool) []Voicing {
	free := r.Neck.Tuning.ReEntrant()
	if r.Index >= 0 {
		held := r
		if r.grip != nil {
			held.fit = r.grip
		}
		v, ok := held.voice(t, free, holds)
		if !ok {
			return nil
		}
		for i := range v.Spots { // the reach is that of the region's hand
			v.Spots[i].Reach, _ = r.Fit(v.Spots[i].Place)
		}
		return []Voicing{v}
	}
	var all []Voicing
	seen := map[string]bool{}
	for index := r.Low; index <= r.High; index++ {
		h := hand{neck: r.Neck, index: index, cover: handFrets}
		at := r
		at.fit = func(p Place) (float64, bool) {
			_, in := r.fit(p)
			mm, ok := h.fit(p)
			return mm, ok && in
		}
		v, ok := at.voice(t, free || t.Bass == nil, holds)
		if ok && !seen[v.String()] && (len(v.Missing) == 0 || len(v.Missing) == 1 && v.Missing[0].Semitones() == perfectFifth) {
			seen[v.String()] = true
			all = append(all, v)
		}
	}
	whole := func(v Voicing) bool { return len(v.Missing) == 0 }
	some := slices.ContainsFunc(all, whole)
	kept := slices.DeleteFunc(slices.Clone(all), func(v Voicing) bool {
		return some && !whole(v) || slices.ContainsFunc(all, v.partOf)
	})
	slices.SortStableFunc(kept, func(a, b Voicing) int { return a.lowest() - b.lowest() })
	return kept
}

// partOf tells whether u has the places of v and more.
func (v Voicing) partOf(u Voicing) bool {
	return len(v.Spots) < len(u.Spots) && !slices.ContainsFunc(v.Spots, func(s Spot) bool {
		return !slices.ContainsFunc(u.Spots, func(o Spot) bool { return o.Place == s.Place })
	})
}

// lowest returns the lowest fret that a finger stops, 0 if none does.
func (v Voicing) lowest() int {
	low := 0
	for _, s := range v.Spots {
		if f := s.Place.Fret; f > 0 && (low == 0 || f < low) {
			low = f
		}
	}
	return low
}

// voice returns the best chord in one place of the hand that it can hold. free
// lets any tone be the lowest.
func (r Region) voice(t ToneSet, free bool, holds func([]Spot) bool) (v Voicing, ok bool) {
	n := r.Neck.Tuning.Len()
	w := voicer{tones: t, rows: make([][]Spot, n)}
	for _, s := range r.Places(t) {
		i := n - s.Place.String
		w.rows[i] = append(w.rows[i], s)
	}
	bass := t.Tonic
	if t.Bass != nil {
		bass = *t.Bass
	}
	if !free && !w.keepBass(bass) {
		return Voicing{}, false
	}
	w.chosen = make([]*Spot, n)
	w.later = make([]theory.PitchSet, n+1)
	for i := n - 1; i >= 0; i-- {
		w.later[i] = w.later[i+1]
		for _, s := range w.rows[i] {
			w.later[i] = w.later[i].With(s.Pitch.Class())
		}
	}
	w.search(0, voicingCost{})
	if w.best == nil {
		return Voicing{}, false
	}
	v = w.voicing()
	if holds != nil && !holds(v.Spots) {
		whole := v
		w.holds, w.best = holds, nil
		w.search(0, voicingCost{})
		if w.best == nil {
			return Voicing{}, false
		}
		v = w.voicing()
		v.Whole = &whole
	}
	return v, len(v.Spots) > 1
}

// voicing is the best that was found.
func (w *voicer) voicing() Voicing {
	return Voicing{strings: len(w.rows), Fingers: w.bestCost.fingers, Missing: w.lacks(w.best), Spots: spotsOf(w.best)}
}

func spotsOf(chosen []*Spot) []Spot {
	var spots []Spot
	for _, s := range chosen {
		if s != nil {
			spots = append(spots, *s)
		}
	}
	return spots
}

// voicer searches for the best chord in a hand.
type voicer struct {
	tones    ToneSet
	rows     [][]Spot          // places by string, the last string first
	later    []theory.PitchSet // what the strings from each one on can sound
	chosen   []*Spot
	best     []*Spot
	bestCost voicingCost
	holds    func([]Spot) bool // nil if four fingers are enough
}

// keepBass takes off what lies below the lowest place of the bass, one under
// the hand before one that is reached for. It tells whether there is one.
func (w *voicer) keepBass(bass theory.NoteName) bool {
	at, where := -1, Spot{}
	for i, row := range w.rows {
		for _, s := range row {
			if s.Pitch.Class() == bass.Class() && (at < 0 || where.Reach > 0 && s.Reach == 0) {
				at, where = i, s
			}
		}
	}
	if at < 0 {
		return false
	}
	for i := range at {
		w.rows[i] = nil
	}
	w.rows[at] = []Spot{where}
	for i := at + 1; i < len(w.rows); i++ {
		w.rows[i] = slices.DeleteFunc(w.rows[i], func(s Spot) bool { return s.Pitch.MIDI() < where.Pitch.MIDI() })
	}
	return true
}

// A voicingCost is compared from the first field to the last.
type voicingCost struct {
	guides, others, gaps, fifth, left int
	reached, frets                    int
	fingers                           int
}

func (c voicingCost) less(d voicingCost) bool {
	a := [...]int{c.guides, c.others, c.gaps, c.fifth, c.left, c.reached, c.frets}
	b := [...]int{d.guides, d.others, d.gaps, d.fifth, d.left, d.reached, d.frets}
	return slices.Compare(a[:], b[:]) < 0
}

// search tries all choices from a string on, and gives a branch up when it
// can get no better than the best.
func (w *voicer) search(i int, cost voicingCost) {
	if w.best != nil && !w.atLeast(i, cost).less(w.bestCost) {
		return
	}
	if i == len(w.rows) {
		w.finish(cost)
		return
	}
	for j := range w.rows[i] {
		s := &w.rows[i][j]
		w.chosen[i] = s
		if fingersFor(w.chosen[:i+1]) > handFingers {
			continue
		}
		c := cost
		c.gaps += c.left
		c.left = 0
		c.frets += s.Place.Fret
		if s.Reach > 0 {
			c.reached++
		}
		w.search(i+1, c)
	}
	w.chosen[i] = nil
	if !slices.ContainsFunc(w.chosen[:i], func(s *Spot) bool { return s != nil }) {
		if len(w.rows[i]) == 0 {
			w.search(i+1, cost)
		}
		return // the string of the bass is played
	}
	cost.left++
	w.search(i+1, cost)
}

// finish takes the choice if it is the best so far.
func (w *voicer) finish(cost voicingCost) {
	cost = w.without(cost, w.lacks(w.chosen))
	if (w.best == nil || cost.less(w.bestCost)) && (w.holds == nil || w.holds(spotsOf(w.chosen))) {
		cost.fingers = fingersFor(w.chosen)
		w.best, w.bestCost = slices.Clone(w.chosen), cost
	}
}

// atLeast returns what a branch will cost at least: what was decided, and the
// tones that no string from here on can give.
func (w *voicer) atLeast(i int, cost voicingCost) voicingCost {
	has := w.later[i]
	for _, s := range w.chosen[:i] {
		if s != nil {
			has = has.With(s.Pitch.Class())
		}
	}
	for _, tone := range w.tones.Tones {
		if !has.Has(tone.Name.Class()) {
			cost = w.charge(cost, tone.Degree)
		}
	}
	return cost
}

// without adds what missing tones cost.
func (w *voicer) without(cost voicingCost, lacks []theory.Degree) voicingCost {
	for _, d := range lacks {
		cost = w.charge(cost, d)
	}
	return cost
}

func (w *voicer) charge(cost voicingCost, missing theory.Degree) voicingCost {
	switch d := missing; {
	case d.Number == 1 || d.Number == 3 || d.Number == 7:
		cost.guides++
	case len(w.tones.Tones) > 2 && d.Semitones() == perfectFifth:
		cost.fifth++
	case len(w.tones.Tones) > 4 && d.Number > 7:
		cost.others++
	default: // what a chord of few tones is known by: its suspension, sixth, altered fifth
		cost.guides++
	}
	return cost
}

const perfectFifth = 7

func (w *voicer) lacks(chosen []*Spot) []theory.Degree {
	var lacks []theory.Degree
	for _, tone := range w.tones.Tones {
		if !slices.ContainsFunc(chosen, func(s *Spot) bool { return s != nil && s.Pitch.Class() == tone.Name.Class() }) {
			lacks = append(lacks, tone.Degree)
		}
	}
	return lacks
}

// fingersFor counts the fingers that a chord takes, string by string from the
// last. One finger holds neighbouring strings at one fret; the one at the
// lowest fret also lies across strings that others stop above it.
func fingersFor(chosen []*Spot) int {
	lowest := 0
	for _, s := range chosen {
		if s != nil && s.Place.Fret > 0 && (lowest == 0 || s.Place.Fret < lowest) {
			lowest = s.Place.Fret
		}
	}
	fingers := 0
	for i, s := range chosen {
		if s != nil && s.Place.Fret > 0 && !heldBefore(chosen[:i], s.Place.Fret, s.Place.Fret == lowest) {
			fingers++
		}
	}
	return fingers
}

// heldBefore tells whether the finger that stops a fret on an earlier string
// can lie across to the next one.
func heldBefore(before []*Spot, fret int, across bool) bool {
	for i := len(before) - 1; i >= 0; i-- {
		s := before[i]
		switch {
		case s == nil || s.Place.Fret < fret:
			return false
		case s.Place.Fret == fret:
			return true
		case !across:
			return false
		}
	}
	return false
}
