package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
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

	rank int // how much speaks against it, see [choosing.flaws]
}

// Name writes the steps: "retrograde, in thirds".
func (v Varied) Name() string {
	var list []string
	for _, s := range v.Steps {
		list = append(list, s.String())
	}
	return strings.Join(list, ", ")
}

// What a variation may be at most, or has to be at least, beside its phrase.
const (
	beyondRange   = 5        // semitones beyond the lowest and the highest note: a fourth
	spareOutside  = 1.0 / 16 // of the time on notes neither in the scale nor in the chord, more than the phrase
	leastNotes    = 2.0 / 3  // as many notes
	mostNotes     = 2        // as many notes
	leastKept     = 1.0 / 2  // of its cells or of its rhythm
	mostRounds    = 4        // times a cell in a row, if the phrase has none more often
	mostUses      = 2        // times one step, before others are taken first
	mostOfKind    = 3        // of ten whose first step, or all that there is, is of one kind
	mostAlike     = 2        // that differ only in when they begin and by their targets
	fewTargets    = 2        // notes moved to chord tones; each more speaks against it
	mostTargets   = 4        // the same, at all
	nothingMarked = 2        // flaws of one without anything of what marks the phrase
	mostFlaws     = 4        // things that speak against it
	fewFlaws      = 2        // the same, of those that fill the pool
)

// How many variations are tried at most, and how many that are good enough for
// each that is asked for.
const (
	maxPairs    = 3000
	maxTriples  = 4000
	poolForEach = 5
	leastPool   = 80
)

