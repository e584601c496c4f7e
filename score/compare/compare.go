package compare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// An Aspect is what a difference is about.
type Aspect string

// The aspects.
const (
	Part      Aspect = "part"      // a whole part that only one side has
	Bar       Aspect = "bar"       // whole bars that only one side has
	Note      Aspect = "note"      // a note that only one side has
	Pitch     Aspect = "pitch"     // what a note sounds, or its spelling where both say one
	Time      Aspect = "time"      // when a note begins and ends, ties, grace notes
	Place     Aspect = "place"     // string and fret of the same sound
	Technique Aspect = "technique" // how it is played
	Finger    Aspect = "finger"    // fingers of either hand
	Label     Aspect = "label"     // annotations on notes
	Chord     Aspect = "chord"     // chord symbols
	Key       Aspect = "key"
	Metre     Aspect = "metre" // and the length of bars where notes do not tell it
	Tempo     Aspect = "tempo"
	Neck      Aspect = "neck"   // tuning and capo
	Repeats   Aspect = "repeat" // repeats, endings, bar lines
	Text      Aspect = "text"   // title, composer, words over the music
)

// Aspects lists all of them, in the order in which they are told at one time.
func Aspects() []Aspect {
	return []Aspect{Text, Part, Bar, Neck, Key, Metre, Tempo, Repeats, Chord, Note, Pitch, Time, Place, Technique, Finger, Label}
}

// A Change tells which side has something.
type Change string

// The changes: both sides have it but differently, only the second has it, or
// only the first.
const (
	Changed Change = "changed"
	Added   Change = "added"
	Removed Change = "removed"
)

// A Moment is a place in one of the scores.
type Moment struct {
	Measure int            // index in the part
	Bar     string         // its number as printed, else counted from 1
	Onset   score.Quarters // from the start of the measure
	Beat    string         // as players count it: "2", "2+1/2"; "" for the whole bar
	Pos     score.Pos      // in the source, if known
}

// A Difference is one thing in which two scores differ.
type Difference struct {
	Aspect Aspect
	Change Change
	Part   string // name of the part where there are several; "" else
	// A and B are where it is and, for what one side has alone, where it would
	// be on the other. For bars that one side has alone there is no such
	// place: it is nil. Both are nil for what concerns the score as a whole.
	A, B *Moment
	Of   string // the note whose place, technique or label it is; "" else
	Was  string // what the first score has; "" if nothing
	Is   string // what the second has
	// Notes is how many notes it concerns, on the side that has more of
	// them; 0 for what is not about notes.
	Notes int
	// Bars is how many bars a difference of whole bars concerns.
	Bars int

	ordinal int // of the note in the part
}

// Lacks says what a format cannot hold. The zero value says that it can hold
// everything.
type Lacks struct {
	Words      bool // words over the music
	BarStyles  bool // bar lines other than plain, double and repeats
	Unfretted  bool // parts for no neck that have several staves or no pitch; notes without pitch
	OneLine    bool // how long a note lasts beyond the beginning of the next
	Cues       bool // cue notes; whether a grace note is slashed
	Microtones bool // offsets from the pitches of the tempered scale
	KeyWords   bool // signatures that are none of the circle of fifths, and music without key
	// Details: with which note a trill alternates; where an artificial harmonic
	// is touched, and whether it is pinched or tapped.
	Details bool
	// Techniques lists what it has no sign for: marks by value, spans by
	// kind; a bend WithBar stands for all that do not push the string up.
	Techniques []score.Technique
}

// join returns what one of two formats cannot hold.
func (l Lacks) join(o Lacks) Lacks {
	return Lacks{
		Words: l.Words || o.Words, BarStyles: l.BarStyles || o.BarStyles, Unfretted: l.Unfretted || o.Unfretted, OneLine: l.OneLine || o.OneLine,
		Cues: l.Cues || o.Cues, KeyWords: l.KeyWords || o.KeyWords, Microtones: l.Microtones || o.Microtones, Details: l.Details || o.Details, Techniques: append(slices.Clone(l.Techniques), o.Techniques...),
	}
}

