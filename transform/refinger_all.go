package transform

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// Codes of what [Refinger] and [WhyNot] report. Printed fingers that had to
// be taken off are reported as [CodeFingers].
const (
	CodeRefingerNoPlace   = "refinger-no-place"  // a note that has no place, or that no hand can hold beside the others
	CodeRefingerCut       = "refinger-cut"       // what should ring or is joined cannot be kept
	CodeRefingerTechnique = "refinger-technique" // a hammer-on, pull-off or slide was taken off
	CodeRefingerScheme    = "refinger-scheme"    // a note outside of the region asked for
	CodeRefingerStretch   = "refinger-stretch"   // the hand has to stretch
	CodeWhyNot            = "why-not"            // the terms by which a fingering loses
	CodeWhyNotRule        = "why-not-rule"       // the rule that it breaks
)

// RefingerOptions say how a part is put on the neck. The zero value asks for
// the most natural way, by the weights for playing with a plectrum.
type RefingerOptions struct {
	Weights     *fingering.Weights // nil for [fingering.Plectrum]
	Hand        fingering.Hand     // the zero value for [fingering.NormalHand]
	ScaleLength float64            // millimetres; 0 for [fretboard.ScaleLength]
	// Region is where the notes should lie. A note that has no place there,
	// or none that a hand can hold beside the others, goes to the place
	// nearest under the same hand and is named.
	Region *fretboard.Region
	// KeepStrings, KeepFrets and KeepFingers keep what the score has.
	KeepStrings, KeepFrets, KeepFingers bool
	// Fingers writes the fingers of the left hand on every fretted note.
	Fingers bool
}

// cutting is what it costs on top to let a note go before its written end.
// The weights are learnt from editions in which durations are often written
// longer than a hand can hold them; what is asked to be fingered is taken at
// its word where it can be.
const cutting = 8

func (o *RefingerOptions) weights() *fingering.Weights {
	w := *fingering.Plectrum()
	if o.Weights != nil {
		w = *o.Weights
	}
	w[fingering.Release] += cutting
	return &w
}

// Refinger puts the notes of every fretted part on the neck anew, in the way
// that costs a hand least of all there are; see package fingering. What
// sounds stays as it is. What no hand can play is reported with bar and beat
// as [score.NotDone], and loses its place; the rest is done.
func Refinger(s *score.Score, opt RefingerOptions) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	for _, p := range out.Parts {
		rep.enter(p)
		np := collectNeck(p, rep)
		np.link()
		for _, f := range newFingered(out, p, np, opt) {
			f.solve()
		}
	}
	rep.list.Sort()
	return out, rep.list
}

// RefingerWays returns up to k scores, each with another fingering of a part,
// cheapest first, and what each costs. Only that part changes. The part is
// given by its index.
func RefingerWays(s *score.Score, part, k int, opt RefingerOptions) ([]*score.Score, []float64, error) {
	rep := &reporter{score: s, parts: len(s.Parts)}
	if part < 0 || part >= len(s.Parts) {
		return nil, nil, fmt.Errorf("there is no part %d", part+1)
	}
	first := s.Clone()
	rep.enter(first.Parts[part])
	np := collectNeck(first.Parts[part], rep)
	np.link()
	necks := newFingered(first, first.Parts[part], np, opt)
	if len(necks) != 1 {
		return nil, nil, fmt.Errorf("the part is played on %d necks; its ways can be listed for one", len(necks))
	}
	ways, err := fingering.Alternatives(necks[0].problem, opt.weights(), k)
	if err != nil {
		return nil, nil, err
	}
	var list []*score.Score
	var costs []float64
	for _, way := range ways {
		c := s.Clone()
		rep := &reporter{score: s, parts: len(s.Parts)}
		rep.enter(c.Parts[part])
		np := collectNeck(c.Parts[part], rep)
		np.link()
		newFingered(c, c.Parts[part], np, opt)[0].apply(way)
		list, costs = append(list, c), append(costs, way.Cost)
	}
	return list, costs, nil
}

// WhyNot says, bar by bar, by which terms of the cost the fingering of a
// score loses against the one that [Refinger] chooses, or which rule it
// breaks. The score is the one that a player prefers.
func WhyNot(preferred *score.Score, opt RefingerOptions) score.Diagnostics {
	s := preferred.Clone()
	rep := &reporter{score: preferred, parts: len(preferred.Parts)}
	for _, p := range s.Parts {
		rep.enter(p)
		np := collectNeck(p, rep)
		np.link()
		for _, f := range newFingered(s, p, np, opt) {
			f.whyNot()
		}
	}
	rep.list.Sort()
	return rep.list
}

