package musicxml

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A partReader reads the measures of one part in order. Pitches are left as
// the page writes them; resolvePages moves them to where they sound.
type partReader struct {
	*reader
	info partInfo
	part *score.Part

	divisions score.Quarters // per quarter note
	voices    map[string]int
	nominal   score.Quarters // length of a measure by the time signature

	spans     map[spanKey]openSpan
	labels    []pendingLabel
	orphans   []orphan    // of the measure being read
	mutes     []*mutedRun // palm muting in words that is going on
	nextSpan  int
	tuplets   map[int]*tupletState // by voice
	nextTuple int

	// of the measure being read
	m      *score.Measure
	cursor score.Quarters
	last   *score.Chord // to which <chord/> adds
	bad    bool         // a time ran out of range
	begun  bool         // there was a note, or the cursor was moved
	mixed  bool         // divisions changed after that

	codas    []codaSign  // that nothing explains
	marks    []routeMark // of the measure being read, and those that the one before leaves to it
	repeated int         // bars that a repeat sign for bars plays again; 0 for none
}

// A spanKey tells open spans apart. Programs count numbers afresh on each
// staff, so the staff belongs to it.
type spanKey struct {
	kind   score.SpanKind
	number string
	staff  int
}

type openSpan struct {
	id   int
	note *score.Note
	elem int32
}

func newPartReader(r *reader, info partInfo, elem int32) *partReader {
	p := &partReader{
		reader: r, info: info,
		part:      &score.Part{ID: info.id, Name: info.name, Abbreviation: info.abbreviation, Staves: 1},
		divisions: score.Q(1, 1),
		voices:    map[string]int{},
		spans:     map[spanKey]openSpan{},
		tuplets:   map[int]*tupletState{},
	}
	p.part.Src = r.handle(p.part, elem)
	return p
}

// measure reads one measure.
func (p *partReader) measure(b bar) {
	p.m = &score.Measure{Number: p.x.attrOr(b.measure, "number"), Implicit: p.x.attrOr(b.measure, "implicit") == "yes"}
	p.m.Src = p.handle(p.m, b.music)
	p.cursor, p.last, p.bad, p.begun, p.mixed = score.Quarters{}, nil, false, false, false
	var rightBars []*score.Barline
	var length score.Quarters
	before := p.divisions
	for c := range p.x.children(b.music) {
		switch p.x.name(c) {
		case "note", "backup", "forward":
			p.begun = true
		}
		switch p.x.name(c) {
		case "note":
			p.note(c)
		case "backup":
			p.cursor = p.cursor.Sub(p.duration(c))
			p.last = nil
			if p.cursor.Sign() < 0 {
				p.say(score.Warning, "xml-backup", c, "", "measure %s: backup goes to before the measure's start; read as the start", p.m.Number)
				p.cursor = score.Quarters{}
			}
		case "forward":
			p.cursor = p.cursor.Add(p.duration(c))
			p.last = nil
		case "attributes":
			p.attributes(c)
		case "harmony":
			p.harmony(c)
		case "direction":
			p.direction(c)
		case "sound":
			p.sound(c, c, 0)
			p.route(c)
		case "barline":
			p.route(c)
			if bl := p.barline(c); bl != nil && p.x.attrOr(c, "location") != "left" && p.x.attrOr(c, "location") != "middle" {
				rightBars = append(rightBars, bl)
			}
		}
		if p.cursor.Invalid() {
			p.bad = true
			p.cursor = score.Quarters{}
		}
		if length.Less(p.cursor) {
			length = p.cursor
		}
	}
	if p.bad {
		p.say(score.Warning, "xml-time", b.music, "", "measure %s: its durations are too fine to be added up exactly; its times are not right", p.m.Number)
	}
	p.m.Length, p.m.Nominal = length, p.nominal
	p.settleMarks()
	p.divs[b.music] = divisions{p.divisions, before, p.mixed}
	for _, bl := range rightBars {
		bl.Onset = length
	}
	p.reportOrphans()
	p.repeatBar()
	p.m.SortEvents()
	p.part.Measures = append(p.part.Measures, p.m)
}

// measureRepeat reads the sign that says that bars before are played again.
func (p *partReader) measureRepeat(e int32) {
	if e == none {
		return
	}
	p.repeated = 0
	if p.x.attrOr(e, "type") == "start" {
		p.repeated = max(p.number(p.x.content(e)), 1)
	}
}

