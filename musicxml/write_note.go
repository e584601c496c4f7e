package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A chordPage says where and how a chord is written.
type chordPage struct {
	staff     int // on the page
	model     int // staff of the model
	voice     int
	tab       bool
	beams     []string
	stem      string // "up" or "down"; "" if none is to be written
	transpose theory.Interval
	habit     *habit // of the staff of a document that was read; nil for new ones
}

// numberKey names an open span on a staff of the page.
type numberKey struct {
	staff int
	kind  score.SpanKind
	id    int
}

// values returns the written values of a chord, several if it must be tied
// together. actual and normal are its tuplet ratio.
func (w *partWriter) values(c *score.Chord, actual, normal int64) ([]score.NoteValue, bool) {
	if c.Grace != score.NotGrace {
		if c.Value.Known {
			return []score.NoteValue{c.Value}, true
		}
		return []score.NoteValue{{Log: 3, Known: true}}, true
	}
	written := c.Duration.Mul(score.Q(actual, normal))
	if c.Value.Known && c.Value.Quarters() == written {
		return []score.NoteValue{c.Value}, true
	}
	list, ok := pieces(written)
	if c.WholeMeasure && len(list) > 1 {
		return nil, false // it needs none
	}
	return list, ok
}

// chord writes a chord or rest at its onset.
func (w *measureWriter) chord(c *score.Chord, pg chordPage) {
	w.goTo(c.Onset)
	edge := w.groups[c]
	actual, normal := ratio(edge.ratios)
	values, ok := w.values(c, actual, normal)
	if !ok {
		if !c.WholeMeasure && !c.Duration.IsZero() {
			w.lose("xml-write-value", "a duration that no note value has is written without one", c.Src)
		}
		values = []score.NoteValue{{}}
	}
	for i, v := range values {
		part := chordPart{first: i == 0, last: i == len(values)-1, value: v, duration: c.Duration, edge: edge, actual: actual, normal: normal}
		if len(values) > 1 {
			part.duration = v.Quarters().Mul(score.Q(normal, actual))
		}
		w.chordPart(c, pg, part)
	}
	w.cursor = c.End()
}

// A chordPart is one written value of a chord; all but the last are tied on.
type chordPart struct {
	first, last    bool
	value          score.NoteValue
	duration       score.Quarters
	edge           tupletEdge
	actual, normal int64
}

func (w *measureWriter) chordPart(c *score.Chord, pg chordPage, part chordPart) {
	notes := c.Notes
	if pg.tab {
		notes = nil
		for _, n := range c.Notes {
			switch {
			case pg.habit != nil && pg.habit.leavesOut[n]:
			case pg.habit == nil && n.Place.IsZero():
				w.lose("xml-write-place", "a note without a place is not on the tab staff", n.Src)
			default:
				notes = append(notes, n)
			}
		}
		if len(notes) == 0 && (c.Grace != score.NotGrace || pg.habit != nil && !pg.habit.writesRests()) {
			return
		}
	}
	if len(notes) == 0 {
		w.note(c, nil, 0, pg, part)
	}
	for i, n := range notes {
		w.note(c, n, i, pg, part)
	}
}

