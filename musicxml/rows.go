package musicxml

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// A row is one bar of the file with the bars of all parts in it.
type row struct {
	base int              // of the file; -1 for one that is new
	bars []*score.Measure // by part of the score; nil where a part has none
}

// rowsOf lists the rows that the bars of a score make: those of the file, and
// between them the new ones. A new bar takes the row of one that its part lost
// at that place, and the k-th new bar of one part stands with the k-th of
// another. ok is false if parts or bars are not those of the file, in its
// order, which is an error elsewhere.
func (ap *applier) rowsOf(s *score.Score) (rows []row, changed, ok bool) {
	count := len(ap.rows)
	for _, pg := range ap.pages {
		for _, b := range pg.measures {
			count = max(count, b.row+1)
		}
	}
	kept := make([]row, count)
	for i := range kept {
		kept[i] = row{i, make([]*score.Measure, len(s.Parts))}
	}
	fresh := make([][]row, count+1) // by the row before which they come
	for k, p := range s.Parts {
		at := ap.rowOfBars(p)
		if at == nil {
			return nil, false, false
		}
		next := 0 // the first row that may still get a bar of the part
		var waiting []*score.Measure
		place := func(before int) {
			for i, m := range waiting {
				if next < before {
					kept[next].bars[k] = m
					next++
					continue
				}
				for j, rest := range waiting[i:] {
					if j == len(fresh[before]) {
						fresh[before] = append(fresh[before], row{-1, make([]*score.Measure, len(s.Parts))})
					}
					fresh[before][j].bars[k] = rest
				}
				break
			}
			waiting = nil
		}
		for _, m := range p.Measures {
			if m.Src == 0 {
				waiting, changed = append(waiting, m), true
				continue
			}
			r, known := at[m.Src]
			if !known || r < next {
				ap.bar = m.Number
				ap.fail(m.Src, "the bars of a part have changed their order")
				return nil, false, false
			}
			place(r)
			kept[r].bars[k], next = m, r+1
			delete(at, m.Src)
		}
		place(count)
		changed = changed || len(at) > 0
	}
	for i, r := range kept {
		rows = append(rows, fresh[i]...)
		rows = append(rows, r)
	}
	return append(rows, fresh[count]...), changed, true
}

// rowOfBars returns the rows of a part's bars as they were read; nil for a part
// that was not.
func (d *Document) rowOfBars(p *score.Part) map[score.Handle]int {
	if p.Src <= 0 || int(p.Src) >= len(d.node) {
		return nil
	}
	was, ok := d.node[p.Src].(*score.Part)
	if !ok {
		return nil
	}
	for _, pg := range d.pages {
		if pg.part != p.Src || pg.tab {
			continue
		}
		at := make(map[score.Handle]int, len(was.Measures))
		for i, m := range was.Measures {
			at[m.Src] = pg.measures[i].row
		}
		return at
	}
	return nil
}

// evened returns a score in which all parts have the bars that one of them
// has, since the parts of a file share their bars: a bar that was added to one
// part is one of rest in the others, and a bar that was taken out of one part
// is one of rest in it, or is taken out of all if nothing sounds in it. If
// there is nothing to do it is s itself.
func (ap *applier) evened(s *score.Score) *score.Score {
	if _, changed, ok := ap.rowsOf(s); !ok || !changed && !ap.renumbered(s) {
		return s
	}
	s = s.Clone()
	rows, _, _ := ap.rowsOf(s)
	e := evening{applier: ap, score: s, rows: rows, used: map[score.Handle]bool{}}
	for n := range score.Preorder(s) {
		e.used[handleOf(n)] = true
	}
	for _, p := range s.Parts {
		were := map[int]*score.Measure{}
		for h, r := range ap.rowOfBars(p) {
			were[r] = ap.node[h].(*score.Measure)
		}
		e.were = append(e.were, were)
	}
	for i := range e.rows {
		e.row(i)
	}
	if len(e.rows) > 0 {
		e.finalBarlines()
	}
	e.numbers()
	for k, p := range s.Parts {
		p.Measures = p.Measures[:0]
		for _, r := range e.rows {
			if r.bars[k] != nil {
				p.Measures = append(p.Measures, r.bars[k])
			}
		}
	}
	return s
}

