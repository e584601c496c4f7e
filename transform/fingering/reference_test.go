package fingering

import (
	"math"
	"sort"

	"example.org/lickwright/score"
)

// The reference solves small problems by going through every fingering there
// is. It shares no code with the search: rules and prices are written down
// again, in the plainest way, over whole hands instead of states and edges.

// refNote is one sounding note in a refHand: nowhere if str is 0.
type refNote struct{ str, fret, finger int }

// refHand is everything at one group.
type refHand struct {
	pos   int
	notes map[Ref]refNote // struck and held
	cost  float64
}

type refSolver struct {
	p   *Problem
	w   *Weights
	len float64
}

func (r *refSolver) dist(fret int) float64 {
	return r.len - r.len/math.Pow(2, float64(fret+r.p.Neck.Capo)/12)
}
func (r *refSolver) note(x Ref) *Note { return &r.p.Groups[x.Group].Notes[x.Note] }
func (r *refSolver) openPitch(s int) int {
	return r.p.Neck.Tuning.Strings[s-1].MIDI() + r.p.Neck.Capo
}

// target returns the group at which some note is joined to x, 0 if none is.
func (r *refSolver) target(x Ref) int {
	last := 0
	for g, group := range r.p.Groups {
		for _, n := range group.Notes {
			if n.Join != NotJoined && n.From == x {
				last = g
			}
		}
	}
	return last
}

// held lists the notes struck before group g that are looked at there.
func (r *refSolver) held(g int) []Ref {
	var list []Ref
	for k := 1; k <= g; k++ {
		for i := range r.p.Groups[k-1].Notes {
			list = append(list, Ref{k - 1, i})
		}
		var stay []Ref
		var soft []Ref
		for _, x := range list {
			t := r.target(x)
			end := r.p.Groups[x.Group].Onset + r.note(x).Duration
			if t > k || t == 0 && end > r.p.Groups[k].Onset+1e-6 {
				stay = append(stay, x)
				if t <= k && !r.note(x).Ring {
					soft = append(soft, x)
				}
			}
		}
		// Of those that may be let go, the ones that end first are not looked
		// at when there are too many.
		sort.SliceStable(soft, func(i, j int) bool {
			return r.p.Groups[soft[i].Group].Onset+r.note(soft[i]).Duration < r.p.Groups[soft[j].Group].Onset+r.note(soft[j]).Duration
		})
		gone := map[Ref]bool{}
		for len(soft) > 0 && len(stay)-len(gone) > max(0, 4-len(r.p.Groups[k].Notes)) {
			gone[soft[0]] = true
			soft = soft[1:]
		}
		list = nil
		for _, x := range stay {
			if !gone[x] {
				list = append(list, x)
			}
		}
	}
	return list
}

func (r *refSolver) unfingered(n *Note, x refNote) bool { return n.Free || n.Harmonic || x.fret == 0 }

// where lists every way to stop a note with the hand at pos.
func (r *refSolver) where(x Ref, pos int) []refNote {
	n := r.note(x)
	var list []refNote
	for s := 1; s <= len(r.p.Neck.Tuning.Strings); s++ {
		for f := 0; f+r.p.Neck.Capo <= r.p.Neck.Frets; f++ {
			if n.Harmonic {
				// Source: the natural harmonics of common practice.
				over, node := map[int]int{12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28}[f]
				if f == 3 {
					over, node = 31, true
				}
				if !node || r.openPitch(s)+over != n.Pitch {
					continue
				}
			} else if r.openPitch(s)+f != n.Pitch {
				continue
			}
			if n.Strings != 0 && n.Strings&(1<<s) == 0 || n.Fret != 0 && f != n.Fret-1 || f < n.MinFret || n.MaxFret != 0 && f > n.MaxFret {
				continue
			}
			if n.Finger == score.FingerOpen && f > 0 {
				continue
			}
			if r.p.Prefer != nil {
				if _, may := r.p.Prefer(x.Group, x.Note, stop{int8(s), int8(f), 0}.place()); !may {
					continue
				}
			}
			asked := n.Finger >= 1 && n.Finger <= 4
			if asked && f == 0 && !n.Free {
				continue
			}
			if r.unfingered(n, refNote{s, f, 0}) {
				list = append(list, refNote{s, f, 0})
				continue
			}
			for k := 1; k <= 4; k++ {
				home := pos + k - 1
				away := f - home
				ok := away >= -1 && away <= 1
				if k == 1 && away < 0 && r.dist(pos)-r.dist(f) <= 40 || k == 4 && away > 0 && r.dist(f)-r.dist(home) <= 40 {
					ok = true
				}
				if ok && (!asked || int(n.Finger) == k) {
					list = append(list, refNote{s, f, k})
				}
			}
		}
	}
	return list
}

