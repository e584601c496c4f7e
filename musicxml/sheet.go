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

// A sheet is one part of the file, on which a part of the model stands: its
// own one or, of notation and tab that are two parts, that of the tab.
type sheet struct {
	*applier
	pg     *partBars
	part   *score.Part // as it will be
	w      *partWriter
	habits map[int]*habit // by staff of the page
	voices map[stream]int // numbers of the voices
	paired []bool         // by staff of the model: it has a tab
	shown  map[string]*shownCount
	middle []int // middle lines under the clefs in force, by staff of the model
	sample int32 // the first element of some bar, of which new ones take the indentation

	divisions score.Quarters // in force behind what was written; 0 before the first bar
	carry     []carried      // what bars said that were taken out, and still holds
}

// A carried is something that <attributes> said and no event of the model
// stands for.
type carried struct {
	elem   int32
	name   string
	number string
}

// shownCount counts the events of one kind that the sheet and the other sheet
// of the part show.
type shownCount struct{ here, there int }

// sheets returns the sheets of a part of the model.
func (ap *applier) sheets(s *score.Score, part *score.Part) []*sheet {
	var out []*sheet
	for _, pg := range ap.pages {
		if pg.part == part.Src {
			out = append(out, ap.newSheet(s, part, pg))
		}
	}
	return out
}

func (ap *applier) newSheet(s *score.Score, part *score.Part, pg *partBars) *sheet {
	sh := &sheet{applier: ap, pg: pg, part: part, habits: map[int]*habit{}, voices: map[stream]int{}, shown: map[string]*shownCount{}, sample: none}
	w := newPartWriter(s, part, slices.Index(s.Parts, part), score.WriteOptions{Report: ap.report})
	w.signs = ap.signs
	w.span = func(s score.Span, tab bool) (int, bool) {
		s.ID = ap.spansOf(part).name(spanID{s.Kind, s.ID})
		return ap.placeSpan(part, s, tab)
	}
	for i := range w.plans {
		w.plans[i] = staffPlan{notation: i}
	}
	w.total = part.Staves
	if pg.tab {
		w.plans[1].places, w.total = true, 1
	}
	sh.w = w
	sh.paired = make([]bool, part.Staves+1)
	sh.middle = make([]int, part.Staves+1)
	for i := range sh.middle {
		sh.middle[i] = noMiddle
	}
	for _, b := range pg.measures {
		if c := ap.x.first(b.music); c != none && ap.ed.lead(ap.x.elems[c].start) < ap.x.elems[c].start {
			sh.sample = c
			break
		} else if c != none && sh.sample == none {
			sh.sample = c
		}
	}
	was, ok := ap.node[part.Src].(*score.Part)
	if !ok {
		return sh
	}
	for _, m := range was.Measures {
		for _, e := range m.Events {
			if c, ok := e.(*score.Chord); ok {
				sh.learnChord(c)
			} else if kind := shownKind(e); kind != "" {
				sh.learnEvent(kind, e)
			}
		}
	}
	for st, plan := range w.plans {
		if st > 0 && plan.tab > 0 {
			w.total = max(w.total, plan.tab)
		}
		w.total = max(w.total, plan.notation)
	}
	if pg.tab {
		w.total = 1
		toPage := commonest(sh.habit(w.plans[1].notation).off, compareIntervals)
		for i := range w.transpose {
			w.transpose[i] = toPage.Neg()
		}
	}
	left := map[*score.Note]bool{}
	for n := range score.Notes(part) {
		if ap.leavesOut(part, n) {
			left[n] = true
		}
	}
	for _, h := range sh.habits {
		h.apart, h.untied, h.leavesOut = pg.tab, ap.untied[part.Src], left
	}
	return sh
}

func compareIntervals(a, b theory.Interval) int {
	return cmp.Or(cmp.Compare(a.Semitones, b.Semitones), cmp.Compare(a.Steps, b.Steps))
}

func (sh *sheet) habit(staff int) *habit {
	if sh.habits[staff] == nil {
		sh.habits[staff] = newHabit()
	}
	return sh.habits[staff]
}