// fingered is the notes of a part on one neck, as a problem.
type fingered struct {
	np      *neckPart
	opt     RefingerOptions
	problem *fingering.Problem
	notes   [][][]int // by group and note of the problem: the notes of the part, struck first
}

// graceTime is how long before its main note a grace note is struck, in
// quarter notes.
const graceTime = 0.1

// newFingered makes a problem for each neck that a part is played on.
func newFingered(s *score.Score, p *score.Part, np *neckPart, opt RefingerOptions) []*fingered {
	var list []*fingered
	byNeck := map[*fretboard.Neck]*fingered{}
	tempos := temposOf(s, p)
	at := map[int]fingering.Ref{} // by note of the part
	tiedFrom := map[int]int{}
	joined := map[int]link{}
	for _, l := range np.links {
		if l.tie {
			tiedFrom[l.b] = l.a
		} else if _, ok := joined[l.b]; !ok {
			joined[l.b] = l
		}
	}
	for i := 0; i < len(np.notes); {
		end := i
		for end < len(np.notes) && np.notes[end].at == np.notes[i].at {
			end++
		}
		// Grace notes come first, chord by chord, then all that is struck on
		// the beat.
		var graces []*score.Chord
		for k := i; k < end; k++ {
			if n := &np.notes[k]; n.passing && !slices.Contains(graces, n.chord) {
				graces = append(graces, n.chord)
			}
		}
		for g := 0; g <= len(graces); g++ {
			fresh := map[*fingered]bool{}
			for k := i; k < end; k++ {
				n := &np.notes[k]
				if n.passing != (g < len(graces)) || n.passing && n.chord != graces[g] {
					continue
				}
				f := byNeck[n.neck]
				if f == nil {
					f = &fingered{np: np, opt: opt, problem: &fingering.Problem{Neck: *n.neck, Hand: opt.Hand, ScaleLength: opt.ScaleLength}}
					byNeck[n.neck] = f
					list = append(list, f)
				}
				if from, ok := tiedFrom[k]; ok && f.tie(at, from, k) {
					continue
				}
				if !fresh[f] {
					fresh[f] = true
					f.group(n.at.Float()-graceTime*float64(len(graces)-g), tempos)
				}
				at[k] = f.note(k)
				if l, ok := joined[k]; ok {
					f.join(at, l)
				}
			}
		}
		i = end
	}
	for _, f := range list {
		f.ringing(p)
		f.prefer()
	}
	return list
}

// a tempo is in force from a time, in quarter notes from the beginning.
type tempo struct{ from, perMinute float64 }

// temposOf lists the tempos of a part, or those of the first part that has
// any.
func temposOf(s *score.Score, p *score.Part) []tempo {
	for _, p := range append([]*score.Part{p}, s.Parts...) {
		var list []tempo
		var start score.Quarters
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if t, ok := e.(*score.Tempo); ok && t.QuartersPerMinute > 0 {
					list = append(list, tempo{start.Add(t.Onset).Float(), t.QuartersPerMinute})
				}
			}
			start = start.Add(m.Length)
		}
		if len(list) > 0 {
			return list
		}
	}
	return nil
}

// group begins a group.
func (f *fingered) group(onset float64, tempos []tempo) {
	g := fingering.Group{Onset: onset}
	if n := len(f.problem.Groups); n > 0 {
		g.Onset = max(onset, f.problem.Groups[n-1].Onset)
	}
	for _, t := range tempos {
		if t.from <= onset+graceTime {
			g.Tempo = t.perMinute
		}
	}
	f.problem.Groups = append(f.problem.Groups, g)
	f.notes = append(f.notes, nil)
}

// tie lets a note sound on instead of striking it again.
func (f *fingered) tie(at map[int]fingering.Ref, from, k int) bool {
	ref, ok := at[from]
	if !ok || f.np.notes[from].neck != f.np.notes[k].neck {
		return false
	}
	at[k] = ref
	note := &f.problem.Groups[ref.Group].Notes[ref.Note]
	note.Duration = max(note.Duration, f.np.notes[k].end.Float()-f.problem.Groups[ref.Group].Onset)
	f.notes[ref.Group][ref.Note] = append(f.notes[ref.Group][ref.Note], k)
	return true
}

