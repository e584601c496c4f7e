package musicxml

import (
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// restructure puts together anew the bars in which something was added,
// taken out or moved in time. What a bar had stays as it stood, with the
// edits that concern it: every note that is still there, and everything that
// is not a note (print settings, directions, comments, foreign elements), at
// the time at which it stood. New entries are written like a new document's.
// Cursor movements and beams are made anew.
func (ap *applier) restructure(s *score.Score) {
	for _, h := range ap.goneBars {
		ap.removeBar(h)
	}
	for _, part := range s.Parts {
		if _, ok := ap.parts[part]; ok && slices.ContainsFunc(part.Measures, func(m *score.Measure) bool { return ap.anew[m] }) {
			ap.restructurePart(s, part)
		}
	}
}

func (ap *applier) removeBar(h score.Handle) {
	e := ap.refs[h].elem
	if ap.x.name(e) != "measure" {
		ap.fail(h, "bars of a timewise file cannot be taken out")
		return
	}
	ap.ed.remove(e)
}

// restructurePart walks a part with what is in force and does its bars.
func (ap *applier) restructurePart(s *score.Score, part *score.Part) {
	w := ap.pageWriter(s, part)
	before := int32(none) // the last bar that the file has
	var fresh []*score.Measure
	flush := func() {
		for _, m := range fresh {
			ap.insertBar(w, part, m, before)
		}
		fresh = nil
	}
	for _, m := range part.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.PageTranspose:
				inForce(w.transpose, e)
			case *score.TimeSignature:
				w.beats = beamGroups(e)
			}
		}
		switch {
		case m.Src == 0:
			fresh = append(fresh, m)
		case ap.anew[m]:
			flush()
			ap.bar = m.Number
			ap.restructureBar(w, part, m)
			before = ap.refs[m.Src].elem
		default:
			flush()
			before = ap.refs[m.Src].elem
		}
	}
	flush()
}

// pageWriter makes a writer for new entries of a part, which numbers staves
// as the file does.
func (ap *applier) pageWriter(s *score.Score, part *score.Part) *partWriter {
	w := newPartWriter(s, part, slices.Index(s.Parts, part), score.WriteOptions{Report: ap.report})
	w.signs = ap.signs
	for i := range w.plans {
		w.plans[i] = staffPlan{notation: i}
	}
	w.total = part.Staves
	old, ok := ap.node[part.Src].(*score.Part)
	if !ok {
		return w
	}
	ap.voices = map[stream]int{}
	for _, m := range old.Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				ap.pageOf(w, c, n)
			}
		}
	}
	return w
}

// pageOf learns from a note that was read where its staff and voice stand on
// the page.
func (ap *applier) pageOf(w *partWriter, c *score.Chord, n *score.Note) {
	r := ap.refs[n.Src]
	if c.Staff >= len(w.plans) || r.elem == none {
		return
	}
	plan := &w.plans[c.Staff]
	plan.notation = ap.staffOf(r.elem)
	ap.voiceAt(stream{plan.notation, c.Staff, c.Voice, false}, r.elem)
	if r.twin != none {
		plan.tab = ap.staffOf(r.twin)
		ap.voiceAt(stream{plan.tab, c.Staff, c.Voice, true}, r.twin)
	} else if !n.Place.IsZero() {
		plan.places = true
	}
	w.total = max(w.total, plan.notation, plan.tab)
}

func (ap *applier) voiceAt(st stream, note int32) {
	if v, err := strconv.Atoi(ap.x.childContent(note, "voice")); err == nil {
		ap.voices[st] = v
	}
}

func (ap *applier) staffOf(note int32) int {
	n, err := strconv.Atoi(ap.x.childContent(note, "staff"))
	if err != nil || n < 1 {
		return 1
	}
	return n
}

// insertBar writes a new bar behind one that the file has, or as the first.
func (ap *applier) insertBar(w *partWriter, part *score.Part, m *score.Measure, before int32) {
	home := ap.refs[part.Src].elem
	if ap.x.name(home) != "part" || before != none && ap.x.name(before) != "measure" || ap.x.first(home) == none {
		ap.fail(part.Src, "bars cannot be added to a timewise file")
		return
	}
	w.divisions = commonDivisions([]*score.Measure{m}, ap.divisionsAt(before))
	el := etree.NewElement("measure")
	w.measure(el, m, slices.Index(part.Measures, m))
	if w.divisions != ap.divisionsAt(before) {
		at := etree.NewElement("attributes")
		at.CreateElement("divisions").SetText(decimal(score.Q(w.divisions, 1)))
		el.InsertChildAt(0, at)
		back := etree.NewElement("attributes")
		back.CreateElement("divisions").SetText(decimal(score.Q(ap.divisionsAt(before), 1)))
		el.AddChild(back)
	}
	if before == none {
		ap.ed.insertFirst(home, ap.ed.pretty(el, ap.x.first(home)))
		return
	}
	ap.ed.insertAfter(before, ap.ed.pretty(el, before))
}

// divisionsAt returns the whole divisions in force behind a bar.
func (ap *applier) divisionsAt(bar int32) int64 {
	for h, d := range ap.divs {
		if ap.refs[h].elem == bar && d.perQuarter.Den() == 1 {
			return d.perQuarter.Num()
		}
	}
	return 1
}

// restructureBar puts one bar together anew. Where its divisions change on the
// way it gets the same ones throughout.
func (ap *applier) restructureBar(w *partWriter, part *score.Part, m *score.Measure) {
	e := ap.refs[m.Src].elem
	divs := ap.divs[m.Src]
	if divs.perQuarter.Den() != 1 {
		ap.fail(m.Src, "its divisions are no whole number; its rhythm cannot be changed in place")
		return
	}
	first := ap.x.first(e)
	if first == none {
		ap.fail(m.Src, "the bar is empty in the file")
		return
	}
	was := ap.node[m.Src].(*score.Measure)
	for c := range was.Chords() {
		if ap.refs[c.Src].elem == none {
			ap.fail(m.Src, "the bar is a repeat sign for another bar; its rhythm cannot be changed in place")
			return
		}
	}
	for n := range score.Notes(was) {
		if t := ap.refs[n.Src].twin; t != none && ap.barOf(t) != e {
			ap.fail(m.Src, "notation and tab are two parts of the file; their rhythm cannot be changed in place")
			return
		}
	}
	w.divisions = commonDivisions([]*score.Measure{m}, divs.perQuarter.Num())
	b := &barBuilder{applier: ap, m: m, elem: e, w: &measureWriter{partWriter: w, el: etree.NewElement("measure"), m: m}}
	streams, extras := b.collect(was)
	now := score.Q(w.divisions, 1)
	if (divs.mixed || now != divs.perQuarter) && !b.setDivisions() && now != divs.before {
		b.fragment("<attributes><divisions>" + strconv.FormatInt(w.divisions, 10) + "</divisions></attributes>")
	}
	for i, st := range streams {
		b.stream(i, st, extras)
	}
	if len(streams) == 0 {
		b.extras(extras, func(x extra) bool { return !x.last })
	}
	b.goTo(m.Length)
	if now != divs.perQuarter {
		b.fragment("<attributes><divisions>" + strconv.FormatInt(divs.perQuarter.Num(), 10) + "</divisions></attributes>")
	}
	b.extras(extras, func(x extra) bool { return x.last })
	b.finish(first)
}
