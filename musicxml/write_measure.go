package musicxml

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A measureWriter writes one measure: staff after staff, voice after voice,
// with the cursor brought back between them.
type measureWriter struct {
	*partWriter
	el     *etree.Element
	m      *score.Measure
	first  bool
	cursor score.Quarters
}

func (w *partWriter) measure(el *etree.Element, m *score.Measure, i int) {
	num := m.Number
	if num == "" {
		num = strconv.Itoa(i + 1)
	}
	el.CreateAttr("number", num)
	if m.Implicit {
		el.CreateAttr("implicit", "yes")
	}
	mw := &measureWriter{partWriter: w, el: el, m: m, first: i == 0}
	for s := range w.lines {
		clear(w.lines[s].shown)
	}
	var marks []score.Event // everything but chords and right bar lines
	var right []*score.Barline
	voices := map[[2]int][]*score.Chord{}
	var order [][2]int
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Chord:
			k := [2]int{min(max(e.Staff, 1), len(w.plans)-1), e.Voice}
			if voices[k] == nil {
				order = append(order, k)
			}
			voices[k] = append(voices[k], e)
		case *score.Barline:
			if e.Onset.Sign() > 0 && e.Onset.Cmp(m.Length) >= 0 || e.Repeat == score.Backward || e.EndingType == "stop" || e.EndingType == "discontinue" {
				right = append(right, e)
			} else {
				marks = append(marks, e)
			}
		default:
			marks = append(marks, e)
		}
	}
	slices.SortFunc(order, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	marks = mw.attributesFirst(marks)
	mw.routeMarks()
	for vi, k := range order {
		chords := voices[k]
		beams := w.beams(chords)
		mw.goTo(score.Quarters{})
		rank := voiceRank(order, k)
		for ci, c := range chords {
			if vi == 0 {
				marks = mw.marksUpTo(marks, c.Onset)
			}
			mw.chord(c, chordPage{staff: w.plans[k[0]].notation, model: k[0], voice: rank + 4*(w.plans[k[0]].notation-1), beams: beams[ci], transpose: w.transpose[k[0]]})
		}
		if vi == 0 {
			marks = mw.marksUpTo(marks, m.Length)
		}
	}
	if len(order) == 0 {
		marks = mw.marksUpTo(marks, m.Length)
	}
	for _, e := range marks { // beyond the measure's end: a source's oddity, kept at the end
		mw.mark(e)
	}
	for _, k := range order {
		if tab := w.plans[k[0]].tab; tab > 0 {
			mw.goTo(score.Quarters{})
			rank := voiceRank(order, k)
			for _, c := range voices[k] {
				mw.chord(c, chordPage{staff: tab, model: k[0], voice: rank + 4*(tab-1), tab: true})
			}
		}
	}
	mw.goTo(m.Length)
	mw.routeJumps()
	for _, b := range right {
		mw.barline(b, "right")
	}
}

// voiceRank returns the place of a voice among those of its staff, from 1.
func voiceRank(order [][2]int, k [2]int) int {
	rank := 1
	for _, o := range order {
		if o[0] == k[0] && o[1] < k[1] {
			rank++
		}
	}
	return rank
}

// goTo moves the cursor.
func (w *measureWriter) goTo(t score.Quarters) {
	d := t.Sub(w.cursor)
	switch d.Sign() {
	case 1:
		w.el.CreateElement("forward").CreateElement("duration").SetText(w.ticks(d))
	case -1:
		w.el.CreateElement("backup").CreateElement("duration").SetText(w.ticks(d.Neg()))
	}
	w.cursor = t
}

// attributesFirst writes what stands at the start of the measure: left bar
// lines, then one <attributes>; it returns the other marks.
func (w *measureWriter) attributesFirst(marks []score.Event) []score.Event {
	var at, rest []score.Event
	for _, e := range marks {
		if b, ok := e.(*score.Barline); ok && e.At().IsZero() {
			w.barline(b, "left")
		} else if isAttribute(e) && e.At().IsZero() {
			at = append(at, e)
		} else {
			rest = append(rest, e)
		}
	}
	if w.first || len(at) > 0 {
		w.attributes(at, w.first)
	}
	return rest
}

func isAttribute(e score.Event) bool {
	switch e.(type) {
	case *score.KeySignature, *score.TimeSignature, *score.Clef, *score.NeckChange, *score.PageTranspose:
		return true
	}
	return false
}

// marksUpTo writes marks up to and at a time, in a voice that stands there.
func (w *measureWriter) marksUpTo(marks []score.Event, t score.Quarters) []score.Event {
	for len(marks) > 0 && marks[0].At().Cmp(t) <= 0 {
		w.mark(marks[0])
		marks = marks[1:]
	}
	return marks
}

func (w *measureWriter) mark(e score.Event) {
	if isAttribute(e) {
		back := w.cursor
		w.goTo(e.At())
		w.attributes([]score.Event{e}, false)
		if back.Cmp(e.At()) > 0 {
			w.goTo(back)
		}
		return
	}
	switch e := e.(type) {
	case *score.Harmony:
		w.harmony(e)
	case *score.Tempo:
		w.tempo(e)
	case *score.Words:
		w.words(e)
	case *score.Barline:
		w.goTo(e.Onset)
		w.barline(e, "middle")
	}
}

// offset writes how far an event stands from the cursor.
func (w *measureWriter) offset(el *etree.Element, at score.Quarters) {
	if d := at.Sub(w.cursor); !d.IsZero() {
		el.CreateElement("offset").SetText(w.ticks(d))
	}
}

// staffEl writes on which staff of the page an event stands.
func (w *measureWriter) staffEl(el *etree.Element, staff int) {
	if w.total > 1 && staff > 0 && staff < len(w.plans) {
		el.CreateElement("staff").SetText(intText(w.plans[staff].notation))
	}
}