// repeatBar gives a bar that shows a repeat sign the music of the bar that it
// repeats, if it holds none itself. No element stands for that music: an edit
// of the bar before is an edit of this one.
func (p *partReader) repeatBar() {
	from := len(p.part.Measures) - p.repeated
	if p.repeated == 0 || from < 0 {
		return
	}
	for c := range p.m.Chords() {
		if !c.IsRest() {
			return
		}
	}
	p.m.Events = slices.DeleteFunc(p.m.Events, func(e score.Event) bool { _, ok := e.(*score.Chord); return ok })
	for c := range p.part.Measures[from].Chords() {
		again := score.CopyEvent(c).(*score.Chord)
		again.Src = p.handle(again, none)
		for _, n := range again.Notes {
			n.Src = p.handle(n, none)
			n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool { _, span := t.(score.Span); return span })
		}
		p.add(again)
	}
	if p.m.Length.Less(p.part.Measures[from].Length) {
		p.m.Length = p.part.Measures[from].Length
	}
}

// add appends an event to the measure.
func (p *partReader) add(e score.Event) { p.m.Events = append(p.m.Events, e) }

// common makes the common fields of an event that stands in the given
// element, at the cursor.
func (p *partReader) common(staff int) score.Common {
	return score.Common{Onset: p.cursor, Staff: staff}
}

// duration reads the <duration> of an element in quarter notes.
func (p *partReader) duration(e int32) score.Quarters {
	text := p.x.childContent(e, "duration")
	if text == "" {
		return score.Quarters{}
	}
	d, ok := score.ParseQuarters(text)
	if !ok || d.Sign() < 0 {
		p.say(score.Warning, "xml-duration", e, "", "measure %s: duration %q is no number above 0; read as 0", p.m.Number, text)
		return score.Quarters{}
	}
	return d.Div(p.divisions)
}

// number reads a staff or other small number, 0 if there is none.
func (p *partReader) number(text string) int {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return 0
	}
	return n
}

// staffOf reads an element's <staff>, which is 1 if it is not there.
func (p *partReader) staffOf(e int32) int {
	if n := p.number(p.x.childContent(e, "staff")); n > 1 && n <= maxStaves {
		p.part.Staves = max(p.part.Staves, n)
		return n
	}
	return 1
}

// maxStaves bounds the staff numbers of a part; an organ has three.
const maxStaves = 64

// voiceOf maps the text of a voice to a number: numbers to themselves, other
// names to free ones.
func (p *partReader) voiceOf(text string) int {
	if text == "" {
		return 1
	}
	v, ok := p.voices[text]
	if !ok {
		if v, _ = strconv.Atoi(text); v < 1 || v > 1<<20 {
			v = 1000 + len(p.voices)
		}
		p.voices[text] = v
	}
	return v
}

// harmony reads a chord symbol. Symbols without a root (a function or numeral
// against the key) move with the key and are left to the page.
func (p *partReader) harmony(e int32) {
	h := &score.Harmony{Common: p.common(p.optionalStaff(e))}
	chord, ok := p.chordSymbol(e)
	if !ok {
		return
	}
	h.Chord = chord
	h.Onset = p.offset(e, h.Onset)
	h.Src = p.handle(h, e)
	p.add(h)
}

// offset adds an element's <offset> to an onset, within the measure.
func (p *partReader) offset(e int32, onset score.Quarters) score.Quarters {
	text := p.x.childContent(e, "offset")
	if text == "" {
		return onset
	}
	d, ok := score.ParseQuarters(text)
	if !ok {
		return onset
	}
	at := onset.Add(d.Div(p.divisions))
	if at.Invalid() || at.Sign() < 0 {
		return onset
	}
	return at
}

// optionalStaff reads <staff>, 0 if it is not there.
func (p *partReader) optionalStaff(e int32) int {
	if p.x.child(e, "staff") == none {
		return 0
	}
	return p.staffOf(e)
}

func (p *partReader) direction(e int32) {
	staff := p.optionalStaff(e)
	p.palmMuteWords(e, staff)
	p.signs(e)
	hasTempo := false
	for c := range p.x.children(e) {
		if p.x.name(c) == "sound" {
			p.route(c)
			hasTempo = p.sound(e, c, staff) || hasTempo
		}
	}
	for dt := range p.x.children(e) {
		if p.x.name(dt) != "direction-type" {
			continue
		}
		for c := range p.x.children(dt) {
			switch name := p.x.name(c); name {
			case "words", "rehearsal":
				if text := p.x.content(c); text != "" {
					p.words(e, c, staff, name, text)
				}
			case "dynamics":
				for m := range p.x.children(c) {
					text := p.x.name(m)
					if text == "other-dynamics" {
						text = p.x.content(m)
					}
					p.words(e, m, staff, name, text)
				}
			case "metronome":
				if q, ok := p.metronome(c); ok && !hasTempo {
					t := &score.Tempo{Common: p.common(staff), QuartersPerMinute: q}
					t.Onset = p.offset(e, t.Onset)
					t.Src = p.handle(t, c)
					p.add(t)
				}
			}
		}
	}
}

