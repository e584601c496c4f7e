package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// whereIs names the moment of a note.
func (np *neckPart) whereIs(i int) string {
	return np.rep.where(np.notes[i].measure, np.notes[i].chord.Onset)
}

// anew tells whether the note was fingered anew.
func (n *neckNote) anew() bool { return n.moved && n.note.Place != n.shape && !n.note.Place.IsZero() }

// reportAnew says that notes were fingered anew, or which of them could not
// be, and why.
func (np *neckPart) reportAnew(t trouble) {
	placed, first := 0, -1
	for _, i := range t.notes {
		n := &np.notes[i]
		if !n.note.Place.IsZero() {
			if n.anew() {
				if placed++; first < 0 {
					first = i
				}
			}
			continue
		}
		np.rep.add(score.NotDone, CodeNoPlace, n.note.Src,
			fmt.Sprintf("%s: %s has no place: %s", np.whereIs(i), n.note.Pitch.Pretty(), np.whyNoPlace(i, t)),
			"the note keeps its pitch without string and fret; another key, octave or tuning would hold it")
	}
	if placed > 0 {
		np.rep.add(score.Warning, CodeRefingered, np.notes[first].note.Src,
			fmt.Sprintf("%s: %s fingered anew: %s", np.whereIs(first), countOf(placed, "note"), t.reason), "")
	}
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (np *neckPart) whyNoPlace(i int, t trouble) string {
	n := &np.notes[i]
	if len(n.candidates(n.note.Pitch)) > 0 {
		return t.reason + "; no other place for it is free and in reach"
	}
	midi := n.note.Pitch.MIDI()
	lowest, highest := 1<<10, -1<<10
	for s := 1; s <= n.neck.Tuning.Len(); s++ {
		lowest = min(lowest, n.neck.Stopped(fretboard.Place{String: s}))
		highest = max(highest, n.neck.Stopped(fretboard.Place{String: s, Fret: n.neck.TopFret()}))
	}
	switch {
	case n.natural:
		return "its harmonic is nowhere on it"
	case midi < lowest:
		return "it is lower than every open string"
	case midi > highest:
		return fmt.Sprintf("it is higher than the last fret (%d)", n.neck.Frets)
	}
	return "it cannot be played as it is marked at any of its places"
}

// reportHarmonics says which natural harmonics became artificial ones.
func (np *neckPart) reportHarmonics() {
	for i := range np.notes {
		n := &np.notes[i]
		h, ok := n.note.Harmonic()
		switch {
		case !n.natural || !ok || n.note.Place.IsZero() || n.note.Place == n.from:
		case h.Kind == score.NaturalHarmonic:
			np.rep.add(score.Info, CodeHarmonic, n.note.Src,
				fmt.Sprintf("%s: the natural harmonic of fret %d, string %d is now that of fret %d, string %d, where it sounds as it should",
					np.whereIs(i), n.from.Fret, n.from.String, n.note.Place.Fret, n.note.Place.String), "")
		default:
			np.rep.add(score.Warning, CodeHarmonic, n.note.Src,
				fmt.Sprintf("%s: no natural harmonic gives this sound: now an artificial one, fret %d touched at %d", np.whereIs(i), n.note.Place.Fret, h.Touch), "")
		}
	}
}

// reportStretches says where the hand is asked for more than a comfortable
// reach. The transform never adds such a place; the source had it.
func (np *neckPart) reportStretches() {
	count, first, widest := 0, -1, 0.0
	for _, set := range np.sets {
		var held []int
		for _, i := range set {
			if np.notes[i].fretted() {
				held = append(held, i)
			}
		}
		now := func(i int) fretboard.Place { return np.notes[i].note.Place }
		if _, _, mm := np.span(held, now); mm > ReachLimit {
			if count++; first < 0 || held[0] < first {
				first = held[0]
			}
			widest = max(widest, mm)
		}
	}
	if count == 0 {
		return
	}
	np.rep.add(score.Info, CodeStretch, np.notes[first].note.Src,
		fmt.Sprintf("%s: wide stretches, as in the source (%d, up to %.0f mm)", np.whereIs(first), count, widest),
		"warm up first and stop if it hurts or tingles; if it keeps hurting, see a teacher or a clinician")
}

// jumpLimit is how far, in millimetres, the hand may have to go between two
// notes that follow each other before it is said: two reaches. A shorter way
// is an ordinary shift.
const jumpLimit = 2 * ReachLimit

// reportJumps says where an open string became a fretted note that the hand
// has to jump to and back: the notes are right, but a player would look for
// another way.
func (np *neckPart) reportJumps() {
	count, first := 0, -1
	for i := range np.notes {
		n := &np.notes[i]
		if n.from.Fret != 0 || n.from.IsZero() || !n.fretted() {
			continue
		}
		for _, j := range []int{i - 1, i + 1} {
			if j < 0 || j >= len(np.notes) || !np.notes[j].fretted() || !np.notes[j].wasFretted {
				continue
			}
			m := &np.notes[j]
			if m.neck == n.neck && m.neck.Reach(n.note.Place.Fret, m.note.Place.Fret, fretboard.ScaleLength) > jumpLimit {
				if count++; first < 0 {
					first = i
				}
				break
			}
		}
	}
	if count == 0 {
		return
	}
	np.rep.add(score.Warning, CodeHandPosition, np.notes[first].note.Src,
		fmt.Sprintf("%s: open strings became fretted notes out of reach of the hand (%s)", np.whereIs(first), countOf(count, "jump")),
		"the notes are right; play it slowly first, or put a capo where the open strings were")
}

// breakTechniques takes off the techniques that could not be kept.
func (np *neckPart) breakTechniques() {
	names := map[score.SpanKind]string{
		score.HammerOn: "hammer-on", score.PullOff: "pull-off", score.LegatoSlide: "slide", score.ShiftSlide: "slide",
	}
	for _, l := range np.links {
		problem := np.linkProblem(l)
		if problem == "" {
			continue
		}
		for _, i := range []int{l.a, l.b} {
			note := np.notes[i].note
			note.Techniques = slices.DeleteFunc(note.Techniques, func(t score.Technique) bool {
				s, ok := t.(score.Span)
				return ok && s.Kind == l.kind && s.ID == l.id
			})
		}
		np.rep.add(score.NotDone, CodeTechnique, np.notes[l.a].note.Src,
			fmt.Sprintf("%s: the %s is taken off: %s", np.whereIs(l.a), names[l.kind], problem),
			"both notes are there; play them plucked, or choose another key")
	}
}

// tidyMarks takes off printed fingers and open-string marks that are wrong at
// the new places.
func (np *neckPart) tidyMarks() {
	var dropped []int
	drop := func(i int) {
		if np.notes[i].note.Finger != score.NoFinger {
			np.notes[i].note.Finger = score.NoFinger
			dropped = append(dropped, i)
		}
	}
	for i := range np.notes {
		n := &np.notes[i]
		note := n.note
		if note.Place == n.from {
			continue
		}
		if note.Place.Fret != 0 || note.Place.IsZero() {
			note.Techniques = slices.DeleteFunc(note.Techniques, func(t score.Technique) bool { return t == score.OpenString })
		}
		if n.from.IsZero() {
			// Notation: a printed finger stays where it can.
			if fret := note.Place.Fret; !note.Place.IsZero() && (fret == 0) != (note.Finger == score.FingerOpen) {
				drop(i)
			}
			continue
		}
		becameOpen := note.Place.Fret == 0 && n.from.Fret != 0
		noMoreOpen := note.Place.Fret != 0 && n.from.Fret == 0
		if n.anew() || becameOpen || noMoreOpen {
			drop(i)
		}
		if !noMoreOpen {
			continue
		}
		// A new finger is needed, so the others of the chord are not sure.
		for _, s := range np.ofSet(i) {
			for _, j := range np.sets[s] {
				drop(j)
			}
		}
	}
	if len(dropped) > 0 {
		first := slices.Min(dropped)
		np.rep.add(score.Info, CodeFingers, np.notes[first].note.Src,
			fmt.Sprintf("%s: %s taken off, which would be wrong at the new places", np.whereIs(first), countOf(len(dropped), "printed finger")), "")
	}
}

func (np *neckPart) ofSet(i int) []int {
	if np.of == nil {
		return nil
	}
	return np.of[i]
}

// reportPlacedHarmonics says which harmonics are written at another pitch since
// they have a place: without one the page has their sound, with one the note
// that is stopped.
func (np *neckPart) reportPlacedHarmonics() {
	count, first := 0, -1
	for i := range np.notes {
		n := &np.notes[i]
		if _, ok := n.note.Harmonic(); ok && n.from.IsZero() && !n.note.Place.IsZero() && n.written != n.note.Pitch {
			if count++; first < 0 {
				first = i
			}
		}
	}
	if count == 0 {
		return
	}
	n := &np.notes[first]
	more := ""
	if count > 1 {
		more = fmt.Sprintf(" (%d harmonics in all)", count)
	}
	h, _ := n.note.Harmonic()
	np.rep.add(score.Warning, CodeHarmonic, n.note.Src,
		fmt.Sprintf("%s: a harmonic without string and fret, written %s, got string %d, fret %d: it is written %s now and sounds %d semitones higher%s",
			np.whereIs(first), n.written.Pretty(), n.note.Place.String, n.note.Place.Fret, n.note.Pitch.Pretty(), h.Over, more),
		"say its string and fret if another harmonic is meant")
}
