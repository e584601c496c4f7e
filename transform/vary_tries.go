package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// How many variations are tried at most, and how many that are good enough for
// each that is asked for.
const (
	maxPairs    = 3000
	maxTriples  = 5000
	poolForEach = 2
	leastPool   = 20
)

// gather tries steps until the pool is full or tries run out.
func (x *choosing) gather(want int) {
	r := rand.New(rand.NewPCG(x.opt.Seed, 41))
	single := x.steps(r)
	dead := make([]bool, len(single)) // they cannot be done first
	var even []int                    // those whose leaps are no wider than the phrase's
	for i, s := range single {
		fault := x.try(s)
		dead[i] = fault == faultStep
		if fault != faultStep && fault != faultLeap {
			even = append(even, i)
		}
	}
	tries := len(single)
	type pair struct{ a, b int }
	seen := map[pair]bool{}
	for tries < maxPairs && x.sound < want && len(seen) < len(single)*(len(single)-1) {
		p := pair{r.IntN(len(single)), r.IntN(len(single))}
		if seen[p] || !goTogether(single[p.a].Kind, single[p.b].Kind) {
			seen[p] = true
			continue
		}
		seen[p] = true
		tries++
		if dead[p.a] {
			x.failed[faultStep]++
			continue
		}
		x.try(single[p.a], single[p.b])
	}
	// Three, the last of which says where the phrase begins. Of all those most
	// leap, so only steps are taken that do not by themselves.
	var triples [][3]int
	for _, a := range even {
		for _, b := range even {
			for _, c := range even {
				k, l, m := single[a].Kind, single[b].Kind, single[c].Kind
				if (m == StartOn || m == Displace) && !(repeatsPattern(k) && repeatsPattern(l)) && goTogether(k, l) && goTogether(k, m) && goTogether(l, m) {
					triples = append(triples, [3]int{a, b, c})
				}
			}
		}
	}
	r.Shuffle(len(triples), func(i, j int) { triples[i], triples[j] = triples[j], triples[i] })
	for _, t := range triples[:min(len(triples), maxTriples)] {
		if x.sound >= want {
			break
		}
		x.try(single[t[0]], single[t[1]], single[t[2]])
	}
}

// repeatsPattern tells whether a step repeats some notes over and over.
func repeatsPattern(k VariationKind) bool { return k == Sequence || k == Group || k == InIntervals }

// goTogether tells whether a step is tried before another one. Where the phrase
// begins is said last, so that it is true of what there is in the end.
func goTogether(a, b VariationKind) bool {
	if a == Group && b == Sequence {
		return false // of what is under the later chords nothing would be left
	}
	if a == Sequence && b == Permute {
		return false // the sequence would no longer be heard
	}
	last := func(k VariationKind) bool { return k == StartOn || k == Displace }
	return a != b && (!last(a) || a == StartOn && b == Displace)
}

// steps lists the steps that are tried, in an order of chance.
func (x *choosing) steps(r *rand.Rand) []Variation {
	list := []Variation{{Kind: Invert}, {Kind: Invert, Chromatic: true}, {Kind: Retrograde}}
	for _, n := range [...]int{2, 3, 5} {
		list = append(list, Variation{Kind: InIntervals, Steps: n}, Variation{Kind: InIntervals, Steps: -n})
	}
	for n := 2; n <= 8; n++ {
		list = append(list, Variation{Kind: Sequence, Size: n, Steps: 1}, Variation{Kind: Sequence, Size: n, Steps: -1})
	}
	for _, n := range [...]int{2, 3, 4, 5, 6} {
		list = append(list, Variation{Kind: Group, Size: n})
	}
	for _, n := range [...]int{2, 3} {
		list = append(list, Variation{Kind: OctaveJump, Size: n})
	}
	list = append(list, Variation{Kind: Permute, Order: []int{2, 1}})
	for range 30 {
		size := 3 + r.IntN(3)
		if x.threes {
			size = 3 + 3*r.IntN(2)
		}
		order := r.Perm(size)
		if slices.IsSorted(order) {
			slices.Reverse(order)
		}
		for i := range order {
			order[i]++
		}
		list = append(list, Variation{Kind: Permute, Order: order})
	}
	for _, d := range x.degrees() {
		list = append(list, Variation{Kind: StartOn, Degree: d})
	}
	for _, q := range x.shifts {
		list = append(list, Variation{Kind: Displace, By: q})
	}
	if !x.style.chords {
		list = append(list, Variation{Kind: Augment, By: score.Q(2, 1)}, Variation{Kind: Diminish, By: score.Q(2, 1)})
	}
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list
}

