package tabtext

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

var fifthUp = theory.Interval{Steps: 4, Semitones: 7}

// A nodeRef says where in the layout a node of the score was read.
type nodeRef struct {
	line, col int32 // physical
	sys, bar  int32 // indices; -1 outside of the tab
	sign      int32 // index in barMusic.signs; -1 for none
	kind      nodeKind
}

type nodeKind int8

const (
	nodePart nodeKind = iota
	nodeMeasure
	nodeChord
	nodeNote
	nodeHarmony // a word of an attached line
	nodeHeader  // sign is the index of the header
	nodeMark    // a mark over the system
	nodeAssumed // an event that the source does not state
	nodeBarline
	nodeAdopted // a metre that the first part states
)

// A builder turns a layout into a score.
type builder struct {
	lay    *layout
	opt    score.ReadOptions
	sc     *score.Score
	nodes  []nodeRef
	music  [][]*barMusic // by system
	parts  []*partState
	cur    *partState
	diags  score.Diagnostics
	once   map[string]int // diagnostics that are reported once: index in diags
	labels struct {
		key         string
		tuning      fretboard.Tuning
		flipped, ok bool
	}
	stats struct {
		inferred, bars int
		firstLine      int
		assumedMetre   bool
	}
}

// A partState is a part while it is read.
type partState struct {
	part      *score.Part
	strings   int
	neck      fretboard.Neck
	hasNeck   bool
	fretsSaid bool // how many frets there are, so that none are assumed
	key       theory.Key
	time      *score.TimeSignature
	started   bool
	pending   []header // statements that the next measure begins with
	last      map[int]*lastNote
	ids       int
	tuplets   int
	numbered  int            // measures that are counted
	rest      score.Quarters // of a bar that the last system broke off
	ending    string
	headed    bool                   // named by a heading: it has the metres of the first part
	unclosed  bool                   // the ending has no sign at its end
	ended     bool                   // an ending before it had none, and was ended
	spans     map[score.SpanKind]int // extents that run on into the next system
}

// A lastNote is the last note on a string.
type lastNote struct {
	note    *score.Note
	sign    *sign
	measure int
	sys     int
}

func (b *builder) handle(r nodeRef) score.Handle {
	b.nodes = append(b.nodes, r)
	return score.Handle(len(b.nodes))
}

func (b *builder) report(sev score.Severity, code string, pos score.Pos, msg, hint string) {
	b.diags = append(b.diags, score.Diagnostic{Severity: sev, Code: code, Pos: pos, Msg: msg, Hint: hint})
}

// reportOnce reports a thing at its first place and counts further ones.
func (b *builder) reportOnce(sev score.Severity, code, key string, pos score.Pos, msg, hint string) {
	if i, seen := b.once[code+key]; seen {
		_ = i
		return
	}
	b.once[code+key] = len(b.diags)
	b.report(sev, code, pos, msg, hint)
}

// sysPos is the position of a logical column on a row of a system.
func (b *builder) sysPos(s *system, row, col int) score.Pos {
	r := &s.rows[row]
	line, at := r.where(max(col+r.shift, 0))
	return b.lay.src.pos(line, at)
}

// build reads all systems.
func build(lay *layout, opt score.ReadOptions) *builder {
	b := &builder{lay: lay, opt: opt, sc: &score.Score{}, once: map[string]int{}}
	h := 0
	var global []header
	for i, s := range lay.systems {
		for ; h < len(lay.headers) && lay.headers[h].line < s.rows[0].line; h++ {
			b.header(lay.headers[h], h, &global)
		}
		b.choosePart(s, i, global)
		b.system(s, i)
	}
	for ; h < len(lay.headers); h++ {
		b.header(lay.headers[h], h, &global)
	}
	b.finish()
	return b
}