func (p *partReader) words(direction, e int32, staff int, kind, text string) {
	w := &score.Words{Common: p.common(staff), Kind: kind, Text: text}
	w.Onset = p.offset(direction, w.Onset)
	w.Src = p.handle(w, e)
	p.add(w)
}

// sound reads the tempo of a <sound>, which stands in parent or alone.
func (p *partReader) sound(parent, e int32, staff int) bool {
	q, err := strconv.ParseFloat(p.x.attrOr(e, "tempo"), 64)
	if err != nil || q <= 0 || q > 10_000 {
		return false
	}
	t := &score.Tempo{Common: p.common(staff), QuartersPerMinute: q}
	t.Onset = p.offset(parent, t.Onset)
	t.Src = p.handle(t, e)
	p.add(t)
	return true
}

// metronome reads a metronome mark of the form "note value = number".
func (p *partReader) metronome(e int32) (quarters float64, ok bool) {
	v := noteValue(p.x.childContent(e, "beat-unit"))
	for c := range p.x.children(e) {
		if p.x.name(c) == "beat-unit-dot" {
			v.Dots++
		}
	}
	n, err := strconv.ParseFloat(strings.TrimLeft(p.x.childContent(e, "per-minute"), "ca. ≈~"), 64)
	if !v.Known || err != nil || n <= 0 || n > 10_000 {
		return 0, false
	}
	return n * v.Quarters().Float(), true
}

// barline reads a bar line that is more than plain; nil if it is plain.
func (p *partReader) barline(e int32) *score.Barline {
	b := &score.Barline{Common: p.common(0)}
	if p.x.attrOr(e, "location") == "left" {
		b.Onset = score.Quarters{}
	}
	if s := p.x.childContent(e, "bar-style"); s != "regular" {
		b.Style = s
	}
	if c := p.x.child(e, "repeat"); c != none {
		switch p.x.attrOr(c, "direction") {
		case "forward":
			b.Repeat = score.Forward
		case "backward":
			b.Repeat = score.Backward
			b.Times = p.number(p.x.attrOr(c, "times"))
		}
	}
	if c := p.x.child(e, "ending"); c != none {
		b.Ending, b.EndingType = strings.TrimSpace(p.x.attrOr(c, "number")), p.x.attrOr(c, "type")
	}
	if b.Style == "" && b.Repeat == score.NoRepeat && b.EndingType == "" {
		return nil
	}
	b.Src = p.handle(b, e)
	p.add(b)
	return b
}

// finish ends the part: spans that were begun and never ended are taken off,
// since a span has two ends, and pitches go to where they sound.
func (p *partReader) finish() {
	for _, m := range p.mutes {
		p.muted(m)
	}
	for key, open := range p.spans {
		open.note.Techniques = removeSpan(open.note.Techniques, open.id)
		p.say(score.Info, "xml-span", open.elem, "", "%s begins here and does not end", spanName(key.kind))
	}
	p.resolveCodas()
	p.resolvePages()
	p.putLabels()
}

func removeSpan(ts []score.Technique, id int) []score.Technique {
	kept := ts[:0]
	for _, t := range ts {
		if s, ok := t.(score.Span); !ok || s.ID != id {
			kept = append(kept, t)
		}
	}
	return kept
}

// noteName reads a step and an alteration in whole semitones from children
// with the given names.
func (d *Document) noteName(e int32, step, alter string) (theory.NoteName, bool) {
	s := d.x.childContent(e, step)
	if len(s) != 1 {
		return theory.NoteName{}, false
	}
	st, ok := theory.StepOf(s[0])
	if !ok {
		return theory.NoteName{}, false
	}
	whole, _ := splitAlter(d.x.childContent(e, alter))
	return theory.NoteName{Step: st, Alter: whole}, true
}

// splitAlter splits an alteration into whole semitones and the rest, which is
// above −1/2 and up to 1/2.
func splitAlter(text string) (whole int, rest score.Quarters) {
	a, ok := score.ParseQuarters(text)
	if !ok || a.Cmp(score.Q(100, 1)) > 0 || a.Cmp(score.Q(-100, 1)) < 0 {
		return 0, score.Quarters{}
	}
	// ceil(a − 1/2)
	half := a.Sub(score.Q(1, 2))
	n := half.Num() / half.Den()
	if half.Sign() > 0 && n*half.Den() != half.Num() {
		n++
	}
	return int(n), a.Sub(score.Q(n, 1))
}
