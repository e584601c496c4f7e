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

// A partReader reads the music of one part.
type partReader struct {
	*reader
	head        heading
	part        *score.Part
	first       ground // of the part, from which tonics of later keys are named
	grounds     []groundAt
	neck        *fretboard.Neck
	length      score.Quarters // what a rhythm letter said last
	nominal     score.Quarters // length of a bar by its metre
	metre       bool           // there is one
	join        *joiner
	open        map[spanEnd]openSpan
	ids         int
	tuplets     int
	ending      string
	countedBars int

	bar       *score.Measure
	source    sourceBar
	segment   int // of the bar: voices written one after the other
	voice     int
	staff     int
	now       score.Quarters
	stack     []openTuplet
	end       score.Quarters  // of the longest voice of the bar
	later     *score.Quarters // offset of the next mark
	laterAt   int
	lengthSet bool // a letter stood in this bar
	timed     bool // something that takes time stood in it
	before    int  // faults before it
	counted   *bool
	lastBar   token // the bar line before
	any       bool  // something stands in the bar
}

type groundAt struct {
	onset score.Quarters
	ground
}

type openSpan struct {
	id int
	at int
}

type openTuplet struct {
	score.Tuplet
	at int
}

func (r *reader) part(i int) {
	h := r.heads[i]
	p := &partReader{
		reader: r, head: h, join: newJoiner(), open: map[spanEnd]openSpan{}, neck: h.neck,
		length: score.Q(1, 1), nominal: score.Q(4, 1), metre: true,
		part: &score.Part{ID: "P" + strconv.Itoa(i+1), Name: h.name, Staves: 1, Src: r.handle(h.at)},
	}
	r.score.Parts = append(r.score.Parts, p.part)
	r.bars = append(r.bars, nil)
	p.first = ground{groundOf(r.base, h.octaves).on(h.home).Pitch}
	p.grounds = []groundAt{{score.Quarters{}, p.first}}
	last := 0
	for k, l := range r.src.lines {
		if l.part != i || l.kind != bodyLine {
			continue
		}
		for _, t := range lex(r.src.text(l), l.start) {
			p.token(t, k)
			last = t.at + len(t.text)
		}
	}
	if p.bar != nil && !p.any {
		p.fail(last-1, "degrees-bar", "leave it out, or write the bar that it begins", "nothing follows the beginning of a repeat")
		p.bar = nil
	}
	if p.later != nil {
		p.fail(p.laterAt, "degrees-later", "as in +Q{V7}: V7 comes a quarter after the note that follows begins", "nothing to come later follows the length")
	}
	if p.any {
		p.closeBar(token{kind: barToken, at: last})
	}
	if len(p.part.Measures) == 0 {
		r.fail(h.at, "degrees-empty", "write degrees and rhythm letters: Q 1 b3 4 5 | W 1", "there is no music%s", inPart(h.name))
		return
	}
	for e, o := range p.open {
		r.say(score.Warning, o.at, "degrees-span", "end it at a later note: "+spanEnd{e.kind, e.number, score.Stop}.String(), "%s begins and never ends; it is left out", strings.TrimRight(e.String(), "("))
		for n := range score.Notes(p.part) {
			n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool { return t == score.Span{Kind: e.kind, ID: o.id, End: score.Start} })
		}
	}
	for _, m := range p.part.Measures {
		for c := range m.Chords() {
			p.part.Staves = max(p.part.Staves, c.Staff)
		}
	}
}

func inPart(name string) string {
	if name == "" {
		return ""
	}
	return " in the part " + strconv.Quote(name)
}

// begin begins a bar, where none is open.
func (p *partReader) begin(at int) {
	p.any = true
	if p.bar != nil {
		return
	}
	first := len(p.part.Measures) == 0
	p.bar = &score.Measure{Src: p.handle(at)}
	p.source = sourceBar{start: at}
	p.segment, p.voice, p.staff, p.now, p.end = 0, 1, 1, score.Quarters{}, score.Quarters{}
	p.lengthSet, p.timed, p.counted, p.before = false, false, nil, p.faults
	p.grounds = p.grounds[len(p.grounds)-1:]
	p.grounds[0].onset = score.Quarters{}
	if !first {
		return
	}
	common := func() score.Common { return score.Common{Src: p.handle(p.head.at)} }
	add := func(e score.Event) { p.bar.Events = append(p.bar.Events, e) }
	if p.head.neck != nil {
		add(&score.NeckChange{Common: common(), Neck: *p.head.neck})
	}
	if p.head.hasHome {
		add(&score.KeySignature{Common: common(), Key: theory.Key{Tonic: p.first.NoteName, Mode: p.head.mode}, ModeSaid: p.head.modeSaid})
	}
	if t := p.head.time; t != nil {
		t.Common = common()
		add(t)
		p.nominal, p.metre = t.Length, t.Length.Sign() > 0
	}
	if t := p.head.tempo; t != nil {
		t.Common = common()
		add(t)
	}
}