// renumbered tells whether a bar of the file has another number, or is counted
// where it was not.
func (ap *applier) renumbered(s *score.Score) bool {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			if m.Src > 0 && int(m.Src) < len(ap.node) {
				if was, ok := ap.node[m.Src].(*score.Measure); ok && (was.Number != m.Number || was.Implicit != m.Implicit) {
					return true
				}
			}
		}
	}
	return false
}

// An evening gives all parts the same bars.
type evening struct {
	*applier
	score  *score.Score
	rows   []row
	used   map[score.Handle]bool    // handles that the score has
	were   []map[int]*score.Measure // by part: its bars as they were read, by row
	voices map[[2]int]int           // by part and staff: the first voice
	added  []int                    // rows in which parts got a bar of rest
}

// base returns the bar that a part had in a row of the file, nil for none.
func (e *evening) base(k, row int) *score.Measure { return e.were[k][row] }

func (e *evening) row(i int) {
	r := &e.rows[i]
	var like *score.Measure // the longest
	sounds, missing := false, false
	for k, m := range r.bars {
		if m == nil {
			missing = missing || r.base < 0 || e.base(k, r.base) != nil
			continue
		}
		sounds = sounds || m.Src == 0 || hasMusic(m)
		if like == nil || like.Length.Less(m.Length) {
			like = m
		}
	}
	switch {
	case like == nil || !missing:
	case r.base >= 0 && !sounds:
		for k, m := range r.bars {
			if m != nil {
				e.handOn(i, k)
				r.bars[k] = nil
			}
		}
	default:
		for k, m := range r.bars {
			if m != nil {
				continue
			}
			if was := e.base(k, r.base); was != nil {
				r.bars[k] = e.silenced(k, was)
			} else if r.base < 0 && e.goesOn(i, k) {
				r.bars[k] = e.rest(i, k, like)
			}
		}
	}
}

// hasMusic tells whether a bar has notes or chord symbols.
func hasMusic(m *score.Measure) bool {
	return slices.ContainsFunc(m.Events, func(e score.Event) bool {
		switch e := e.(type) {
		case *score.Chord:
			return !e.IsRest()
		case *score.Harmony:
			return true
		}
		return false
	})
}

// goesOn tells whether a part has bars on both sides of a new row, or on one
// where the file ends there.
func (e *evening) goesOn(i, k int) bool {
	if slices.ContainsFunc(e.rows[i+1:], func(r row) bool { return r.bars[k] != nil }) {
		return true
	}
	for j := i - 1; j >= 0; j-- {
		if e.rows[j].bars[k] != nil {
			return true
		}
		if e.rows[j].base >= 0 {
			// A row of the file that the part has not: it had ended.
			if slices.ContainsFunc(e.rows[j].bars, func(m *score.Measure) bool { return m != nil }) {
				return false
			}
		}
	}
	return false
}

// silenced makes a bar of rest of one that a part lost: what is not a note
// stays, unless it is elsewhere now.
func (e *evening) silenced(k int, was *score.Measure) *score.Measure {
	m := &score.Measure{Number: was.Number, Implicit: was.Implicit, Length: was.Length, Nominal: was.Nominal, Route: was.Route, Src: was.Src}
	for _, ev := range was.Events {
		switch x := ev.(type) {
		case *score.Chord, *score.Harmony:
			continue
		case *score.Words:
			if x.Kind == "lyric" {
				continue
			}
		}
		if !e.used[ev.Source()] {
			c := score.CopyEvent(ev)
			c.Shared().Src = ev.Source()
			m.Events = append(m.Events, c)
		}
	}
	e.fill(k, m)
	return m
}