// note writes one <note>; n is nil for a rest.
func (w *measureWriter) note(c *score.Chord, n *score.Note, i int, pg chordPage, part chordPart) {
	el := w.el.CreateElement("note")
	if n == nil && pg.tab && (pg.habit == nil || pg.habit.hidesRests()) {
		el.CreateAttr("print-object", "no")
	}
	grace := c.Grace != score.NotGrace
	if grace {
		g := el.CreateElement("grace")
		if c.Grace == score.Slashed {
			g.CreateAttr("slash", "yes")
		}
	}
	if c.Cue && grace {
		el.CreateElement("cue")
	}
	if i > 0 {
		el.CreateElement("chord")
	}
	accidental := w.pitchOrRest(el, c, n, pg, part)
	if c.Cue && !grace {
		el.CreateElement("cue")
	}
	if !grace {
		el.CreateElement("duration").SetText(w.ticks(part.duration))
	}
	tieStop := n != nil && (n.TieStop || !part.first)
	tieStart := n != nil && (n.TieStart || !part.last)
	if pg.tab && pg.habit != nil && pg.habit.untied {
		tieStop, tieStart = false, false
	}
	if !c.Cue {
		tieElements(el, "tie", tieStop, tieStart)
	}
	el.CreateElement("voice").SetText(intText(pg.voice))
	if part.value.Known {
		el.CreateElement("type").SetText(typeName(part.value))
		for range part.value.Dots {
			el.CreateElement("dot")
		}
	}
	if accidental != "" {
		el.CreateElement("accidental").SetText(accidental)
	}
	if part.actual != part.normal {
		tm := el.CreateElement("time-modification")
		tm.CreateElement("actual-notes").SetText(strconv.FormatInt(part.actual, 10))
		tm.CreateElement("normal-notes").SetText(strconv.FormatInt(part.normal, 10))
	}
	if pg.tab && n != nil && pg.habit == nil {
		el.CreateElement("stem").SetText("none")
	} else if n != nil && pg.stem != "" {
		el.CreateElement("stem").SetText(pg.stem)
	}
	color := ""
	if n != nil && !pg.tab {
		color = colorOf(n)
	}
	if n != nil && (ownHead(n) || color != "") {
		nh := el.CreateElement("notehead")
		if color != "" {
			nh.CreateAttr("color", color)
		}
		nh.SetText("normal")
		if n.Has(score.Dead) {
			nh.SetText("x")
		}
		if n.Has(score.Ghost) {
			nh.CreateAttr("parentheses", "yes")
		}
	}
	if w.total > 1 {
		el.CreateElement("staff").SetText(intText(pg.staff))
	}
	if i == 0 && part.first {
		for b, what := range pg.beams {
			be := el.CreateElement("beam")
			be.CreateAttr("number", intText(b+1))
			be.SetText(what)
		}
	}
	w.notations(el, c, n, i, pg, part, tieStop, tieStart)
	if i == 0 && part.first && !pg.tab {
		sung := w.lyricsAt(c)
		for v, text := range sung {
			l := el.CreateElement("lyric")
			l.CreateAttr("number", intText(v+1))
			l.CreateElement("text").SetText(text)
		}
		for v, l := range labelsOf(c) {
			how := headMade
			if ownHead(l.note) {
				how = headTinted
			}
			el.AddChild(l.lyricElement(len(sung)+v+1, how))
		}
	}
	if n != nil && (n.Has(score.PalmMuted) || hasMark(w.muted[n], score.PalmMuted)) {
		el.CreateElement("play").CreateElement("mute").SetText("palm")
	}
}

// ownHead tells whether a note has a notehead element, whatever its colour.
func ownHead(n *score.Note) bool { return n.Has(score.Dead) || n.Has(score.Ghost) }

func hasMark(marks []score.Mark, m score.Mark) bool {
	for _, k := range marks {
		if k == m {
			return true
		}
	}
	return false
}

// pitchOrRest writes what sounds and returns the accidental that the bar
// wants.
func (w *measureWriter) pitchOrRest(el *etree.Element, c *score.Chord, n *score.Note, pg chordPage, part chordPart) (accidental string) {
	if n == nil {
		r := el.CreateElement("rest")
		if c.WholeMeasure {
			r.CreateAttr("measure", "yes")
		}
		return ""
	}
	p := n.Pitch
	if n.Unpitched {
		u := el.CreateElement("unpitched")
		u.CreateElement("display-step").SetText(p.Step.String())
		u.CreateElement("display-octave").SetText(intText(p.Octave))
		return ""
	}
	if !pg.tab || pg.habit != nil {
		p = p.Transpose(pg.transpose.Neg())
	}
	if d, bad := outOfOctaves(p); bad {
		d.Pos = w.score.PosOf(n.Src)
		w.errs = append(w.errs, d)
	}
	pe := el.CreateElement("pitch")
	pe.CreateElement("step").SetText(p.Step.String())
	if alter := n.Detune.Add(score.Q(int64(p.Alter), 1)); !alter.IsZero() {
		pe.CreateElement("alter").SetText(decimal(alter))
	}
	pe.CreateElement("octave").SetText(intText(p.Octave))
	if w.signs != nil && (!pg.tab || pg.habit.accidentals > 0) {
		return w.signs[n]
	}
	if pg.tab {
		return ""
	}
	b := bearing{p.Alter, n.Detune}
	if w.lines[pg.model].wants(p, b, n.TieStop || !part.first) {
		accidental, _ = accidentalFor("", b, b)
	}
	return accidental
}

