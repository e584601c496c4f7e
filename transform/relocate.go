package transform

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// CodeRelocateOctave says that [Relocate] moved a part by octaves.
const CodeRelocateOctave = "relocate-octave"

// Ways returns every distinct way to play a part on its neck, the cheapest
// first, and with it the way that it is written now, if all of its notes have
// places. The part is given by its index.
//
// A way is where the hand stands: for each fret that the index finger can
// stand at, with open strings and without, for each string, each two that lie
// side by side, and for no condition at all, it is the fingering that costs
// least. What has no place there goes where it can, so a wide phrase moves
// along the neck; where that is more than half of the notes it is no way, and
// on a set of strings none may leave it. Two ways are distinct if a quarter of the notes or more lie
// elsewhere; of those that are not the cheaper is kept. Ways in which notes
// have no place are left out if there are others.
//
// With opt.Fold the part is also looked at an octave up and an octave down.
// opt.Region, Scheme and FollowChords mean nothing here; opt.Tones, or else
// the key at the start, name the chord shapes.
func Ways(s *score.Score, part int, opt RefingerOptions) ([]Way, error) {
	if part < 0 || part >= len(s.Parts) {
		return nil, fmt.Errorf("there is no part %d", part+1)
	}
	octaves := []int{0}
	if opt.Fold {
		octaves = []int{0, 1, -1}
	}
	var all []Way
	for _, o := range octaves {
		f, err := oneNeck(s.Clone(), s, part, o, opt)
		if err != nil {
			return nil, err
		}
		shapes := f.shapes(s, &opt)
		for _, r := range f.regions() {
			f.home = nil
			if r != nil {
				f.home = &home{region: *r}
			}
			f.prefer()
			way, err := fingering.Solve(f.problem, f.opt.weights())
			if err != nil {
				return nil, err
			}
			if r != nil && !f.mostlyIn(way, r) {
				continue // that is no way to play it there
			}
			w := f.describe(way, shapes)
			w.Octaves = o
			all = append(all, w)
		}
	}
	now, written := WayOf(s, part, opt)
	if written == nil {
		all = append(all, now)
	}
	return distinct(all), nil
}

// mostlyIn tells whether half of the notes or more lie in a region; where the
// hand stands nowhere in particular, all have to.
func (f *fingered) mostlyIn(way *fingering.Fingering, r *fretboard.Region) bool {
	in, out := 0, 0
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			p := way.Stops[g][i].Place
			if p.IsZero() || f.np.notes[shared[0]].muted() {
				continue
			}
			if _, ok := r.Fit(p); ok {
				in++
			} else {
				out++
			}
		}
	}
	return out == 0 || r.Index >= 0 && in >= out
}

// distinct sorts ways by what they cost and leaves out those that are like a
// cheaper one. What is written now stays.
func distinct(all []Way) []Way {
	fewest := -1
	for i := range all {
		if fewest < 0 || all[i].Unplaced < fewest {
			fewest = all[i].Unplaced
		}
	}
	slices.SortStableFunc(all, func(a, b Way) int { return cmp.Compare(a.Cost, b.Cost) })
	var kept []Way
	for _, w := range all {
		if w.Unplaced > fewest && !w.Written {
			continue
		}
		like := slices.IndexFunc(kept, func(k Way) bool { return k.Octaves == w.Octaves && k.like(&w) })
		switch {
		case like < 0:
			kept = append(kept, w)
		case w.Written && slices.Equal(kept[like].places, w.places):
			kept[like].Written = true
		case w.Written:
			kept = append(kept, w)
		}
	}
	return kept
}

// What a way may cost beside the best of them before nobody would choose it:
// so many times as much. In phrases of a few notes, where all costs are small,
// so much more. (Judged by ear and hand on phrases of one to eight bars.)
const (
	dearTimes = 2.5
	dearMore  = 10.0
)

// Sensible leaves out of a list of [Ways] those that cost more than two and a
// half times as much as the best, and more than 10 beyond it: long runs along
// one string, high frets between open strings. What is written now stays. The
// list is not changed.
func Sensible(ways []Way) []Way {
	if len(ways) == 0 {
		return nil
	}
	best := ways[0].Cost
	for i := range ways {
		best = min(best, ways[i].Cost)
	}
	limit := max(dearTimes*best, best+dearMore)
	return slices.DeleteFunc(slices.Clone(ways), func(w Way) bool { return w.Cost > limit && !w.Written })
}

