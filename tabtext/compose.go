package tabtext

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A track is a line of a system that takes columns: a string, the counts, the
// chord symbols and so on.
type track struct {
	kind lineKind
	row  int    // of a string, 0 on top
	name string // of a named line
}

// stringLine is the kind of a track that is a string.
const stringLine lineKind = -1

// A piece is what a track has at a point: left of its column and from it on.
type piece struct {
	lead, body string
	tight      bool // what follows may touch it
	slide      byte
}

// A point is a column of a bar that means a time.
type point struct {
	at     score.Quarters
	pieces map[track]piece
	struck bool // notes that are no grace notes begin here
	col    int  // from the start of the bar, once laid out
}

// A stretch is something that covers points: a tuplet bracket, an extent, an
// ending.
type stretch struct {
	kind     lineKind
	level    int // row of brackets
	text     string
	from, to int // first and last point; to is -1 if it goes on beyond the bar
	goesOn   bool
	span     score.SpanKind
}

// A composed is a bar that is ready to be laid out.
type composed struct {
	points     []point
	length     score.Quarters
	stretches  []stretch
	left       score.Repeat
	right      score.Repeat
	double     bool
	times      int
	endingFrom string // an ending begins
	endingTo   string // "]" or "]>"
	endCount   string // count under the bar line
	marks      []markAt
	neck       fretboard.Neck
	heading    []string // lines before the system that the bar begins
	guessed    bool     // its rhythm was guessed from spacing
	spaced     bool     // and is carried by spacing again, without counts
	pad        int
	width      int
}

// A markAt is a mark over the system, at its time.
type markAt struct {
	at   score.Quarters
	text string
}

// A composer makes composed bars of a part.
type composer struct {
	part    *score.Part
	neck    fretboard.Neck
	metre   metre
	time    *score.TimeSignature // in force, nil for none
	letters bool                 // rhythm letters in place of counts
	own     *ownSigns            // of the text that is edited, nil for the usual ones
	report  func(at score.Handle, where string, code, what string)
	next    map[*score.Note]*score.Note // where each string goes on to
	tied    map[*score.Note]bool        // held from the note before on its string
	running map[score.SpanKind]int      // extents that are open, by id
	bars    []*composed
	unsung  bool // a word of the lyrics was reported

	tupletBar map[int]int // measure in which a tuplet was written
	ending    bool
	marks     []score.Event           // of measure 0 at its beginning, for the header
	stated    func(score.Handle) bool // tells what a line outside of the system says already; nil for nothing
	index     int                     // of the measure being composed
}

// compose lays out nothing yet: it decides what stands at which time.
func (c *composer) compose() {
	c.follow()
	c.tupletBar = map[int]int{}
	for i, m := range c.part.Measures {
		c.measure(i, m)
	}
}

// follow finds for each note the next one on its string, as a reader of the
// tab will see it, and which notes are held.
func (c *composer) follow() {
	c.next = map[*score.Note]*score.Note{}
	c.tied = map[*score.Note]bool{}
	type seen struct {
		note    *score.Note
		measure int
	}
	last := map[int]seen{}
	for i, m := range c.part.Measures {
		for _, h := range merge(m, c.neck.Tuning.Len(), func(string, string) {}) {
			visit := func(notes []*score.Note, grace bool) {
				for _, n := range notes {
					if b, ok := last[n.Place.String]; ok && i-b.measure <= maxGap {
						c.next[b.note] = n
						c.tied[n] = !grace && n.TieStop && b.note.TieStart && b.note.Place == n.Place
					}
					last[n.Place.String] = seen{n, i}
				}
			}
			for _, g := range h.graces {
				visit(g.Notes, true)
			}
			visit(h.notes, false)
		}
	}
}

// joined tells whether a connection from a note ends at the next one.
func joined(from, to *score.Note) bool {
	for _, t := range from.Techniques {
		s, ok := t.(score.Span)
		if !ok || s.End != score.Start || drawSpan(s.Kind) == 0 {
			continue
		}
		return to != nil && to.Has(score.Span{Kind: s.Kind, ID: s.ID, End: score.Stop})
	}
	return false
}

