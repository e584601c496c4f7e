package degrees

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A barText is a bar as it is written: by itself, so that it can stand in any
// place and its first note says its length.
type barText struct {
	tokens []string
	open   bool   // a repeat begins here
	close  string // the bar line at its end
	length score.Quarters
	src    score.Handle
}

func (b *barText) text() string { return strings.Join(b.tokens, " ") }

// A partText is a part as it is written.
type partText struct {
	heads []headText // header lines
	bars  []*barText
}

type headText struct{ name, value string }

// A writing steers the composer.
type writing struct {
	// octaves moves the unmarked octave of each part; nil chooses the one
	// that needs the fewest marks.
	octaves []int
	// strung tells which notes are written with their string; nil for none.
	strung func(*score.Note) bool
	report func(score.Diagnostic)
	// plain leaves the tunings out that were not said in the text.
	plain func(*score.NeckChange) bool
}

// A composer turns a part into text.
type composer struct {
	*writing
	score   *score.Score
	part    *score.Part
	base    theory.NoteName
	first   ground
	grounds []groundAt
	key     *score.KeySignature
	nominal score.Quarters
	neck    fretboard.Neck
	join    *joiner
	numbers map[int]int // of spans that are open, by ID
	taken   map[spanEnd]bool
	paired  map[score.Span]bool
	signs   map[score.Span]bool  // those that a sign says
	holds   map[*score.Note]bool // that a later note holds
	ending  string
	seen    map[int]bool // tuplets that were closed
	lost    map[string]*lostThing
	said    map[string]bool // header lines that there are

	bar     *barText
	measure *score.Measure
	now     score.Quarters
	length  score.Quarters
	timed   bool
	marks   []mark
	counted int
}

// compose writes all parts. It fails if no key is known from which degrees
// could count.
func compose(s *score.Score, w *writing) ([]*partText, error) {
	base, ok := firstKey(s)
	if !ok {
		return nil, score.Diagnostics{{Severity: score.Error, Code: "degrees-no-key", Pos: s.PosOf(s.Src),
			Msg: "it is not known in which key the music is, so that its degrees cannot be counted", Hint: `say it: --key "A minor"`}}
	}
	var list []*partText
	for i, p := range s.Parts {
		c := &composer{writing: w, score: s, part: p, base: base.Key.Tonic, nominal: score.Q(4, 1), join: newJoiner(),
			numbers: map[int]int{}, taken: map[spanEnd]bool{}, seen: map[int]bool{}, holds: map[*score.Note]bool{}, lost: map[string]*lostThing{}, said: map[string]bool{}, neck: fretboard.Guitar()}
		list = append(list, c.compose(i))
	}
	return list, nil
}

// firstKey returns the first key signature from which degrees can count.
func firstKey(s *score.Score) (*score.KeySignature, bool) {
	for _, p := range s.Parts {
		if k := keyOf(p); k != nil {
			return k, true
		}
	}
	return nil, false
}

func keyOf(p *score.Part) *score.KeySignature {
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if k, ok := e.(*score.KeySignature); ok && !k.Free && !k.NoKey {
				return k
			}
		}
	}
	return nil
}

// atStart tells whether a key holds from the beginning of a part.
func atStart(p *score.Part, k *score.KeySignature) bool {
	return k != nil && k.Onset.IsZero() && slices.Contains(p.Measures[0].Events, score.Event(k))
}

