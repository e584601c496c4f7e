package routine

import (
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// Score writes pages of sheets out as one score: every page under a rehearsal
// mark, every exercise under its title as words, from a bar line on, with
// degrees as annotations and a double bar line at its end. The sheets must
// have one neck and one metre, as those of one set of options in several keys
// have.
func Score(title string, sheets ...*Sheet) *score.Score {
	part := &score.Part{ID: "P1", Staves: 1}
	if len(sheets) > 0 {
		part.Name = sheets[0].Neck.Tuning.Instrument().PartName()
	}
	w := &writer{part: part}
	for _, s := range sheets {
		w.sheet = s
		for i := range s.Pages {
			w.page(&s.Pages[i])
		}
	}
	if n := len(part.Measures); n > 0 {
		last := part.Measures[n-1]
		last.Events[len(last.Events)-1].(*score.Barline).Style = "light-heavy"
	}
	return &score.Score{Title: title, Parts: []*score.Part{part}}
}

// Only returns the sheet with one of its pages.
func (s *Sheet) Only(page int) *Sheet {
	one := *s
	one.Pages = s.Pages[page : page+1]
	one.Title = s.Pages[page].Title
	return &one
}

// A writer writes pages into bars.
type writer struct {
	part   *score.Part
	sheet  *Sheet
	m      *score.Measure
	at     score.Quarters
	key    *theory.Key
	tuplet int // id of the last one
	left   int // notes that the open triplet still takes
	span   int // id of the last slide
	struck *score.Note
}

func (w *writer) bar() score.Quarters { return w.sheet.time.Length }

// open begins a bar.
func (w *writer) open() {
	number := len(w.part.Measures) + 1
	w.m = &score.Measure{Number: strconv.Itoa(number), Length: w.bar(), Nominal: w.bar()}
	w.part.Measures = append(w.part.Measures, w.m)
	w.at = score.Quarters{}
}

// begin puts what holds from the beginning of a page before its first bar's
// music.
func (w *writer) begin(p *Page) {
	if len(w.part.Measures) == 1 {
		w.m.Events = append(w.m.Events, &score.NeckChange{Neck: w.sheet.Neck})
		w.keyFor(p)
		t := *w.sheet.time
		w.m.Events = append(w.m.Events, &t)
		if t := w.sheet.ladder.Start; t > 0 {
			w.m.Events = append(w.m.Events, &score.Tempo{QuartersPerMinute: t})
		}
	} else {
		w.keyFor(p)
	}
	w.m.Events = append(w.m.Events, &score.Words{Kind: "rehearsal", Text: p.Title})
}

// keyFor writes the signature of a page where it is another one than before.
func (w *writer) keyFor(p *Page) {
	k := theory.Key{}
	if p.Key != nil {
		k = *p.Key
	}
	if w.key != nil && *w.key == k || w.key == nil && p.Key == nil {
		return
	}
	w.key = &k
	w.m.Events = append(w.m.Events, &score.KeySignature{Key: k, ModeSaid: p.Key != nil})
}

// page writes a page. What an exercise without music says goes to the next
// one that has some or, at the end of the page, to the top of it.
func (w *writer) page(p *Page) {
	last := -1
	for i, e := range p.Exercises {
		if e.bars() {
			last = i
		}
	}
	top := []string{strings.Join(w.top(p), "\n")}
	var waiting []string
	for _, e := range p.Exercises[last+1:] {
		top = append(top, e.text())
	}
	started := false
	for _, e := range p.Exercises[:last+1] {
		if !e.bars() {
			waiting = append(waiting, e.text())
			continue
		}
		w.open()
		if !started {
			w.begin(p)
			w.words(top)
			started = true
		}
		w.words(append(waiting, e.text()))
		waiting = nil
		w.exercise(e)
	}
	if !started {
		w.open()
		w.begin(p)
		w.words(top)
		w.exercise(Exercise{})
	}
}

func (e Exercise) bars() bool {
	for _, l := range e.Lines {
		if len(l) > 0 {
			return true
		}
	}
	return false
}

func (e Exercise) text() string {
	return strings.Join(append([]string{e.Title}, e.Words...), "\n")
}

// top is what stands at the top of a page.
func (w *writer) top(p *Page) []string {
	lines := append([]string{}, p.Facts...)
	if steps := w.sheet.ladder.Steps(); len(steps) > 1 {
		text := "Speeds, in quarter notes a minute:"
		for _, v := range steps {
			text += " " + strconv.FormatFloat(v, 'f', -1, 64)
		}
		lines = append(lines, text+". Go on to the next when three times running were clean.")
	}
	if p.Caution != "" {
		lines = append(lines, p.Caution)
	}
	return append(lines, "Slowly and cleanly first. Long practice can strain a hand: "+StrainHint+".")
}

func (w *writer) words(paragraphs []string) {
	for _, text := range paragraphs {
		if text != "" {
			w.m.Events = append(w.m.Events, &score.Words{Kind: "words", Text: text})
		}
	}
}

// exercise writes the lines of an exercise; the first bar is open.
func (w *writer) exercise(e Exercise) {
	first := true
	for _, l := range e.Lines {
		if len(l) == 0 {
			continue
		}
		if !first {
			w.open()
		}
		first = false
		w.struck = nil
		for _, m := range l {
			w.moment(m)
		}
		w.close()
	}
	if first {
		w.rest()
	}
	w.m.Events = append(w.m.Events, &score.Barline{Common: score.Common{Onset: w.bar()}, Style: "light-light"})
}

// moment writes what is struck together, into the next bar where the open one
// is full.
func (w *writer) moment(m Moment) {
	length := m.Length
	if length.IsZero() {
		length = w.sheet.value
	}
	shown, triplet := written(length)
	if triplet {
		w.triplet(m, length, shown)
		return
	}
	w.close3()
	if w.at == w.bar() {
		w.open()
	}
	w.symbol(m.Chord)
	var tied []*score.Note
	for first := true; length.Sign() > 0; first = false {
		if w.at == w.bar() {
			w.open()
		}
		room := w.bar().Sub(w.at)
		part := length
		if room.Less(part) {
			part = room
		}
		length = length.Sub(part)
		for _, v := range spell(part) {
			c := w.chord(v.Quarters(), v)
			if len(m.Notes) == 0 {
				continue
			}
			c.Notes = w.notes(m, first && tied == nil)
			for i := range tied {
				tied[i].TieStart = true
				c.Notes[i].TieStop = true
			}
			tied = c.Notes
		}
	}
}

// triplet writes one of three notes in the time of two. Three that do not fit
// into the bar any more go to the next.
func (w *writer) triplet(m Moment, length, shown score.Quarters) {
	if w.left == 0 {
		if w.bar().Sub(w.at).Less(length.Mul(score.Q(3, 1))) {
			w.rest()
			w.open()
		}
		w.left = 3
		w.tuplet++
	}
	w.symbol(m.Chord)
	c := w.chord(length, spell(shown)[0])
	c.Tuplets = []score.Tuplet{{ID: w.tuplet, Actual: 3, Normal: 2}}
	if len(m.Notes) > 0 {
		c.Notes = w.notes(m, true)
	}
	w.left--
}

// close3 fills a triplet that has begun.
func (w *writer) close3() {
	for w.left > 0 {
		w.moment(Moment{})
	}
}

// close fills the bar with rests.
func (w *writer) close() {
	w.close3()
	w.rest()
}

// rest fills the bar with rests, to the beat first.
func (w *writer) rest() {
	beat := w.sheet.time.Beat()
	for w.at.Less(w.bar()) {
		length := w.bar().Sub(w.at)
		beats := w.at.Div(beat)
		if w.at.IsZero() {
			w.chord(length, score.NoteValue{}).WholeMeasure = true
			return
		}
		if beats.Den() != 1 {
			next := beat.Mul(score.Q(beats.Num()/beats.Den()+1, 1)).Sub(w.at)
			if next.Less(length) {
				length = next
			}
		}
		for _, v := range spell(length) {
			w.chord(v.Quarters(), v)
		}
	}
}

func (w *writer) symbol(c *theory.Chord) {
	if c != nil {
		w.m.Events = append(w.m.Events, &score.Harmony{Common: score.Common{Onset: w.at}, Chord: *c})
	}
}

// chord adds a chord or rest of a length.
func (w *writer) chord(length score.Quarters, v score.NoteValue) *score.Chord {
	c := &score.Chord{Common: score.Common{Onset: w.at, Staff: 1}, Duration: length, Voice: 1, Value: v}
	w.m.Events = append(w.m.Events, c)
	w.at = w.at.Add(length)
	return c
}

// notes makes the notes of a moment; what is said of them is said where they
// are struck and not where they are held.
func (w *writer) notes(m Moment, struck bool) []*score.Note {
	var out []*score.Note
	for _, n := range m.Notes {
		note := &score.Note{Pitch: n.Pitch, Place: n.Place}
		if struck {
			note.Finger = n.Finger
			note.Annotations = []score.Annotation{n.label()}
			for _, k := range n.Marks {
				note.Techniques = append(note.Techniques, k)
			}
			if n.Slid && w.struck != nil {
				w.span++
				w.struck.Techniques = append(w.struck.Techniques, score.Span{Kind: score.ShiftSlide, ID: w.span, End: score.Start})
				note.Techniques = append(note.Techniques, score.Span{Kind: score.ShiftSlide, ID: w.span, End: score.Stop})
			}
		}
		out = append(out, note)
	}
	if len(out) > 0 {
		w.struck = out[len(out)-1]
	}
	return out
}

func (n Note) label() score.Annotation {
	switch {
	case n.OverChord && n.Degree == theory.Degree{Number: 1}:
		return score.Annotation{Kind: score.LabelChordTone, Text: "R"}
	case n.OverChord:
		return score.Annotation{Kind: score.LabelChordTone, Text: n.Degree.String()}
	}
	return score.Annotation{Kind: score.LabelDegree, Text: n.Degree.String()}
}
