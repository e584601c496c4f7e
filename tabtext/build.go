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
	nodeWords
	nodeAdopted // a metre that the first part states
)

// A builder turns a layout into a score.
type builder struct {
	lay        *layout
	opt        score.ReadOptions
	sc         *score.Score
	nodes      []nodeRef
	music      [][]*barMusic // by system
	parts      []*partState
	cur        *partState
	diags      score.Diagnostics
	once       map[string]*tally // what is reported once
	knownParts map[score.Quarters][]barParts
	sung       bool           // a line of lyrics was read
	widestBar  int            // in columns, of the systems with several; 0 until it is asked for
	counted    []countedTempo // in beats, until all metres are known
	naming     namingSaid     // what the text says itself
	labels     struct {
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
	part       *score.Part
	strings    int
	neck       fretboard.Neck
	hasNeck    bool
	fretsSaid  bool // how many frets there are, so that none are assumed
	key        theory.Key
	time       *score.TimeSignature
	started    bool
	pending    []header // statements that the next measure begins with
	last       map[int]*lastNote
	headedKeys []headedKey // in order
	ids        int
	tuplets    int
	numbered   int            // measures that are counted
	rest       score.Quarters // of a bar that the last system broke off
	ending     string
	headed     bool                        // named by a heading: it has the metres of the first part
	unclosed   bool                        // the ending has no sign at its end
	ended      bool                        // an ending before it had none, and was ended
	spans      map[score.SpanKind]*covered // extents that run on into the next system
}

// A lastNote is the last note on a string.
type lastNote struct {
	note    *score.Note
	sign    *sign
	measure int
	sys     int
	src     score.Handle // of the note that was struck, if this one is held over a cut
}

// slidesOut makes a slide that leads to no note one that leads nowhere, as 9\ is:
// people write hyphens before the sign (9-\-).
func (l *lastNote) slidesOut() bool {
	if l.sign.conn != '/' && l.sign.conn != '\\' || l.note.Has(score.SlideEdge{Below: l.sign.conn == '\\'}) {
		return false
	}
	l.note.Techniques = append(l.note.Techniques, score.SlideEdge{Below: l.sign.conn == '\\'})
	return true
}

func (b *builder) handle(r nodeRef) score.Handle {
	b.nodes = append(b.nodes, r)
	return score.Handle(len(b.nodes))
}

func (b *builder) report(sev score.Severity, code string, pos score.Pos, msg, hint string) {
	b.diags = append(b.diags, score.Diagnostic{Severity: sev, Code: code, Pos: pos, Msg: msg, Hint: hint})
}

// reportOnce reports a thing at its first place. Where that is, is asked only
// then, since finding a place in a long line takes time.
func (b *builder) reportOnce(sev score.Severity, code, key string, at func() score.Pos, msg, hint string) {
	if b.once[code+key] == nil {
		b.once[code+key] = &tally{}
		b.report(sev, code, at(), msg, hint)
	}
}

// A tally is something that is reported once and with how often it was found.
type tally struct {
	n, index int    // index in diags
	many     string // the message for more than one, with a verb for n; "" for the one that was given
	places   []countedPlace
}

// reportCounted reports a thing at its first place; in the end the message says
// how many there are.
func (b *builder) reportCounted(code string, m *barMusic, at func() score.Pos, one, many string) {
	t := b.once[code]
	if t == nil {
		t = &tally{index: len(b.diags), many: many}
		b.once[code] = t
		b.report(score.Info, code, at(), one, "")
	}
	t.n++
	if len(t.places) == 0 || len(t.places) <= maxPlaces && t.places[len(t.places)-1].bar != m {
		t.places = append(t.places, countedPlace{m, at()})
	}
}

// A countedPlace is where something stands that is counted, once for each bar.
type countedPlace struct {
	bar *barMusic
	at  score.Pos
}

// list names the first bars with line and column.
func (t *tally) list() string {
	var out []string
	for _, p := range t.places {
		out = append(out, fmt.Sprintf("bar %s (%d:%d)", p.bar.number, p.at.Line, p.at.Col))
	}
	if len(out) == 0 {
		return ""
	}
	return ": " + strings.Join(firstPlaces(out), ", ")
}

// noEffect reports a mark that contradicts another, or that stands where it
// can mean nothing: it stays in the text and is left out of the music.
func (b *builder) noEffect(line, col int, what string) {
	b.reportOnce(score.Warning, "tab-no-effect", what, b.lay.src.at(line, col), what+": it stays where it is and has no effect", "")
}

// sysPos is the position of a logical column on a row of a system.
func (b *builder) sysPos(s *system, row, col int) score.Pos {
	r := &s.rows[row]
	if r.tail.line == 0 { // its columns are at hand
		return b.lay.src.posIn(&r.cells, r.line, max(col+r.shift, 0))
	}
	line, at := r.where(max(col+r.shift, 0))
	return b.lay.src.pos(line, at)
}

func (b *builder) sysAt(s *system, row, col int) func() score.Pos {
	return func() score.Pos { return b.sysPos(s, row, col) }
}

// build reads all systems.
func build(lay *layout, opt score.ReadOptions) *builder {
	b := &builder{lay: lay, opt: opt, sc: &score.Score{}, once: map[string]*tally{}, knownParts: map[score.Quarters][]barParts{}}
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
	b.unreadLines()
	b.unmetLegend()
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
	case headGuess: // looked up for each system
	case headNaming:
		if !b.naming.said {
			b.naming = h.naming
		}
	case headPart:
		if h.prose {
			b.reportOnce(score.Info, "tab-part-headings", "", b.lay.src.at(h.line, 0),
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
	p := &partState{part: &score.Part{Name: name, Staves: 1}, last: map[int]*lastNote{}, spans: map[score.SpanKind]*covered{}}
	p.part.ID = "P" + strconv.Itoa(len(b.parts)+1)
	b.parts = append(b.parts, p)
	b.cur = p
	b.sc.Parts = append(b.sc.Parts, p.part)
}

// choosePart makes sure that the current part has as many strings as the
// system, and settles its neck.
func (b *builder) choosePart(s *system, index int, global []header) {
	n := s.strings()
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

// finish closes the parts and says in one line what was inferred.
func (b *builder) finish() {
	for _, p := range b.parts {
		for _, str := range slices.Sorted(maps.Keys(p.last)) {
			l := p.last[str]
			if l.sign.conn != 0 && !startsSpan(l.note, spanOf(l.sign.conn)) && !l.slidesOut() {
				b.reportOnce(score.Warning, "tab-open-connection", string(l.sign.conn), b.lay.src.at(int(b.nodes[l.src-1].line), int(b.nodes[l.src-1].col)),
					"a hammer-on, pull-off or slide leads to no note", "")
			}
		}
		for _, kind := range slices.Sorted(maps.Keys(p.spans)) {
			p.closeExtent(kind)
		}
		b.closeEnding(p)
		b.finalBar(p)
		b.doubtKeys(p)
	}
	if len(b.sc.Parts) > 1 && b.sc.Parts[0].Name == "" {
		b.sc.Parts[0].Name = fmt.Sprintf("%d strings", b.parts[0].strings)
	}
	b.sc.Parts = slices.DeleteFunc(b.sc.Parts, func(p *score.Part) bool { return len(p.Measures) == 0 })
	b.countTempos()
	if b.stats.inferred > 0 {
		msg := fmt.Sprintf("no counts or rhythm letters in %d of %d bars: their rhythm is inferred from the spacing", b.stats.inferred, b.stats.bars)
		if b.stats.assumedMetre {
			msg += ", in 4/4 time since no metre is stated"
		}
		b.report(score.Info, "tab-rhythm-inferred", b.lay.src.pos(b.stats.firstLine-1, 0), msg, "write counts under the tab (1 & 2 &), and Time: above it")
	}
	for _, t := range b.once {
		if t.many == "" {
			continue
		}
		d := &b.diags[t.index]
		if t.n > 1 {
			d.Msg = fmt.Sprintf(t.many, t.n)
		}
		d.Msg += t.list()
	}
	b.diags.Sort()
}

func startsSpan(n *score.Note, kind score.SpanKind) bool {
	return slices.ContainsFunc(n.Techniques, func(t score.Technique) bool {
		s, ok := t.(score.Span)
		return ok && s.Kind == kind && s.End == score.Start
	})
}