// rest makes a bar of rest beside a new bar of another part.
func (e *evening) rest(i, k int, like *score.Measure) *score.Measure {
	m := &score.Measure{Number: like.Number, Implicit: like.Implicit, Length: like.Length, Nominal: like.Nominal}
	prev, next := e.prev(i, k), e.next(i, k)
	if prev == nil && next != nil {
		takeHead(next, m)
		prev = next
	} else {
		for _, ev := range like.Events {
			if t, ok := ev.(*score.TimeSignature); ok && t.Onset.IsZero() {
				m.Events = append(m.Events, score.CopyEvent(t))
				prev = nil
			}
		}
	}
	if prev != nil && prev.Nominal != like.Nominal { // a metre of its own
		if m.Nominal = prev.Nominal; like.Length == like.Nominal && m.Nominal.Sign() > 0 {
			m.Length = m.Nominal
		}
	}
	for _, ev := range like.Events {
		if b, ok := ev.(*score.Barline); ok {
			c := score.CopyEvent(b).(*score.Barline)
			if b.Onset == like.Length {
				c.Onset = m.Length
			}
			m.Events = append(m.Events, c)
		}
	}
	e.fill(k, m)
	e.added = append(e.added, i)
	return m
}

func (e *evening) next(i, k int) *score.Measure {
	for _, r := range e.rows[i+1:] {
		if r.bars[k] != nil {
			return r.bars[k]
		}
	}
	return nil
}

func (e *evening) prev(i, k int) *score.Measure {
	for _, r := range slices.Backward(e.rows[:i]) {
		if r.bars[k] != nil {
			return r.bars[k]
		}
	}
	return nil
}

// takeHead moves what is in force from the start of a bar on (key, metre, clef
// and the like) to the start of another.
func takeHead(from, to *score.Measure) {
	var head []score.Event
	from.Events = slices.DeleteFunc(from.Events, func(ev score.Event) bool {
		if _, tempo := ev.(*score.Tempo); (tempo || isAttribute(ev)) && ev.At().IsZero() {
			head = append(head, ev)
			return true
		}
		return false
	})
	to.Events = append(head, to.Events...)
}

// handOn lets what is in force from a bar on that is taken out begin with the
// next one.
func (e *evening) handOn(i, k int) {
	m, next := e.rows[i].bars[k], e.next(i, k)
	if next == nil {
		return
	}
	type kind struct {
		kind  string
		staff int
	}
	said := map[kind]bool{}
	for _, ev := range next.Events {
		if ev.At().IsZero() {
			said[kind{attributeName(ev), ev.OnStaff()}] = true
		}
	}
	var head []score.Event
	for _, ev := range slices.Backward(m.Events) {
		k := kind{attributeName(ev), ev.OnStaff()}
		if k.kind == "" || said[k] {
			continue
		}
		said[k] = true
		ev.Shared().Onset = score.Quarters{}
		head = append(head, ev)
	}
	slices.Reverse(head)
	next.Events = append(head, next.Events...)
}

// attributeName names what an event changes from its time on; "" for what is
// over with its time.
func attributeName(e score.Event) string {
	switch e.(type) {
	case *score.KeySignature:
		return "key"
	case *score.TimeSignature:
		return "time"
	case *score.Clef:
		return "clef"
	case *score.NeckChange:
		return "staff-details"
	case *score.PageTranspose:
		return "transpose"
	case *score.Tempo:
		return "tempo"
	}
	return ""
}

// fill puts a rest into each staff of a bar, in the first voice that the part
// has there.
func (e *evening) fill(k int, m *score.Measure) {
	p := e.score.Parts[k]
	for staff := 1; staff <= p.Staves; staff++ {
		voice := e.firstVoice(k, staff)
		m.Events = append(m.Events, &score.Chord{Common: score.Common{Staff: staff}, Duration: m.Length, Voice: voice, WholeMeasure: true})
	}
	m.SortEvents()
}

// firstVoice returns the first voice of a staff in the part as it was read.
func (e *evening) firstVoice(k, staff int) int {
	if e.voices == nil {
		e.voices = map[[2]int]int{}
		for k, were := range e.were {
			for _, m := range were {
				for c := range m.Chords() {
					if v, ok := e.voices[[2]int{k, c.Staff}]; !ok || c.Voice < v {
						e.voices[[2]int{k, c.Staff}] = c.Voice
					}
				}
			}
		}
	}
	if v, ok := e.voices[[2]int{k, staff}]; ok {
		return v
	}
	return 4*(staff-1) + 1
}