func (c *composer) compose(index int) *partText {
	t := &partText{}
	home := theory.Degree{Number: 1}
	if c.key = keyOf(c.part); index > 0 && !atStart(c.part, c.key) {
		c.key = nil // until then it counts from the tonic of the first part
	}
	tonic := c.base
	if c.key != nil {
		tonic = c.key.Key.Tonic
		home = theory.DegreeOf(c.base, tonic)
	}
	at := func(octaves int) ground { return groundOf(c.base, octaves).on(theory.DegreeOf(c.base, tonic)) }
	octaves := 0
	if c.octaves != nil {
		octaves = c.octaves[index]
	} else {
		octaves = fewestMarks(c.part, at(0))
	}
	c.first = at(octaves)
	c.grounds = []groundAt{{score.Quarters{}, c.first}}
	head := func(name, value string) {
		line := oneLine(value)
		if line != strings.TrimSpace(value) {
			c.lose(score.Info, "degrees-lost-line", c.part.Src, "a name of several lines is written in one", "")
		}
		if value = line; value != "" {
			t.heads = append(t.heads, headText{name, value})
		}
	}
	if index == 0 {
		t.heads = append(t.heads, headText{"Degrees", modeName(c.key)})
		head("Title", c.score.Title)
		head("Subtitle", c.score.Subtitle)
		head("Composer", c.score.Composer)
	}
	if head("Part", c.part.Name); c.part.Name == "" && len(c.score.Parts) > 1 {
		t.heads = append(t.heads, headText{"Part", ""})
	}
	if index > 0 && c.key != nil {
		head("Degrees", writeHome(home, c.key))
	}
	own := len(t.heads)
	if octaves != 0 {
		head("Octave", strconv.Itoa(octaves))
	}
	c.pairs()
	c.plan()
	for i, m := range c.part.Measures {
		t.bars = append(t.bars, c.writeBar(i, m, head))
	}
	rank := func(h headText) int { return slices.Index(headNames[:], h.name) }
	slices.SortStableFunc(t.heads[own:], func(a, b headText) int { return rank(a) - rank(b) })
	c.openTies()
	c.sayLost()
	return t
}

func modeName(k *score.KeySignature) string {
	if k == nil || !k.ModeSaid && k.Key.Mode == theory.Major {
		return ""
	}
	return k.Key.Mode.String()
}

func oneLine(s string) string {
	return strings.TrimSpace(strings.NewReplacer("\n", " ", "\r", "").Replace(s))
}

// fewestMarks returns how many octaves the ground is best moved so that the
// notes need the fewest octave marks; of equals the nearest to none.
func fewestMarks(p *score.Part, g ground) int {
	count := map[int]int{}
	for n := range score.Notes(p) {
		if !n.Unpitched && !onString(n) {
			count[g.tone(n.Pitch).octave]++
		}
	}
	best, least := 0, -1
	for _, k := range [...]int{0, -1, 1, -2, 2, -3, 3, -4, 4} {
		marks := 0
		for octave, n := range count {
			marks += n * max(octave-k, k-octave)
		}
		if least < 0 || marks < least {
			best, least = k, marks
		}
	}
	return best
}

// onString tells whether a note is dead at no fret, so that it has a string
// and no degree.
func onString(n *score.Note) bool {
	return n.Has(score.Dead) && !n.Place.IsZero() && n.Place.Fret == 0
}

// pairs finds the spans that have both of their ends.
func (c *composer) pairs() {
	ends := map[score.Span]int{}
	for n := range score.Notes(c.part) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok {
				ends[s]++
			}
		}
	}
	c.paired = map[score.Span]bool{}
	for s := range ends {
		other := s
		other.End = score.Start + score.Stop - s.End
		c.paired[s] = ends[s] == 1 && ends[other] == 1
	}
}

// writeBar writes a measure. Header lines take what holds from the beginning.
func (c *composer) writeBar(index int, m *score.Measure, head func(name, value string)) *barText {
	c.bar = &barText{close: "|", src: m.Src}
	c.measure, c.marks = m, nil
	c.grounds = c.grounds[len(c.grounds)-1:]
	c.grounds[0].onset = score.Quarters{}
	for _, e := range m.Events {
		if _, ok := e.(*score.Chord); !ok {
			c.event(index, e, head)
		}
	}
	slices.SortStableFunc(c.marks, func(a, b mark) int { return cmp.Or(a.at.Cmp(b.at), a.rank()-b.rank()) })
	var first []string
	short := index == 0 && c.nominal.Sign() > 0 && m.Length.Less(c.nominal)
	switch {
	case m.Implicit && !short:
		first = append(first, "uncounted")
	case !m.Implicit && short:
		first = append(first, "counted")
	}
	c.bar.tokens = first
	c.length = score.Quarters{}
	c.timed = false
	c.voices(m)
	if !c.timed {
		c.say("skip:Q*0")
	}
	c.bar.length = c.length
	if !m.Implicit {
		c.counted++
	}
	if m.Number != "" && m.Number != strconv.Itoa(c.counted) && !m.Implicit {
		c.lose(score.Info, "degrees-lost-number", m.Src, "the numbers of bars are not written: bars count from 1", "")
	}
	return c.bar
}

func (c *composer) groundFor(at score.Quarters) ground {
	g := c.grounds[0].ground
	for _, x := range c.grounds {
		if !at.Less(x.onset) {
			g = x.ground
		}
	}
	return g
}
