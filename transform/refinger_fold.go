package transform

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// Folding: what lies beyond a region, or beyond the neck, comes back by
// octaves. What is struck together moves together at first, joined notes
// always; where the octave changes is chosen so that as little as possible is
// moved and the line is broken as rarely as can be: between two phrases, else
// in the middle of one. Within a run it changes only where the rest of the phrase
// fits nowhere else, which is said. A chord that fits in no octave as a whole is
// then voiced anew: single notes of it take other octaves, as few as can be.

// maxFold is by how many octaves notes are folded at most.
const maxFold = 3

// Prices of a fold.
const (
	foldNowhere = 1e6    // a note that the neck does not have
	foldOutside = 1000.0 // a note that has no place where it should lie
	foldMoved   = 1.0    // each moment, by octave
	foldBreak   = 24.0   // a change of octave in a run, by octave: more than it costs to move a phrase of 40 moments
	foldHalf    = 3.0    // the same in the middle of a phrase
	foldPhrase  = 1.5    // the same between two phrases
)

// A foldColumn is the notes of one moment.
type foldColumn struct {
	notes  []int
	locked bool // joined to the moment before
	begins bool // a phrase, see [neckPart.phrases]
	half   bool // of a phrase
}

// columnsOf groups notes by time.
func (np *neckPart) columnsOf(notes []int) []foldColumn {
	var cols []foldColumn
	at := map[int]int{} // by note
	phrases := np.phrases(np.rep.part)
	for _, i := range notes {
		n := &np.notes[i]
		begins := false
		for len(phrases) > 0 && phrases[0][0] <= i {
			phrases, begins = phrases[1:], true
		}
		if k := len(cols); k == 0 || np.notes[cols[k-1].notes[0]].at != n.at {
			cols = append(cols, foldColumn{})
		}
		k := len(cols) - 1
		cols[k].notes = append(cols[k].notes, i)
		cols[k].begins = cols[k].begins || begins
		at[i] = k
	}
	for _, l := range np.links {
		a, ok := at[l.a]
		b, ok2 := at[l.b]
		if ok && ok2 {
			for k := a + 1; k <= b; k++ {
				cols[k].locked = true
			}
		}
	}
	for start := 0; start < len(cols); {
		end := start + 1
		for end < len(cols) && !cols[end].begins {
			end++
		}
		np.halve(cols[start:end])
		start = end
	}
	return cols
}

// leastHalf is the fewest moments that are half of a phrase.
const leastHalf = 3

// halve marks the middle of a phrase: the bar line nearest to it, if that is
// in its middle half, else the beat nearest to it.
func (np *neckPart) halve(phrase []foldColumn) {
	if len(phrase) < 2*leastHalf {
		return
	}
	note := func(k int) *neckNote { return &np.notes[phrase[k].notes[0]] }
	first, last := note(0).at.Float(), np.notes[phrase[len(phrase)-1].notes[0]].end.Float()
	best, least := -1, math.Inf(1)
	for k := leastHalf; k <= len(phrase)-leastHalf; k++ {
		n := note(k)
		away := math.Abs(n.at.Float()-(first+last)/2) / (last - first)
		switch beats := n.chord.Onset.Float() / np.rep.beats[n.measure].Float(); {
		case phrase[k].locked, away > 0.25, beats != math.Trunc(beats):
			continue
		case n.measure == note(k-1).measure:
			away++ // bar lines first
		}
		if away < least {
			best, least = k, away
		}
	}
	if best >= 0 {
		phrase[best].half = true
	}
}

// foldPlan returns for each moment by how many octaves it moves, and what that
// costs. homeOf says where a note should lie, nil for anywhere on the neck.
func (np *neckPart) foldPlan(notes []int, homeOf func(int) *home) (octaves []int, cost float64) {
	cols := np.columnsOf(notes)
	const width = 2*maxFold + 1
	var before [width]float64
	back := make([][width]int8, len(cols))
	for c, col := range cols {
		var now [width]float64
		for k := range width {
			shift := math.Abs(float64(k - maxFold))
			now[k] = math.Inf(1)
			for j := range width {
				change := math.Abs(float64(k - j))
				switch {
				case c == 0 && j != k, col.locked && j != k:
					continue
				case col.begins:
					change *= foldPhrase
				case col.half:
					change *= foldHalf
				default:
					change *= foldBreak
				}
				if x := before[j] + change; x < now[k] || x == now[k] && j == maxFold {
					now[k], back[c][k] = x, int8(j)
				}
			}
			now[k] += foldMoved * shift
			for _, i := range col.notes {
				n := &np.notes[i]
				if n.muted() {
					continue
				}
				var r *fretboard.Region
				if h := homeOf(i); h != nil {
					r = &h.region
				}
				if _, ok := np.reachIn(i, r, k-maxFold); !ok {
					now[k] += foldOutside
					if len(n.neck.Places(n.note.Pitch.MIDI()+12*(k-maxFold))) == 0 && !n.natural {
						now[k] += foldNowhere
					}
				}
			}
		}
		before = now
	}
	if len(cols) == 0 {
		return nil, 0
	}
	best := maxFold
	for k := range width {
		if before[k] < before[best] {
			best = k
		}
	}
	cost = before[best]
	octaves = make([]int, len(cols))
	for c := len(cols) - 1; c >= 0; c-- {
		octaves[c] = best - maxFold
		best = int(back[c][best])
	}
	return octaves, cost
}