// finalBarlines moves the bar line that ends the piece behind the bars of rest
// with which it ends now, where the part that was lengthened has done so.
func (e *evening) finalBarlines() {
	last := len(e.rows) - 1
	for k, m := range e.rows[last].bars { // a part that was shortened, and ends later in the file
		if m == nil || m.Src == 0 || !slices.ContainsFunc(m.Events, isFinal) {
			continue
		}
		for _, r := range e.rows[:last] {
			if b := r.bars[k]; b != nil {
				b.Events = slices.DeleteFunc(b.Events, func(ev score.Event) bool { return isFinal(ev) && ev.Source() == 0 })
			}
		}
	}
	if !slices.Contains(e.added, last) {
		return
	}
	for _, r := range e.rows[:last] {
		if !slices.ContainsFunc(r.bars, func(m *score.Measure) bool {
			return m != nil && e.hadFinal(m) && !slices.ContainsFunc(m.Events, isFinal)
		}) {
			continue
		}
		for k, m := range r.bars {
			if m != nil && e.rows[last].bars[k] != nil && slices.ContainsFunc(e.rows[last].bars[k].Events, isFinal) {
				m.Events = slices.DeleteFunc(m.Events, isFinal)
			}
		}
	}
}

// isFinal tells whether an event is the bar line that ends a piece.
func isFinal(ev score.Event) bool {
	b, ok := ev.(*score.Barline)
	return ok && b.Style == "light-heavy" && b.Repeat == score.NoRepeat && b.EndingType == ""
}

// hadFinal tells whether a bar of the file ended with the bar line that ends a
// piece.
func (e *evening) hadFinal(m *score.Measure) bool {
	was, ok := e.node[m.Src].(*score.Measure)
	return ok && slices.ContainsFunc(was.Events, isFinal)
}

// numbers gives new bars that have no number one, and the bars of a row the
// same number in all parts that counted alike.
func (e *evening) numbers() {
	for i, r := range e.rows {
		var lead *score.Measure // the bar that others follow
		was := ""
		for k, m := range r.bars {
			if m == nil {
				continue
			}
			if old := e.base(k, r.base); old != nil && m.Src != 0 {
				if lead == nil && (m.Number != old.Number || m.Implicit != old.Implicit) {
					lead, was = m, old.Number
				}
			} else if there := e.numbered(r.base); m.Src == 0 && there != nil && (m.Number == "" || e.applier.rows != nil) {
				m.Number, m.Implicit = there.Number, there.Implicit
			} else if m.Src == 0 && m.Number == "" {
				m.Number = e.freeNumber(i, k)
			}
		}
		if lead == nil {
			continue
		}
		for k, m := range r.bars {
			if old := e.base(k, r.base); m != nil && old != nil && old.Number == was && (m.Number == old.Number || e.applier.Document.rows != nil) {
				m.Number, m.Implicit = lead.Number, lead.Implicit
			}
		}
	}
}

// numbered returns a bar of a row as it was read, nil for a new row.
func (e *evening) numbered(row int) *score.Measure {
	for k := range e.were {
		if m := e.base(k, row); m != nil {
			return m
		}
	}
	return nil
}

// freeNumber numbers a new bar: at the end it is the next; between two others
// it has the number of the one before and a letter.
func (e *evening) freeNumber(i, k int) string {
	prev, next := e.prev(i, k), e.next(i, k)
	if prev == nil {
		return "0"
	}
	if n, err := strconv.Atoi(prev.Number); err == nil && next == nil {
		return strconv.Itoa(n + 1)
	}
	number := prev.Number
	if n := len(number); n > 1 && 'a' <= number[n-1] && number[n-1] < 'z' && prev.Src == 0 {
		return number[:n-1] + string(number[n-1]+1)
	}
	return number + "a"
}