// ground returns what degrees count from at the present time.
func (p *partReader) ground() ground {
	g := p.grounds[0].ground
	for _, x := range p.grounds {
		if !p.now.Less(x.onset) {
			g = x.ground
		}
	}
	return g
}

func (p *partReader) slip(code string, s *slip) { p.fail(s.at, code, s.hint, "%s", s.msg) }

// token reads one token.
func (p *partReader) token(t token, line int) {
	if p.later != nil && t.kind != chordToken && !(t.kind == wordToken && isMark(t.text)) {
		p.fail(p.laterAt, "degrees-later", "as in +Q{V7}: V7 comes a quarter after the note that follows begins", "nothing to come later follows the length")
		p.later = nil
	}
	if t.kind == barToken {
		p.barLine(t, line)
		return
	}
	p.begin(t.at)
	p.lastBar = token{}
	switch t.kind {
	case openToken:
		p.openTuplet(t)
	case closeToken:
		if len(p.stack) == 0 {
			p.fail(t.at, "degrees-tuplet", "a tuplet begins with its numbers: [3:2 E 1 2 3]", "no tuplet is open that ] could end")
			return
		}
		p.stack = p.stack[:len(p.stack)-1]
	case voiceToken:
		p.closeTuplets()
		p.segment++
		p.voice, p.staff, p.now = p.segment+1, 1, score.Quarters{}
	case chordToken:
		p.harmony(t)
	case wordToken:
		p.word(t)
	}
	p.source.end = max(p.source.end, t.at+len(t.text))
	if t.kind == chordToken {
		p.source.end = t.at + strings.IndexByte(string(p.src.data[t.at:])+"}", '}') + 1
	}
}

func (p *partReader) closeTuplets() {
	for _, t := range p.stack {
		p.fail(t.at, "degrees-tuplet", "end it with ] in the same bar and voice", "the tuplet is not ended")
	}
	p.stack = nil
}

func (p *partReader) openTuplet(t token) {
	a, b, found := strings.Cut(t.text[1:], ":")
	actual, err1 := strconv.Atoi(a)
	normal, err2 := strconv.Atoi(b)
	if !found || err1 != nil || err2 != nil || actual < 1 || normal < 1 || actual > 999 || normal > 999 {
		p.fail(t.at, "degrees-tuplet", "write how many notes in the time of how many: [3:2 E 1 2 3]", "the tuplet does not say its numbers")
		actual, normal = 1, 1
	}
	p.tuplets++
	p.stack = append(p.stack, openTuplet{score.Tuplet{ID: p.tuplets, Actual: actual, Normal: normal}, t.at})
}

// advance takes the time of a note or rest and returns how long it sounds.
func (p *partReader) advance(written score.Quarters, at int) score.Quarters {
	d := written
	for _, t := range p.stack {
		d = d.Mul(score.Q(int64(t.Normal), int64(t.Actual)))
	}
	next := p.now.Add(d)
	if next.Invalid() || score.Q(1<<20, 1).Less(next) {
		p.fail(at, "degrees-length", "", "the bar is too long to be counted")
		return score.Quarters{}
	}
	p.now, p.timed = next, true
	if p.end.Less(p.now) {
		p.end = p.now
	}
	return d
}

// word reads a word: a mark, a length, a rest, a note.
func (p *partReader) word(t token) {
	switch {
	case t.open:
		p.fail(t.at, "degrees-quote", `end it with " on the same line`, "the quote is not ended")
	case isMark(t.text):
		p.mark(t)
	case t.text[0] == '+' && letterAt(t.text[1:]):
		q, rest, err := scanLength(t.text[1:])
		if err != nil || rest != "" {
			p.fail(t.at, "degrees-later", "write a length, as in +Q{V7}", "%q is no length", t.text[1:])
			return
		}
		p.later, p.laterAt = &q, t.at
	case t.text[0] == '(':
		p.rest(t)
	case letterAt(t.text):
		q, rest, err := scanLength(t.text)
		if err != nil {
			p.fail(t.at, "degrees-length", "lengths are W H Q E S T X, with dots: Q. or added: H+E", "%q is no length: %v", head(t.text), err)
			return
		}
		p.length, p.lengthSet = q, true
		if rest != "" {
			p.chord(rest, t.at+len(t.text)-len(rest))
		}
	default:
		p.chord(t.text, t.at)
	}
}

