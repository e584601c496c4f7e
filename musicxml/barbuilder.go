package musicxml

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A stream is one voice on one staff of the page.
type stream struct {
	staff int // on the page
	model int // staff of the model
	voice int // of the model
	tab   bool
}

// An extra is a child of a measure that is not a note: where and in which
// stream it stood.
type extra struct {
	elem   int32 // none if it is new
	event  score.Event
	at     score.Quarters
	stream int
	order  int
	units  score.Quarters // to a quarter note where it stood
	last   bool           // behind all notes: right bar lines and the like
}

// A barBuilder puts one bar together.
type barBuilder struct {
	*sheet
	w      *measureWriter
	m      *score.Measure
	elem   int32           // of the file; none for a new bar
	heads  []score.Event   // new events that go into the first <attributes>
	out    []func() string // made into text when all edits are known
	cursor score.Quarters
}

// setDivisions edits the divisions that the bar itself states.
func (b *barBuilder) setDivisions() {
	for c := range b.x.children(b.elem) {
		if b.x.name(c) == "attributes" {
			for _, d := range b.childrenNamed(c, "divisions") {
				b.ed.setContent(d, strconv.FormatInt(b.w.divisions, 10))
			}
		}
	}
}

// collect finds the streams of the new bar, in the order in which the file
// has them, and everything that is not a note with its time.
func (b *barBuilder) collect(was *score.Measure) (streams []stream, extras []extra) {
	if b.elem != none {
		streams, extras = b.collectOld(was)
	}
	for c := range b.m.Chords() {
		for _, st := range b.streamsOf(c) {
			if !slices.Contains(streams, st) {
				streams = append(streams, st)
			}
		}
	}
	order := len(extras)
	for _, e := range b.m.Events {
		h := e.Source()
		_, chord := e.(*score.Chord)
		w, words := e.(*score.Words)
		switch {
		case chord, h != 0 && b.home[h] == b.m.Src && b.m.Src != 0, words && w.Kind == "lyric":
			continue
		case h == 0 && !b.shows(e), h != 0 && b.element(h) == none:
			continue // of another part of the file, or assumed
		}
		if isAttribute(e) && e.At().IsZero() {
			b.heads = append(b.heads, e)
			continue
		}
		order++
		bar, isBar := e.(*score.Barline)
		extras = append(extras, extra{elem: none, event: e, at: e.At(), order: order,
			last: isBar && (e.At() == b.m.Length && e.At().Sign() > 0 || bar.Repeat == score.Backward)})
	}
	slices.SortStableFunc(extras, func(x, y extra) int { return cmp.Or(x.at.Cmp(y.at), cmp.Compare(x.order, y.order)) })
	return streams, extras
}

// collectOld finds the streams and extras of a bar of the file.
func (b *barBuilder) collectOld(was *score.Measure) (streams []stream, extras []extra) {
	owner := map[int32]stream{}
	own := func(e int32, c *score.Chord, tab bool) {
		if e != none && b.barOf(e) == b.elem {
			owner[e] = stream{b.staffOf(e), c.Staff, c.Voice, tab}
		}
	}
	for c := range was.Chords() {
		if c.IsRest() {
			own(b.refs[c.Src].elem, c, false)
			own(b.refs[c.Src].twin, c, true)
		}
		for _, n := range c.Notes {
			own(b.refs[n.Src].elem, c, false)
			own(b.refs[n.Src].twin, c, true)
		}
	}
	handles := map[int32][]score.Event{} // events as read, by the child that holds them
	for _, e := range was.Events {
		if el := b.childOf(b.elem, b.element(e.Source())); el != none {
			handles[el] = append(handles[el], e)
		}
	}
	now := map[score.Handle]score.Event{}
	for _, e := range b.m.Events {
		now[e.Source()] = e
	}
	var cursor score.Quarters
	current, order := 0, 0
	units := b.divs[b.elem].before
	length := func(c int32) score.Quarters {
		q, _ := score.ParseQuarters(b.x.childContent(c, "duration"))
		return q.Div(units)
	}
	lastNote := int32(none)
	for c := range b.x.children(b.elem) {
		switch b.x.name(c) {
		case "note":
			lastNote = c
			if st, ok := owner[c]; ok {
				if current = slices.Index(streams, st); current < 0 {
					current = len(streams)
					streams = append(streams, st)
				}
			}
			if b.x.child(c, "chord") == none && b.x.child(c, "grace") == none {
				cursor = cursor.Add(length(c))
			}
		case "backup":
			if cursor = cursor.Sub(length(c)); cursor.Sign() < 0 {
				cursor = score.Quarters{}
			}
		case "forward":
			cursor = cursor.Add(length(c))
		default:
			if b.x.name(c) == "attributes" {
				if d, ok := score.ParseQuarters(b.x.childContent(c, "divisions")); ok && d.Sign() > 0 {
					units = d
				}
			}
			order++
			x := extra{elem: c, at: cursor, stream: current, order: order, units: units}
			if keep := b.moved(&x, handles[c], now); keep {
				extras = append(extras, x)
			}
		}
	}
	for i := range extras {
		x := &extras[i]
		x.last = x.elem > lastNote && b.x.name(x.elem) == "barline" && b.x.attrOr(x.elem, "location") != "left"
	}
	return streams, extras
}