func (w *measureWriter) harmony(h *score.Harmony) {
	el := w.el.CreateElement("harmony")
	chordElements(el, h.Chord)
	w.offset(el, h.Onset)
	w.staffEl(el, h.Staff)
}

// chordElements writes what a chord symbol says.
func chordElements(el *etree.Element, c theory.Chord) {
	if c.NoChord {
		step := el.CreateElement("root").CreateElement("root-step")
		step.CreateAttr("text", "")
		step.SetText("C")
		k := el.CreateElement("kind")
		k.CreateAttr("text", c.Quality)
		k.SetText("none")
	} else {
		nameElements(el.CreateElement("root"), "root", c.Root)
		kind, degrees := c.Kind()
		if kind == "" {
			kind = "other"
		}
		k := el.CreateElement("kind")
		k.CreateAttr("text", c.Quality)
		k.SetText(kind)
		if c.HasBass {
			nameElements(el.CreateElement("bass"), "bass", c.Bass)
		}
		for _, d := range degrees {
			de := el.CreateElement("degree")
			de.CreateAttr("print-object", "no") // the text of the kind shows it
			de.CreateElement("degree-value").SetText(intText(d.Value))
			de.CreateElement("degree-alter").SetText(intText(d.Alter))
			de.CreateElement("degree-type").SetText(d.Type)
		}
	}
}

func nameElements(el *etree.Element, what string, n theory.NoteName) {
	el.CreateElement(what + "-step").SetText(n.Step.String())
	if n.Alter != 0 {
		el.CreateElement(what + "-alter").SetText(intText(n.Alter))
	}
}

func (w *measureWriter) direction(at score.Quarters, staff int, typ *etree.Element) *etree.Element {
	el := w.el.CreateElement("direction")
	el.CreateAttr("placement", "above")
	el.CreateElement("direction-type").AddChild(typ)
	w.offset(el, at)
	w.staffEl(el, staff)
	return el
}

// tempo writes a tempo twice: for eyes in the beat of the metre, for players in
// quarter notes. Source: MusicXML 4.0, attribute tempo of <sound>.
func (w *measureWriter) tempo(t *score.Tempo) {
	beat := w.part.MetreAt(w.m).TempoBeat()
	unit, ok := valueOf(beat)
	if !ok {
		beat, unit = score.Q(1, 1), score.NoteValue{Log: 2, Known: true}
	}
	m := etree.NewElement("metronome")
	m.CreateElement("beat-unit").SetText(typeName(unit))
	for range unit.Dots {
		m.CreateElement("beat-unit-dot")
	}
	m.CreateElement("per-minute").SetText(perMinute(t.QuartersPerMinute, beat))
	el := w.direction(t.Onset, t.Staff, m)
	el.CreateElement("sound").CreateAttr("tempo", strconv.FormatFloat(t.QuartersPerMinute, 'f', -1, 64))
}

// perMinute writes how many beats there are in a minute, as exactly as a mark
// for the eyes need be.
func perMinute(quarters float64, beat score.Quarters) string {
	if beat == score.Q(1, 1) {
		return strconv.FormatFloat(quarters, 'f', -1, 64)
	}
	const decimals = 1000
	return strconv.FormatFloat(math.Round(quarters/beat.Float()*decimals)/decimals, 'f', -1, 64)
}

func (w *measureWriter) words(t *score.Words) {
	switch t.Kind {
	case "lyric":
		return // written with its note
	case "dynamics":
		d := etree.NewElement("dynamics")
		if slices.Contains(dynamicNames, t.Text) {
			d.CreateElement(t.Text)
		} else {
			d.CreateElement("other-dynamics").SetText(t.Text)
		}
		w.direction(t.Onset, t.Staff, d)
	case "rehearsal":
		r := etree.NewElement("rehearsal")
		r.SetText(t.Text)
		w.direction(t.Onset, t.Staff, r)
	default:
		e := etree.NewElement("words")
		e.SetText(t.Text)
		w.direction(t.Onset, t.Staff, e)
	}
}

// dynamicNames are the dynamics elements of MusicXML 4.0.
var dynamicNames = []string{"p", "pp", "ppp", "pppp", "ppppp", "pppppp", "f", "ff", "fff", "ffff", "fffff", "ffffff",
	"mp", "mf", "sf", "sfp", "sfpp", "fp", "rf", "rfz", "sfz", "sffz", "fz", "n", "pf", "sfzp"}

func (w *measureWriter) barline(b *score.Barline, location string) {
	el := w.el.CreateElement("barline")
	el.CreateAttr("location", location)
	style := b.Style
	if style == "" {
		switch b.Repeat {
		case score.Forward:
			style = "heavy-light"
		case score.Backward:
			style = "light-heavy"
		}
	}
	if style != "" {
		el.CreateElement("bar-style").SetText(style)
	}
	if b.EndingType != "" {
		en := el.CreateElement("ending")
		en.CreateAttr("number", endingNumber(b.Ending))
		en.CreateAttr("type", b.EndingType)
	}
	if b.Repeat != score.NoRepeat {
		r := el.CreateElement("repeat")
		if b.Repeat == score.Forward {
			r.CreateAttr("direction", "forward")
			return
		}
		r.CreateAttr("direction", "backward")
		if b.Times > 0 {
			r.CreateAttr("times", intText(b.Times))
		}
	}
}

// endingNumber keeps what the schema allows: numbers, commas and spaces.
func endingNumber(s string) string {
	for _, c := range s {
		if (c < '0' || c > '9') && c != ',' && c != ' ' {
			return "1"
		}
	}
	if s == "" {
		return "1"
	}
	return s
}