// taken notes that the length of the bar before is taken over.
func (p *partReader) taken() {
	if !p.lengthSet && p.source.needs.IsZero() {
		p.source.needs = p.length
	}
}

// rest reads (E), () or (bar).
func (p *partReader) rest(t token) {
	c := &score.Chord{Common: score.Common{Onset: p.now, Staff: p.staff, Src: p.handle(t.at)}, Voice: p.voice, Tuplets: p.tupletsNow()}
	const hint = "write its length in brackets, (E), or (bar) for a whole bar"
	text, ok := strings.CutSuffix(t.text[1:], ")")
	if !ok {
		p.fail(t.at, "degrees-rest", hint, "the bracket of the rest is not closed")
		return
	}
	written := p.length
	whole, isBar := strings.CutPrefix(text, "bar")
	switch {
	case text == "bar":
		written = p.nominal
		if !p.metre {
			p.fail(t.at, "degrees-rest", "say how long the bar is: (bar=H.)", "there is no metre that says how long the bar is")
			return
		}
	case isBar && strings.HasPrefix(whole, "="):
		q, rest, err := scanLength(whole[1:])
		if err != nil || rest != "" {
			p.fail(t.at, "degrees-rest", hint, "%q is no length", whole[1:])
			return
		}
		written = q
	case text == "":
		p.taken()
	default:
		q, rest, err := scanLength(text)
		if err != nil || rest != "" {
			p.fail(t.at, "degrees-rest", hint, "%q is no length", text)
			return
		}
		p.length, p.lengthSet, written = q, true, q
	}
	c.WholeMeasure = isBar
	c.Duration = p.advance(written, t.at)
	if !isBar {
		c.Value = score.ValueOf(written)
	}
	p.bar.Events = append(p.bar.Events, c)
}

func (p *partReader) tupletsNow() []score.Tuplet {
	var list []score.Tuplet
	for _, t := range p.stack {
		list = append(list, t.Tuplet)
	}
	return list
}

// chord reads notes that are struck together.
func (p *partReader) chord(text string, at int) {
	st, err := parseStack(text, at)
	if err != nil {
		p.slip("degrees-note", err)
		return
	}
	c := &score.Chord{Common: score.Common{Onset: p.now, Staff: p.staff, Src: p.handle(at)}, Voice: p.voice, Cue: st.cue, Tremolo: st.tremolo}
	for _, n := range st.notes {
		c.Grace = max(c.Grace, n.grace)
	}
	if c.Grace == score.NotGrace {
		p.taken()
		c.Tuplets = p.tupletsNow()
		c.Duration, c.Value = p.advance(p.length, at), score.ValueOf(p.length)
	}
	g := p.groundOfChord(c)
	byNote := map[*score.Note]noteText{}
	for _, nt := range st.notes {
		n, ok := p.note(nt, g)
		if !ok {
			return
		}
		n.Techniques = append(n.Techniques, st.marks...)
		c.Notes = append(c.Notes, n)
		byNote[n] = nt
	}
	key := voiceKey{c.Staff, c.Voice}
	sorted := ordered(c)
	for i, n := range sorted {
		p.connect(key, n, byNote[n], i, len(sorted))
	}
	p.join.add(key, c)
	p.bar.Events = append(p.bar.Events, c)
}

// groundOfChord is the ground at the onset of a chord whose time is taken.
func (p *partReader) groundOfChord(c *score.Chord) ground {
	now := p.now
	p.now = c.Onset
	g := p.ground()
	p.now = now
	return g
}

// ordered returns the notes of a chord as they are written: degrees from the
// lowest up, then dead notes, which have a string and no degree. So the order
// is the same in every key.
func ordered(c *score.Chord) []*score.Note {
	list := slices.DeleteFunc(slices.Clone(c.Notes), func(n *score.Note) bool { return n.Unpitched })
	slices.SortStableFunc(list, func(a, b *score.Note) int {
		switch x, y := onString(a), onString(b); {
		case x && y:
			return b.Place.String - a.Place.String
		case x:
			return 1
		case y:
			return -1
		}
		return cmp.Or(cmp.Compare(a.Pitch.MIDI(), b.Pitch.MIDI()), cmp.Compare(a.Pitch.Diatonic(), b.Pitch.Diatonic()))
	})
	return list
}