// note adds a note to the last group. Two voices that strike one pitch at
// once share a place, unless the score has it on two strings.
func (f *fingered) note(k int) fingering.Ref {
	n := &f.np.notes[k]
	g := len(f.problem.Groups) - 1
	group := &f.problem.Groups[g]
	for i, shared := range f.notes[g] {
		o := &f.np.notes[shared[0]]
		if o.note.Sounding() == n.note.Sounding() && o.note.Pitch.MIDI() == n.note.Pitch.MIDI() && o.natural == n.natural &&
			(o.from == n.from || o.from.IsZero() || n.from.IsZero()) {
			f.notes[g][i] = append(shared, k)
			group.Notes[i].Duration = max(group.Notes[i].Duration, n.chord.Duration.Float())
			return fingering.Ref{Group: g, Note: i}
		}
	}
	x := fingering.Note{Pitch: n.note.Pitch.MIDI(), Duration: n.chord.Duration.Float(), MinFret: n.lo, MaxFret: n.hi}
	if n.passing {
		x.Duration = graceTime
	}
	if n.hi <= 0 {
		x.MaxFret = n.neck.TopFret()
	}
	if b, ok := n.note.Bend(); ok && !b.WithBar {
		x.Bend = max(0, b.Amount.Float())
	}
	switch {
	case n.muted():
		x.Pitch, x.Strings, x.Fret, x.Free = n.neck.Stopped(n.from), 1<<n.from.String, 1, true
		x.MinFret = 0
	case n.natural:
		x.MinFret, x.MaxFret = 0, 0
		if list := n.candidates(n.note.Pitch); len(list) > 0 && list[0].kind == score.ArtificialHarmonic {
			x.Pitch, x.MinFret, x.MaxFret = n.note.Sounding()-12, 1, n.neck.TopFret()-12
		} else {
			x.Pitch, x.Harmonic = n.note.Sounding(), true
		}
	case n.note.Has(score.Tap):
		x.Free = true
	}
	if (f.opt.KeepStrings || f.opt.KeepFrets) && !n.from.IsZero() && n.onString() {
		if f.opt.KeepStrings {
			x.Strings = 1 << n.from.String
		}
		if f.opt.KeepFrets && n.from.Fret >= 0 {
			x.Fret = n.from.Fret + 1
		}
	}
	if f.opt.KeepFingers {
		if k := n.note.Finger; k >= score.Index && k <= score.Little || k == score.FingerOpen {
			x.Finger = k
		}
	}
	group.Notes = append(group.Notes, x)
	f.notes[g] = append(f.notes[g], []int{k})
	return fingering.Ref{Group: g, Note: len(group.Notes) - 1}
}

// join carries a technique that keeps its string over into the problem. One
// whose pitches go the wrong way is left out; it is taken off later.
func (f *fingered) join(at map[int]fingering.Ref, l link) {
	from, ok := at[l.a]
	to := at[l.b]
	if !ok || from.Group >= to.Group || f.np.notes[l.a].neck != f.np.notes[l.b].neck {
		return
	}
	rise := f.np.notes[l.b].note.Pitch.MIDI() - f.np.notes[l.a].note.Pitch.MIDI()
	kind := fingering.NotJoined
	switch l.kind {
	case score.HammerOn:
		if rise > 0 {
			kind = fingering.HammerOn
		}
	case score.PullOff:
		if rise < 0 {
			kind = fingering.PullOff
		}
	case score.LegatoSlide, score.ShiftSlide:
		if rise != 0 {
			kind = fingering.Slide
		}
	}
	n := &f.problem.Groups[to.Group].Notes[to.Note]
	n.Join, n.From = kind, from
}

