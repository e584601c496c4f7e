package transform

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// report says what could not be done, what lies outside of the region and
// where the hand has to stretch.
func (f *fingered) report(way *fingering.Fingering) {
	np := f.np
	for _, b := range way.Breaks {
		if len(b.Notes) == 0 {
			f.reportWay(b)
			continue
		}
		for _, i := range b.Notes {
			k := f.notes[b.Group][i][0]
			n := &np.notes[k]
			np.rep.add(score.NotDone, CodeRefingerNoPlace, n.note.Src,
				fmt.Sprintf("%s: %s has no place: %s", np.whereIs(k), n.note.Pitch.Pretty(), b.Reason), f.nearest(way, b, i, n))
		}
	}
	f.unjoinLost()
	np.reportPlacedHarmonics()
	f.reportCuts(way)
	f.reportRegions(way)
	f.reportStretch(way)
	f.reportBends()
}

// reportCuts says which notes are let go before their time: because their
// finger is needed, or their string.
func (f *fingered) reportCuts(way *fingering.Fingering) {
	type sounding struct {
		note fingering.Ref
		end  float64
	}
	cuts := slices.Clone(way.Cut)
	last := map[int]sounding{} // by string
	for g := range f.notes {
		group := &f.problem.Groups[g]
		for i := range f.notes[g] {
			str := way.Stops[g][i].Place.String
			if str == 0 {
				continue
			}
			ref := fingering.Ref{Group: g, Note: i}
			if l, ok := last[str]; ok && l.end > group.Onset+graceTime/2 && !slices.ContainsFunc(cuts, func(c fingering.Cut) bool { return c.Note == l.note }) {
				cuts = append(cuts, fingering.Cut{Note: l.note, Group: g})
			}
			last[str] = sounding{ref, group.Onset + group.Notes[i].Duration}
		}
	}
	if len(cuts) == 0 {
		return
	}
	k := f.notes[cuts[0].Note.Group][cuts[0].Note.Note][0]
	at := f.notes[cuts[0].Group][0][0]
	f.np.rep.add(score.Warning, CodeRefingerCut, f.np.notes[k].note.Src,
		fmt.Sprintf("%s: %s is let go before its time is over (%s in all)", f.np.whereIs(at), f.np.notes[k].note.Pitch.Pretty(), countOf(len(cuts), "note")),
		"no hand holds them on under what is struck then, or only at a high price")
}

// reportWay says that the way to a group is broken, and takes off the
// techniques that broke it.
func (f *fingered) reportWay(b fingering.Break) {
	np := f.np
	first := -1
	for i, shared := range f.notes[b.Group] {
		if first < 0 {
			first = shared[0]
		}
		if f.problem.Groups[b.Group].Notes[i].Join == fingering.NotJoined {
			continue
		}
		for _, l := range np.links {
			if l.tie || l.b != shared[0] || f.holds(l) {
				continue
			}
			np.unjoin(l)
			np.rep.add(score.NotDone, CodeRefingerTechnique, np.notes[l.a].note.Src,
				fmt.Sprintf("%s: the notes are no longer joined: %s", np.whereIs(l.a), b.Reason), "both notes are there; play them plucked")
		}
	}
	if first >= 0 {
		np.rep.add(score.NotDone, CodeRefingerCut, np.notes[first].note.Src, fmt.Sprintf("%s: %s", np.whereIs(first), b.Reason),
			"the notes have their places; what rang or was joined is cut here")
	}
}

// holds tells whether a technique can join its notes where they are: on one
// string in its direction, and within reach where two fingers are needed.
func (f *fingered) holds(l link) bool {
	a, b := &f.np.notes[l.a], &f.np.notes[l.b]
	p, q := a.note.Place, b.note.Place
	if !linkHolds(l.kind, p, q) {
		return false
	}
	hand := f.problem.Hand
	if hand == (fingering.Hand{}) {
		hand = fingering.NormalHand()
	}
	length := f.problem.ScaleLength
	if length <= 0 {
		length = fretboard.ScaleLength
	}
	twoFingers := (l.kind == score.HammerOn || l.kind == score.PullOff) && a.fretted() && b.fretted()
	return !twoFingers || f.neck.Reach(p.Fret, q.Fret, length) <= hand.Reach[1][4]
}

// unjoin takes the technique of a link off.
func (np *neckPart) unjoin(l link) {
	for _, k := range []int{l.a, l.b} {
		note := np.notes[k].note
		note.Techniques = slices.DeleteFunc(note.Techniques, func(t score.Technique) bool {
			s, ok := t.(score.Span)
			return ok && s.Kind == l.kind && s.ID == l.id
		})
	}
}

// unjoinLost takes off the techniques that join a note which has a place with
// one that has none.
func (f *fingered) unjoinLost() {
	np := f.np
	for _, l := range np.links {
		a, b := &np.notes[l.a], &np.notes[l.b]
		if l.tie || a.neck != f.neck || a.note.Place.IsZero() == b.note.Place.IsZero() {
			continue
		}
		np.unjoin(l)
		np.rep.add(score.NotDone, CodeRefingerTechnique, a.note.Src,
			fmt.Sprintf("%s: the notes are no longer joined: one of them has no place", np.whereIs(l.a)), "")
	}
}

