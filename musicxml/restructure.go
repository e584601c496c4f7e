package musicxml

import (
	"cmp"
	"slices"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// restructure puts together anew the bars in which something was added,
// taken out or moved in time, puts in bars that are new and takes out those
// that are gone, in every part of the file that shows the music. What a bar had
// stays as it stood, with the edits that concern it: every note that is still
// there, and everything that is not a note (print settings, directions,
// comments, foreign elements), at the time at which it stood. New entries are
// written as the part writes others. Cursor movements and beams are made anew.
func (ap *applier) restructure(s *score.Score) {
	rows, changed, ok := ap.rowsOf(s)
	if !ok {
		return
	}
	fresh := make([][]freshBar, len(rows)) // of timewise files
	for k, part := range s.Parts {
		bars := changed && slices.ContainsFunc(rows, func(r row) bool { return ap.isNew(r, k) })
		if !bars && !slices.ContainsFunc(part.Measures, func(m *score.Measure) bool { return ap.anew[m] }) {
			continue
		}
		for _, sh := range ap.sheets(s, part) {
			sh.write(rows, k, fresh)
			ap.errs = append(ap.errs, sh.w.errs...)
			sh.w.reportLost()
		}
	}
	if ap.rows != nil {
		ap.timewiseRows(rows, fresh)
	} else if changed && len(rows) > 0 && !slices.ContainsFunc(rows, func(r row) bool {
		return slices.ContainsFunc(r.bars, func(m *score.Measure) bool { return m != nil })
	}) {
		ap.fail(s.Src, "all bars were taken out, and a file has one at least")
	}
}

// isNew tells whether a part has a new bar in a row, or has lost the one that
// it had.
func (ap *applier) isNew(r row, k int) bool {
	if m := r.bars[k]; m != nil {
		return m.Src == 0
	}
	return r.base >= 0
}

// write does the bars of a part of the file.
func (sh *sheet) write(rows []row, k int, fresh [][]freshBar) {
	bars := map[int]bar{}
	for _, b := range sh.pg.measures {
		bars[b.row] = b
	}
	before := int32(none) // the bar of the file behind which a new one comes
	for i, r := range rows {
		m := r.bars[k]
		b, had := bar{none, none, -1}, false
		if r.base >= 0 {
			b, had = bars[r.base]
		}
		if m != nil {
			sh.bar = m.Number
			sh.enter(m)
		}
		switch {
		case m == nil && had:
			sh.remove(b)
		case m == nil:
		case m.Src != 0:
			sh.change(m, b)
		default:
			if had {
				sh.remove(b)
			}
			sh.insert(i, m, before, fresh)
		}
		if had {
			before = b.music
		}
	}
}

// enter follows what is in force from a bar on.
func (sh *sheet) enter(m *score.Measure) {
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.PageTranspose:
			if !sh.pg.tab {
				inForce(sh.w.transpose, e)
			}
		case *score.TimeSignature:
			sh.w.beats = beamGroups(e)
		case *score.Clef:
			for s := range sh.middle {
				if e.Staff == 0 || e.Staff == s {
					sh.middle[s] = middleLine(e)
				}
			}
		}
	}
}

// remove takes a bar out. What it said that still holds, and that the model
// does not know of, is kept for the next bar.
func (sh *sheet) remove(b bar) {
	for c := range sh.x.children(b.music) {
		if sh.x.name(c) == "attributes" {
			for a := range sh.x.children(c) {
				sh.keep(a)
			}
		}
	}
	if sh.divisions.IsZero() {
		sh.divisions = score.Q(1, 1) // what holds where nothing is said
	}
	r := sh.x.elems[b.music]
	sh.bars = append(sh.bars, rebuilt{sh.ed.lead(r.start), r.end, func() string { return "" }})
}

