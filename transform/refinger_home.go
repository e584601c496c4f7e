package transform

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A home is where a note should lie: a region and, for what has no place in
// it, those next to it.
type home struct {
	region fretboard.Region
	beside []fretboard.Region
}

// What a place costs by where it lies. Outside of the home costs more than any
// way within it; a note that is there all the same goes where the fewest
// millimetres separate it from the home, and rather into a neighbour, where
// the hand can stay for the next, than between.
const (
	offRegion   = 60.0 // outside of everything
	spillCost   = 45.0 // in a region beside it
	reachPerOne = 25.0 // millimetres of reach, or of distance, that cost 1
)

func (h *home) cost(p fretboard.Place) float64 {
	if mm, ok := h.region.Fit(p); ok {
		return mm / reachPerOne
	}
	away := h.region.Apart(p, fretboard.ScaleLength) / reachPerOne
	if h.neighbour(p) != nil {
		return spillCost + away
	}
	return offRegion + away
}

// neighbour returns the region beside the home that has the place, nil if none
// has.
func (h *home) neighbour(p fretboard.Place) *fretboard.Region {
	for i := range h.beside {
		if _, ok := h.beside[i].Fit(p); ok {
			return &h.beside[i]
		}
	}
	return nil
}

// tones returns what a scheme is laid over: what the caller says, else the
// scale of the key at the start, else, where the scheme lies anyway, every
// note.
func (o *RefingerOptions) tones(s *score.Score) (fretboard.ToneSet, error) {
	if len(o.Tones.Tones) > 0 {
		return o.Tones, nil
	}
	if key, _, ok := KeyAtStart(s); ok {
		return fretboard.ScaleTones(key.Tonic, ScaleInKey(s, key)), nil
	}
	if fretboard.NeedsTones(o.Scheme) {
		return fretboard.ToneSet{}, fmt.Errorf("it lies by a scale, and neither a scale nor a key is known")
	}
	_, _, all, err := theory.ParseScale("chromatic")
	return fretboard.ScaleTones(theory.NoteName{}, all), err
}

// byNeck lists the notes of a part by the neck that they are played on, in
// order of time.
func (np *neckPart) byNeck() (necks []*fretboard.Neck, notes map[*fretboard.Neck][]int) {
	notes = map[*fretboard.Neck][]int{}
	for i := range np.notes {
		n := np.notes[i].neck
		if notes[n] == nil {
			necks = append(necks, n)
		}
		notes[n] = append(notes[n], i)
	}
	return necks, notes
}

// settle decides for every note where it should lie, and moves notes by
// octaves if that is asked for. Homes that only the search can choose between
// are left open for it, see [fingered.choose].
func (np *neckPart) settle(s *score.Score, p *score.Part, opt *RefingerOptions) {
	np.homes = make([]*home, len(np.notes))
	np.members = map[int][]int{}
	if opt.Region != nil || opt.Scheme != nil || opt.FollowChords || opt.Fold {
		for i := range np.notes {
			np.members[np.notes[i].chain] = append(np.members[np.notes[i].chain], i)
		}
	}
	np.open = map[*fretboard.Neck][]home{}
	np.leave = opt.Fold
	necks, notes := np.byNeck()
	for _, neck := range necks {
		list := notes[neck]
		switch {
		case opt.Region != nil:
			np.giveHome(list, &home{region: *opt.Region})
		case opt.FollowChords:
			np.follow(s, p, neck, list, opt)
		case opt.Scheme != nil:
			np.open[neck] = np.candidateHomes(s, neck, list, opt)
			if len(np.open[neck]) == 1 {
				np.giveHome(list, &np.open[neck][0])
			}
		}
		if opt.Fold {
			np.fold(list, opt)
		}
	}
}

func (np *neckPart) giveHome(notes []int, h *home) {
	for _, i := range notes {
		np.homes[i] = h
	}
}

// maxHomes is between how many regions the search chooses: those with the
// fewest notes outside of them.
const maxHomes = 3

