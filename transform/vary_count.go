package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// CodeVaryFewer says that fewer variations exist than were asked for.
const CodeVaryFewer = "vary-fewer"

// A Varied is one of several variations.
type Varied struct {
	Score *score.Score
	Steps []Variation
	// Distance is how far it is from the nearest of the phrase itself and
	// those before it, see [PhraseShape.Distance].
	Distance float64
	Said     score.Diagnostics // what [Vary] said
}

// Name writes the steps: "retrograde, in thirds".
func (v Varied) Name() string {
	var list []string
	for _, s := range v.Steps {
		list = append(list, s.String())
	}
	return strings.Join(list, ", ")
}

// beyondRange is how far, in semitones, a variation may go beyond the lowest
// and the highest note of its phrase: a fourth.
const beyondRange = 5

// spareOutside is how much more of its time than the phrase a variation may
// spend on notes that are neither in the scale nor in the chord: a chromatic
// passing note here and there.
const spareOutside = 1.0 / 16

// How many variations are tried at most, and how many that are good enough for
// each that is asked for.
const (
	maxTries    = 900
	poolForEach = 8
	leastPool   = 80
)

// Variations returns the variations of a score that are most different from it
// and from each other, and that a player can play: the furthest from it first,
// then always the one whose nearest is furthest, by the shape of its first
// part; what strikes the notes of one before it at other times comes last. Steps are tried alone and two together; opt.Seed says in which order
// and what is left to chance, so the same seed gives the same variations.
//
// A variation must be whole: no step refused, nothing without a place. It
// makes no leap wider than the widest of the phrase, goes no more than a fourth
// beyond its range, and strikes no note more often in a row than the phrase
// does, or twice. Where there are chord symbols
// it has at least the share of chord tones on strong beats that the phrase has,
// and ends on a chord tone, and hardly more of its time than the phrase's is spent
// on notes outside of both scale and chord; times are not stretched then, which would take the
// notes from under their chords. If there are fewer than asked for, that
// is reported as [score.NotDone].
func Variations(s *score.Score, count int, opt VaryOptions) ([]Varied, score.Diagnostics) {
	part := slices.IndexFunc(s.Parts, func(p *score.Part) bool {
		return (opt.Parts == nil || slices.Contains(opt.Parts, p.ID)) && !onlyUnpitched(p)
	})
	if part < 0 || count < 1 {
		return nil, nil
	}
	opt.trim = true
	x := &choosing{s: s, part: part, opt: opt, home: ShapeOf(s, part), style: styleOf(s, part, opt.Scale)}
	x.length = x.home.End.Sub(x.home.Begin)
	x.gather(max(leastPool, poolForEach*count))
	chosen := x.choose(count)
	var ds score.Diagnostics
	if len(chosen) < count {
		msg := fmt.Sprintf("%s asked for, %d found", countOf(count, "variation"), len(chosen))
		if why := x.why(); why != "" {
			msg += ": of those that were tried " + why
		}
		ds = append(ds, score.Diagnostic{Severity: score.NotDone, Code: CodeVaryFewer, Pos: s.PosOf(s.Parts[part].Src), Msg: msg, Hint: "another --seed may find others"})
	}
	return chosen, ds
}

// A choosing is one run of Variations.
type choosing struct {
	s      *score.Score
	part   int
	opt    VaryOptions
	home   *PhraseShape
	length score.Quarters
	style  phraseStyle
	pool   []Varied
	shapes []*PhraseShape
	failed [len(faultWords)]int
}

// The reasons for which a variation is not taken.
const (
	faultStep = iota
	faultPlay
	faultLeap
	faultStrong
	faultEnd
	faultRepeat
	faultRange
	faultOutside
	faultSame
)

var faultWords = [...]string{
	faultStep: "cannot be done or change nothing", faultPlay: "cannot be played", faultLeap: "leap further than the phrase does",
	faultStrong: "have fewer chord tones on strong beats", faultEnd: "do not end on a chord tone",
	faultRepeat: "strike one note again and again", faultRange: "leave the range of the phrase",
	faultOutside: "stay long on notes outside of scale and chord", faultSame: "are the same as others",
}

// why says how many failed for which reason.
func (x *choosing) why() string {
	var list []string
	for i, n := range x.failed {
		if n > 0 {
			list = append(list, fmt.Sprintf("%d %s", n, faultWords[i]))
		}
	}
	return strings.Join(list, ", ")
}

// gather tries steps until the pool is full or tries run out.
func (x *choosing) gather(want int) {
	r := rand.New(rand.NewPCG(x.opt.Seed, 41))
	single := x.steps(r)
	for _, s := range single {
		x.try(s)
	}
	tries := len(single)
	type pair struct{ a, b int }
	seen := map[pair]bool{}
	for tries < maxTries && len(x.pool) < want && len(seen) < len(single)*(len(single)-1) {
		p := pair{r.IntN(len(single)), r.IntN(len(single))}
		if seen[p] || p.a == p.b || single[p.a].Kind == single[p.b].Kind {
			seen[p] = true
			continue
		}
		seen[p] = true
		tries++
		x.try(single[p.a], single[p.b])
	}
}