// header takes a statement: those before the first part hold for all parts.
func (b *builder) header(h header, index int, global *[]header) {
	if h.bad != "" {
		b.report(score.Warning, "tab-header", b.lay.src.pos(h.line, h.at.from), h.bad, h.hint)
		return
	}
	h.index = index
	switch h.kind {
	case headTitle:
		if b.sc.Title == "" {
			b.sc.Title = h.text
		}
	case headSubtitle:
		if b.sc.Subtitle == "" {
			b.sc.Subtitle = h.text
		}
	case headComposer:
		if b.sc.Composer == "" {
			b.sc.Composer = h.text
		}
	case headPart:
		if h.prose {
			b.reportOnce(score.Info, "tab-part-headings", "", b.lay.src.pos(h.line, 0),
				"headings such as "+strconv.Quote(h.text)+" name parts that are read as played together", "if they follow one another, write the headings otherwise, as in Section 1")
		}
		b.openPart(h.text)
		b.cur.headed = h.prose
	default:
		if b.cur == nil {
			*global = append(*global, h)
		} else {
			b.cur.pending = append(b.cur.pending, h)
		}
	}
}

// openPart goes on with the part of a name, or begins it.
func (b *builder) openPart(name string) {
	for _, p := range b.parts {
		if p.part.Name == name {
			b.cur = p
			return
		}
	}
	p := &partState{part: &score.Part{Name: name, Staves: 1}, last: map[int]*lastNote{}, spans: map[score.SpanKind]int{}}
	p.part.ID = "P" + strconv.Itoa(len(b.parts)+1)
	b.parts = append(b.parts, p)
	b.cur = p
	b.sc.Parts = append(b.sc.Parts, p.part)
}

// choosePart makes sure that the current part has as many strings as the
// system, and settles its neck.
func (b *builder) choosePart(s *system, index int, global []header) {
	n := len(s.rows)
	if b.cur != nil && b.cur.started && b.cur.strings != n {
		var found *partState
		for _, p := range b.parts {
			if p.started && p.strings == n {
				found = p
			}
		}
		moved := b.cur.pending
		b.cur.pending = nil
		if found != nil {
			b.cur = found
		} else {
			b.openPart(fmt.Sprintf("%d strings", n))
			b.report(score.Info, "tab-new-part", b.sysPos(s, 0, s.begin),
				fmt.Sprintf("a system of %d strings follows: it is read as another part", n), "write Part: and a name before it to name the part")
		}
		b.cur.pending = append(b.cur.pending, moved...)
	}
	if b.cur == nil {
		b.openPart("")
	}
	p := b.cur
	if !p.started {
		p.started = true
		p.strings = n
		p.part.Src = b.handle(nodeRef{line: int32(s.first), sys: int32(index), bar: -1, sign: -1, kind: nodePart})
		p.pending = append(slices.Clone(global), p.pending...)
	}
}

// scan reads the signs of all bars of a system.
func (b *builder) scan(s *system) []*barMusic {
	var bars []*barMusic
	sc := &rowScanner{top: b.topFret(), legend: &b.lay.legend}
	for _, br := range s.bars {
		sc.odd = func(col int, what string) {
			b.reportOnce(score.Warning, "tab-unknown-sign", what, b.sysPos(s, sc.index, col),
				"the sign "+strconv.Quote(what)+" is not known; it stays where it is and has no effect", "")
		}
		sc.doubt = func(sev score.Severity, code string, col int, what string) {
			b.reportOnce(sev, code, "", b.sysPos(s, sc.index, col), what, "")
		}
		m := readBar(s, br, sc)
		if len(m.signs) == 0 && !s.sounding(br) {
			continue
		}
		bars = append(bars, m)
	}
	return bars
}

// sounding tells whether a stretch between bar lines is a bar at all: it is
// at least two columns wide and holds hyphens.
func (s *system) sounding(b bar) bool {
	if b.to-b.from < 2 {
		return false
	}
	for i := range s.rows {
		for c := b.from; c < b.to; c++ {
			if p := c + s.rows[i].shift; p >= s.rows[i].start && p < s.rows[i].end && s.rows[i].cells.ch[p] == '-' {
				return true
			}
		}
	}
	return false
}