// reportStretch says where the hand has to stretch more than is comfortable.
func (f *fingered) reportStretch(way *fingering.Fingering) {
	length := f.problem.ScaleLength
	if length <= 0 {
		length = fretboard.ScaleLength
	}
	count, first, widest := 0, -1, 0.0
	for g := range f.notes {
		low, high := 0, 0
		for i := range f.notes[g] {
			if s := way.Stops[g][i]; s.Finger != score.NoFinger {
				if low == 0 || s.Place.Fret < low {
					low = s.Place.Fret
				}
				high = max(high, s.Place.Fret)
			}
		}
		if low == 0 {
			continue
		}
		if mm := f.problem.Neck.Reach(low, high, length); mm > fretboard.ComfortableSpan {
			if count++; first < 0 {
				first = f.notes[g][0][0]
			}
			widest = max(widest, mm)
		}
	}
	if count > 0 {
		f.np.rep.add(score.Warning, CodeRefingerStretch, f.np.notes[first].note.Src,
			fmt.Sprintf("%s: wide stretches (%d, up to %.0f mm)", f.np.whereIs(first), count, widest),
			"warm up first and stop if it hurts or tingles; if it keeps hurting, see a teacher or a clinician")
	}
}

// whyNot reports the terms by which the present places lose.
func (f *fingered) whyNot() {
	np := f.np
	stops := make([][]fingering.Stop, len(f.notes))
	for g := range f.notes {
		for _, shared := range f.notes[g] {
			n := np.notes[shared[0]].note
			s := fingering.Stop{Place: n.Place}
			if n.Finger >= score.Index && n.Finger <= score.Little {
				s.Finger = n.Finger
			}
			stops[g] = append(stops[g], s)
		}
	}
	c, err := fingering.WhyNot(f.problem, f.opt.weights(), stops)
	if err != nil {
		np.rep.add(score.NotDone, CodeRefingerCut, np.notes[0].note.Src, np.rep.inPart()+err.Error(), "")
		return
	}
	for _, b := range c.Broken {
		k := f.notes[b.Group][0][0]
		if len(b.Notes) > 0 {
			k = f.notes[b.Group][b.Notes[0]][0]
		}
		np.rep.add(score.Warning, CodeWhyNotRule, np.notes[k].note.Src, fmt.Sprintf("%s: it breaks a rule: %s", np.whereIs(k), b.Reason), "")
	}
	for _, b := range c.Best.Breaks {
		k := f.notes[b.Group][0][0]
		if len(b.Notes) > 0 {
			k = f.notes[b.Group][b.Notes[0]][0]
		}
		np.rep.add(score.Warning, CodeWhyNotRule, np.notes[k].note.Src, fmt.Sprintf("%s: no fingering plays this: %s", np.whereIs(k), b.Reason), "")
	}
	if len(c.Broken) > 0 || len(c.Groups) == 0 {
		return
	}
	loses := c.Preferred.Cost - c.Best.Cost
	if loses < leastLoss {
		return // the fingers are all that differs
	}
	np.rep.add(score.Info, CodeWhyNot, np.notes[f.notes[c.Groups[0].Group][0][0]].note.Src,
		fmt.Sprintf("%sthe fingering costs %.1f and the best one %.1f", np.rep.inPart(), c.Preferred.Cost, c.Best.Cost), "")
	for i := 0; i < len(c.Groups); {
		// One line for each bar.
		measure := np.notes[f.notes[c.Groups[i].Group][0][0]].measure
		k := f.notes[c.Groups[i].Group][0][0]
		sums := map[fingering.Term]float64{}
		total := 0.0
		for ; i < len(c.Groups) && np.notes[f.notes[c.Groups[i].Group][0][0]].measure == measure; i++ {
			for _, d := range c.Groups[i].Costs {
				sums[d.Term] += d.Preferred - d.Best
				total += d.Preferred - d.Best
			}
		}
		if words := termList(total, sums); words != "" {
			np.rep.add(score.Info, CodeWhyNot, np.notes[k].note.Src, fmt.Sprintf("%sbar %s: %s", np.rep.inPart(), np.rep.bar(measure), words), "")
		}
	}
}

// leastLoss is the smallest difference of costs that is worth a word.
const leastLoss = 0.05

// termList writes the terms that make the greatest differences, losses first;
// "" if nothing in the bar is worth a word.
func termList(total float64, sums map[fingering.Term]float64) string {
	const most = 5
	terms := make([]fingering.Term, 0, len(sums))
	for t, v := range sums {
		if v >= leastLoss || v <= -leastLoss {
			terms = append(terms, t)
		}
	}
	slices.SortFunc(terms, func(a, b fingering.Term) int {
		return cmp.Or(cmp.Compare(math.Abs(sums[b]), math.Abs(sums[a])), cmp.Compare(a, b))
	})
	var lost, won []string
	for _, t := range terms {
		switch v := sums[t]; {
		case v > 0 && len(lost) < most:
			lost = append(lost, fmt.Sprintf("%s %.1f", t.Words(), v))
		case v < 0 && len(won) < most:
			won = append(won, fmt.Sprintf("%s %.1f", t.Words(), -v))
		}
	}
	var s string
	switch {
	case len(terms) == 0:
		return ""
	case total >= leastLoss:
		s = fmt.Sprintf("loses %.1f", total)
	case total <= -leastLoss:
		s = fmt.Sprintf("wins %.1f", -total)
	default:
		s = "comes to the same"
	}
	if len(lost) > 0 {
		s += "; dearer: " + strings.Join(lost, ", ")
	}
	if len(won) > 0 {
		s += "; cheaper: " + strings.Join(won, ", ")
	}
	return s
}