// Options say what is compared.
type Options struct {
	// Only restricts the comparison to some aspects; nil for all.
	Only []Aspect
	// A and B say what the formats cannot hold that the scores were read
	// from. What one of them cannot hold is not looked at.
	A, B Lacks
}

// Differences compares two scores and returns what differs, in the order of
// the music, parts one after the other. It changes neither of them, and may
// be called on one score many times at once. Scores that are equal have none.
func Differences(a, b *score.Score, opt Options) []Difference {
	c := &comparison{lacks: opt.A.join(opt.B), names: &names{markNames(), spanNames()}}
	c.texts(a, b)
	va, vb := c.view(a), c.view(b)
	couples := couple(va.parts, vb.parts)
	c.several = len(a.Parts) > 1 || len(b.Parts) > 1
	c.joint(va, vb, couples)
	if opt.Only != nil {
		c.found = slices.DeleteFunc(c.found, func(d Difference) bool { return !slices.Contains(opt.Only, d.Aspect) })
	}
	return c.found
}

// A comparison gathers differences.
type comparison struct {
	lacks   Lacks
	names   *names
	several bool // a score has several parts, so that they are named
	found   []Difference
}

func (c *comparison) add(d Difference) { c.found = append(c.found, d) }

// texts compares what stands over the whole score.
func (c *comparison) texts(a, b *score.Score) {
	for _, t := range []struct{ name, a, b string }{
		{"title", a.Title, b.Title}, {"subtitle", a.Subtitle, b.Subtitle}, {"composer", a.Composer, b.Composer},
	} {
		was, is := strings.Join(strings.Fields(t.a), " "), strings.Join(strings.Fields(t.b), " ")
		if was == is {
			continue
		}
		c.add(Difference{Aspect: Text, Change: changeOf(was, is), Was: prefixed(t.name, was), Is: prefixed(t.name, is)})
	}
}

func prefixed(name, s string) string {
	if s == "" {
		return ""
	}
	return name + " " + s
}

func changeOf(was, is string) Change {
	switch {
	case was == "":
		return Added
	case is == "":
		return Removed
	}
	return Changed
}

// A partCouple is two parts that are compared; nil is none.
type partCouple struct{ a, b *partView }

// couple joins the parts of two scores: first by name, then those that are
// left in their order.
func couple(a, b []*partView) []partCouple {
	var list []partCouple
	taken := map[*partView]*partView{}
	used := map[*partView]bool{}
	for _, p := range a {
		for _, q := range b {
			if p.part.Name != "" && strings.EqualFold(p.part.Name, q.part.Name) && !used[q] {
				taken[p], used[q] = q, true
				break
			}
		}
	}
	left := slices.DeleteFunc(slices.Clone(b), func(q *partView) bool { return used[q] })
	for _, p := range a {
		q := taken[p]
		if q == nil && len(left) > 0 {
			q, left = left[0], left[1:]
		}
		list = append(list, partCouple{p, q})
	}
	for _, q := range left {
		list = append(list, partCouple{nil, q})
	}
	return list
}

// joint aligns the bars of all parts at once and compares them.
func (c *comparison) joint(va, vb *view, couples []partCouple) {
	both := slices.DeleteFunc(slices.Clone(couples), func(p partCouple) bool { return p.a == nil || p.b == nil })
	n, m := 0, 0
	for _, p := range both {
		p.a.sharpen(p.b)
		n, m = max(n, len(p.a.bars)), max(m, len(p.b.bars))
	}
	pairs := align(n, m, func(i, j int) float64 { return distance(both, i, j) })
	for _, p := range couples {
		switch {
		case p.b == nil:
			c.add(Difference{Aspect: Part, Change: Removed, Part: p.a.name(), Was: p.a.name()})
		case p.a == nil:
			c.add(Difference{Aspect: Part, Change: Added, Part: p.b.name(), Is: p.b.name()})
		}
	}
	for i, p := range both {
		c.bars(va, vb, p, pairs, i == 0)
	}
}