// metre returns the metre in force.
func (p *partState) metre() metre {
	m := metre{length: score.Q(4, 1), unit: score.Q(1, 1), assumed: p.time == nil}
	if p.time != nil {
		m.length, m.unit = p.time.Length, beatUnit(p.time)
	}
	return m
}

// system reads a system into the current part.
func (b *builder) system(s *system, index int) {
	for len(b.music) <= index {
		b.music = append(b.music, nil)
	}
	b.music[index] = b.scan(s)
	p := b.cur
	neck := b.settleNeck(s, index)
	begin := b.beginEvents(index)
	if neck != nil {
		begin = append([]score.Event{neck}, begin...)
	}
	bars := b.music[index]
	counts, letters := s.rhythmRow(countLine), s.rhythmRow(letterLine)
	if p.time == nil && counts != nil && len(p.part.Measures) == 0 {
		if ts := b.metreFromCounts(index); ts != nil {
			ts.Src = b.handle(nodeRef{line: int32(counts.line), sys: int32(index), bar: -1, sign: -1, kind: nodeAssumed})
			p.time = ts
			begin = append(begin, ts)
			b.report(score.Info, "tab-metre-counts", b.lay.src.pos(counts.line, counts.words[0].col+s.rows[0].shift),
				"no metre is stated; the counts end alike in every bar, so it is read as "+writeTime(ts), "state the metre, as in Time: "+writeTime(ts))
		}
	}
	brackets := s.brackets()
	ids := map[int]int{}
	bracketID := func(i int) int {
		if ids[i] == 0 {
			p.tuplets++
			ids[i] = p.tuplets
		}
		return ids[i]
	}
	if counts == nil && letters == nil && len(bars) == 1 && s.unbarred() {
		bars = b.splitUnbarred(bars[0], p.metre())
		b.music[index] = bars
		b.reportOnce(score.Warning, "tab-no-bars", "", b.sysPos(s, 0, s.begin),
			"there are no bar lines: the finest step of the columns is read as an eighth note, and the bars are cut by the metre", "draw bar lines, or write counts under the tab")
	}
	t := &timer{sys: s, report: func(d score.Diagnostic, col int) {
		d.Pos = b.sysPos(s, 0, col)
		b.diags = append(b.diags, d)
	}}
	marks := s.marks()
	b.chordRowReports(s)
	pool := spacePool{}
	flush := func() {
		if len(pool.bars) > 0 {
			t.first = pool.first
			t.metre = pool.metre
			t.timeBySpacing(pool.bars)
		}
		pool = spacePool{}
	}
	// Times first: bars in one metre that are read by spacing are read together.
	for i, m := range bars {
		for _, e := range b.markEvents(s, index, m, marks, true) {
			if ts, ok := e.(*score.TimeSignature); ok {
				flush()
				p.time = ts
			}
		}
		if ts := b.metreOfFirst(len(p.part.Measures) + i); ts != nil && (p.time == nil || writeTime(p.time) != writeTime(ts)) {
			flush()
			m.adopted = cloneTime(ts, score.Common{})
			p.time = m.adopted
		}
		t.metre, t.first = p.metre(), len(p.part.Measures) == 0 && i == 0
		m.nominal = t.metre.length
		half := score.Quarters{}
		switch {
		case i == 0 && p.rest.Sign() > 0:
			half, p.rest = p.rest, score.Quarters{}
		case i == len(bars)-1 && i > 0 && b.goesOn(index):
			flush()
			if half = halfLength(bars[:i], m); half.Sign() > 0 {
				p.rest = m.nominal.Sub(half)
				b.report(score.Info, "tab-bar-split", b.sysPos(s, 0, m.from),
					"the bar goes on in the next system: it is read as two measures that make one bar together", "")
			}
		}
		switch {
		case half.Sign() > 0:
			flush()
			t.timeHalf(m, half)
			b.stats.inferred++
		case counts != nil && t.timeByCounts(m, counts):
		case letters != nil && t.timeByLetters(m, letters, brackets):
		default:
			if m.repeat {
				m.length = t.metre.length
				break
			}
			if len(pool.bars) == 0 {
				pool.metre, pool.first = t.metre, t.first
			}
			pool.bars = append(pool.bars, m)
			b.stats.inferred++
			if b.stats.firstLine == 0 {
				b.stats.firstLine = s.rows[0].line + 1
			}
			if p.time == nil {
				b.stats.assumedMetre = true
			}
		}
		b.stats.bars++
	}
	flush()
	for i, m := range bars {
		m.tupletsFrom(brackets, bracketID, func() int { p.tuplets++; return p.tuplets })
		var lead []score.Event
		if i == 0 {
			lead = begin
		}
		b.measure(s, index, i, m, lead, marks)
		m.events, m.anchors = nil, nil // they are in the measure now
	}
	b.extents(s, index)
}