func drawSpan(k score.SpanKind) byte {
	switch k {
	case score.HammerOn:
		return 'h'
	case score.PullOff:
		return 'p'
	case score.LegatoSlide:
		return 's'
	case score.ShiftSlide:
		return 'S'
	}
	return 0
}

func (c *composer) measure(index int, m *score.Measure) {
	c.index = index
	bar := &composed{length: m.Length, neck: c.neck, guessed: c.guessed(m)}
	c.bars = append(c.bars, bar)
	where := "bar " + m.Number
	if m.Number == "" {
		where = "bar " + strconv.Itoa(index+1)
	}
	c.events(index, m, bar)
	start := score.Quarters{}
	if index == 0 && m.Implicit && m.Length.Less(c.metre.length) {
		start = c.metre.length.Sub(m.Length)
	}
	report := func(src score.Handle) lost {
		return func(code, what string) { c.report(src, where, code, what) }
	}
	happenings := merge(m, c.neck.Tuning.Len(), report(m.Src))
	if m.Length.Sign() <= 0 {
		if len(happenings) > 0 {
			c.report(m.Src, where, "tab-lost-bar-length", "a bar without length")
		}
		bar.points = []point{{pieces: map[track]piece{}}}
		return
	}
	if beats := start.Add(m.Length).Div(c.metre.unit); beats.Invalid() || score.Q(maxCount-1, 1).Less(beats) {
		c.report(m.Src, where, "tab-lost-bar-length", "the time of a bar of more than "+strconv.Itoa(maxCount)+" beats")
	}
	c.points(m, bar, start, happenings)
	for i := range happenings {
		c.happening(bar, start, &happenings[i], report)
	}
	c.counts(bar, start, happenings)
	c.tuplets(bar, happenings, report(m.Src))
	c.extents(bar, happenings, report)
	usual := c.metre.length.Sub(start)
	if !c.letters && (c.metre.length.IsZero() || m.Length != usual) {
		bar.endCount = writeCount(start.Add(m.Length), c.metre.unit, true)
	}
	c.harmonies(m, bar, report)
	c.verses(m, bar, report(m.Src))
	for _, k := range bar.marks {
		if i := bar.pointAt(k.at); i >= 0 {
			bar.put(i, track{kind: markLine}, piece{body: k.text})
		} else {
			report(m.Src)("tab-lost-mark", "a change at the very end of a bar: "+k.text)
		}
	}
}

// points makes the points of a bar: where something begins, and the beats.
func (c *composer) points(m *score.Measure, bar *composed, start score.Quarters, hs []happening) {
	var times []score.Quarters
	for _, h := range hs {
		times = append(times, h.onset)
	}
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Harmony, *score.KeySignature, *score.Tempo, *score.NeckChange:
			times = append(times, e.At())
		case *score.Words:
			if e.Kind == "lyric" && !c.letters { // with letters only notes and rests have a time
				times = append(times, e.At())
			}
		}
	}
	if !c.letters {
		first := start.Div(c.metre.unit)
		for k := first.Num() / first.Den(); ; k++ {
			at := c.metre.unit.Mul(score.Q(k, 1)).Sub(start)
			if !at.Less(m.Length) {
				break
			}
			if at.Sign() >= 0 {
				times = append(times, at)
			}
		}
	}
	slices.SortFunc(times, score.Quarters.Cmp)
	times = slices.Compact(times)
	for _, t := range times {
		if t.Sign() >= 0 && !m.Length.Less(t) && (t != m.Length || graceAt(hs, t)) {
			bar.points = append(bar.points, point{at: t, pieces: map[track]piece{}})
		}
	}
}

func graceAt(hs []happening, t score.Quarters) bool {
	return slices.ContainsFunc(hs, func(h happening) bool { return h.onset == t && len(h.graces) > 0 })
}