// likeness is what share of its notes two ways must have in the same places
// to be one way.
const likeness = 0.75

func (w *Way) like(o *Way) bool {
	same := 0
	for i := range w.places {
		if w.places[i] == o.places[i] {
			same++
		}
	}
	return float64(same) > likeness*float64(len(w.places)) || same == len(w.places)
}

// oneNeck makes the problem of a part that is played on one neck, moved by
// octaves. s is free to be changed; what is said is said of source.
func oneNeck(s, source *score.Score, part, octaves int, opt RefingerOptions) (*fingered, error) {
	opt.Region, opt.Scheme, opt.FollowChords, opt.Fold = nil, nil, false, false
	rep := &reporter{score: source, parts: len(source.Parts)}
	rep.enter(s.Parts[part])
	np := collectNeck(s.Parts[part], rep)
	np.link()
	if octaves != 0 {
		for i := range np.notes {
			if n := &np.notes[i]; !n.muted() {
				n.octaves = octaves
				n.note.Pitch = n.note.Pitch.Transpose(theory.Octaves(octaves))
			}
		}
	}
	necks := newFingered(s, s.Parts[part], np, opt)
	switch len(necks) {
	case 1:
		return necks[0], nil
	case 0:
		return nil, fmt.Errorf("the part has no notes on a neck")
	}
	return nil, fmt.Errorf("the part is played on %d necks; its ways can be listed for one", len(necks))
}

// regions lists where the hand may be asked to play; nil is anywhere.
func (f *fingered) regions() []*fretboard.Region {
	list := []*fretboard.Region{nil}
	neck := *f.neck
	add := func(index int, fit func(fretboard.Place) (float64, bool)) *fretboard.Region {
		r := fretboard.NewRegion("", neck, index, fit)
		list = append(list, &r)
		return &r
	}
	tones, err := (&RefingerOptions{Scheme: fretboard.Open{}}).tones(&score.Score{})
	if err != nil {
		return list
	}
	for index := 1; index <= neck.TopFret(); index++ {
		hands, err := (fretboard.Position{Fret: index}).Regions(neck, tones)
		if err != nil {
			continue
		}
		hand := hands[0]
		add(index, hand.Fit)
		open := add(index, func(p fretboard.Place) (float64, bool) {
			if p.Fret == 0 {
				return 0, true
			}
			return hand.Fit(p)
		})
		open.Low = hand.Low // what has no place comes near to the hand
	}
	n := neck.Tuning.Len()
	for str := 1; str <= n; str++ {
		for _, to := range [...]int{str, str + 1} {
			if to <= n {
				add(-1, func(p fretboard.Place) (float64, bool) { return 0, str <= p.String && p.String <= to })
			}
		}
	}
	return list
}

// Relocate puts a part on the neck in one of its [Ways]. The part is given by
// its index, and opt must be what the ways were asked for with.
func Relocate(s *score.Score, part int, w Way, opt RefingerOptions) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	f, err := oneNeck(out, s, part, w.Octaves, opt)
	if err != nil || len(f.np.notes) != len(w.places) {
		why := "it is a way of another part"
		if err != nil {
			why = err.Error()
		}
		return out, score.Diagnostics{{Severity: score.NotDone, Code: CodeRefingerCut, Msg: "the part cannot be moved: " + why}}
	}
	f.prescribe(func(k int) fretboard.Place { return w.places[k] })
	f.solve()
	if w.Octaves != 0 {
		f.np.rep.add(score.Warning, CodeRelocateOctave, out.Parts[part].Src, fmt.Sprintf("%sall notes moved %s", f.np.rep.inPart(), octaveWords(w.Octaves)), "")
	}
	f.np.rep.list.Sort()
	return out, f.np.rep.list
}

// prescribe asks for places, by note of the part; the zero place asks for
// none.
func (f *fingered) prescribe(place func(int) fretboard.Place) {
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			if p := place(shared[0]); !p.IsZero() && !f.np.notes[shared[0]].muted() {
				n := &f.problem.Groups[g].Notes[i]
				n.Strings, n.Fret = 1<<p.String, p.Fret+1
			}
		}
	}
}