func tieElements(el *etree.Element, name string, stop, start bool) {
	if stop {
		el.CreateElement(name).CreateAttr("type", "stop")
	}
	if start {
		el.CreateElement(name).CreateAttr("type", "start")
	}
}

// notationOrder is the order in which we write the children of <notations>.
var notationOrder = []string{"tied", "slur", "tuplet", "glissando", "slide", inOrnaments, inTechnical, inArticulations, "fermata", "arpeggiate"}

// notations writes <notations> if there is anything to write.
func (w *measureWriter) notations(el *etree.Element, c *score.Chord, n *score.Note, i int, pg chordPage, part chordPart, tieStop, tieStart bool) {
	held := map[string][]*etree.Element{}
	add := func(te techniqueElement) {
		for _, e := range te.elems {
			key := te.container
			if key == inNotations {
				key = e.Tag
			}
			held[key] = append(held[key], e)
		}
	}
	box := etree.NewElement("box")
	tieElements(box, "tied", tieStop, tieStart)
	if i == 0 && (pg.habit == nil || !pg.tab || pg.habit.tuplets > 0) {
		w.tupletBrackets(box, part, pg.tab && (pg.habit == nil || pg.habit.hiddenTuplets > 0))
	}
	for _, e := range box.ChildElements() {
		held[e.Tag] = append(held[e.Tag], e)
	}
	if i == 0 && c.Tremolo > 0 && !pg.tab {
		t := etree.NewElement("tremolo")
		t.SetText(intText(c.Tremolo))
		add(techniqueElement{inOrnaments, []*etree.Element{t}})
	}
	if n != nil {
		w.techniqueElements(n, pg, part, add)
	}
	if len(held) == 0 {
		return
	}
	ns := el.CreateElement("notations")
	for _, key := range notationOrder {
		switch key {
		case inOrnaments, inTechnical, inArticulations:
			if len(held[key]) > 0 {
				box := ns.CreateElement(key)
				for _, e := range held[key] {
					box.AddChild(e)
				}
			}
		default:
			for _, e := range held[key] {
				ns.AddChild(e)
			}
		}
	}
}

// tupletBrackets writes the brackets that begin, outermost first, and then
// those that end.
func (w *measureWriter) tupletBrackets(box *etree.Element, part chordPart, hidden bool) {
	bracket := func(t score.Tuplet, typ string) *etree.Element {
		te := box.CreateElement("tuplet")
		te.CreateAttr("type", typ)
		te.CreateAttr("number", intText(w.tupletNumber(part.edge, t)))
		return te
	}
	if part.first {
		for _, t := range part.edge.starts {
			te := bracket(t, "start")
			if hidden { // the notation above shows it
				te.CreateAttr("bracket", "no")
				te.CreateAttr("show-number", "none")
			} else {
				te.CreateAttr("bracket", "yes")
			}
			if len(part.edge.ratios) > 1 {
				te.CreateElement("tuplet-actual").CreateElement("tuplet-number").SetText(intText(t.Actual))
				te.CreateElement("tuplet-normal").CreateElement("tuplet-number").SetText(intText(t.Normal))
			}
		}
	}
	if part.last {
		for _, t := range part.edge.stops {
			bracket(t, "stop")
		}
	}
}

func (w *measureWriter) tupletNumber(e tupletEdge, t score.Tuplet) int {
	for i, r := range e.ratios {
		if r.ID == t.ID {
			return i + 1
		}
	}
	return 1
}