func (bar *composed) pointAt(at score.Quarters) int {
	i, found := slices.BinarySearchFunc(bar.points, at, func(p point, q score.Quarters) int { return p.at.Cmp(q) })
	if !found {
		return -1
	}
	return i
}

// put adds to what a track has at a point.
func (bar *composed) put(at int, t track, p piece) {
	if old, ok := bar.points[at].pieces[t]; ok {
		p.lead, p.body = old.lead, old.body+";"+p.body
	}
	bar.points[at].pieces[t] = p
}

// happening draws the notes of a time and the grace notes before them.
func (c *composer) happening(bar *composed, start score.Quarters, h *happening, report func(score.Handle) lost) {
	at := bar.pointAt(h.onset)
	if at < 0 {
		for _, n := range h.notes {
			report(n.Src)("tab-lost-note", "a note that begins where its bar has ended")
		}
		return
	}
	bar.points[at].struck = bar.points[at].struck || len(h.notes) > 0
	leads := make([]string, c.neck.Tuning.Len())
	for _, g := range h.graces {
		ds := make(map[int]drawn)
		room := 0
		wide := 0
		for _, n := range g.Notes {
			d := c.draw(n, report)
			d.lead = "g" + d.lead
			ds[n.Place.String-1] = d
			room = max(room, len(d.lead))
		}
		for _, d := range ds {
			w := room + len(d.body)
			if !d.conn {
				w++
			}
			wide = max(wide, w)
		}
		for r := range leads {
			d, has := ds[r]
			if !has {
				leads[r] += strings.Repeat("-", wide)
				continue
			}
			text := strings.Repeat("-", room-len(d.lead)) + d.lead + d.body
			leads[r] += text + strings.Repeat("-", wide-len(text))
		}
	}
	room := 0
	drawnNotes := map[int]drawn{}
	for _, n := range h.notes {
		d := c.draw(n, report)
		drawnNotes[n.Place.String-1] = d
		room = max(room, len(d.lead))
	}
	for r := range leads {
		d, has := drawnNotes[r]
		if !has && leads[r] == "" {
			continue
		}
		lead := leads[r]
		if lead != "" { // graces of all rows keep their columns
			lead += strings.Repeat("-", room-len(d.lead))
		}
		if len(h.graces) > 0 && strings.Trim(lead, "-") == "" && !has {
			continue
		}
		bar.points[at].pieces[track{kind: stringLine, row: r}] = piece{lead: lead + d.lead, body: d.body, tight: d.conn, slide: d.slide}
	}
	c.over(bar, at, h, report)
}

func (c *composer) draw(n *score.Note, report func(score.Handle) lost) drawn {
	next := c.next[n]
	if !joined(n, next) {
		next = nil
	}
	if n.TieStop && !c.tied[n] {
		report(n.Src)("tab-lost-tie", "a tie from a note that does not stand before it on the string")
	}
	if c.next[n] != nil && n.TieStart && !c.tied[c.next[n]] || n.TieStart && c.next[n] == nil {
		report(n.Src)("tab-lost-tie", "a tie to a note that does not follow on the string")
	}
	return c.inOwnSigns(drawNote(n, c.tied[n], next, c.next[n], report(n.Src)), n, report(n.Src))
}

func (c *composer) inOwnSigns(d drawn, n *score.Note, report lost) drawn {
	if c.own == nil {
		return d
	}
	return c.own.spell(d, n, report)
}