// ringing lets notes that are marked to ring do so: to the end of the span or
// of the bar. No note needs to sound on where the score itself strikes its
// string again.
func (f *fingered) ringing(p *score.Part) {
	np := f.np
	spanEnd := map[int]score.Quarters{}
	for i := range np.notes {
		for _, t := range np.notes[i].note.Techniques {
			if s, ok := t.(score.Span); ok && s.Kind == score.LetRingSpan && s.End == score.Stop {
				spanEnd[s.ID] = np.notes[i].end
			}
		}
	}
	starts := make([]score.Quarters, len(p.Measures)+1)
	for i, m := range p.Measures {
		starts[i+1] = starts[i].Add(m.Length)
	}
	until := map[int]score.Quarters{} // ends of the spans that are open now
	next := make([]score.Quarters, len(np.notes))
	last := map[[2]int]int{}
	// When the string of a note is struck again; -1 for not at all.
	again := make([]int, len(np.notes))
	for i := range np.notes {
		again[i] = -1
		n := &np.notes[i]
		key := [2]int{n.chord.Staff, n.from.String}
		j, ok := last[key]
		if n.note.TieStop && ok {
			continue
		}
		if ok {
			again[j] = i
		}
		last[key] = i
	}
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			k := shared[0]
			n := &np.notes[k]
			rings := n.note.Has(score.LetRing)
			next[k] = n.end
			if rings {
				next[k] = starts[n.measure+1]
			}
			for _, t := range n.note.Techniques {
				if s, ok := t.(score.Span); ok && s.Kind == score.LetRingSpan {
					if s.End == score.Start {
						until[s.ID] = spanEnd[s.ID]
					} else {
						delete(until, s.ID)
						rings = true
					}
				}
			}
			for _, end := range until {
				rings = true
				if next[k].Less(end) {
					next[k] = end
				}
			}
			x := &f.problem.Groups[g].Notes[i]
			if n.passing {
				continue
			}
			if rings {
				x.Duration = max(x.Duration, next[k].Sub(n.at).Float())
			}
			if n.from.IsZero() {
				continue
			}
			x.Ring = rings
			if j := again[k]; j >= 0 && n.at.Less(np.notes[j].at) {
				x.Duration = min(x.Duration, np.notes[j].at.Sub(n.at).Float())
			}
		}
	}
}

// offRegion is what a place outside of the region costs: more than any way
// within it.
const offRegion = 60

// prefer makes the problem prefer the region.
func (f *fingered) prefer() {
	r := f.opt.Region
	if r == nil {
		return
	}
	neck := &f.problem.Neck
	middle := (r.Low + r.High) / 2
	f.problem.Prefer = func(_, _ int, p fretboard.Place) (float64, bool) {
		mm, belongs := r.Fit(p)
		if belongs {
			return mm / 25, true
		}
		return offRegion + neck.Reach(middle, p.Fret, fretboard.ScaleLength)/25, true
	}
}

// solve finds the best fingering and writes it into the notes.
func (f *fingered) solve() {
	way, err := fingering.Solve(f.problem, f.opt.weights())
	if err != nil {
		// The reader made sure of the neck and the order of time.
		f.np.rep.add(score.NotDone, CodeRefingerCut, f.np.notes[0].note.Src, f.np.rep.inPart()+err.Error(), "")
		return
	}
	f.apply(way)
	f.report(way)
}

// apply writes a fingering into the notes.
func (f *fingered) apply(way *fingering.Fingering) {
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			s := way.Stops[g][i]
			for _, k := range shared {
				n := &f.np.notes[k]
				switch {
				case n.muted(): // stays
				case s.Place.IsZero():
					n.note.Place = fretboard.Place{}
				case n.natural:
					for _, c := range n.candidates(n.note.Pitch) {
						if c.place == s.Place {
							n.put(c)
							break
						}
					}
				default:
					n.put(candidate{place: s.Place})
				}
			}
		}
	}
	f.fingers(way)
}