// candidateHomes returns the regions of a scheme that come into question, the
// one with the fewest notes outside first.
func (np *neckPart) candidateHomes(s *score.Score, neck *fretboard.Neck, notes []int, opt *RefingerOptions) []home {
	tones, err := opt.tones(s)
	var regions []fretboard.Region
	if err == nil {
		regions, err = opt.Scheme.Regions(*neck, tones)
	}
	if err != nil {
		np.rep.add(score.NotDone, CodeRefingerScheme, np.rep.part.Src, np.rep.inPart()+opt.Scheme.String()+" cannot be had: "+err.Error(),
			"the notes are fingered freely")
		return nil
	}
	type fitting struct {
		home
		outside int
		reach   float64
	}
	all := make([]fitting, len(regions))
	for i, r := range regions {
		all[i].region, all[i].beside = r, fretboard.Beside(opt.Scheme, r, tones)
		if opt.Fold {
			// Notes may move by octaves: what counts is how much has to.
			_, cost := np.foldPlan(notes, func(int) *home { return &all[i].home })
			all[i].reach = cost
			continue
		}
		all[i].outside, all[i].reach = np.misfit(notes, &r)
	}
	slices.SortStableFunc(all, func(a, b fitting) int {
		return cmp.Or(cmp.Compare(a.outside, b.outside), cmp.Compare(a.reach, b.reach))
	})
	if opt.Fold {
		all = all[:1]
	}
	var homes []home
	for _, f := range all[:min(len(all), maxHomes)] {
		homes = append(homes, f.home)
	}
	return homes
}

// maxChain bounds how many joined notes are looked at as one.
const maxChain = 32

// misfit counts the struck notes that have no place in a region, and adds up
// the millimetres that those which have one have to be reached for.
func (np *neckPart) misfit(notes []int, r *fretboard.Region) (outside int, reach float64) {
	for _, i := range notes {
		n := &np.notes[i]
		if n.muted() || n.note.TieStop {
			continue
		}
		least, ok := np.reachIn(i, r, 0)
		if !ok {
			outside++
		}
		reach += least
	}
	return outside, reach
}

// reachIn returns the least reach for a note, moved by so many octaves, in a
// region, and whether it has a place there at all; what is joined to it has to
// lie there on the same string, or to be reached from there if np.leave is set.
// A nil region is the whole neck.
func (np *neckPart) reachIn(i int, r *fretboard.Region, octaves int) (least float64, ok bool) {
	n := &np.notes[i]
	chain := np.members[n.chain]
	look := func(p fretboard.Place) {
		together := len(chain) > 1 && len(chain) <= maxChain && !n.natural
		if together {
			for _, k := range chain {
				m := &np.notes[k]
				q, on := n.neck.FretOn(p.String, m.note.Pitch.MIDI()+12*octaves)
				if !on || q.Fret < m.lo || q.Fret > m.hi {
					return
				}
				if r != nil && !np.leave {
					if _, in := r.Fit(q); !in {
						return
					}
				}
			}
		}
		mm, in := 0.0, true
		if r != nil {
			mm, in = r.Fit(p)
		}
		if r != nil && np.leave && (together || !in) {
			alike := []int{i}
			if together {
				alike = chain
			}
			by := np.reached(alike, func(k int) fretboard.Place {
				q, _ := n.neck.FretOn(p.String, np.notes[k].note.Pitch.MIDI()+12*octaves)
				return q
			}, r)
			if len(by) < len(alike) || n.natural && !in {
				return
			}
			if !in {
				mm, in = r.Apart(p, fretboard.ScaleLength), true
			}
		}
		if in && (!ok || mm < least) {
			least, ok = mm, true
		}
	}
	if n.natural {
		for _, c := range n.candidates(n.note.Pitch.Transpose(theory.Octaves(octaves))) {
			look(c.place)
		}
		return least, ok
	}
	for str := 1; str <= n.neck.Tuning.Len(); str++ {
		if p, on := n.neck.FretOn(str, n.note.Pitch.MIDI()+12*octaves); on && n.lo <= p.Fret && p.Fret <= n.hi {
			look(p)
		}
	}
	return least, ok
}

// choose lets the search decide between the homes that are open: the one in
// which the notes cost least.
func (f *fingered) choose() {
	homes := f.np.open[f.neck]
	if len(homes) < 2 {
		return
	}
	best, least := 0, 0.0
	for i := range homes {
		f.home = &homes[i]
		f.prefer()
		way, err := fingering.Solve(f.problem, f.opt.weights())
		if err != nil {
			break // said when it is solved for good
		}
		if i == 0 || way.Cost < least {
			best, least = i, way.Cost
		}
	}
	f.home = &homes[best]
}

// homeOf returns where a note of the problem should lie, nil for anywhere.
func (f *fingered) homeOf(group, note int) *home {
	if f.home != nil {
		return f.home
	}
	return f.np.homes[f.notes[group][note][0]]
}