// learnChord learns from a chord that was read where its staff and voice stand
// on the page, and what its notes carry.
func (sh *sheet) learnChord(c *score.Chord) {
	if c.Staff >= len(sh.w.plans) {
		return
	}
	plan := &sh.w.plans[c.Staff]
	if c.IsRest() {
		r := sh.refs[c.Src]
		if r.elem != none && sh.holdsElem(r.elem) {
			sh.learnRest(sh.habit(sh.staffOf(r.elem)), r.elem)
			sh.voiceAt(stream{sh.staffOf(r.elem), c.Staff, c.Voice, false}, r.elem)
		}
		switch {
		case r.twin != none && sh.holdsElem(r.twin):
			sh.learnRest(sh.habit(sh.staffOf(r.twin)), r.twin)
			sh.voiceAt(stream{sh.staffOf(r.twin), c.Staff, c.Voice, true}, r.twin)
		case r.twin == none && sh.pg.tab:
			sh.habit(plan.notation).gaps++
		case r.twin == none && plan.tab > 0:
			sh.habit(plan.tab).gaps++
		}
		return
	}
	for _, n := range c.Notes {
		r := sh.refs[n.Src]
		if r.elem == none {
			continue
		}
		if r.twin != none {
			sh.paired[c.Staff] = true
		}
		if !sh.pg.tab {
			plan.notation = sh.staffOf(r.elem)
			sh.voiceAt(stream{plan.notation, c.Staff, c.Voice, false}, r.elem)
			h := sh.habit(plan.notation)
			sh.learn(h, r.elem, c, nil)
			plan.places = plan.places || h.strings > 0 || r.twin == none && !n.Place.IsZero()
			if r.twin == none {
				continue
			}
			if !sh.holdsElem(r.twin) {
				plan.apart = true
				continue
			}
			plan.tab = sh.staffOf(r.twin)
		} else if r.twin == none {
			continue
		} else {
			plan.notation = sh.staffOf(r.twin)
		}
		staff := sh.staffOf(r.twin)
		sh.voiceAt(stream{staff, c.Staff, c.Voice, true}, r.twin)
		var stopped *theory.Pitch
		if !r.twinSounding && !n.Has(score.Dead) {
			stopped = &n.Pitch
		}
		sh.learn(sh.habit(staff), r.twin, c, stopped)
	}
}

// holdsElem tells whether an element stands in this part of the file.
func (sh *sheet) holdsElem(e int32) bool {
	if sh.rows == nil {
		return sh.pg.elem <= e && e < sh.x.elems[sh.pg.elem].after
	}
	bar := sh.barOf(e)
	return bar != none && sh.x.attrOr(bar, "id") == sh.pg.id
}

// barOf returns the element that holds the music of the bar in which an element
// stands: a measure of a part, or a part of a measure.
func (d *Document) barOf(e int32) int32 {
	for e != none {
		p := d.x.elems[e].parent
		if p != none && d.x.elems[p].parent == 0 {
			return e
		}
		e = p
	}
	return none
}

func (sh *sheet) voiceAt(st stream, note int32) {
	if v, err := strconv.Atoi(sh.x.childContent(note, "voice")); err == nil {
		sh.voices[st] = v
	}
}

func (d *Document) staffOf(note int32) int {
	n, err := strconv.Atoi(d.x.childContent(note, "staff"))
	if err != nil || n < 1 {
		return 1
	}
	return n
}

// shownKind names a kind of events of which a part of the file may show all or
// none; "" for the others.
func shownKind(e score.Event) string {
	switch e := e.(type) {
	case *score.Harmony:
		return "harmony"
	case *score.Words:
		return "words " + e.Kind
	}
	return attributeName(e)
}

func (sh *sheet) learnEvent(kind string, e score.Event) {
	n := sh.shown[kind]
	if n == nil {
		n = &shownCount{}
		sh.shown[kind] = n
	}
	r := sh.refs[e.Source()]
	for _, el := range []int32{r.elem, r.twin} {
		switch {
		case el == none:
		case sh.holdsElem(el):
			n.here++
		default:
			n.there++
		}
	}
}