// insert writes a new bar.
func (sh *sheet) insert(i int, m *score.Measure, before int32, fresh [][]freshBar) {
	var head []attributeText
	if before == none && len(sh.pg.measures) > 0 && sh.divisions.IsZero() {
		// What the part begins with goes to its new beginning.
		first := sh.pg.measures[0].music
		sh.divisions = sh.divs[first].perQuarter
		head = append(head, attributeText{"divisions", nil})
		for c := range sh.x.children(first) {
			if n := sh.x.name(c); n == "note" || n == "forward" || n == "backup" {
				break
			} else if n != "attributes" {
				continue
			}
			for a := range sh.x.children(c) {
				if sh.keep(a) {
					sh.drop(a)
				}
			}
		}
	}
	if sh.divisions.IsZero() { // of a part without bars
		sh.divisions = score.Q(1, 1)
		head = append(head, attributeText{"divisions", nil})
	}
	if before != none && sh.divisions != sh.divs[before].perQuarter {
		sh.divisions = sh.divs[before].perQuarter
		head = append(head, attributeText{"divisions", nil})
	}
	head = append(head, sh.takeCarried(none)...)
	b := sh.build(m, none, head)
	if sh.rows != nil {
		fresh[i] = append(fresh[i], freshBar{sh.pg, m, sh.barLead(), b.text()})
		return
	}
	text := b.text()
	home := sh.x.elems[sh.pg.elem]
	start := measureStart(m)
	lead := sh.barLead()
	switch {
	case before != none:
		at := sh.x.elems[before].end
		sh.bars = append(sh.bars, rebuilt{at, at, func() string { return lead + start + text() + "</measure>" }})
	case len(sh.pg.measures) > 0:
		at := sh.ed.lead(sh.x.elems[sh.pg.measures[0].music].start)
		sh.bars = append(sh.bars, rebuilt{at, at, func() string { return lead + start + text() + "</measure>" }})
	case home.open == home.end: // <part id="P1"/>
		sh.bars = append(sh.bars, rebuilt{home.end - 2, home.end, func() string { return ">" + start + text() + "</measure></part>" }})
	default:
		sh.bars = append(sh.bars, rebuilt{home.open, home.open, func() string { return start + text() + "</measure>" }})
	}
}

// measureStart writes the start tag of a new bar.
func measureStart(m *score.Measure) string {
	s := `<measure number="` + escape(cmp.Or(m.Number, "0")) + `"`
	if m.Implicit {
		s += ` implicit="yes"`
	}
	return s + ">"
}

// change edits a bar that the file has. A bar that lost no more than entries
// that stand for themselves loses those elements; where more has changed it is
// put together anew.
func (sh *sheet) change(m *score.Measure, b bar) {
	d := sh.divs[b.music]
	gone, anew := []int32(nil), false
	if sh.anew[m] {
		gone, anew = sh.differs(m, b.music)
	}
	restart := !sh.divisions.IsZero() && sh.divisions != d.before && !sh.saysAtStart(b.music, "divisions", "")
	if !anew && sh.x.first(b.music) == none && (restart || len(sh.carry) > 0) {
		anew = true
	}
	if anew {
		if sh.repeatsBar(m) {
			sh.fail(m.Src, "the bar is a repeat sign for another bar; its rhythm cannot be changed in place")
			return
		}
		nb := sh.build(m, b.music, sh.takeCarried(b.music))
		nb.finish()
		return
	}
	for _, e := range gone {
		if sh.x.name(sh.x.elems[e].parent) == "attributes" {
			sh.drop(e)
		} else {
			sh.ed.remove(e)
		}
	}
	head := sh.takeCarried(b.music)
	if restart {
		head = append(head, attributeText{"divisions", func() string { return divisionsText(d.before) }})
	}
	if len(head) > 0 {
		at := sh.x.elems[sh.x.first(b.music)].start
		text := sh.attributesOf(head)
		lead := sh.lead()
		sh.bars = append(sh.bars, rebuilt{at, at, func() string { return text() + lead }})
	}
	sh.divisions = d.perQuarter
}

// repeatsBar tells whether a bar was read as the repetition of another.
func (sh *sheet) repeatsBar(m *score.Measure) bool {
	for c := range sh.node[m.Src].(*score.Measure).Chords() {
		if sh.refs[c.Src].elem == none {
			return true
		}
	}
	return false
}