// prefer makes the problem prefer the homes of its notes, and the ways of the
// phrase that they are a variation of.
func (f *fingered) prefer() {
	f.problem.Prefer = nil
	placed := f.home != nil || slices.ContainsFunc(f.np.homes, func(h *home) bool { return h != nil })
	habit := f.opt.habits[f.np.rep.part.ID]
	if !placed && habit == nil {
		return
	}
	f.problem.Prefer = func(g, i int, p fretboard.Place) (cost float64, ok bool) {
		if h := f.homeOf(g, i); h != nil {
			cost = h.cost(p)
		}
		if habit != nil {
			n := &f.np.notes[f.notes[g][i][0]]
			if habit.only && !n.natural && !n.muted() && !habit.near(p) {
				return 0, false
			}
			cost += habit.cost(n, p, placed)
		}
		return cost, true
	}
}

// theRegion writes a region's name into a sentence.
func theRegion(r *fretboard.Region) string {
	if strings.HasPrefix(r.Name, "position") {
		return r.Name
	}
	return "the " + r.Name
}

// withFrets writes a region's name and its frets, where the name does not say
// them.
func withFrets(r *fretboard.Region) string {
	if strings.HasPrefix(r.Name, "frets") {
		return theRegion(r)
	}
	return fmt.Sprintf("%s (frets %d to %d)", theRegion(r), r.Low, r.High)
}

// maxNamed is how many notes a message names one by one.
const maxNamed = 16

// noteNames lists notes for a message.
func (np *neckPart) noteNames(notes []int) string {
	var words []string
	for k, i := range notes {
		if k == maxNamed {
			words = append(words, fmt.Sprintf("and %d more", len(notes)-k))
			break
		}
		words = append(words, np.notes[i].note.Pitch.Pretty())
	}
	return strings.Join(words, " ")
}

// bars names the bars from one note to another.
func (np *neckPart) bars(first, last int) string {
	a, b := np.notes[first].measure, np.notes[last].measure
	if a == b {
		return np.whereIs(first)
	}
	return np.rep.inPart() + "bars " + np.rep.bar(a) + " to " + np.rep.bar(b)
}

// reportRegions says in which region the notes lie where there was a choice,
// and names those that lie outside: those that went on into a neighbour
// together, the others one by one.
func (f *fingered) reportRegions(way *fingering.Fingering) {
	np := f.np
	if len(np.open[f.neck]) > 1 && f.home != nil && len(f.notes) > 0 {
		np.rep.add(score.Info, CodeRefingerRegion, np.rep.part.Src, np.rep.inPart()+"fingered in "+withFrets(&f.home.region), "")
	}
	var run []int
	var into *fretboard.Region
	flush := func() {
		if len(run) > 0 {
			h := f.home
			if h == nil {
				h = np.homes[run[0]]
			}
			what := np.noteNames(run) + " lies"
			if len(run) > 1 {
				what = fmt.Sprintf("%s (%s) lie", countOf(len(run), "note"), np.noteNames(run))
			}
			np.rep.add(score.Warning, CodeRefingerSpill, np.notes[run[0]].note.Src,
				fmt.Sprintf("%s: %s beyond %s, in %s", np.bars(run[0], run[len(run)-1]), what, theRegion(&h.region), withFrets(into)), "")
		}
		run, into = nil, nil
	}
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			p, h := way.Stops[g][i].Place, f.homeOf(g, i)
			if h == nil || p.IsZero() || np.notes[shared[0]].muted() {
				continue
			}
			if _, ok := h.region.Fit(p); ok {
				flush()
				continue
			}
			if by := np.reachedBy(shared[0], &h.region); by != "" {
				flush()
				n := &np.notes[shared[0]]
				np.rep.add(score.Warning, CodeRefingerScheme, n.note.Src,
					fmt.Sprintf("%s: %s lies outside of %s, reached by the %s: string %d, fret %d", np.whereIs(shared[0]), n.note.Pitch.Pretty(), theRegion(&h.region), by, p.String, p.Fret), "")
				continue
			}
			if r := h.neighbour(p); r != nil {
				if into != nil && into.Name != r.Name {
					flush()
				}
				into = r
				run = append(run, shared[0])
				continue
			}
			flush()
			n := &np.notes[shared[0]]
			np.rep.add(score.Warning, CodeRefingerScheme, n.note.Src,
				fmt.Sprintf("%s: %s lies outside of %s: string %d, fret %d", np.whereIs(shared[0]), n.note.Pitch.Pretty(), theRegion(&h.region), p.String, p.Fret), "")
		}
	}
	flush()
}