// chordRowReports says which words among chord symbols have no effect, and
// which lines with chord symbols are taken for prose.
func (b *builder) chordRowReports(s *system) {
	for _, a := range slices.Concat(s.above, s.below) {
		if a.kind == numberLine {
			b.reportOnce(score.Info, "tab-tuplet-numbers", "", b.lay.src.pos(a.line, a.words[0].col+s.rows[0].shift),
				"numbers of tuplets without brackets stay where they are; the rhythm is read from counts, letters or columns", "draw the brackets, as in |-3-|")
		}
		if len(a.foreign) == 0 {
			continue
		}
		texts := make([]string, len(a.foreign))
		for i, w := range a.foreign {
			texts[i] = w.text
		}
		b.report(score.Info, "tab-chord-words", b.lay.src.pos(a.line, a.foreign[0].col+s.rows[0].shift),
			strconv.Quote(strings.Join(texts, " "))+" among chord symbols stays where it is and has no effect", "")
	}
	for i := range s.rows {
		r := &s.rows[i]
		tail := strings.Fields(string(r.cells.ch[min(r.end, len(r.cells.ch)):]))
		last := len(s.clusters) - 1
		if len(tail) == 0 || last < 0 || s.clusters[last].backward {
			continue
		}
		if _, ok := parseTimes(tail[0]); ok {
			b.report(score.Warning, "tab-times", b.sysPos(s, i, s.width), strconv.Quote(tail[0])+" stands after a bar line that is no repeat and has no effect", "write the repeat with its dots, as in |:  :|")
			break
		}
	}
	for _, line := range s.doubts {
		b.report(score.Warning, "tab-chord-row", b.lay.src.pos(line, skipQuote(b.lay.src.columns(line).ch)),
			"a line with chord symbols over the tab is taken for prose: its symbols stay as they are", "leave an empty line under it if it is prose; else write the chord symbols on a line of their own")
	}
}

// metreOfFirst is the metre that begins a measure of the first part, for a
// part that a heading names and that is played with it; nil if none does.
func (b *builder) metreOfFirst(measure int) *score.TimeSignature {
	first := b.parts[0]
	if first == b.cur || !b.cur.headed || measure >= len(first.part.Measures) {
		return nil
	}
	for _, e := range first.part.Measures[measure].Events {
		if ts, ok := e.(*score.TimeSignature); ok {
			return ts
		}
	}
	return nil
}

// A spacePool gathers bars that are read by spacing together.
type spacePool struct {
	bars  []*barMusic
	metre metre
	first bool
}

func (m *barMusic) tupletsFrom(brackets []bracket, id func(int) int, next func() int) {
	if len(brackets) > 0 && m.timing != bySpacing {
		tagTuplets(m, brackets, id)
	} else {
		inferTuplets(m, next)
	}
	for i := range m.events {
		if !m.events[i].value.Known {
			m.events[i].value = valueIn(m.events[i].dur, m.events[i].tuplets)
		}
	}
}