// newHead returns the children of <attributes> with which the bar begins: those
// that come from another bar of the file as they stood there.
func (b *barBuilder) newHead() (children []attributeText) {
	var made []score.Event
	for _, e := range b.heads {
		if h := e.Source(); h != 0 {
			children = append(children, b.elementText(b.element(h)))
		} else {
			made = append(made, e)
		}
	}
	b.w.attributes(made, false)
	for _, a := range b.w.el.ChildElements() {
		for _, c := range a.ChildElements() {
			text := b.pretty(c)
			children = append(children, attributeText{c.Tag, func() string { return text }})
		}
	}
	b.w.el = etree.NewElement("measure")
	return children
}

// moved finds out whether an element that is not a note stays and where: it
// goes if all that it stood for is gone, and moves in time with it.
func (b *barBuilder) moved(x *extra, events []score.Event, now map[score.Handle]score.Event) (keep bool) {
	if len(events) == 0 {
		return true
	}
	left := 0
	for _, e := range events {
		n, ok := now[e.Source()]
		if !ok {
			if b.x.name(x.elem) == "attributes" {
				b.drop(b.element(e.Source()))
			}
			continue
		}
		left++
		if n.At() != e.At() {
			x.at = x.at.Add(n.At().Sub(e.At()))
		}
	}
	if b.x.name(x.elem) == "attributes" {
		return !b.allDropped(x.elem) || b.x.first(x.elem) == none
	}
	return left > 0
}

// fragment adds new text.
func (b *barBuilder) fragment(text string) { b.out = append(b.out, func() string { return text }) }

// kept adds an element of the file, with the edits inside of it.
func (b *barBuilder) kept(e int32) {
	r := b.x.elems[e]
	b.out = append(b.out, func() string { return b.ed.extract(r.start, r.end) })
}

func (b *barBuilder) goTo(t score.Quarters) {
	d := t.Sub(b.cursor)
	switch d.Sign() {
	case 1:
		b.fragment("<forward><duration>" + b.w.ticks(d) + "</duration></forward>")
	case -1:
		b.fragment("<backup><duration>" + b.w.ticks(d.Neg()) + "</duration></backup>")
	}
	b.cursor = t
}

// extras adds those that are wanted, at their times.
func (b *barBuilder) extras(list []extra, want func(extra) bool) {
	for _, x := range list {
		if want(x) {
			b.extra(x)
		}
	}
}

func (b *barBuilder) extra(x extra) {
	if x.elem != none {
		if !x.last {
			b.goTo(x.at)
		}
		if off := b.x.child(x.elem, "offset"); off != none && x.units != score.Q(b.w.divisions, 1) {
			if q, ok := score.ParseQuarters(b.x.content(off)); ok {
				b.ed.setContent(off, decimal(q.Mul(score.Q(b.w.divisions, 1)).Div(x.units)))
			}
		}
		b.kept(x.elem)
		return
	}
	w := b.w
	w.cursor = b.cursor
	if isAttribute(x.event) {
		b.goTo(x.at)
		w.attributes([]score.Event{x.event}, false)
	} else if bar, ok := x.event.(*score.Barline); ok {
		location := "middle"
		switch {
		case x.last:
			location = "right"
		case x.at.IsZero():
			location = "left"
		default:
			b.goTo(x.at)
		}
		w.barline(bar, location)
	} else {
		w.mark(x.event)
	}
	b.written()
}

// written takes over what the writer has written.
func (b *barBuilder) written() {
	for _, e := range b.w.el.ChildElements() {
		b.fragment(b.pretty(e))
	}
	b.w.el = etree.NewElement("measure")
}

// stream adds the chords of one voice on one staff, and the extras that stood
// in it; new extras stand in the first.
func (b *barBuilder) stream(i int, st stream, extras []extra) {
	var chords []*score.Chord
	for c := range b.m.Chords() {
		if c.Staff == st.model && c.Voice == st.voice {
			chords = append(chords, c)
		}
	}
	h := b.habit(st.staff)
	beams := make([][]string, len(chords))
	if h.hasBeams(st.tab) {
		beams = b.w.beams(chords)
	}
	stems := b.stemsFor(chords, beams, st)
	mine := func(x extra) bool { return !x.last && x.stream == i }
	next := 0
	for k, c := range chords {
		for ; next < len(extras) && extras[next].at.Cmp(c.Onset) <= 0; next++ {
			if mine(extras[next]) {
				b.extra(extras[next])
			}
		}
		b.chord(c, st, chordPage{staff: st.staff, model: st.model, voice: b.voiceText(c, st), tab: st.tab, beams: beams[k], stem: stems[k],
			transpose: b.toPage(st), habit: h})
	}
	for ; next < len(extras); next++ {
		if mine(extras[next]) {
			b.extra(extras[next])
		}
	}
}