// degrees returns the degrees of the scale against the tonic of the key.
func (x *choosing) degrees() []theory.Degree {
	if x.opt.Scale != nil {
		return x.opt.Scale.Scale.Degrees()
	}
	key, _, _ := KeyAtStart(x.s)
	return key.Scale().Degrees()
}

// try makes a variation and takes it into the pool if it is good. One that
// misses the chords only is tried again with its strong beats on chord tones. It
// returns the fault of the first, -1 for none.
func (x *choosing) try(steps ...Variation) int {
	fault := x.take(steps)
	if fault == faultStrong || fault == faultEnd {
		x.take(append(slices.Clone(steps), Variation{Kind: Target}))
	}
	return fault
}

// take returns the fault of a variation, -1 if it was taken.
func (x *choosing) take(steps []Variation) int {
	fault := -1
	var style *phraseStyle
	var key string
	targets, folds := 0, 0
	var tune, turns []int
	out, anew, said := vary(x.s, steps, x.opt, func(v *varied) bool {
		if v.part.ID != x.s.Parts[x.part].ID {
			return true
		}
		if v.failed {
			fault = faultStep
			return false
		}
		if leap := v.widest(); leap > x.style.leap { // most fail here
			fault = faultLeap
			return false
		}
		switch {
		case v.targets > mostTargets:
			fault = faultTargets
			return false
		case v.startsAt > 0 && v.heard(v.firstTone()).MIDI() != v.startsAt:
			fault = faultStart
			return false
		}
		targets, folds = v.targets, v.folds
		style = styleOf(v)
		if fault = x.judge(style); fault >= 0 {
			return false
		}
		tune, turns = tuneOf(v), turnsOf(v)
		if key = struckKey(v); x.seen[key] {
			fault = faultSame
		}
		return fault < 0
	})
	if fault >= 0 {
		x.failed[fault]++
		return fault
	}
	x.seen[key] = true
	v := lookAt(out, x.part, x.opt.Scale)
	shape := phraseShapeOf(v)
	repeating := 0
	for _, step := range steps {
		if repeatsPattern(step.Kind) {
			repeating++
		}
	}
	c := &candidateVariation{bent: style.bends > 0, kind: mainKind(steps), out: out, anew: anew, said: said, steps: steps, shape: shape, tune: tune, turns: turns, ofPhrase: areTwins(tune, x.tune), flaws: x.flaws(style) + max(0, repeating-1) + max(0, targets-fewTargets) + folds}
	for _, step := range steps {
		c.displaced = c.displaced || step.Kind == Displace
		switch step.Kind {
		case Target:
		case Sequence:
			c.names = append(c.names, fmt.Sprint("sequence", step.Steps))
		case Group:
			c.names = append(c.names, "group")
		default:
			c.names = append(c.names, step.String())
		}
	}
	if asked := x.opt.refingerOptions(anew, nil); asked.Parts != nil && !slices.Contains(asked.Parts, v.part.ID) || v.onNeck(0) && v.neck == nil {
		c.placed = true
	} else if x.free {
		c.may = x.mayLie(v)
	}
	if c.flaws > mostFlaws {
		x.failed[faultFlaws]++
		return faultFlaws
	}
	if c.flaws <= fewFlaws && !slices.ContainsFunc(x.pool, func(d *candidateVariation) bool { return areTwins(c.tune, d.tune) }) {
		x.sound++
	}
	x.pool = append(x.pool, c)
	return -1
}

// struckKey writes what is struck when, and how long it sounds, in the first
// voice: two variations that have it in common are the same.
func struckKey(v *varied) string {
	var b []byte
	origin := v.origin()
	if len(v.lines) > 0 {
		for _, t := range v.lines[0].tones {
			at := t.at.Sub(origin)
			for _, n := range [...]int64{at.Num(), at.Den(), int64(t.top()), t.length.Num(), t.length.Den()} {
				b = append(strconv.AppendInt(b, n, 36), ' ')
			}
		}
	}
	return string(b)
}

// mainKind returns what is done first: the first step that does more than to say
// where the phrase begins or ends, else the first one.
func mainKind(steps []Variation) VariationKind {
	for _, s := range steps {
		if s.Kind != StartOn && s.Kind != Displace && s.Kind != Target {
			return s.Kind
		}
	}
	return steps[0].Kind
}
