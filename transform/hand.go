package transform

import (
	"cmp"
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// ReachLimit is how far apart, in millimetres along the neck, one hand is
// asked to hold two notes: frets 1 to 5 of a string of 648 mm, a little
// rounded up. It is a limit for what a transform may ask of a hand that has
// not asked for it; a wider reach that the source has is kept.
// Source: common practice (a position and one fret of stretch either side is
// four frets wide); the millimetres by [fretboard.FretDistance].
const ReachLimit = 126.2

// handFingers is how many fingers stop strings; the thumb is not counted on.
const handFingers = 4

// handProblem tells why one hand cannot hold the notes of a set at their
// present places, or "" if it can. Notes that have no place, or wait for one,
// are left out. What the source asked for already is no problem.
func (np *neckPart) handProblem(set []int) string {
	var held, open, heldBefore, openBefore []int
	for k, i := range set {
		n := &np.notes[i]
		if n.wasFretted {
			heldBefore = append(heldBefore, i)
		} else if !n.from.IsZero() && n.from.Fret == 0 {
			openBefore = append(openBefore, i)
		}
		if n.note.Place.IsZero() || np.pending[i] {
			continue
		}
		for _, j := range set[:k] {
			m := &np.notes[j]
			if m.note.Place.String == n.note.Place.String && !np.pending[j] && m.from.String != n.from.String {
				return fmt.Sprintf("two notes would lie on string %d at once", n.note.Place.String)
			}
		}
		if n.fretted() {
			held = append(held, i)
		} else if n.note.Place.Fret == 0 {
			open = append(open, i)
		}
	}
	if len(held) < 2 {
		return ""
	}
	now := func(i int) fretboard.Place { return np.notes[i].note.Place }
	then := func(i int) fretboard.Place { return np.notes[i].from }
	lo, hi, mm := np.span(held, now)
	if mm > ReachLimit {
		if _, _, was := np.span(heldBefore, then); mm > was {
			return fmt.Sprintf("frets %d and %d sound together, %.0f mm apart, and a hand reaches about %.0f", lo, hi, mm, ReachLimit)
		}
	}
	if need := fingers(held, open, now); need > handFingers && need > fingers(heldBefore, openBefore, then) {
		return fmt.Sprintf("the shape would take %d fingers", need)
	}
	return ""
}

// span returns the lowest and the highest fret of some fretted notes and the
// distance between them in millimetres.
func (np *neckPart) span(notes []int, place func(int) fretboard.Place) (lo, hi int, mm float64) {
	for k, i := range notes {
		f := place(i).Fret
		if k == 0 || f < lo {
			lo = f
		}
		if k == 0 || f > hi {
			hi = f
		}
	}
	if len(notes) > 0 {
		mm = np.notes[notes[0]].neck.Reach(lo, hi, fretboard.ScaleLength)
	}
	return lo, hi, mm
}

// fingers counts the fingers that fretted notes take. The index finger may lie
// across the lowest fret, unless an open string between has to sound; any
// finger may hold neighbouring strings at its fret. Both are barrés of common
// practice.
func fingers(held, open []int, place func(int) fretboard.Place) int {
	var fretOf [fretboard.MaxStrings + 1]int // by string; 0 where nothing is held
	lowest := 0
	for _, i := range held {
		p := place(i)
		if p.String >= len(fretOf) {
			continue // a string that no neck has: the source's fault, said elsewhere
		}
		fretOf[p.String] = p.Fret
		if lowest == 0 || p.Fret < lowest {
			lowest = p.Fret
		}
	}
	from, to := 0, 0 // strings of the lowest fret
	for s := 1; s <= fretboard.MaxStrings; s++ {
		if lowest > 0 && fretOf[s] == lowest {
			if from == 0 {
				from = s
			}
			to = s
		}
	}
	barre := from > 0
	for _, i := range open {
		if s := place(i).String; from < s && s < to {
			barre = false
		}
	}
	count := 0
	if barre {
		count = 1
	}
	for s := 1; s <= fretboard.MaxStrings; s++ {
		f := fretOf[s]
		if f > 0 && fretOf[s-1] != f && !(barre && f == lowest) {
			count++
		}
	}
	return count
}

// linkProblem tells why two joined notes cannot be played as they are joined
// at their present places, or "" if they can, or if the source had it so.
func (np *neckPart) linkProblem(l link) string {
	a, b := &np.notes[l.a], &np.notes[l.b]
	if l.tie || np.pending[l.a] || np.pending[l.b] || !linkHolds(cmp.Or(l.was, l.kind), a.from, b.from) {
		return ""
	}
	p, q := a.note.Place, b.note.Place
	switch {
	case p.IsZero() || q.IsZero():
		return "one of its notes has no place"
	case !linkHolds(l.kind, p, q):
		return "its notes would not lie on one string, in its direction"
	case l.kind != score.HammerOn && l.kind != score.PullOff || !a.fretted() || !b.fretted():
		return "" // a slide takes the hand along, an open string needs none
	}
	mm := a.neck.Reach(p.Fret, q.Fret, fretboard.ScaleLength)
	if mm <= ReachLimit || a.wasFretted && b.wasFretted && mm <= a.neck.Reach(a.from.Fret, b.from.Fret, fretboard.ScaleLength) {
		return ""
	}
	return fmt.Sprintf("frets %d and %d lie %.0f mm apart on one string, and a hand reaches about %.0f", p.Fret, q.Fret, mm, ReachLimit)
}

// linkHolds tells whether a technique can join two places in this order: on
// one string, a hammer-on upwards, a pull-off downwards.
func linkHolds(kind score.SpanKind, p, q fretboard.Place) bool {
	return !p.IsZero() && p.String == q.String &&
		(kind != score.HammerOn || p.Fret < q.Fret) && (kind != score.PullOff || p.Fret > q.Fret)
}