// differs compares a bar with the one that was read, as far as this part of
// the file shows it: elements of events that are gone, and whether the bar has
// to be put together anew.
func (sh *sheet) differs(m *score.Measure, elem int32) (gone []int32, anew bool) {
	was := sh.node[m.Src].(*score.Measure)
	if was.Length != m.Length {
		return nil, true
	}
	var a, b []*score.Chord
	for c := range was.Chords() {
		a = append(a, c)
	}
	for c := range m.Chords() {
		b = append(b, c)
	}
	if !slices.EqualFunc(a, b, sh.sameTime) {
		return nil, true
	}
	now := map[score.Handle]score.Event{}
	for _, e := range m.Events {
		if _, chord := e.(*score.Chord); chord {
			continue
		}
		if e.Source() == 0 || sh.home[e.Source()] != m.Src {
			if h := e.Source(); h == 0 && sh.shows(e) || h != 0 && sh.element(h) != none {
				return nil, true
			}
			continue
		}
		now[e.Source()] = e
	}
	type held struct{ all, gone int }
	holders := map[int32]*held{}
	for _, e := range was.Events {
		el := sh.element(e.Source())
		holder := sh.childOf(elem, el)
		if _, chord := e.(*score.Chord); chord || holder == none || sh.x.name(holder) == "note" {
			continue
		}
		if holders[holder] == nil {
			holders[holder] = &held{}
		}
		holders[holder].all++
		n, ok := now[e.Source()]
		switch {
		case ok && n.At() != e.At():
			return nil, true
		case !ok && sh.x.name(holder) == "attributes":
			gone = append(gone, el)
		case !ok:
			holders[holder].gone++
		}
	}
	for holder, h := range holders {
		switch {
		case h.gone == 0:
		case h.gone < h.all:
			return nil, true
		default:
			gone = append(gone, holder)
		}
	}
	return gone, false
}

// sameTime tells whether two chords stand at the same place and time with the
// same notes, and are shown by the same elements.
func (sh *sheet) sameTime(a, b *score.Chord) bool {
	same := a.Src == b.Src && a.Onset == b.Onset && a.Duration == b.Duration && a.Staff == b.Staff && a.Voice == b.Voice && a.Grace == b.Grace &&
		slices.EqualFunc(a.Notes, b.Notes, func(x, y *score.Note) bool { return x.Src == y.Src })
	if !same || a.Staff >= len(sh.paired) || !sh.paired[a.Staff] {
		return same
	}
	for _, n := range b.Notes {
		if sh.refs[n.Src].twin == none && sh.refs[n.Src].elem != none && !sh.leavesOut(sh.part, n) {
			return false
		}
	}
	return true
}

// childOf returns the child of a bar in which an element stands.
func (d *Document) childOf(bar, e int32) int32 {
	for e != none && d.x.elems[e].parent != bar {
		e = d.x.elems[e].parent
	}
	return e
}

// build puts one bar together; elem is that of the file, none for a new one.
// Where divisions change on the way it gets the same ones throughout.
func (sh *sheet) build(m *score.Measure, elem int32, head []attributeText) *barBuilder {
	d := divisions{perQuarter: sh.divisions, before: sh.divisions}
	var was *score.Measure
	if elem != none {
		d = sh.divs[elem]
		was = sh.node[m.Src].(*score.Measure)
		if sh.divisions.IsZero() {
			sh.divisions = d.before
		}
	}
	sh.w.divisions = commonDivisions([]*score.Measure{m}, d.perQuarter.Num())
	now := score.Q(sh.w.divisions, 1)
	if !sh.pg.tab {
		sh.built[m] = true
	}
	b := &barBuilder{sheet: sh, m: m, elem: elem, w: &measureWriter{partWriter: sh.w, el: etree.NewElement("measure"), m: m}}
	streams, extras := b.collect(was)
	stated := elem != none && sh.saysAtStart(elem, "divisions", "")
	if elem != none && (d.mixed || now != d.perQuarter) {
		b.setDivisions()
	}
	says := func(c attributeText) bool { return c.name == "divisions" }
	if !stated && (now != sh.divisions || slices.ContainsFunc(head, says)) {
		head = append(slices.DeleteFunc(head, says), attributeText{"divisions", func() string { return divisionsText(now) }})
	}
	if head = append(head, b.newHead()...); len(head) > 0 {
		b.out = append(b.out, sh.attributesOf(head))
	}
	written := elem == none && !sh.pg.tab // what the bars of the file say of their order stays in them
	if written {
		b.w.routeMarks()
		b.written()
	}
	for i, st := range streams {
		b.stream(i, st, extras)
	}
	if len(streams) == 0 {
		b.extras(extras, func(x extra) bool { return !x.last })
	}
	b.goTo(m.Length)
	if now != d.perQuarter {
		b.fragment(sh.attributes([]string{divisionsText(d.perQuarter)}))
	}
	if written {
		b.w.routeJumps()
		b.written()
	}
	b.extras(extras, func(x extra) bool { return x.last })
	sh.divisions = d.perQuarter
	return b
}