// hands lists every way to hold group g.
func (r *refSolver) hands(g int) []refHand {
	held := r.held(g)
	var all []Ref
	for i := range r.p.Groups[g].Notes {
		all = append(all, Ref{g, i})
	}
	all = append(all, held...)
	var out []refHand
	for pos := 1; pos+r.p.Neck.Capo <= r.p.Neck.Frets; pos++ {
		var rec func(i int, notes map[Ref]refNote)
		rec = func(i int, notes map[Ref]refNote) {
			if i == len(all) {
				if r.holds(notes) {
					h := refHand{pos: pos, notes: map[Ref]refNote{}}
					for k, v := range notes {
						h.notes[k] = v
					}
					h.cost = r.handCost(g, h)
					out = append(out, h)
				}
				return
			}
			ways := r.where(all[i], pos)
			if i >= len(r.p.Groups[g].Notes) && !r.note(all[i]).Ring && r.target(all[i]) <= g {
				ways = append(ways, refNote{})
			}
			for _, w := range ways {
				notes[all[i]] = w
				rec(i+1, notes)
			}
			delete(notes, all[i])
		}
		rec(0, map[Ref]refNote{})
	}
	return out
}

func (r *refSolver) reach(i, j int) float64 {
	table := map[[2]int]float64{{1, 2}: 72, {1, 3}: 101, {1, 4}: 126.2, {2, 3}: 54, {2, 4}: 84, {3, 4}: 54}
	return table[[2]int{i, j}]
}

// holds tells whether one hand can hold all this.
func (r *refSolver) holds(notes map[Ref]refNote) bool {
	for a, x := range notes {
		for b, y := range notes {
			if a == b || x.str == 0 || y.str == 0 {
				continue
			}
			if x.str == y.str {
				return false
			}
			if x.finger == 0 || y.finger == 0 {
				continue
			}
			if x.finger < y.finger && (x.fret > y.fret || r.dist(y.fret)-r.dist(x.fret) > r.reach(x.finger, y.finger)) {
				return false
			}
			if x.finger == y.finger && x.fret != y.fret {
				return false
			}
			if x.finger == y.finger {
				// Everything on the strings between has to allow the barré.
				for s := min(x.str, y.str) + 1; s < max(x.str, y.str); s++ {
					var z *refNote
					for _, n := range notes {
						if n.str == s {
							z = &n
						}
					}
					switch {
					case x.finger == 1:
						if z != nil && z.fret < x.fret {
							return false
						}
					case z == nil || z.finger != x.finger:
						return false
					}
				}
			}
		}
	}
	return true
}