// fold moves notes by octaves into their homes, and says which.
func (np *neckPart) fold(notes []int, opt *RefingerOptions) {
	octaves, _ := np.foldPlan(notes, func(i int) *home { return np.homes[i] })
	cols := np.columnsOf(notes)
	joined := map[int]int{} // by the later note
	for _, l := range np.links {
		joined[l.b] = l.a
	}
	voicer := &chordFolder{np: np, opt: opt, known: map[string][]int{}}
	for c, col := range cols {
		fixed := map[int]int{}
		for _, i := range col.notes {
			n := &np.notes[i]
			if n.muted() {
				continue
			}
			n.octaves = octaves[c]
			if a, ok := joined[i]; ok && np.notes[a].at != n.at {
				n.octaves = np.notes[a].octaves
				fixed[i] = n.octaves
			}
		}
		if len(col.notes) > 1 {
			voicer.fold(col.notes, fixed)
		}
	}
	for _, i := range notes {
		if n := &np.notes[i]; n.octaves != 0 {
			n.note.Pitch = n.note.Pitch.Transpose(theory.Octaves(n.octaves))
		}
	}
	np.reportFold(notes, cols)
}

// reportFold names what was moved, run by run.
func (np *neckPart) reportFold(notes []int, cols []foldColumn) {
	var run []int
	flush := func() {
		if len(run) == 0 {
			return
		}
		n := &np.notes[run[0]]
		where := ""
		if h := np.homes[run[0]]; h != nil {
			where = " into " + theRegion(&h.region)
		}
		what := np.noteNames(run) + " is"
		if len(run) > 1 {
			what = fmt.Sprintf("%s (%s) are", countOf(len(run), "note"), np.noteNames(run))
		}
		np.rep.add(score.Warning, CodeRefingerFold, n.note.Src,
			fmt.Sprintf("%s: %s folded%s, now %s", np.bars(run[0], run[len(run)-1]), what, where, octaveWords(n.octaves))+np.foldedAlone(run, cols), "")
		run = nil
	}
	for _, i := range notes {
		n := &np.notes[i]
		if n.muted() || n.note.TieStop {
			continue
		}
		if len(run) > 0 && n.octaves != np.notes[run[0]].octaves {
			flush()
		}
		if n.octaves != 0 {
			run = append(run, i)
		}
	}
	flush()
}

// foldedAlone says that a run of folded notes is torn out of its phrase, and
// why; "" if it is not.
func (np *neckPart) foldedAlone(run []int, cols []foldColumn) string {
	in := func(c int) bool {
		return slices.ContainsFunc(cols[c].notes, func(i int) bool { return slices.Contains(run, i) })
	}
	first := slices.IndexFunc(cols, func(c foldColumn) bool { return slices.Contains(c.notes, run[0]) })
	last := first
	for last+1 < len(cols) && in(last+1) {
		last++
	}
	if last-first+1 >= leastHalf {
		return ""
	}
	from, to := first, last+1 // the phrase
	for from > 0 && !cols[from].begins {
		from--
	}
	for to < len(cols) && !cols[to].begins {
		to++
	}
	torn := first > from && !cols[first].half || last+1 < to && !cols[last+1].half
	others, cannot := 0, 0
	by := np.notes[run[0]].octaves
	for c := from; c < to; c++ {
		for _, i := range cols[c].notes {
			n := &np.notes[i]
			if n.muted() || n.passing || n.note.TieStop || slices.Contains(run, i) {
				continue
			}
			if first <= c && c <= last {
				return "" // a chord that was voiced anew
			}
			others++
			var r *fretboard.Region
			if h := np.homes[i]; h != nil {
				r = &h.region
			}
			if _, ok := np.reachIn(i, r, by-n.octaves); !ok {
				cannot++
			}
		}
	}
	if !torn || others == 0 {
		return ""
	}
	what := "the note"
	if last > first {
		what = "the notes"
	}
	why := "moving all of the phrase would move many more"
	if cannot > 0 {
		why = fmt.Sprintf("%s, %d of the %s beside it in the phrase would not fit", octaveWords(by), cannot, countOf(others, "note"))
	}
	return fmt.Sprintf("; the line leaps there, since %s moved alone: %s", what, why)
}

// A chordFolder voices chords anew that a hand cannot hold where they should
// lie.
type chordFolder struct {
	np    *neckPart
	opt   *RefingerOptions
	known map[string][]int // octaves by chord, region and what is fixed
}