// beginEvents makes the events that statements before a system bring.
func (b *builder) beginEvents(sys int) []score.Event {
	p := b.cur
	var events []score.Event
	first := len(p.part.Measures) == 0
	ref := func(h header) score.Common {
		return score.Common{Src: b.handle(nodeRef{line: int32(h.line), col: int32(h.at.from), sys: -1, bar: -1, sign: int32(h.index), kind: nodeHeader})}
	}
	assumed := func() score.Common {
		return score.Common{Src: b.handle(nodeRef{line: int32(b.lay.systems[sys].rows[0].line), sys: int32(sys), bar: -1, sign: -1, kind: nodeAssumed})}
	}
	// What an option says wins; the line that states otherwise still belongs to
	// it, so that it follows when the music changes.
	source := func(h header, stated bool) score.Common {
		if stated {
			return ref(h)
		}
		return assumed()
	}
	overruled := func(h header, stated bool, says, used string) {
		if stated && says != used {
			b.report(score.Info, "tab-option", b.lay.src.pos(h.line, h.at.from), "the text states "+says+", the options "+used+", which is used", "")
		}
	}
	if h, ok := lastOf(p.pending, headKey); first && b.opt.Key != nil {
		p.key = *b.opt.Key
		events = append(events, &score.KeySignature{Common: source(h, ok), Key: p.key, ModeSaid: true})
		overruled(h, ok, h.key.String(), p.key.String())
	} else if ok {
		p.key = h.key
		events = append(events, &score.KeySignature{Common: ref(h), Key: h.key, ModeSaid: h.mode})
	}
	if h, ok := lastOf(p.pending, headTime); first && b.opt.Time != "" {
		if ts, good := parseTime(b.opt.Time); good {
			p.time = cloneTime(ts, source(h, ok))
			events = append(events, p.time)
			if ok {
				overruled(h, ok, writeTime(h.time), writeTime(ts))
			}
		}
	} else if ok {
		p.time = cloneTime(h.time, ref(h))
		events = append(events, p.time)
	}
	if h, ok := lastOf(p.pending, headTempo); first && b.opt.Tempo > 0 {
		events = append(events, &score.Tempo{Common: source(h, ok), QuartersPerMinute: b.opt.Tempo})
		overruled(h, ok, writeTempo(h.tempo), writeTempo(b.opt.Tempo))
	} else if ok {
		events = append(events, &score.Tempo{Common: ref(h), QuartersPerMinute: h.tempo})
	}
	p.pending = nil
	return events
}

func cloneTime(t *score.TimeSignature, c score.Common) *score.TimeSignature {
	n := *t
	n.Common = c
	return &n
}

// finish closes the parts and says in one line what was inferred.
func (b *builder) finish() {
	for _, p := range b.parts {
		for _, str := range slices.Sorted(maps.Keys(p.last)) {
			l := p.last[str]
			if l.sign.conn != 0 && !startsSpan(l.note, spanOf(l.sign.conn)) {
				b.reportOnce(score.Warning, "tab-open-connection", string(l.sign.conn), b.lay.src.pos(int(b.nodes[l.note.Src-1].line), int(b.nodes[l.note.Src-1].col)),
					"a hammer-on, pull-off or slide leads to no note", "")
			}
		}
		b.finalBar(p)
	}
	if len(b.sc.Parts) > 1 && b.sc.Parts[0].Name == "" {
		b.sc.Parts[0].Name = fmt.Sprintf("%d strings", b.parts[0].strings)
	}
	b.sc.Parts = slices.DeleteFunc(b.sc.Parts, func(p *score.Part) bool { return len(p.Measures) == 0 })
	if b.stats.inferred > 0 {
		msg := fmt.Sprintf("no counts or rhythm letters in %d of %d bars: their rhythm is inferred from the spacing", b.stats.inferred, b.stats.bars)
		if b.stats.assumedMetre {
			msg += ", in 4/4 time since no metre is stated"
		}
		b.report(score.Info, "tab-rhythm-inferred", b.lay.src.pos(b.stats.firstLine-1, 0), msg, "write counts under the tab (1 & 2 &), and Time: above it")
	}
	b.diags.Sort()
}

func startsSpan(n *score.Note, kind score.SpanKind) bool {
	return slices.ContainsFunc(n.Techniques, func(t score.Technique) bool {
		s, ok := t.(score.Span)
		return ok && s.Kind == kind && s.End == score.Start
	})
}