// fingers writes the fingers, if they are asked for, or takes off those that
// are wrong.
func (f *fingered) fingers(way *fingering.Fingering) {
	if !f.opt.Fingers {
		f.np.tidyMarks()
		return
	}
	for g := range f.notes {
		for _, shared := range f.notes[g] {
			for _, k := range shared {
				f.np.notes[k].note.Finger = score.NoFinger
			}
		}
	}
	f.np.tidyMarks()
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			s := way.Stops[g][i]
			n := &f.np.notes[shared[0]] // where a note is tied on, its first
			switch {
			case s.Finger != score.NoFinger:
				n.note.Finger = s.Finger
			case s.Place.Fret == 0 && !s.Place.IsZero() && !n.muted():
				n.note.Finger = score.FingerOpen
			}
		}
	}
}

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
				fmt.Sprintf("%s: %s has no place: %s", np.whereIs(k), n.note.Pitch.Pretty(), b.Reason), f.nearest(b, n))
		}
	}
	f.reportCuts(way)
	f.reportRegion(way)
	f.reportStretch(way)
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
			if l.tie || l.b != shared[0] || linkHolds(l.kind, np.notes[l.a].note.Place, np.notes[l.b].note.Place) {
				continue
			}
			for _, k := range []int{l.a, l.b} {
				note := np.notes[k].note
				note.Techniques = slices.DeleteFunc(note.Techniques, func(t score.Technique) bool {
					s, ok := t.(score.Span)
					return ok && s.Kind == l.kind && s.ID == l.id
				})
			}
			np.rep.add(score.NotDone, CodeRefingerTechnique, np.notes[l.a].note.Src,
				fmt.Sprintf("%s: the notes are no longer joined: %s", np.whereIs(l.a), b.Reason), "both notes are there; play them plucked")
		}
	}
	if first >= 0 {
		np.rep.add(score.NotDone, CodeRefingerCut, np.notes[first].note.Src, fmt.Sprintf("%s: %s", np.whereIs(first), b.Reason),
			"the notes have their places; what rang or was joined is cut here")
	}
}

// nearest names the nearest thing that could be played instead.
func (f *fingered) nearest(b fingering.Break, n *neckNote) string {
	neck := &f.problem.Neck
	if strings.HasPrefix(b.Reason, "no hand") {
		return "the rest of the chord is played; give the note to another voice or leave it out"
	}
	for _, octave := range []int{1, -1, 2, -2, 3, -3} {
		for _, p := range neck.Places(n.note.Pitch.MIDI() + 12*octave) {
			if p.Fret >= n.lo && p.Fret <= n.hi {
				return fmt.Sprintf("%s it lies on string %d, fret %d", octaveWords(octave), p.String, p.Fret)
			}
		}
	}
	return "another tuning would hold it"
}

// reportRegion names the notes that lie outside of the region.
func (f *fingered) reportRegion(way *fingering.Fingering) {
	r := f.opt.Region
	if r == nil {
		return
	}
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			p := way.Stops[g][i].Place
			if _, belongs := r.Fit(p); belongs || p.IsZero() {
				continue
			}
			n := &f.np.notes[shared[0]]
			f.np.rep.add(score.Warning, CodeRefingerScheme, n.note.Src,
				fmt.Sprintf("%s: %s lies outside of the %s: string %d, fret %d", f.np.whereIs(shared[0]), n.note.Pitch.Pretty(), r.Name, p.String, p.Fret), "")
		}
	}
}

// easySpan is how far apart, in millimetres, fingers rest at one finger per
// fret in the first position of a 648 mm string; beyond a fret more than that
// the usual caution is said.
const easySpan = 105

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
		if mm := f.problem.Neck.Reach(low, high, length); mm > easySpan {
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
		np.rep.add(score.Warning, CodeWhyNotRule, np.notes[k].note.Src, fmt.Sprintf("%s: it breaks a rule: %s", np.whereIs(k), b.Reason), "")
	}
	if len(c.Broken) > 0 || len(c.Groups) == 0 {
		return
	}
	np.rep.add(score.Info, CodeWhyNot, np.notes[f.notes[c.Groups[0].Group][0][0]].note.Src,
		fmt.Sprintf("%sthe fingering costs %.1f, the cheapest %.1f", np.rep.inPart(), c.Preferred.Cost, c.Best.Cost), "")
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
		np.rep.add(score.Info, CodeWhyNot, np.notes[k].note.Src,
			fmt.Sprintf("%sbar %s: %+.1f: %s", np.rep.inPart(), np.rep.bar(measure), total, termList(sums)), "")
	}
}

// termList writes the terms that make the greatest differences, losses first.
func termList(sums map[fingering.Term]float64) string {
	const most = 5
	terms := make([]fingering.Term, 0, len(sums))
	for t, v := range sums {
		if v > 0.05 || v < -0.05 {
			terms = append(terms, t)
		}
	}
	slices.SortFunc(terms, func(a, b fingering.Term) int {
		switch x, y := sums[a], sums[b]; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return int(a) - int(b)
	})
	var words []string
	for i, t := range terms {
		if i < most || i >= len(terms)-2 {
			words = append(words, fmt.Sprintf("%s %+.1f", t, sums[t]))
		}
	}
	return strings.Join(words, ", ")
}