// maxVoiced bounds the notes of a chord whose octaves are tried one by one.
const maxVoiced = 7

// fold changes the octaves of single notes of a chord, if it cannot be held
// otherwise. fixed are the notes that are joined to earlier ones.
func (v *chordFolder) fold(notes []int, fixed map[int]int) {
	np := v.np
	notes = slices.DeleteFunc(slices.Clone(notes), func(i int) bool { return np.notes[i].muted() || np.notes[i].passing })
	if len(notes) < 2 || len(notes) > maxVoiced {
		return
	}
	first := &np.notes[notes[0]]
	h := np.homes[notes[0]]
	key := ""
	for _, i := range notes {
		n := &np.notes[i]
		_, held := fixed[i]
		key += fmt.Sprint(n.note.Pitch.MIDI(), n.octaves, n.lo, n.hi, n.natural, held, " ")
	}
	key += fmt.Sprintf("%p %p", first.neck, h)
	octaves, ok := v.known[key]
	if !ok {
		octaves = v.search(notes, fixed, h)
		v.known[key] = octaves
	}
	for k, i := range notes {
		if octaves != nil {
			np.notes[i].octaves = octaves[k]
		}
	}
}

// search returns the octaves that move the fewest notes such that one hand
// holds the chord in its home, nil if none do.
func (v *chordFolder) search(notes []int, fixed map[int]int, h *home) []int {
	np := v.np
	first := &np.notes[notes[0]]
	f := &fingered{np: np, opt: *v.opt, neck: first.neck,
		problem: &fingering.Problem{Neck: *first.neck, Hand: v.opt.Hand, ScaleLength: v.opt.ScaleLength}}
	f.group(0, nil)
	refs := make([]fingering.Ref, len(notes))
	for k, i := range notes {
		refs[k] = f.note(i)
	}
	group := &f.problem.Groups[0]
	pitches := make([]int, len(group.Notes))
	for i := range group.Notes {
		pitches[i] = group.Notes[i].Pitch
	}
	if h != nil {
		f.problem.Prefer = func(_, _ int, p fretboard.Place) (float64, bool) {
			mm, ok := h.region.Fit(p)
			return mm / reachPerOne, ok
		}
	}
next:
	for _, try := range v.tries(notes, fixed) {
		for k := range notes {
			for j := range k {
				if refs[j] == refs[k] && try.octaves[j] != try.octaves[k] {
					continue next // one sound of two voices stays one
				}
			}
		}
		for i := range group.Notes {
			group.Notes[i].Pitch = pitches[i]
		}
		for k := range notes {
			group.Notes[refs[k].Note].Pitch = pitches[refs[k].Note] + 12*try.octaves[k]
		}
		if way, err := fingering.Solve(f.problem, v.opt.weights()); err == nil && len(way.Breaks) == 0 {
			return try.octaves
		}
	}
	return nil
}

// otherBass is what it counts if another note becomes the lowest: more than
// moving all others.
const otherBass = maxVoiced

type voicingTry struct {
	octaves []int
	cost    float64
}

// tries lists the octaves that the notes of a chord can take, those that
// change least first: each note an octave from where the line takes it. No two
// notes come to sound alike that did not, and the lowest note stays the lowest
// if it can.
func (v *chordFolder) tries(notes []int, fixed map[int]int) []voicingTry {
	np := v.np
	var list []voicingTry
	now := make([]int, len(notes))
	lowest := func(octaves []int) int {
		low := 0
		for k, i := range notes {
			if np.notes[i].note.Pitch.MIDI()+12*octaves[k] < np.notes[notes[low]].note.Pitch.MIDI()+12*octaves[low] {
				low = k
			}
		}
		return low
	}
	base := make([]int, len(notes))
	for k, i := range notes {
		base[k] = np.notes[i].octaves
	}
	bass := lowest(base)
	var add func(k int, cost float64)
	add = func(k int, cost float64) {
		if k == len(notes) {
			if lowest(now) != bass {
				cost += otherBass
			}
			list = append(list, voicingTry{slices.Clone(now), cost})
			return
		}
		n := &np.notes[notes[k]]
		for _, d := range [...]int{0, 1, -1} {
			if _, held := fixed[notes[k]]; held && d != 0 {
				continue
			}
			now[k] = n.octaves + d
			sound := n.note.Pitch.MIDI() + 12*now[k]
			clash := false
			for j, i := range notes[:k] {
				other := &np.notes[i]
				clash = clash || other.note.Pitch.MIDI()+12*now[j] == sound && other.note.Pitch.MIDI() != n.note.Pitch.MIDI()
			}
			if !clash {
				add(k+1, cost+math.Abs(float64(d)))
			}
		}
	}
	add(0, 0)
	slices.SortStableFunc(list, func(a, b voicingTry) int { return cmp.Compare(a.cost, b.cost) })
	return list
}