func (r *refSolver) handCost(g int, h refHand) float64 {
	w, n := r.w, float64(len(r.p.Neck.Tuning.Strings))
	total := 0.0
	fretOf := map[int]int{}
	count := map[int]int{}
	for x, a := range h.notes {
		if a.finger > 0 {
			fretOf[a.finger] = a.fret
			count[a.finger]++
		}
		if x.Group != g {
			continue
		}
		note := r.note(x)
		thick := float64(a.str-1) / (n - 1)
		if r.p.Prefer != nil {
			c, _ := r.p.Prefer(x.Group, x.Note, stop{int8(a.str), int8(a.fret), 0}.place())
			total += c * w[Preference]
		}
		if a.fret == 0 {
			total += w[Open] + w[OpenAway]*(r.dist(h.pos)-r.dist(1))/100 + w[OpenThick]*thick
			tempo := 90.0
			for k := 0; k <= g; k++ {
				if t := r.p.Groups[k].Tempo; t > 0 {
					tempo = t
				}
			}
			if note.Duration*60/tempo >= 0.6 {
				total += w[OpenLong]
			}
			if !h.bare() {
				total += w[OpenInside]
			}
		} else {
			mm := r.dist(a.fret) - r.dist(0)
			total += w[Height]*mm/100 + w[ThickString]*thick + w[ThickHigh]*thick*mm/100
			if a.fret > 12 {
				total += w[High] * float64(a.fret-12)
			}
		}
		if a.finger > 0 {
			total += []float64{w[ByIndex], w[ByMiddle], w[ByRing], w[ByLittle]}[a.finger-1]
			total += note.Bend * (w[BendWound]*thick + w[BendLow]*math.Max(0, 1-float64(a.fret)/12))
			if a.finger == 1 || a.finger == 4 {
				total += note.Bend * w[BendWeak]
			}
		}
	}
	var used []int
	for k := 1; k <= 4; k++ {
		if count[k] > 0 {
			used = append(used, k)
		}
	}
	for i, k := range used {
		off := (r.dist(fretOf[k]) - r.dist(h.pos+k-1)) / 10
		switch {
		case k == 1 && off < 0:
			total += w[ReachBack] * -off
		case k == 4 && off > 0:
			total += w[ReachForward] * off
		case k > 1 && off > 0:
			total += w[ReachInner] * off
		case k == 4:
			total += w[SqueezeLittle] * -off
		default:
			total += w[Squeeze] * math.Abs(off)
		}
		if i > 0 {
			j := used[i-1]
			apart := r.dist(fretOf[k]) - r.dist(fretOf[j])
			total += w[Span]*apart/10 + w[Strain]*math.Max(0, apart-36*float64(k-j))/10 + w[FingersDown]
		}
		if count[k] > 1 && k == 1 {
			total += w[Barre]
		} else if count[k] > 1 {
			total += w[HalfBarre]
		}
	}
	for a, x := range h.notes {
		for b, y := range h.notes {
			if a != b && x.finger > 0 && x.finger < y.finger && x.fret == y.fret && x.str < y.str {
				total += w[Crossed]
			}
		}
	}
	for s := 1; s <= len(r.p.Neck.Tuning.Strings); s++ {
		above, below, sounds := false, false, false
		for x, a := range h.notes {
			above = above || x.Group == g && a.str < s && a.str > 0
			below = below || x.Group == g && a.str > s
			sounds = sounds || a.str == s
		}
		if above && below && !sounds {
			total += w[Gap]
		}
	}
	if len(used) > 0 && h.pos == 1 {
		total += w[FirstPosition]
	}
	return total
}

func (r *refSolver) top(g int) Ref {
	best := Ref{g, 0}
	for i := range r.p.Groups[g].Notes {
		if r.note(Ref{g, i}).Pitch > r.note(best).Pitch {
			best = Ref{g, i}
		}
	}
	return best
}

func (h refHand) bare() bool {
	for _, n := range h.notes {
		if n.finger > 0 {
			return false
		}
	}
	return true
}