// bars compares two parts bar by bar. Bars of which only one side has any are
// told once, with the first part.
func (c *comparison) bars(va, vb *view, parts partCouple, pairs []pair, first bool) {
	name := ""
	if c.several {
		name = parts.a.name()
	}
	w := &partWork{c: c, name: name, va: va, vb: vb, a: parts.a, b: parts.b, told: map[Aspect][2]string{}}
	from := len(c.found)
	for k := 0; k < len(pairs); k++ {
		p := pairs[k]
		if p.a >= 0 && p.b >= 0 {
			w.pair(p.a, p.b)
			continue
		}
		run := 1
		for k+run < len(pairs) && (pairs[k+run].a < 0) == (p.a < 0) && (pairs[k+run].b < 0) == (p.b < 0) {
			run++
		}
		w.pass(p, run)
		if first {
			w.onlyOne(p, run)
		}
		k += run - 1
	}
	w.settle(from)
}

// pass notes what begins to hold in bars that one side has alone.
func (w *partWork) pass(p pair, run int) {
	side, now, from := w.a, &w.now[0], p.a
	if p.a < 0 {
		side, now, from = w.b, &w.now[1], p.b
	}
	for i := range run {
		if b := side.bar(from + i); b != nil {
			for _, e := range b.states {
				now.take(e)
			}
		}
	}
}

// onlyOne tells of bars that one side has alone.
func (w *partWork) onlyOne(p pair, run int) {
	d := Difference{Aspect: Bar, Change: Removed, Bars: run}
	side, v, from := w.a, w.va, p.a
	if p.a < 0 {
		d.Change, side, v, from = Added, w.b, w.vb, p.b
	}
	for i := range run {
		if b := side.bar(from + i); b != nil {
			d.Notes += len(b.tones)
		}
	}
	text := fmt.Sprintf("%s with %s", counted(run, "bar"), counted(d.Notes, "note"))
	at := v.moment(side, min(from, len(side.bars)-1), score.Quarters{}, 0)
	at.Beat = ""
	if d.Change == Added {
		d.B, d.Is = at, text
	} else {
		d.A, d.Was = at, text
	}
	w.c.add(d)
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// byAspect orders what is found at one time.
func byAspect(a, b Difference) int {
	return cmp.Compare(slices.Index(Aspects(), a.Aspect), slices.Index(Aspects(), b.Aspect))
}

// Where names the place of a difference: "bar 3, beat 2"; "Guitar, bar 3";
// "bar 3, beat 2 (bar 4 in the second)" where numbers differ; "" for what
// concerns the score as a whole.
func (d Difference) Where() string {
	at, other := d.A, d.B
	if at == nil {
		at, other = d.B, nil
	}
	if at == nil {
		return d.Part
	}
	s := "bar " + at.Bar
	if d.Aspect == Bar && d.Bars > 1 {
		s = "from bar " + at.Bar
	}
	if at.Beat != "" {
		s += ", beat " + at.Beat
	}
	if d.A == nil {
		s += " of the second"
	}
	if other != nil && other.Bar != at.Bar {
		s += " (bar " + other.Bar + " in the second)"
	}
	if d.Part != "" {
		s = d.Part + ", " + s
	}
	return s
}

// What says what differs, without its place: "pitch: D4 → E4".
func (d Difference) What() string {
	s := string(d.Aspect) + ": "
	if d.Of != "" {
		s += d.Of
		if d.Notes > 1 {
			s += " and " + counted(d.Notes-1, "more note")
		}
		s += ": "
	}
	switch d.Change {
	case Added:
		return s + "added: " + d.Is
	case Removed:
		return s + "removed: " + d.Was
	}
	return s + d.Was + " → " + d.Is
}

// String writes place and difference in one line.
func (d Difference) String() string {
	if w := d.Where(); w != "" {
		return w + ": " + d.What()
	}
	return d.What()
}