// Variations returns the variations of a score that are most different from it
// and from each other, that a player can play, and in which the phrase is still
// heard: the furthest from it first, then always the one whose nearest is
// furthest, by the shape of its first part. Those against which something
// speaks come after all others (see below), as do those that only strike the
// notes of one before them at other times. Steps are tried alone, two
// and, where those are few, three together; opt.Seed says in which order and what is
// left to chance, so the same seed gives the same variations. Two are done to the
// result: the last note is held as long as that of the phrase where bar and chord
// have room, and a bend that came to a note of an eighth or less, where the phrase
// bends none so short, is struck plainly; both are said.
//
// A variation must be whole: no step refused, none whose words are not true of the
// result, nothing without a place, no pull-off to an open string that the
// phrase has not. It makes no leap wider than the widest of the phrase, goes no
// more than a fourth beyond its range, and strikes no note twice in a row where
// the phrase does not as often.
//
// It must be a variation of this phrase: it has two thirds to twice as many
// notes, and half of the phrase's cells of three notes (by their steps in the
// scale, turned over or backwards too) or half of its rhythm (pairs of times
// from note to note); it does not rock between two notes for more than a bar, nor
// go round more than four times in two to four notes. No more than four of its
// notes are moved to chord tones.
//
// It ends within the bars of the phrase. Where there are chord symbols
// it has at least the share of chord tones on strong beats that the phrase has,
// and ends on a chord tone, and hardly more of its time than the phrase's is spent
// on notes outside of both scale and chord; times are not stretched then, which would take the
// notes from under their chords.
//
// Against a variation speaks each of these that the phrase has not: each quarter
// note, or a part of one, that is held off the chord by notes longer than that, or
// as long from where a chord begins; a chord whose third is heard in the phrase and
// not in it; an end off root, third and fifth; a last note shorter than the
// phrase's; a silent last bar; bends lost, each that becomes a slide since no hand makes it where it
// would lie, and, beside lost bends, twice, a lost close, which is a fall or rise of three
// notes or more; each time that the hand has to jump more than four frets within a
// beat, and every second time that it leaves five frets; two steps that repeat a pattern; each
// note that is moved to a chord tone beyond two. One
// against which more than four speak is not taken, and what has less against it
// comes first.
//
// Of each ten that are asked for at most three are of one kind, by the first step
// that does more than to say where the phrase begins, and at most two
// differ only in when they begin and in targets. Those whose step two others have
// come later.
//
// If there are fewer than asked for, that is reported as [score.NotDone].
func Variations(s *score.Score, count int, opt VaryOptions) ([]Varied, score.Diagnostics) {
	x := newChoosing(s, opt)
	if x == nil || count < 1 {
		return nil, nil
	}
	x.gather(max(leastPool, poolForEach*count))
	chosen := x.choose(count)
	var ds score.Diagnostics
	if len(chosen) < count {
		msg := fmt.Sprintf("%s asked for, %d found", countOf(count, "variation"), len(chosen))
		if why := x.why(); why != "" {
			msg += ": of those that were tried " + why
		}
		ds = append(ds, score.Diagnostic{Severity: score.NotDone, Code: CodeVaryFewer, Pos: s.PosOf(s.Parts[x.part].Src), Msg: msg, Hint: "another --seed may find others"})
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
	style  *phraseStyle
	jumps  int // of the hand
	shifts int
	free   bool // nothing is asked for where it is played
	habits map[string]*habit
	pool   []*candidateVariation
	sound  int             // those in the pool that have few flaws
	seen   map[string]bool // lines that are in the pool
	failed [len(faultWords)]int
}

// newChoosing looks at the phrase; nil if there is nothing to vary.
func newChoosing(s *score.Score, opt VaryOptions) *choosing {
	part := slices.IndexFunc(s.Parts, func(p *score.Part) bool {
		return (opt.Parts == nil || slices.Contains(opt.Parts, p.ID)) && !onlyUnpitched(p)
	})
	if part < 0 {
		return nil
	}
	opt.trim = true
	v := lookAt(s, part, opt.Scale)
	x := &choosing{s: s, part: part, opt: opt, home: phraseShapeOf(v), style: styleOf(v), jumps: handJumps(v), shifts: handShifts(v), habits: opt.habits(s)}
	x.length = x.home.End.Sub(x.home.Begin)
	x.free = opt.Refinger.Region == nil && opt.Refinger.Scheme == nil && !opt.Refinger.FollowChords
	for _, h := range x.habits {
		h.only = x.free
	}
	x.seen = map[string]bool{struckKey(v): true}
	return x
}

// lookAt reads a part as lines.
func lookAt(s *score.Score, part int, scale *ScaleOn) *varied {
	rep := &reporter{score: s}
	rep.enter(s.Parts[part])
	return newVaried(s, s.Parts[part], rep, VaryOptions{Scale: scale})
}

// A candidateVariation is one that is good but for its fingering, which is
// found when it is asked for.
type candidateVariation struct {
	out      *score.Score
	anew     []string
	said     score.Diagnostics
	steps    []Variation
	shape    *PhraseShape
	tune     string
	names    []string      // of the steps, but for Target; of any size
	kind     VariationKind // see [mainKind]
	alike    string        // the steps but for Displace and Target
	flaws    int
	fingered bool
	bent     bool                                 // it has bends, before it is fingered
	placed   bool                                 // it keeps its places
	may      map[score.Quarters][]fretboard.Place // see [choosing.mayLie]
	gone     bool                                 // it is chosen, or cannot be played
	near     float64                              // how far it is from the nearest chosen one, at most
}

// The reasons for which a variation is not taken.
const (
	faultStep = iota
	faultPlay
	faultSlur
	faultLeap
	faultStrong
	faultEnd
	faultSpill
	faultRepeat
	faultRock
	faultLost
	faultRange
	faultOutside
	faultTargets
	faultStart
	faultBrief
	faultFlaws
	faultSame
	faultAlike
)

var faultWords = [...]string{
	faultStep: "cannot be done or change nothing", faultPlay: "cannot be played", faultSlur: "pull off to open strings", faultLeap: "leap further than the phrase does",
	faultStrong: "have fewer chord tones on strong beats", faultEnd: "do not end on a chord tone", faultSpill: "end after the last bar",
	faultRepeat: "repeat notes or cells again and again", faultRock: "rock between two notes", faultLost: "have too little of the phrase", faultRange: "leave the range of the phrase",
	faultOutside: "stay long on notes outside of scale and chord", faultTargets: "have more than four notes moved to chord tones",
	faultStart: "start elsewhere than a step says", faultBrief: "bend for less time than the phrase", faultFlaws: "have too much against them", faultSame: "are the same as others", faultAlike: "are of a kind of which there are enough",
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
	for range 15 {
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
	for _, q := range [...]score.Quarters{score.Q(1, 2), score.Q(-1, 2), score.Q(1, 1), score.Q(-1, 1), score.Q(3, 2), score.Q(-3, 2), score.Q(2, 1), score.Q(-2, 1), score.Q(5, 2), score.Q(-5, 2), score.Q(1, 4)} {
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
	targets := 0
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
		targets = v.targets
		style = styleOf(v)
		if fault = x.judge(style); fault >= 0 {
			return false
		}
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
	c := &candidateVariation{bent: style.bends > 0, kind: mainKind(steps), out: out, anew: anew, said: said, steps: steps, shape: shape, tune: shape.tune(), flaws: x.flaws(style) + max(0, repeating-1) + max(0, targets-fewTargets)}
	for _, step := range steps {
		switch step.Kind {
		case Target:
		case Sequence:
			c.names = append(c.names, fmt.Sprint("sequence", step.Steps))
		case Group:
			c.names = append(c.names, "group")
		default:
			c.names = append(c.names, step.String())
		}
		if step.Kind != Displace && step.Kind != Target {
			c.alike += c.names[len(c.names)-1] + " "
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
	if c.flaws <= fewFlaws {
		x.sound++
	}
	x.pool = append(x.pool, c)
	return -1
}

// mayLie lists for each tone of the first voice the places at which it may come
// to lie; nil where that is not known.
func (x *choosing) mayLie(v *varied) map[score.Quarters][]fretboard.Place {
	h := x.habits[v.part.ID]
	may := map[score.Quarters][]fretboard.Place{}
	if len(v.lines) == 0 {
		return may
	}
	byPitch := map[int][]fretboard.Place{}
	for _, t := range v.lines[0].tones {
		n := t.topNote()
		if _, ok := n.Harmonic(); ok || n.Has(score.Dead) {
			continue
		}
		at := t.at.Sub(v.origin())
		for _, key := range [...]int{n.Pitch.MIDI(), n.Sounding()} { // a bend may become a slide into its target
			list, ok := byPitch[key]
			if !ok {
				for _, p := range v.neck.Places(key) {
					if h.near(p) {
						list = append(list, p)
					}
				}
				byPitch[key] = list
			}
			may[at] = append(may[at], list...)
			if bendBy(n) == 0 {
				break
			}
		}
	}
	return may
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

func (x *choosing) judge(style *phraseStyle) int {
	cells, rhythm := style.kept(x.style)
	switch {
	case x.style.chords && (style.strong*x.style.struck < x.style.strong*style.struck || style.struck == 0 && x.style.strong > 0):
		return faultStrong
	case x.style.chords && !style.resolved:
		return faultEnd
	case x.style.chords && x.home.End.Less(style.end):
		return faultSpill
	case style.doubled > x.style.doubled || style.again > x.style.again:
		return faultRepeat
	case style.bar.Less(style.rocking) && x.style.rocking.Less(style.rocking):
		return faultRock
	case style.rounds > max(mostRounds, x.style.rounds):
		return faultRepeat
	case float64(style.notes) < leastNotes*float64(x.style.notes) || style.notes > mostNotes*x.style.notes || max(cells, rhythm) < leastKept:
		return faultLost
	case style.low < x.style.low-beyondRange || style.high > x.style.high+beyondRange:
		return faultRange
	case style.bends > 0 && tooBrief(style.brief, x.style.brief):
		return faultBrief
	case x.style.chords && style.outside > x.style.outside+spareOutside:
		return faultOutside
	}
	return -1
}

// flaws counts what speaks against a variation, beside its fingering.
func (x *choosing) flaws(style *phraseStyle) int {
	flaws := 0
	if over := style.held.Sub(x.style.held); over.Sign() > 0 {
		flaws += int((over.Num() + over.Den() - 1) / over.Den())
	}
	if style.last.Less(x.style.last) {
		flaws++
	}
	if !x.home.End.Sub(style.bar).Less(style.end) { // the last bar is silent
		flaws++
	}
	// What marks the phrase: its bends, and a fall or rise to its end.
	bends, closing := x.style.bends > 0, x.style.closes(x.style)
	bent, closes := bends && style.bends > 0, style.closes(x.style)
	if bends && !bent {
		flaws++
	}
	if (bends || closing) && !bent && !closes {
		flaws += nothingMarked
	}
	for i, heard := range x.style.thirds {
		if heard && (i >= len(style.thirds) || !style.thirds[i]) {
			flaws++
		}
	}
	if x.style.settled && !style.settled {
		flaws++
	}
	return flaws
}

// handJump is how many frets the hand has to go for a jump.
const handJump = 4

// handJumps counts how often two notes within a beat, or two with one between
// them, lie more than four frets apart.
func handJumps(v *varied) (jumps int) {
	for _, l := range v.lines {
		for i, t := range l.tones {
			for _, j := range [...]int{i - 1, i - 2} {
				if j < 0 || v.beatAt(l.tones[j].at).Less(t.at.Sub(l.tones[j].at)) {
					break
				}
				a, b := l.tones[j].chord.Notes[0].Place.Fret, t.chord.Notes[0].Place.Fret
				if a > 0 && b > 0 && (a-b > handJump || b-a > handJump) {
					jumps++
					break
				}
			}
		}
	}
	return jumps
}

// handShifts counts how often the hand has to go elsewhere, if it stays where it
// is as long as all notes lie within five frets.
func handShifts(v *varied) (shifts int) {
	for _, l := range v.lines {
		low, high := 0, 0
		for _, t := range l.tones {
			f := t.chord.Notes[0].Place.Fret
			switch {
			case f <= 0:
			case low == 0:
				low, high = f, f
			case max(high, f)-min(low, f) > handJump:
				shifts++
				low, high = f, f
			default:
				low, high = min(low, f), max(high, f)
			}
		}
	}
	return shifts
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

// finger puts a candidate on the neck and returns its fault, -1 for none.
func (x *choosing) finger(c *candidateVariation) int {
	c.fingered = true
	out, said := x.opt.finger(c.out, c.anew, c.said, x.habits, func() { c.flaws++ })
	switch {
	case said.Count(score.NotDone) > 0:
		return faultPlay
	case x.opensSlurs(out):
		return faultSlur
	}
	c.out, c.said = out, said
	v := lookAt(out, x.part, x.opt.Scale)
	c.shape = phraseShapeOf(v)
	if c.bent && !slices.ContainsFunc(v.lines[0].tones, func(t *phraseTone) bool { return bendBy(t.topNote()) >= 1 }) {
		c.flaws++
	}
	c.flaws += max(0, handJumps(v)-x.jumps) + max(0, handShifts(v)-x.shifts)/2
	if c.flaws > mostFlaws {
		return faultFlaws
	}
	return -1
}

// opensSlurs tells whether a part has a hammer-on or pull-off at an open string
// that has none in the phrase.
func (x *choosing) opensSlurs(s *score.Score) bool {
	for _, p := range s.Parts {
		if h := x.habits[p.ID]; h.slur {
			continue
		}
		for n := range score.Notes(p) {
			if n.Place.Fret == 0 && !n.Place.IsZero() && slurred(n) {
				return true
			}
		}
	}
	return false
}

// choose picks the most different ones. Until a candidate is fingered its
// distance is taken to be as great as any places can make it: so only those that
// may be the next have to be fingered, and what is chosen is the same as if all
// were.
func (x *choosing) choose(count int) []Varied {
	shapes := []*PhraseShape{x.home} // of what is chosen
	for _, c := range x.pool {
		c.near = x.near(c, shapes)
	}
	var chosen []Varied
	kinds, alike := map[VariationKind]int{}, map[string]int{}
	tunes := map[string]bool{} // what notes are struck in what order, whenever it is
	uses := map[string]int{}   // of steps
	rank := func(c *candidateVariation) int {
		rank := c.flaws
		if tunes[c.tune] {
			rank++
		}
		rank += max(0, kinds[c.kind]-mostOfKind*(len(chosen)/10+1)+1)
		for _, name := range c.names {
			rank += max(0, uses[name]-mostUses+1)
		}
		return rank
	}
	for len(chosen) < count {
		var best *candidateVariation
		for _, c := range x.pool {
			if !c.gone && c.near > 0 && kinds[c.kind] < mostOfKind*((count+9)/10) && alike[c.alike] < mostAlike*((count+9)/10) && (best == nil || rank(c) < rank(best) || rank(c) == rank(best) && c.near > best.near) {
				best = c
			}
		}
		if best == nil {
			for _, c := range x.pool {
				if !c.gone && c.near > 0 {
					x.failed[faultAlike]++
				}
			}
			break
		}
		if !best.fingered {
			if fault := x.finger(best); fault >= 0 {
				x.failed[fault]++
				best.gone = true
			} else if best.near = x.near(best, shapes); best.near == 0 {
				x.failed[faultSame]++
			}
			continue
		}
		best.gone = true
		chosen = append(chosen, Varied{Score: best.out, Steps: best.steps, Distance: best.near, Said: best.said, rank: rank(best)})
		tunes[best.tune] = true
		kinds[best.kind]++
		alike[best.alike]++
		for _, name := range best.names {
			uses[name]++
		}
		shapes = append(shapes, best.shape)
		for _, c := range x.pool {
			if !c.gone {
				c.near = min(c.near, x.near(c, shapes[len(shapes)-1:]))
			}
		}
	}
	return chosen
}

// near returns how far a candidate is from the nearest of some shapes; at most,
// if it is not fingered yet.
func (x *choosing) near(c *candidateVariation, shapes []*PhraseShape) float64 {
	best := 0.0
	for i, s := range shapes {
		far := c.farthest
		if c.fingered || c.placed {
			far = nil
		}
		d := c.shape.distance(s, x.length, far)
		if i == 0 || d < best {
			best = d
		}
	}
	return best
}

// farthest returns how far apart a step of the candidate and one of another
// shape may lie on the neck at most.
func (c *candidateVariation) farthest(x, y ShapeStep) float64 {
	if x.Rest {
		return placeBetween(x, y)
	}
	list := c.may[x.At]
	if len(list) == 0 || y.Rest || y.Place.IsZero() {
		return placeUnlike
	}
	far := 0.0
	for _, p := range list {
		x.Place = p
		far = max(far, placeBetween(x, y))
	}
	return far
}