// stepCost returns what it costs to go from a hand to the next, +Inf if it
// cannot be done.
func (r *refSolver) stepCost(g int, a, b refHand) float64 {
	w, never := r.w, math.Inf(1)
	seconds := 0.0
	tempo := 90.0
	silenceFrom := 0.0
	for k := 0; k < g; k++ {
		if t := r.p.Groups[k].Tempo; t > 0 {
			tempo = t
		}
		seconds = (r.p.Groups[k+1].Onset - r.p.Groups[k].Onset) * 60 / tempo
		for _, n := range r.p.Groups[k].Notes {
			silenceFrom = math.Max(silenceFrom, r.p.Groups[k].Onset+n.Duration)
		}
	}
	hurry := 0.2 / (0.2 + seconds)
	total := 0.0
	stays, slides := false, false
	for x, y := range b.notes {
		if x.Group != g {
			before, ok := a.notes[x]
			switch {
			case !ok:
				return never // cannot be: who is held was there
			case y.str == 0 && before.str != 0:
				total += w[Release]
			case y != before:
				return never
			case y.finger > 0:
				stays = true
			}
			continue
		}
		n := r.note(x)
		if n.Join == NotJoined {
			continue
		}
		f := a.notes[n.From]
		if f.str == 0 || f.str != y.str {
			return never
		}
		two := f.finger > 0 && y.finger > 0
		switch n.Join {
		case HammerOn:
			if y.fret <= f.fret || two && (y.finger <= f.finger || r.dist(y.fret)-r.dist(f.fret) > r.reach(f.finger, y.finger)) {
				return never
			}
		case PullOff:
			if y.fret >= f.fret || two && (y.finger >= f.finger || r.dist(f.fret)-r.dist(y.fret) > r.reach(y.finger, f.finger)) {
				return never
			}
		case Slide:
			slides = true
			if y.fret == f.fret || y.finger != f.finger {
				return never
			}
		}
	}
	x, y := a.notes[r.top(g-1)], b.notes[r.top(g)]
	rise := r.note(r.top(g)).Pitch - r.note(r.top(g-1)).Pitch
	samePlace := x.str == y.str && x.fret == y.fret
	if rise == 0 && !samePlace {
		total += w[Restruck]
	}
	if rise != 0 {
		jump := int(math.Abs(float64(x.str - y.str)))
		terms := map[string][3]Term{
			"step": {StepOnString, StepNextString, StepSkipString}, "third": {ThirdOnString, ThirdNextString, ThirdSkipString},
			"leap": {LeapOnString, LeapNextString, LeapSkipString}, "wide": {WideOnString, WideNextString, WideSkipString},
		}
		// By semitones from 0 to 9.
		sizes := []string{"", "step", "step", "third", "third", "leap", "leap", "leap", "leap", "leap"}
		size := "wide"
		if n := int(math.Abs(float64(rise))); n < len(sizes) {
			size = sizes[n]
		}
		if jump == 0 {
			total += w[terms[size][0]]
		} else {
			total += w[terms[size][1]] + float64(jump-1)*(w[terms[size][2]]+w[SkipHaste]*hurry)
		}
		if strings := r.openPitch(y.str) - r.openPitch(x.str); strings > 0 && rise < 0 || strings < 0 && rise > 0 {
			total += w[AgainstString]
		}
		if (x.fret == 0) != (y.fret == 0) {
			total += w[OpenFretted]
		}
	}
	if a.pos == b.pos {
		if x.finger > 0 && x.finger == y.finger && !samePlace {
			total += w[Hop] + w[HopHaste]*hurry
		}
		if samePlace && x.finger > 0 && y.finger > 0 && x.finger != y.finger {
			total += w[ChangeFinger]
		}
		return total
	}
	mm := math.Abs(r.dist(a.pos)-r.dist(b.pos)) / 100
	rest := r.p.Groups[g].Onset - silenceFrom
	gap := 0.0
	if d := r.p.Groups[g].Onset - r.p.Groups[g-1].Onset; d > 0 {
		gap = rest * seconds / d
	}
	switch {
	case slides:
		total += w[ShiftSlide] + w[ShiftSlideMM]*mm
	case gap >= 0.2:
		total += w[ShiftRest] + w[ShiftRestMM]*mm
	case a.bare() || b.bare():
		total += w[ShiftOpen] + w[ShiftOpenMM]*mm
	default:
		total += w[Shift] + w[ShiftMM]*mm + hurry*(w[ShiftHaste]+w[ShiftMMHaste]*mm)
	}
	if stays {
		total += w[Anchored]
	}
	if x.str == y.str && x.fret != y.fret && x.fret > 0 && y.fret > 0 {
		total += w[ShiftOnString]
	}
	return total
}

// refAnswer is what going through everything finds.
type refAnswer struct {
	costs  []float64 // of all fingerings, sorted
	widest float64   // least of the widest stretches
}

// solve goes through every fingering. It gives up, with ok false, if there
// are more than limit or if there is a group that no hand can hold.
func (r *refSolver) solve(limit int) (ans refAnswer, ok bool) {
	var layers [][]refHand
	for g := range r.p.Groups {
		layers = append(layers, r.hands(g))
		if len(layers[g]) == 0 {
			return ans, false
		}
	}
	steps := make([][][]float64, len(layers))
	paths := len(layers[0])
	for g := 1; g < len(layers); g++ {
		if paths *= len(layers[g]); paths > limit {
			return ans, false
		}
		steps[g] = make([][]float64, len(layers[g-1]))
		for i, a := range layers[g-1] {
			for _, b := range layers[g] {
				steps[g][i] = append(steps[g][i], r.stepCost(g, a, b))
			}
		}
	}
	ans.widest = math.Inf(1)
	var rec func(g, i int, cost, wide float64)
	rec = func(g, i int, cost, wide float64) {
		h := layers[g][i]
		cost += h.cost
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, n := range h.notes {
			if n.finger > 0 {
				lo, hi = math.Min(lo, r.dist(n.fret)), math.Max(hi, r.dist(n.fret))
			}
		}
		wide = math.Max(wide, math.Max(0, hi-lo))
		if g == len(layers)-1 {
			ans.costs = append(ans.costs, cost)
			ans.widest = math.Min(ans.widest, wide)
			return
		}
		for j := range layers[g+1] {
			if c := steps[g+1][i][j]; !math.IsInf(c, 1) {
				rec(g+1, j, cost+c, wide)
			}
		}
	}
	for i := range layers[0] {
		rec(0, i, 0, 0)
	}
	sort.Float64s(ans.costs)
	return ans, len(ans.costs) > 0
}