// techniqueElements writes the techniques of a note. Tab gets what the hands
// do; notation gets articulation, ornament and what connects notes, and all
// of it where there is no tab. Where a chord is tied together of several
// values, all of its notes say string and fret, as all say their pitch.
func (w *measureWriter) techniqueElements(n *score.Note, pg chordPage, part chordPart, add func(techniqueElement)) {
	alone := w.plans[pg.model].tab == 0 && !w.plans[pg.model].apart
	text := func(name, content string) {
		e := etree.NewElement(name)
		e.SetText(content)
		add(techniqueElement{inTechnical, []*etree.Element{e}})
	}
	if (pg.tab || w.plans[pg.model].places) && !n.Place.IsZero() {
		text("string", intText(n.Place.String))
		text("fret", intText(n.Place.Fret))
	}
	if part.first && !pg.tab {
		if f := fingerText(n.Finger); f != "" {
			text("fingering", f)
		}
		if n.Pluck != "" {
			text("pluck", n.Pluck)
		}
	}
	list := n.Techniques
	for _, m := range w.muted[n] {
		list = append(list[:len(list):len(list)], m)
	}
	for _, t := range list {
		s, isSpan := t.(score.Span)
		if isSpan {
			if s.End == score.Stop && !part.first || s.End == score.Start && !part.last {
				continue
			}
			if s.Kind == score.PalmMute || s.Kind == score.LetRingSpan {
				continue
			}
		} else if !part.first || inNote(t) {
			continue
		}
		number := 1
		if isSpan && w.span != nil {
			var there bool
			if number, there = w.span(s, pg.tab); !there {
				continue
			}
		} else if isSpan {
			number = w.spanNumber(pg.staff, s)
		}
		te, ok := elementOf(t, number)
		if !ok {
			w.lose("xml-write-technique", "a technique that MusicXML has no sign for is left out", n.Src)
			continue
		}
		if !pg.tab {
			w.loseDetails(t, n.Src)
		}
		hands := te.container == inTechnical || isSpan && s.Kind.KeepsString()
		switch {
		case pg.tab && !hands, !pg.tab && !alone && te.container == inTechnical && !isSpan:
			continue
		}
		add(te)
		if isSpan && s.Kind == score.LegatoSlide {
			slur, _ := elementOf(score.Span{Kind: score.Slur, ID: s.ID, End: s.End}, slideSlur(number))
			add(slur)
		}
	}
}

// loseDetails notes down what MusicXML's sign for a technique does not say.
func (w *measureWriter) loseDetails(t score.Technique, h score.Handle) {
	switch t := t.(type) {
	case score.Trill:
		if t.To != 0 {
			w.lose("xml-write-trill", "MusicXML does not say with which note a trill alternates", h)
		}
	case score.Harmonic:
		if t.Touch != 0 {
			w.lose("xml-write-touch", "MusicXML does not say at which fret a harmonic is touched", h)
		}
		if t.Kind == score.PinchHarmonic || t.Kind == score.TappedHarmonic {
			w.lose("xml-write-harmonic", "a pinched or tapped harmonic becomes an artificial one, since MusicXML has no sign for it", h)
		}
	}
}

// slideSlur numbers the slur that tells a legato slide from a shift, out of
// the way of other slurs.
func slideSlur(slide int) int { return 16 - (slide-1)%8 }

// spanNumber returns the number of a span: a free one when it begins, the
// same when it ends.
func (w *measureWriter) spanNumber(staff int, s score.Span) int {
	key := numberKey{staff, s.Kind, s.ID}
	if s.Kind == score.LegatoSlide {
		key.kind = score.ShiftSlide // one element for both
	}
	if n, ok := w.numbers[key]; ok {
		if s.End == score.Stop {
			delete(w.numbers, key)
		}
		return n
	}
	n := 1
	for used := true; used && n < 16; {
		used = false
		for k, v := range w.numbers {
			if k.kind == key.kind && v == n {
				used = true
			}
		}
		if used {
			n++
		}
	}
	if s.End == score.Start {
		w.numbers[key] = n
	}
	return n
}