// toPage returns how far pitches sound above what a stream writes.
func (b *barBuilder) toPage(st stream) theory.Interval {
	if st.tab {
		return commonest(b.habit(st.staff).off, compareIntervals).Neg()
	}
	return b.w.transpose[st.model]
}

// chord adds a chord: the notes that the file has as they stand, corrected to
// the chord's time and beams, and new ones.
func (b *barBuilder) chord(c *score.Chord, st stream, pg chordPage) {
	notes := c.Notes
	if st.tab {
		notes = slices.DeleteFunc(slices.Clone(notes), func(n *score.Note) bool { return pg.habit.leavesOut[n] })
	}
	rest := none
	if c.IsRest() && c.Src != 0 {
		rest = int(b.noteElem(c.Src, st.tab))
	}
	if len(notes) == 0 && st.tab && rest == none && (c.Grace != score.NotGrace || !pg.habit.writesRests() && !(b.pg.tab && c.WholeMeasure)) {
		return
	}
	edge := b.w.groups[c]
	actual, normal := ratio(edge.ratios)
	values, ok := b.w.values(c, actual, normal)
	if !ok && c.WholeMeasure {
		values, ok = []score.NoteValue{{}}, true
	}
	b.goTo(c.Onset)
	if !ok || len(values) > 1 {
		// Tied together from several values: written anew.
		b.w.cursor = b.cursor
		b.w.chord(c, pg)
		b.cursor = b.w.cursor
		b.written()
		return
	}
	part := chordPart{first: true, last: true, value: values[0], duration: c.Duration, edge: edge, actual: actual, normal: normal}
	if len(notes) == 0 {
		if e := int32(rest); e != none && b.x.child(e, "rest") != none {
			b.correct(e, c, 0, pg, part)
			b.kept(e)
		} else {
			b.w.note(c, nil, 0, pg, part)
			b.written()
		}
	}
	for i, n := range notes {
		if e := b.noteElem(n.Src, st.tab); e != none {
			b.correct(e, c, i, pg, part)
			b.kept(e)
		} else {
			b.w.note(c, n, i, pg, part)
			b.written()
		}
	}
	b.cursor = c.End()
}

// voiceText returns the number of the voice in which new notes of a stream
// are written: the file's own if it has notes there, else a free one.
func (b *barBuilder) voiceText(c *score.Chord, st stream) int {
	if v, ok := b.voices[stream{st.staff, c.Staff, c.Voice, st.tab}]; ok {
		return v
	}
	if st.tab {
		return c.Voice + 4*(st.staff-1)
	}
	return c.Voice
}

// text returns what stands between the tags of the bar, to be made when all
// edits are known.
func (b *barBuilder) text() func() string {
	indent, tail := b.lead(), b.tail()
	var comments []string
	if first := b.x.first(max(b.elem, 0)); b.elem != none && first != none {
		at, end := b.x.elems[first].start, b.x.elems[b.elem].shut
		indent = string(b.x.text[b.ed.lead(at):at])
		tail = string(b.x.text[b.ed.lead(end):end])
		comments = b.comments()
	}
	return func() string {
		var s strings.Builder
		for _, piece := range b.out {
			s.WriteString(indent)
			s.WriteString(piece())
		}
		for _, c := range comments {
			s.WriteString(indent)
			s.WriteString(c)
		}
		s.WriteString(tail)
		return s.String()
	}
}

// finish replaces what stands between the tags of the bar.
func (b *barBuilder) finish() {
	bar := b.x.elems[b.elem]
	text := b.text()
	if bar.open == bar.end { // <measure number="1"/>
		name := b.x.name(b.elem)
		b.bars = append(b.bars, rebuilt{bar.end - 2, bar.end, func() string { return ">" + text() + "</" + name + ">" }})
		return
	}
	b.bars = append(b.bars, rebuilt{bar.open, bar.shut, text})
}

// comments returns the comments and processing instructions between the
// children of the bar.
func (b *barBuilder) comments() (out []string) {
	at := b.x.elems[b.elem].open
	gap := func(end int32) {
		if s := strings.TrimSpace(string(b.x.text[at:end])); s != "" {
			out = append(out, s)
		}
	}
	for c := range b.x.children(b.elem) {
		gap(b.x.elems[c].start)
		at = b.x.elems[c].end
	}
	gap(b.x.elems[b.elem].shut)
	return out
}
