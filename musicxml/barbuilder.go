package musicxml

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
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
	*applier
	w      *measureWriter
	m      *score.Measure
	elem   int32           // of the measure
	out    []func() string // made into text when all edits are known
	cursor score.Quarters
}

// setDivisions edits the divisions that the bar itself states, and tells whether
// it does so before its first note.
func (b *barBuilder) setDivisions() (atStart bool) {
	music := false
	for c := range b.x.children(b.elem) {
		switch b.x.name(c) {
		case "note", "forward", "backup":
			music = true
		case "attributes":
			if d := b.x.child(c, "divisions"); d != none {
				b.ed.setContent(d, strconv.FormatInt(b.w.divisions, 10))
				atStart = atStart || !music
			}
		}
	}
	return atStart
}

func (ap *applier) barOf(e int32) int32 {
	for e != none && ap.x.name(e) != "measure" {
		e = ap.x.elems[e].parent
	}
	return e
}

// collect finds the streams of the new bar, in the order in which the file
// has them, and everything that is not a note with its time.
func (b *barBuilder) collect(was *score.Measure) (streams []stream, extras []extra) {
	owner := map[int32]stream{}
	for c := range was.Chords() {
		if c.IsRest() {
			if e := b.refs[c.Src].elem; e != none {
				owner[e] = stream{b.staffOf(e), c.Staff, c.Voice, false}
			}
		}
		for _, n := range c.Notes {
			r := b.refs[n.Src]
			owner[r.elem] = stream{b.staffOf(r.elem), c.Staff, c.Voice, false}
			if r.twin != none {
				owner[r.twin] = stream{b.staffOf(r.twin), c.Staff, c.Voice, true}
			}
		}
	}
	handles := map[int32][]score.Event{} // events as read, by the child that holds them
	for _, e := range was.Events {
		if el := b.childHolding(b.refs[e.Source()].elem); el != none {
			handles[el] = append(handles[el], e)
		}
	}
	now := map[score.Handle]score.Event{}
	for _, e := range b.m.Events {
		now[e.Source()] = e
	}
	var cursor score.Quarters
	current, order := 0, 0
	units := b.divs[was.Src].before
	length := func(c int32) score.Quarters {
		q, _ := score.ParseQuarters(b.x.childContent(c, "duration"))
		return q.Div(units)
	}
	for c := range b.x.children(b.elem) {
		switch b.x.name(c) {
		case "note":
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
			cursor = cursor.Sub(length(c))
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
	lastNote := int32(none)
	for c := range b.x.children(b.elem) {
		if b.x.name(c) == "note" {
			lastNote = c
		}
	}
	for i := range extras {
		x := &extras[i]
		x.last = x.elem > lastNote && b.x.name(x.elem) == "barline" && b.x.attrOr(x.elem, "location") != "left"
	}
	for c := range b.m.Chords() {
		for _, st := range []stream{{b.w.plans[c.Staff].notation, c.Staff, c.Voice, false}, {b.w.plans[c.Staff].tab, c.Staff, c.Voice, true}} {
			if st.staff > 0 && !slices.Contains(streams, st) {
				streams = append(streams, st)
			}
		}
	}
	for _, e := range b.m.Events {
		if _, chord := e.(*score.Chord); !chord && e.Source() == 0 {
			order++
			_, bar := e.(*score.Barline)
			extras = append(extras, extra{elem: none, event: e, at: e.At(), order: order, last: bar && e.At() == b.m.Length && e.At().Sign() > 0})
		}
	}
	slices.SortStableFunc(extras, func(x, y extra) int { return cmp.Or(x.at.Cmp(y.at), cmp.Compare(x.order, y.order)) })
	return streams, extras
}

// childHolding returns the child of the bar in which an element stands.
func (b *barBuilder) childHolding(e int32) int32 {
	for e != none && b.x.elems[e].parent != b.elem {
		e = b.x.elems[e].parent
	}
	return e
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
			if el := b.refs[e.Source()].elem; el != x.elem && b.x.name(x.elem) == "attributes" {
				b.ed.remove(el)
			}
			continue
		}
		left++
		if n.At() != e.At() {
			x.at = x.at.Add(n.At().Sub(e.At()))
		}
	}
	if b.x.name(x.elem) == "attributes" {
		gone := len(events) - left
		children := 0
		for range b.x.children(x.elem) {
			children++
		}
		return children > gone
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
	first := b.x.first(b.elem)
	for _, e := range b.w.el.ChildElements() {
		b.fragment(b.ed.pretty(e, first))
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
	beams := make([][]string, len(chords))
	if !st.tab {
		beams = b.w.beams(chords)
	}
	mine := func(x extra) bool { return !x.last && x.stream == i }
	next := 0
	for k, c := range chords {
		for ; next < len(extras) && extras[next].at.Cmp(c.Onset) <= 0; next++ {
			if mine(extras[next]) {
				b.extra(extras[next])
			}
		}
		b.chord(c, st, beams[k])
	}
	for ; next < len(extras); next++ {
		if mine(extras[next]) {
			b.extra(extras[next])
		}
	}
}

// chord adds a chord: the notes that the file has as they stand, corrected to
// the chord's time and beams, and new ones.
func (b *barBuilder) chord(c *score.Chord, st stream, beams []string) {
	if st.tab && (c.IsRest() || !slices.ContainsFunc(c.Notes, func(n *score.Note) bool { return !n.Place.IsZero() })) {
		return
	}
	edge := b.w.groups[c]
	actual, normal := ratio(edge.ratios)
	values, ok := b.w.values(c, actual, normal)
	pg := chordPage{staff: st.staff, model: st.model, voice: b.voiceText(c, st), tab: st.tab, beams: beams, transpose: b.w.transpose[st.model]}
	if !ok || len(values) > 1 {
		// Tied together from several values: written anew.
		b.goTo(c.Onset)
		b.w.cursor = b.cursor
		b.w.chord(c, pg)
		b.cursor = b.w.cursor
		b.written()
		return
	}
	b.goTo(c.Onset)
	part := chordPart{first: true, last: true, value: values[0], duration: c.Duration, edge: edge, actual: actual, normal: normal}
	if c.IsRest() {
		if e := b.refs[c.Src].elem; c.Src != 0 && e != none && b.x.child(e, "rest") != none {
			b.correct(e, c, 0, pg, part)
			b.kept(e)
		} else {
			b.w.note(c, nil, 0, pg, part)
			b.written()
		}
		b.cursor = c.End()
		return
	}
	i := 0
	for _, n := range c.Notes {
		if st.tab && n.Place.IsZero() {
			continue
		}
		e := b.refs[n.Src].elem
		if st.tab {
			e = b.refs[n.Src].twin
		}
		if e != none && n.Src != 0 {
			b.correct(e, c, i, pg, part)
			b.kept(e)
		} else {
			b.w.note(c, n, i, pg, part)
			b.written()
		}
		i++
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

// finish replaces what stands between the tags of the bar.
func (b *barBuilder) finish(first int32) {
	f := b.x.elems[first]
	bar := b.x.elems[b.elem]
	indent := string(b.x.text[b.ed.lead(f.start):f.start])
	tail := string(b.x.text[b.ed.lead(bar.shut):bar.shut])
	comments := b.comments()
	text := func() string {
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
