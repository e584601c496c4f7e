package degrees

import (
	"cmp"
	"fmt"
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

// A lostThing is what a kind of thing is reported by: once, with a number.
type lostThing struct {
	at    score.Handle
	count int
	sev   score.Severity
	what  string
	hint  string
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

// lose notes that something cannot be written. Things of one code are
// reported once for a part.
func (c *composer) lose(sev score.Severity, code string, at score.Handle, what, hint string) {
	if l := c.lost[code]; l != nil {
		l.count++
		return
	}
	c.lost[code] = &lostThing{at, 1, sev, what, hint}
}

// loses is lose for a warning without a hint, the most usual case.
func (c *composer) loses(code string, at score.Handle, what string) {
	c.lose(score.Warning, "degrees-lost-"+code, at, what, "")
}

func (c *composer) sayLost() {
	if c.report == nil {
		return
	}
	codes := make([]string, 0, len(c.lost))
	for code := range c.lost {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		l := c.lost[code]
		msg := l.what
		if l.count > 1 {
			msg += fmt.Sprintf(" (%d in all)", l.count)
		}
		if len(c.score.Parts) > 1 && c.part.Name != "" {
			msg = c.part.Name + ": " + msg
		}
		c.report(score.Diagnostic{Severity: l.sev, Code: code, Pos: c.score.PosOf(l.at), Msg: msg, Hint: l.hint})
	}
}

// A mark is an event that is no chord, as text.
type mark struct {
	at    score.Quarters
	staff int
	text  string
}

// rank puts marks of one moment into an order: what holds from there first,
// the chord symbol last, beside its note.
func (m mark) rank() int {
	name, _, _ := strings.Cut(m.text, ":")
	if i := slices.Index(markNames[:], name); i >= 0 && m.text[0] != '{' {
		return i
	}
	return len(markNames)
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

func (c *composer) mark(e score.Event, text string) {
	for _, m := range c.marks {
		if m.at == e.At() && m.text == text && m.staff != e.OnStaff() { // said for each staff
			return
		}
	}
	c.marks = append(c.marks, mark{e.At(), e.OnStaff(), text})
}

// event writes an event that is no chord.
func (c *composer) event(index int, e score.Event, head func(name, value string)) {
	at := e.At()
	start := index == 0 && at.IsZero()
	switch e := e.(type) {
	case *score.KeySignature:
		switch {
		case e == c.key && start:
		case e.Free:
			c.loses("key", e.Src, "a key signature that is not of the circle of fifths cannot be written")
		case e.NoKey:
			c.mark(e, "key:none")
		default:
			if e == c.key {
				c.lose(score.Info, "degrees-lost-key-late", e.Src, "the key is said from the beginning", "")
			}
			d := theory.DegreeOf(c.first.NoteName, e.Key.Tonic)
			c.mark(e, "key:"+writeHome(d, e))
			c.grounds = append(c.grounds, groundAt{at, c.first.on(d)})
		}
	case *score.TimeSignature:
		c.nominal = e.Length
		if e.Symbol != "" && e.Symbol != "common" && e.Symbol != "cut" {
			c.lose(score.Info, "degrees-lost-metre-sign", e.Src, "a metre that the page shows by another sign is written in numbers", "")
		}
		if start && !c.said["Time"] {
			c.said["Time"] = true
			head("Time", writeMetre(e))
		} else {
			c.mark(e, "time:"+writeMetre(e))
		}
	case *score.Tempo:
		text := writeTempo(e, "")
		switch {
		case text == "":
		case start && !c.said["Tempo"]:
			c.said["Tempo"] = true
			head("Tempo", writeTempo(e, " "))
		default:
			c.mark(e, "tempo:"+text)
		}
	case *score.NeckChange:
		c.neckChange(start, e, head)
	case *score.Harmony:
		if text, ok := c.roman(e); ok {
			c.mark(e, "{"+text+"}")
		} else {
			c.loses("chord", e.Src, "the chord symbol "+e.Chord.String()+" cannot be written as a numeral")
		}
	case *score.Words:
		if slices.Contains(markNames[:], e.Kind) && e.Text != "" {
			c.mark(e, e.Kind+":"+quote(e.Text))
		} else if e.Text != "" {
			c.loses("words", e.Src, "words of the kind "+strconv.Quote(e.Kind)+" cannot be written")
		}
	case *score.Barline:
		c.barline(e)
	}
}

// writeMetre writes a metre without the sign of a bar line.
func writeMetre(t *score.TimeSignature) string {
	if t.Symbol == "common" || t.Symbol == "cut" {
		return t.Symbol
	}
	return t.Metre()
}

func (c *composer) neckChange(start bool, e *score.NeckChange, head func(name, value string)) {
	before := c.neck
	c.neck = e.Neck
	if e.Inferred || c.plain != nil && c.plain(e) {
		return
	}
	say := func(name, value string) {
		if start {
			head(strings.ToUpper(name[:1])+name[1:], value)
		} else {
			c.mark(e, name+":"+strings.ReplaceAll(value, " ", ","))
		}
	}
	// The usual guitar goes without saying: degrees are for any neck.
	if start {
		before = fretboard.Guitar()
	}
	if !slices.Equal(e.Neck.Tuning.Strings, before.Tuning.Strings) {
		say("tuning", e.Neck.Tuning.String())
	}
	if e.Neck.Capo != before.Capo {
		say("capo", strconv.Itoa(e.Neck.Capo))
	}
	if e.Neck.Frets != before.Frets {
		say("frets", strconv.Itoa(e.Neck.Frets))
	}
}

// roman writes a chord symbol in the key of its moment, in its writer's style
// if that reads back.
func (c *composer) roman(e *score.Harmony) (string, bool) {
	key := theory.Key{Tonic: c.groundFor(e.Onset).NoteName}
	text := key.Roman(e.Chord)
	back, err := key.ParseRoman(text)
	clean := !strings.ContainsAny(text, "{}\n\r")
	if err == nil && back == e.Chord && clean {
		return text, true
	}
	plain := theory.Chord{Root: e.Chord.Root, Bass: e.Chord.Bass, HasBass: e.Chord.HasBass}
	numeral, bass, _ := strings.Cut(key.Roman(plain), "/")
	for _, between := range [...]string{"", ":"} {
		own := numeral + between + e.Chord.Quality
		if e.Chord.HasBass {
			own += "/" + bass
		}
		if again, err := key.ParseRoman(own); err == nil && again == e.Chord && !strings.ContainsAny(own, "{}\n\r") {
			return own, true
		}
	}
	if err == nil && back.Same(e.Chord) && clean {
		c.lose(score.Info, "degrees-lost-chord-style", e.Src, "the chord symbol "+e.Chord.String()+" is written in another style", "")
		return text, true
	}
	return "", false
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

func (c *composer) barline(e *score.Barline) {
	m := c.measure
	atEnd := e.Onset == m.Length
	switch {
	case e.Repeat == score.Forward && e.Onset.IsZero():
		c.bar.open = true
	case e.Repeat == score.Backward && atEnd:
		c.bar.close = ":||"
		if e.Times > 0 {
			c.bar.close += "x" + strconv.Itoa(e.Times)
		}
	case e.Repeat != score.NoRepeat:
		c.loses("repeat", e.Src, "a repeat sign inside of a bar cannot be written")
	case atEnd && e.Style == "light-light" && c.bar.close == "|":
		c.bar.close = "||"
	case atEnd && e.Style == "light-heavy" && c.bar.close == "|":
		c.bar.close = "|||"
	case e.Style != "" && e.Style != "regular":
		c.mark(e, "bar:"+e.Style)
	}
	switch e.EndingType {
	case "start":
		numbers := strings.ReplaceAll(e.Ending, " ", "")
		if numbers == "" || strings.Trim(numbers, "0123456789,") != "" || strings.HasPrefix(numbers, ",") || strings.ReplaceAll(numbers, ",", ", ") != e.Ending {
			c.loses("ending", e.Src, "an ending named "+strconv.Quote(e.Ending)+" cannot be written")
			return
		}
		c.ending = e.Ending
		c.mark(e, "ending:"+numbers)
	case "stop", "discontinue":
		if c.ending == "" {
			c.loses("ending", e.Src, "an ending without a beginning cannot be written")
			return
		}
		c.ending = ""
		c.mark(e, "ending:"+e.EndingType)
	}
}
