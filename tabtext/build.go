package tabtext

import (
	"fmt"
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
	nodeBarline //
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
	numbered  int // measures that are counted
	ending    string
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
		b.openPart(h.text)
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

// last header of a kind that was stated, and whether there is one.
func lastOf(hs []header, kind headerKind) (header, bool) {
	for i := len(hs) - 1; i >= 0; i-- {
		if hs[i].kind == kind {
			return hs[i], true
		}
	}
	return header{}, false
}

// settleNeck finds the neck of a system from, in order of authority, the
// options, a statement before the system, its labels, and what is usual for
// so many strings. It returns the change that it makes, if any.
func (b *builder) settleNeck(s *system, index int) *score.NeckChange {
	p := b.cur
	n := len(s.rows)
	first := !p.hasNeck
	byLabels, flipped, labelled := b.labelTuning(s)
	if stated := b.statedTuning(s); stated != nil && s.named() {
		// A tuning that is said tells better than its labels which way up they are.
		switch normal, turned := s.labelsFit(*stated, false), s.labelsFit(*stated, true); {
		case normal > turned:
			flipped = false
		case normal < turned:
			flipped = true
		default:
			flipped = normal == n && lowerLast(s.rows) || normal < n && flipped
		}
		if first {
			if fit, ok := s.labelTuningAs(flipped); ok {
				byLabels = fit
			}
		}
	}
	s.setStrings(flipped)
	if flipped {
		b.reportOnce(score.Info, "tab-flipped", "", b.sysPos(s, 0, s.begin), "the labels say that the last string is on top; strings are counted so", "")
	}
	neck := p.neck
	src := nodeRef{line: int32(s.rows[0].line), col: int32(s.rows[0].label.col), sys: int32(index), bar: -1, sign: -1, kind: nodeAssumed}
	inferred := false
	stated, isStated := lastOf(p.pending, headTuning)
	switch {
	case first && b.opt.Tuning != nil && b.opt.Tuning.Len() == n:
		neck.Tuning = *b.opt.Tuning
	case isStated && stated.tuning.Len() == n:
		neck.Tuning = stated.tuning
		src = nodeRef{line: int32(stated.line), col: int32(stated.at.from), sys: -1, bar: -1, sign: int32(stated.index), kind: nodeHeader}
	case first && labelled:
		neck.Tuning = byLabels
	case first:
		neck.Tuning = defaultTuning(n)
		inferred = true
		b.reportOnce(score.Info, "tab-tuning-assumed", strconv.Itoa(n), b.sysPos(s, 0, s.begin),
			"no tuning is stated: "+neck.Tuning.String()+" is assumed", "name it with --tuning, or write Tuning: and the strings from low to high above the tab")
	}
	if first && b.opt.Tuning != nil && b.opt.Tuning.Len() != n {
		b.report(score.Warning, "tab-tuning-strings", b.sysPos(s, 0, s.begin),
			fmt.Sprintf("the tuning asked for has %d strings, the tab %d; it is not used here", b.opt.Tuning.Len(), n), "")
	}
	if isStated && stated.tuning.Len() != n {
		b.report(score.Warning, "tab-tuning-strings", b.lay.src.pos(stated.line, stated.at.from),
			fmt.Sprintf("the tuning stated has %d strings, the tab %d; it is not used", stated.tuning.Len(), n), "")
	}
	if labelled && first && !sameNames(byLabels, neck.Tuning) {
		sev := score.Warning
		if byLabels.Sounds(defaultTuning(n)) { // everybody's labels, kept from habit
			sev = score.Info
		}
		b.report(sev, "tab-tuning-labels", b.sysPos(s, 0, s.begin),
			"the labels say "+byLabels.String()+", the tuning stated is "+neck.Tuning.String()+", which is used", "")
	}
	if capo, ok := lastOf(p.pending, headCapo); ok {
		neck.Capo = capo.number
	}
	if first {
		neck.Frets = b.opt.FretCount()
		if b.opt.Capo != nil {
			neck.Capo = *b.opt.Capo
		}
	}
	if b.opt.Frets > 0 {
		p.fretsSaid = true
	}
	if frets, ok := lastOf(p.pending, headFrets); ok && frets.number > 0 && (b.opt.Frets == 0 || !first) {
		neck.Frets = frets.number
		p.fretsSaid = true
	}
	for _, k := range s.marks() {
		p.fretsSaid = p.fretsSaid || strings.HasPrefix(k.text, "frets:") || strings.HasPrefix(k.text, "capo:")
	}
	if p.fretsSaid {
		// A note beyond the neck is reported where it stands.
	} else if highest := b.highestFret(index) + neck.Capo; highest > neck.Frets && highest <= fretboard.MaxFrets {
		b.reportOnce(score.Info, "tab-frets", "", b.sysPos(s, 0, s.begin),
			fmt.Sprintf("the tab goes up to fret %d from the nut: a neck with that many is assumed", highest), "say how many frets the neck has with --neck-frets or Frets:")
		neck.Frets = highest
	}
	if neck.Validate() != nil {
		b.report(score.Warning, "tab-neck", b.sysPos(s, 0, s.begin), neck.Validate().Error()+"; the capo is left out", "correct the capo or the number of frets")
		neck.Capo = 0
		neck.Frets = max(neck.Frets, 1)
	}
	if !first && neck.Equal(p.neck) {
		return nil
	}
	p.neck, p.hasNeck = neck, true
	return &score.NeckChange{Common: score.Common{Src: b.handle(src)}, Neck: neck, Inferred: inferred}
}

// labelTuning is the tuning that the labels of a system say. The last answer
// is kept, since one system after the other has the same labels.
func (b *builder) labelTuning(s *system) (t fretboard.Tuning, flipped, ok bool) {
	key := ""
	for i := range s.rows {
		key += s.rows[i].label.text + "|"
	}
	if b.labels.key != key || key == "" {
		b.labels.key = key
		b.labels.tuning, b.labels.flipped, b.labels.ok = s.labelTuning()
	}
	return b.labels.tuning, b.labels.flipped, b.labels.ok
}

// statedTuning returns the tuning of the options, of a statement, or of the
// part so far, nil for none.
func (b *builder) statedTuning(s *system) *fretboard.Tuning {
	n := len(s.rows)
	if !b.cur.hasNeck && b.opt.Tuning != nil && b.opt.Tuning.Len() == n {
		return b.opt.Tuning
	}
	if h, ok := lastOf(b.cur.pending, headTuning); ok && h.tuning.Len() == n {
		return &h.tuning
	}
	if b.cur.hasNeck && b.cur.neck.Tuning.Len() == n {
		return &b.cur.neck.Tuning
	}
	return nil
}

func sameNames(a, b fretboard.Tuning) bool {
	return slices.EqualFunc(a.Strings, b.Strings, func(x, y theory.Pitch) bool { return x.Class() == y.Class() })
}

func (b *builder) highestFret(sys int) int {
	highest := 0
	for _, m := range b.music[sys] {
		for i := range m.signs {
			highest = max(highest, m.signs[i].fret)
		}
	}
	return highest
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

// topFret is the highest number that is read as one fret.
func (b *builder) topFret() int {
	top := max(maxSaidFret, b.opt.FretCount(), b.cur.neck.Frets)
	if h, ok := lastOf(b.cur.pending, headFrets); ok {
		top = max(top, h.number)
	}
	return top
}

// maxSaidFret is the highest fret that a number of two digits names without
// an option that says the neck has more.
const maxSaidFret = 24

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
		t.metre, t.first = p.metre(), len(p.part.Measures) == 0 && i == 0
		m.nominal = t.metre.length
		switch {
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
	}
	b.extents(s, index)
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
	if h, ok := lastOf(p.pending, headKey); first && b.opt.Key != nil {
		p.key = *b.opt.Key
		events = append(events, &score.KeySignature{Common: assumed(), Key: p.key, ModeSaid: true})
		if ok && h.key != p.key {
			b.report(score.Info, "tab-key-option", b.lay.src.pos(h.line, h.at.from), "the text states "+h.key.String()+", the key asked for is "+p.key.String()+", which is used", "")
		}
	} else if ok {
		p.key = h.key
		events = append(events, &score.KeySignature{Common: ref(h), Key: h.key, ModeSaid: h.mode})
	}
	if h, ok := lastOf(p.pending, headTime); first && b.opt.Time != "" {
		if ts, good := parseTime(b.opt.Time); good {
			p.time = cloneTime(ts, assumed())
			events = append(events, p.time)
		}
	} else if ok {
		p.time = cloneTime(h.time, ref(h))
		events = append(events, p.time)
	}
	if h, ok := lastOf(p.pending, headTempo); first && b.opt.Tempo > 0 {
		events = append(events, &score.Tempo{Common: assumed(), QuartersPerMinute: b.opt.Tempo})
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

// measure turns a bar into a measure of the current part.
func (b *builder) measure(s *system, sys, index int, m *barMusic, lead []score.Event, marks []mark) {
	p := b.cur
	ref := func(col int) nodeRef {
		line, at := s.rows[0].where(max(col+s.rows[0].shift, 0))
		return nodeRef{line: int32(line), col: int32(at), sys: int32(sys), bar: int32(index), sign: -1}
	}
	at := func(kind nodeKind, col int) score.Common {
		r := ref(col)
		r.kind = kind
		return score.Common{Src: b.handle(r)}
	}
	ms := &score.Measure{Length: m.length}
	r := ref(m.from)
	r.kind = nodeMeasure
	ms.Src = b.handle(r)
	ms.Events = append(ms.Events, lead...)
	ms.Events = append(ms.Events, b.markEvents(s, sys, m, marks, false)...)
	ms.Nominal = m.nominal
	left, _ := s.clusterAt(m.from)
	if left.to == m.from && left.forward {
		ms.Events = append(ms.Events, &score.Barline{Common: at(nodeBarline, left.from), Repeat: score.Forward})
	}
	if m.start.Sign() > 0 {
		ms.Implicit = true
		ms.Number = "0"
	} else {
		p.numbered++
		ms.Number = strconv.Itoa(p.numbered)
	}
	ms.Events = append(ms.Events, b.harmonies(s, sys, index, m)...)
	if m.repeat && len(p.part.Measures) > 0 {
		b.again(p, ms)
	} else {
		b.chords(s, sys, index, m, ms)
	}
	if right, ok := s.clusterAt(m.to); ok && right.from == m.to {
		bl := &score.Barline{Common: at(nodeBarline, right.from)}
		bl.Onset = m.length
		if right.backward {
			bl.Repeat = score.Backward
			bl.Times = b.times(s, right)
		} else if right.lines > 2 || right.lines == 2 && !right.forward {
			bl.Style = "light-light"
		}
		if bl.Repeat != score.NoRepeat || bl.Style != "" {
			ms.Events = append(ms.Events, bl)
		}
	}
	b.endings(s, sys, index, m, marks, ms)
	p.part.Measures = append(p.part.Measures, ms)
	ms.SortEvents()
}

// again fills a bar of % with the music of the bar before it.
func (b *builder) again(p *partState, ms *score.Measure) {
	before := p.part.Measures[len(p.part.Measures)-1].Copy()
	ends := map[score.Span]bool{}
	for n := range score.Notes(before) {
		for _, t := range n.Techniques {
			if sp, ok := t.(score.Span); ok {
				ends[sp] = true
			}
		}
	}
	spans, tuplets := map[int]int{}, map[int]int{}
	fresh := func(ids map[int]int, id int, last *int) int {
		if ids[id] == 0 {
			*last++
			ids[id] = *last
		}
		return ids[id]
	}
	ms.Length = before.Length
	for c := range before.Chords() {
		for i := range c.Tuplets {
			c.Tuplets[i].ID = fresh(tuplets, c.Tuplets[i].ID, &p.tuplets)
		}
		for _, n := range c.Notes {
			n.TieStart, n.TieStop = false, false
			var kept []score.Technique
			for _, t := range n.Techniques {
				sp, ok := t.(score.Span)
				if ok {
					if !ends[score.Span{Kind: sp.Kind, ID: sp.ID, End: score.Start}] || !ends[score.Span{Kind: sp.Kind, ID: sp.ID, End: score.Stop}] {
						continue // its other end is in another bar
					}
					sp.ID = fresh(spans, sp.ID, &p.ids)
					t = sp
				}
				kept = append(kept, t)
			}
			n.Techniques = kept
		}
		ms.Events = append(ms.Events, c)
	}
}

// times finds x3 beside a closing repeat.
func (b *builder) times(s *system, cl cluster) int {
	for i := range s.rows {
		r := &s.rows[i]
		if cl.to == s.width {
			tail := strings.TrimSpace(string(r.cells.ch[min(r.end, len(r.cells.ch)):]))
			if word, _, _ := strings.Cut(tail, " "); word != "" {
				if n, ok := parseTimes(word); ok {
					return n
				}
			}
		}
	}
	for _, a := range s.above {
		if a.kind != markLine {
			continue
		}
		for _, w := range a.words {
			if n, ok := parseTimes(w.text); ok && w.col >= cl.from-4 && w.col <= cl.to+2 && s.nearest(w.col) == cl {
				return n
			}
		}
	}
	return 0
}

// harmonies reads the chord symbols over a bar.
func (b *builder) harmonies(s *system, sys, index int, m *barMusic) []score.Event {
	var events []score.Event
	from, to := m.from, m.to
	if index == 0 {
		from = -1 << 20
	} else if left, ok := s.clusterAt(m.from); ok {
		from = left.from
	}
	for li, list := range [][]attached{s.above, s.below} {
		for ai := range list {
			if list[ai].kind != chordLine {
				continue
			}
			for wi, w := range list[ai].words {
				if w.col < from || w.col >= to {
					continue
				}
				c, err := theory.ParseChord(strings.Trim(w.text, "[]"))
				if err != nil {
					continue
				}
				h := &score.Harmony{Chord: c}
				h.Onset = m.harmonyTime(w.col)
				h.Src = b.handle(nodeRef{line: int32(list[ai].line), col: int32(w.col + s.rows[0].shift), sys: int32(sys), bar: int32(index),
					sign: int32(li<<28 | ai<<16 | min(wi, 1<<16-1)), kind: nodeHarmony})
				events = append(events, h)
			}
		}
	}
	return events
}

// harmonyTime gives the time of a chord symbol: of the note or count at its
// column or up to two columns beside it, else in proportion.
func (m *barMusic) harmonyTime(col int) score.Quarters {
	best := -1
	for i, a := range m.anchors {
		if d := abs(a.col - col); d <= 2 && (best < 0 || d < abs(m.anchors[best].col-col)) {
			best = i
		}
	}
	if best >= 0 {
		return m.anchors[best].at
	}
	if len(m.anchors) > 0 && col < m.anchors[0].col && col < m.from+3 {
		return score.Quarters{}
	}
	at, _ := m.timeAt(max(col, m.from), max(col, m.from)+1)
	beat := score.Q(1, 1)
	beats := at.Add(beat.Mul(score.Q(1, 2))).Div(beat) // to the nearest beat
	at = beat.Mul(score.Q(beats.Num()/max(1, beats.Den()), 1))
	for at.Sign() > 0 && !at.Less(m.length) {
		at = at.Sub(beat)
	}
	if at.Sign() < 0 {
		return score.Quarters{}
	}
	return at
}

// finish closes the parts and says in one line what was inferred.
func (b *builder) finish() {
	for _, p := range b.parts {
		for _, l := range p.last {
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

// finalBar makes a double bar line at the very end a final one.
func (b *builder) finalBar(p *partState) {
	if len(p.part.Measures) == 0 {
		return
	}
	last := p.part.Measures[len(p.part.Measures)-1]
	for _, e := range last.Events {
		if bl, ok := e.(*score.Barline); ok && bl.Style == "light-light" {
			bl.Style = "light-heavy"
		}
	}
}

// nearest returns the bar line nearest to a column.
func (s *system) nearest(col int) cluster {
	best := s.clusters[0]
	for _, cl := range s.clusters {
		if abs(cl.from-col) < abs(best.from-col) {
			best = cl
		}
	}
	return best
}