// steps lists the steps that are tried, in an order of chance.
func (x *choosing) steps(r *rand.Rand) []Variation {
	list := []Variation{{Kind: Invert}, {Kind: Invert, Chromatic: true}, {Kind: Retrograde}}
	for _, n := range [...]int{2, 3, 5} {
		list = append(list, Variation{Kind: InIntervals, Steps: n}, Variation{Kind: InIntervals, Steps: -n})
	}
	for n := 2; n <= 5; n++ {
		list = append(list, Variation{Kind: Sequence, Size: n, Steps: 1}, Variation{Kind: Sequence, Size: n, Steps: -1})
	}
	for _, n := range [...]int{2, 3, 5} {
		list = append(list, Variation{Kind: Group, Size: n})
	}
	for _, n := range [...]int{2, 3} {
		list = append(list, Variation{Kind: OctaveJump, Size: n})
	}
	for range 6 {
		order := r.Perm(3 + r.IntN(3))
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
	for _, q := range [...]score.Quarters{score.Q(1, 2), score.Q(-1, 2), score.Q(1, 1), score.Q(-1, 1), score.Q(1, 4)} {
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
// misses the chords only is tried again with its strong beats on chord tones.
func (x *choosing) try(steps ...Variation) {
	fault := x.take(steps)
	if fault == faultStrong || fault == faultEnd {
		x.take(append(slices.Clone(steps), Variation{Kind: Target}))
	}
}

// take returns the fault of a variation, -1 if it was taken.
func (x *choosing) take(steps []Variation) int {
	out, anew, said := vary(x.s, steps, x.opt)
	fault := x.judge(out, said)
	if fault < 0 { // a search on the neck costs more than all else
		if out, said = x.opt.finger(out, anew, said); said.Count(score.NotDone) > 0 {
			fault = faultPlay
		}
	}
	if fault >= 0 {
		x.failed[fault]++
		return fault
	}
	shape := ShapeOf(out, x.part)
	for _, other := range append([]*PhraseShape{x.home}, x.shapes...) {
		if shape.Distance(other, x.length) == 0 {
			x.failed[faultSame]++
			return faultSame
		}
	}
	x.pool = append(x.pool, Varied{Score: out, Steps: steps, Said: said})
	x.shapes = append(x.shapes, shape)
	return -1
}

func (x *choosing) judge(out *score.Score, said score.Diagnostics) int {
	for _, d := range said {
		if d.Code == CodeVaryRefused || d.Code == CodeVaryNothing {
			return faultStep
		}
	}
	style := styleOf(out, x.part, x.opt.Scale)
	switch {
	case style.leap > x.style.leap:
		return faultLeap
	case x.style.chords && (style.strong*x.style.struck < x.style.strong*style.struck || style.struck == 0 && x.style.strong > 0):
		return faultStrong
	case x.style.chords && !style.resolved:
		return faultEnd
	case style.again > max(x.style.again, 2):
		return faultRepeat
	case style.low < x.style.low-beyondRange || style.high > x.style.high+beyondRange:
		return faultRange
	case x.style.chords && style.outside > x.style.outside+spareOutside:
		return faultOutside
	}
	return -1
}

// choose picks the most different ones.
func (x *choosing) choose(count int) []Varied {
	near := make([]float64, len(x.pool))
	for i, s := range x.shapes {
		near[i] = s.Distance(x.home, x.length)
	}
	var chosen []Varied
	tunes := map[string]bool{} // what notes are struck in what order, whenever it is
	for len(chosen) < count {
		best := -1
		for i, d := range near {
			if d > 0 && (best < 0 || better(d, !tunes[x.shapes[i].tune()], near[best], !tunes[x.shapes[best].tune()])) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		v := x.pool[best]
		v.Distance = near[best]
		chosen = append(chosen, v)
		tunes[x.shapes[best].tune()] = true
		for i, s := range x.shapes {
			near[i] = min(near[i], s.Distance(x.shapes[best], x.length))
		}
		near[best] = 0
	}
	return chosen
}

// better tells whether one candidate goes before another: a new tune before
// one that only comes at another time, then the one further away.
func better(d float64, tune bool, than float64, thanTune bool) bool {
	if tune != thanTune {
		return tune
	}
	return d > than
}

// A phraseStyle is what a variation must not be worse than.
type phraseStyle struct {
	leap           int // the widest, in semitones
	struck, strong int // notes on strong beats under chords, and how many are chord tones
	low, high      int // MIDI key numbers
	again          int // how often one note is struck in a row, at most
	chords         bool
	outside        float64 // share of the time under chords that notes outside of scale and chord take
	resolved       bool    // the last note is a tone of the chord under it
}

// styleOf looks at the lines of a part.
func styleOf(s *score.Score, part int, scale *ScaleOn) phraseStyle {
	p := s.Parts[part]
	rep := &reporter{score: s}
	rep.enter(p)
	v := newVaried(s, p, rep, VaryOptions{Scale: scale})
	st := phraseStyle{chords: len(v.spans) > 0, low: 1 << 10}
	inScale := v.scale.Scale.Set().Transpose(v.scale.Tonic.Class())
	var outside, under score.Quarters
	for k, l := range v.lines {
		row := 0
		for i, t := range l.tones {
			row++
			if i > 0 {
				leap := t.top() - l.tones[i-1].top()
				st.leap = max(st.leap, leap, -leap)
				if leap != 0 {
					row = 1
				}
			}
			st.again = max(st.again, row)
			for _, n := range t.chord.Notes {
				st.low, st.high = min(st.low, n.Sounding()), max(st.high, n.Sounding())
			}
			chord, ok := v.chordAt(t.at)
			if !ok {
				continue
			}
			classes := chord.Classes()
			for _, n := range t.chord.Notes {
				under = under.Add(t.length)
				if !classes.Has(n.Sounding()) && !inScale.Has(n.Sounding()) {
					outside = outside.Add(t.length)
				}
			}
			if v.strongAt(t.at) {
				for _, n := range t.chord.Notes {
					st.struck++
					if classes.Has(n.Sounding()) {
						st.strong++
					}
				}
			}
			if k == 0 && i == len(l.tones)-1 {
				st.resolved = classes.Has(t.top())
			}
		}
	}
	if under.Sign() > 0 {
		st.outside = outside.Float() / under.Float()
	}
	return st
}