// note makes a note of its text, without what joins it to others.
func (p *partReader) note(nt noteText, g ground) (*score.Note, bool) {
	n := &score.Note{Src: p.handle(nt.at), Pluck: nt.pluck}
	if nt.dead {
		if !p.onNeck(nt) {
			return nil, false
		}
		n.Place = fretboard.Place{String: nt.str}
		n.Pitch = theory.SpellIn(theory.Key{Tonic: g.NoteName}, p.neck.Stopped(n.Place))
		n.InferredSpelling = true
		n.Techniques = append(n.Techniques, score.Dead)
	} else if n.Pitch = g.pitch(nt.tone); nt.str > 0 {
		if !p.onNeck(nt) {
			return nil, false
		}
		place, ok := p.neck.FretOn(nt.str, n.Pitch.MIDI())
		if !ok {
			p.fail(nt.at, "degrees-string", "leave @ out, and the best string is found", "%v is not on string %d of %v", n.Pitch, nt.str, p.neck.Tuning)
			return nil, false
		}
		n.Place = place
	}
	if nt.str > 0 {
		p.strung[n.Src] = true
	}
	for _, b := range nt.bends {
		bend := b.bend
		if b.byDegree {
			bend.Amount = score.Q(int64(g.above(n.Pitch.MIDI(), b.to)), 1)
		}
		if b.releaseDegree {
			bend.ReleaseTo = score.Q(int64(g.above(n.Pitch.MIDI(), b.release)%12), 1)
		}
		n.Techniques = append(n.Techniques, bend)
	}
	n.Techniques = append(n.Techniques, nt.marks...)
	return n, true
}

// onNeck makes sure that there is a neck and that it has a note's string.
func (p *partReader) onNeck(nt noteText) bool {
	if p.neck == nil {
		n := fretboard.Neck{Tuning: fretboard.Standard(), Frets: p.opt.FretCount()}
		p.neck = &n
		p.bar.Events = append(p.bar.Events, &score.NeckChange{Common: score.Common{Src: p.handle(nt.at)}, Neck: n, Inferred: true})
		if len(p.part.Measures) > 0 { // what holds for the part stands at its beginning
			m := p.part.Measures[0]
			m.Events = slices.Insert(m.Events, 0, p.bar.Events[len(p.bar.Events)-1])
			p.bar.Events = p.bar.Events[:len(p.bar.Events)-1]
		}
	}
	if nt.str > p.neck.Tuning.Len() {
		p.fail(nt.at, "degrees-string", "string 1 is the thinnest; another tuning: a line Tuning:, or --tuning", "there is no string %d on a neck of %d", nt.str, p.neck.Tuning.Len())
		return false
	}
	return true
}

// connect ties and joins a note to those before it.
func (p *partReader) connect(k voiceKey, n *score.Note, nt noteText, i, of int) {
	if nt.tied {
		if before := p.join.tied(k, n.Pitch); before != nil {
			before.TieStart, n.TieStop = true, true
		} else {
			p.fail(nt.at, "degrees-tie", "~ holds a note of the same degree and octave in the same voice", "there is no note before that ~ could hold")
		}
	}
	for _, e := range nt.ends {
		if e.end != score.Stop {
			continue
		}
		start := spanEnd{e.kind, e.number, score.Start}
		o, ok := p.open[start]
		if !ok {
			p.fail(nt.at, "degrees-span", "begin it at an earlier note: "+start.String(), "%s ends what has not begun", e)
			continue
		}
		delete(p.open, start)
		n.Techniques = append(n.Techniques, score.Span{Kind: e.kind, ID: o.id, End: score.Stop})
	}
	if nt.joined != 0 {
		if before := p.join.before(k, n.Pitch, i, of); before != nil {
			p.ids++
			before.Techniques = append(before.Techniques, score.Span{Kind: nt.joined, ID: p.ids, End: score.Start})
			n.Techniques = append(n.Techniques, score.Span{Kind: nt.joined, ID: p.ids, End: score.Stop})
		} else {
			p.fail(nt.at, "degrees-join", "leave the sign before the first note out", "there is no note before to come from")
		}
	}
	for _, e := range nt.ends {
		if e.end != score.Start {
			continue
		}
		if _, ok := p.open[e]; ok {
			p.fail(nt.at, "degrees-span", "end it first, or number them: "+spanEnd{e.kind, e.number + 1, score.Start}.String(), "%s has begun already", e)
			continue
		}
		p.ids++
		p.open[e] = openSpan{p.ids, nt.at}
		n.Techniques = append(n.Techniques, score.Span{Kind: e.kind, ID: p.ids, End: score.Start})
	}
}