// events takes the metre, key, neck, tempo, and bar lines of a measure.
func (c *composer) events(index int, m *score.Measure, bar *composed) {
	c.time = metreOf(m, c.time)
	for _, e := range m.Events {
		first := index == 0 && e.At().IsZero()
		var text string
		switch e := e.(type) {
		case *score.TimeSignature:
			if !first {
				text = "time:" + e.Metre()
			}
			c.metre = metre{length: e.Length, unit: beatUnit(e)}
		case *score.KeySignature:
			switch {
			case e.Free:
				c.report(e.Src, "", "tab-lost-key", "a key signature that is none of the circle of fifths")
				continue
			case e.NoKey:
				c.report(e.Src, "", "tab-lost-key", "that the music has no key")
				continue
			}
			text = "key:" + e.Key.Tonic.String() + "-" + e.Key.Mode.String()
		case *score.Tempo:
			if e.QuartersPerMinute <= 0 {
				continue
			}
			text = "tempo:" + writeTempo(e.QuartersPerMinute, c.time)
			if e.Text != "" {
				c.report(e.Src, "", "tab-lost-words", "the words of the tempo ("+e.Text+")")
			}
		case *score.NeckChange:
			if !first {
				text = c.neckMarks(e)
			}
			if first || e.Neck.Tuning.Len() == c.neck.Tuning.Len() {
				c.neck = e.Neck
				if e.At().IsZero() {
					bar.neck = e.Neck
				}
			}
		case *score.Barline:
			c.barline(index, m, e, bar)
		case *score.Words:
			if e.Kind == "lyric" {
				continue
			}
			if c.heading(index, m, e, bar) {
				continue
			}
			c.report(e.Src, "", "tab-lost-words", "words over the music ("+e.Text+")")
		}
		if first {
			c.marks = append(c.marks, e)
		} else if text != "" && !(c.stated != nil && c.stated(e.Source())) {
			c.mark(bar, e.At(), text)
		}
	}
}

// mark notes a mark; points are made later, so it waits in the bar.
func (c *composer) mark(bar *composed, at score.Quarters, text string) {
	bar.marks = append(bar.marks, markAt{at, text})
}

func (c *composer) neckMarks(e *score.NeckChange) string {
	n := e.Neck
	if n.Tuning.Len() != c.neck.Tuning.Len() {
		c.report(e.Src, "", "tab-lost-neck", "a change to another number of strings")
		return ""
	}
	var parts []string
	if !n.Tuning.Sounds(c.neck.Tuning) || n.Tuning.String() != c.neck.Tuning.String() {
		parts = append(parts, "tuning:"+strings.ReplaceAll(n.Tuning.String(), " ", ","))
	}
	if n.Capo != c.neck.Capo {
		parts = append(parts, "capo:"+strconv.Itoa(n.Capo))
	}
	if n.Frets != c.neck.Frets {
		parts = append(parts, "frets:"+strconv.Itoa(n.Frets))
	}
	return strings.Join(parts, ";")
}

func (c *composer) barline(index int, m *score.Measure, e *score.Barline, bar *composed) {
	if !e.Onset.IsZero() && e.Onset != m.Length {
		c.report(e.Src, "", "tab-lost-barline", "a bar line inside of a bar")
		return
	}
	atEnd := !e.Onset.IsZero()
	last := index == len(c.part.Measures)-1
	switch e.Repeat {
	case score.Forward:
		bar.left = score.Forward
	case score.Backward:
		bar.right = score.Backward
		bar.times = e.Times
	default:
		switch {
		case atEnd && (e.Style == "light-light" && !last || e.Style == "light-heavy" && last):
			bar.double = true
		case atEnd && (e.Style == "light-light" || e.Style == "light-heavy" || e.Style == "heavy-heavy" || e.Style == "heavy-light"):
			bar.double = true
			c.report(e.Src, "", "tab-lost-barline", "the style of a bar line ("+e.Style+")")
		case e.Style != "" && e.Style != "regular":
			c.report(e.Src, "", "tab-lost-barline", "the style of a bar line ("+e.Style+")")
		}
	}
	switch e.EndingType {
	case "start":
		bar.endingFrom = "[" + strings.ReplaceAll(e.Ending, ", ", ",") + "."
		if _, _, ok := parseEnding(bar.endingFrom); !ok {
			c.report(e.Src, "", "tab-lost-ending", "an ending named "+strconv.Quote(e.Ending))
			bar.endingFrom = ""
			return
		}
		c.ending = true
	case "stop", "discontinue":
		if !c.ending {
			return
		}
		c.ending = false
		bar.endingTo = "]"
		if e.EndingType == "discontinue" {
			bar.endingTo = "]>"
		}
	}
}