// shows tells whether a new event is to be written in this part of the file.
func (sh *sheet) shows(e score.Event) bool {
	staff := min(max(e.OnStaff(), 1), len(sh.w.plans)-1)
	apart := sh.w.plans[staff].apart
	if !sh.pg.tab && !apart {
		return true
	}
	n := sh.shown[shownKind(e)]
	if n == nil {
		n = &shownCount{}
	}
	switch e := e.(type) {
	case *score.Barline:
		return true
	case *score.Clef:
		return sh.pg.tab == (e.Sign == "TAB")
	case *score.PageTranspose:
		return !sh.pg.tab
	case *score.NeckChange:
		return sh.pg.tab
	case *score.KeySignature, *score.TimeSignature:
		return n.here > 0 || n.there == 0
	}
	if sh.pg.tab {
		return n.here > 0 && n.here >= n.there
	}
	return n.here > 0 || n.there == 0
}

// element returns the element of an event in this part of the file, none if it
// has none here.
func (sh *sheet) element(h score.Handle) int32 {
	r := sh.refs[h]
	for _, e := range []int32{r.elem, r.twin} {
		if e != none && sh.holdsElem(e) {
			return e
		}
	}
	return none
}

// streamsOf lists the streams in which a chord stands in this part of the file.
func (sh *sheet) streamsOf(c *score.Chord) []stream {
	plan := sh.w.plans[min(max(c.Staff, 1), len(sh.w.plans)-1)]
	if sh.pg.tab {
		return []stream{{plan.notation, c.Staff, c.Voice, true}}
	}
	out := []stream{{plan.notation, c.Staff, c.Voice, false}}
	if plan.tab > 0 {
		out = append(out, stream{plan.tab, c.Staff, c.Voice, true})
	}
	return out
}

// noteElem returns the element that shows a note in a stream, none if it is new
// there.
func (sh *sheet) noteElem(h score.Handle, tab bool) int32 {
	switch {
	case h == 0:
		return none
	case tab:
		return sh.refs[h].twin
	}
	return sh.refs[h].elem
}

// pretty writes a new child of a bar in the indentation of the part.
func (sh *sheet) pretty(e *etree.Element) string {
	if sh.sample == none {
		return fragment(e)
	}
	return sh.ed.pretty(e, sh.sample)
}

// lead is the white space before a child of a bar.
func (sh *sheet) lead() string {
	if sh.sample == none {
		return ""
	}
	at := sh.x.elems[sh.sample].start
	return string(sh.x.text[sh.ed.lead(at):at])
}

// barLead is the white space before a bar.
func (sh *sheet) barLead() string {
	if sh.sample == none {
		return ""
	}
	at := sh.x.elems[sh.x.elems[sh.sample].parent].start
	return string(sh.x.text[sh.ed.lead(at):at])
}

// tail is the white space before the end of a bar.
func (sh *sheet) tail() string {
	if sh.sample == none {
		return ""
	}
	at := sh.x.elems[sh.x.elems[sh.sample].parent].shut
	return string(sh.x.text[sh.ed.lead(at):at])
}

// attributes writes an <attributes> of the texts of its children.
func (sh *sheet) attributes(children []string) string {
	lead := sh.lead()
	inner := ""
	if strings.Contains(lead, "\n") {
		inner = lead + strings.TrimPrefix(lead[strings.LastIndexByte(lead, '\n')+1:], sh.barLead()[strings.LastIndexByte(sh.barLead(), '\n')+1:])
	} else {
		lead = ""
	}
	var b strings.Builder
	b.WriteString("<attributes>")
	for _, c := range children {
		b.WriteString(inner + c)
	}
	b.WriteString(lead + "</attributes>")
	return b.String()
}

// divisionsText writes a number of divisions.
func divisionsText(q score.Quarters) string { return "<divisions>" + decimal(q) + "</divisions>" }
