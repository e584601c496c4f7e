package prove

import (
	"fmt"

	"example.org/lickwright/score"
)

// A Task is what a student was asked to play, and what else it is to keep to.
type Task struct {
	Score *score.Score
	Scale *Scale  // nil for any note
	Frets *[2]int // the position; nil for the frets that the task itself uses
}

// A Report is how a student's tab stands against the task.
type Report struct {
	Bars    []BarMark
	Whole   []string // what is to be said of the whole before the bars
	Notes   int      // of the task
	Right   int      // pitch and time, the sum of the bars
	OffTime int      // right but for their time
	InPlace int      // of Right and OffTime, on their string and fret
	Extra   int      // notes that the task has not
	Other   bool     // so little is there that it may answer another task
	Spaced  bool     // the student's rhythm was read from the spacing of the text
}

// Faults tells how many remarks there are in all.
func (r Report) Faults() int {
	n := len(r.Whole)
	for _, b := range r.Bars {
		n += len(b.Remarks)
	}
	return n
}

// A BarMark is what is to be said of a bar.
type BarMark struct {
	Bar     string // of the task; "" where the task has none like it
	Yours   string // of the student; "" where it is missing
	Notes   int    // of the task
	Right   int    // pitch and time
	Remarks []Remark
}

// The kinds of remarks.
const (
	WrongNote   Kind = "wrong note"
	WrongOctave Kind = "octave"
	MissingNote Kind = "missing"
	ExtraNote   Kind = "extra"
	OtherPlace  Kind = "place"    // the note on another string, within reach
	OutOfReach  Kind = "position" // outside of the position
	WrongRhythm Kind = "rhythm"
	WrongTouch  Kind = "technique"
	BarMissing  Kind = "bar missing"
	BarTooMany  Kind = "bar too many"
	BarLength   Kind = "bar length"
)

// A Remark is one thing to say to the student.
type Remark struct {
	Kind Kind
	Pos  score.Pos // in the student's tab; unknown for what is missing
	Beat string    // of the task's bar, or of the student's for extra notes
	Text string
}

// Mark compares a student's tab with the task, part by part with the first
// fretted part of each: which notes are wrong, missing or too many, which lie
// outside of the scale or the position, what comes too early or late. Notes
// are paired so that as few remarks as can be are needed; a bar that is left
// out or put in is one remark.
func Mark(task Task, student *score.Score) (Report, error) {
	want, ok := firstPart(task.Score)
	if !ok {
		return Report{}, fmt.Errorf("the task has no notes on a neck")
	}
	have, ok := firstPart(student)
	if !ok {
		return Report{}, fmt.Errorf("there are no notes on a neck")
	}
	mk := &marker{student: student, scale: task.Scale}
	a, b := play(want), play(have)
	mk.low, mk.high = extent(a)
	if task.Frets != nil {
		mk.low, mk.high = task.Frets[0], task.Frets[1]
	}
	for _, bar := range b {
		for _, n := range bar.notes {
			mk.report.Spaced = mk.report.Spaced || n.guess
		}
	}
	mk.shifted(a, b)
	for _, pair := range mk.pairBars(a, b) {
		mk.bar(pair[0], pair[1])
	}
	r := &mk.report
	r.Other = r.Notes >= fewNotes && 3*(r.Right+r.OffTime) < r.Notes
	return *r, nil
}

// fewNotes is how many notes a task must have for a tab to be told apart from
// an answer to it.
const fewNotes = 6

func firstPart(s *score.Score) (*score.Part, bool) {
	for _, p := range s.Parts {
		for n := range score.Notes(p) {
			if !n.Place.IsZero() {
				return p, true
			}
		}
	}
	return nil, false
}

func extent(bars []playedBar) (low, high int) {
	low = 1 << 10
	for _, b := range bars {
		for _, n := range b.notes {
			if n.note.Place.Fret > 0 {
				low, high = min(low, n.note.Place.Fret), max(high, n.note.Place.Fret)
			}
		}
	}
	return min(low, high), high
}

// A marker marks one tab.
type marker struct {
	student   *score.Score
	scale     *Scale
	low, high int
	key       scaleSet // of the task's bar
	report    Report
}

// shifted finds out whether the whole lies at another pitch, as when a string
// or a fret was taken for another, or the capo forgotten. It is said once and
// the notes are marked as if it were not so.
func (mk *marker) shifted(a, b []playedBar) {
	type struck struct {
		bar   int
		onset score.Quarters
		key   int
	}
	there := map[struck]bool{}
	notes := 0
	for i, bar := range a {
		for _, n := range bar.notes {
			if n.known {
				there[struck{i, n.onset, n.key}] = true
				notes++
			}
		}
	}
	hits := func(by int) int {
		h := 0
		for i, bar := range b {
			for _, n := range bar.notes {
				if n.known && there[struck{i, n.onset, n.key - by}] {
					h++
				}
			}
		}
		return h
	}
	best, most := 0, hits(0)
	for by := 1; by <= 24; by++ {
		for _, way := range [...]int{by, -by} {
			if h := hits(way); h > 2*most+2 && 2*h > notes {
				best, most = way, h
			}
		}
	}
	if best == 0 {
		return
	}
	way := "higher"
	if best < 0 {
		way = "lower"
	}
	mk.report.Whole = append(mk.report.Whole, fmt.Sprintf("Everything lies %s %s than the task: look at the tuning, the capo and where you began. The rest is marked as if it were not so.", count(max(best, -best), "semitone"), way))
	for i := range b {
		for k := range b[i].notes {
			if b[i].notes[k].known {
				b[i].notes[k].key -= best
			}
		}
	}
}

// bar marks one bar.
func (mk *marker) bar(want, have *playedBar) {
	switch {
	case want == nil:
		if len(have.notes) == 0 {
			return // an empty bar at the end is no fault
		}
		mk.report.Extra += len(have.notes)
		mk.report.Bars = append(mk.report.Bars, BarMark{Yours: have.name, Remarks: []Remark{{Kind: BarTooMany, Pos: mk.student.PosOf(have.notes[0].note.Src), Text: "this bar is not in the task"}}})
		return
	case have == nil:
		mk.report.Notes += len(want.notes)
		if len(want.notes) > 0 {
			mk.report.Bars = append(mk.report.Bars, BarMark{Bar: want.name, Notes: len(want.notes), Remarks: []Remark{{Kind: BarMissing, Text: "the whole bar is missing"}}})
		}
		return
	}
	mk.key = want.key
	bm := BarMark{Bar: want.name, Yours: have.name, Notes: len(want.notes)}
	say := func(kind Kind, n *played, beat, format string, args ...any) {
		r := Remark{Kind: kind, Beat: beat, Text: fmt.Sprintf(format, args...)}
		if n != nil {
			r.Pos = mk.student.PosOf(n.note.Src)
		}
		bm.Remarks = append(bm.Remarks, r)
	}
	if have.length != want.length {
		say(BarLength, nil, "", "your bar lasts %s, the task's %s", beatsText(have.length, have.beat), beatsText(want.length, want.beat))
	}
	for _, p := range align(want.notes, have.notes) {
		w, h := p[0], p[1]
		mk.note(&bm, w, h, want.beat, say)
		// In tab a note lasts to the next one; only where that is at the same
		// time for both is its length a matter of its own.
		if w != nil && h != nil && w.key == h.key && w.onset == h.onset && !h.guess && !w.guess && w.lasts != h.lasts && after(want.notes, w) == after(have.notes, h) {
			way := "long"
			if h.lasts.Less(w.lasts) {
				way = "short"
			}
			say(WrongRhythm, h, score.BeatName(w.onset, want.beat), "%s is too %s: %s in place of %s", where(h.note), way, lengthText(h.lasts), lengthText(w.lasts))
		}
	}
	mk.report.Notes += bm.Notes
	mk.report.Bars = append(mk.report.Bars, bm)
}

// note marks a note of the task, of the student, or a pair of them.
func (mk *marker) note(bm *BarMark, w, h *played, beat score.Quarters, say func(Kind, *played, string, string, ...any)) {
	switch {
	case h == nil:
		say(MissingNote, nil, score.BeatName(w.onset, beat), "%s is missing", where(w.note))
		return
	case w == nil:
		mk.report.Extra++
		say(ExtraNote, h, score.BeatName(h.onset, beat), "%s is not in the task%s", mk.wrong(h), mk.outside(h))
		return
	}
	at := score.BeatName(w.onset, beat)
	inTime := w.onset == h.onset
	switch {
	case w.key == h.key:
		if w.note.Place == h.note.Place {
			mk.report.InPlace++
		}
	case w.known && h.known && (w.key-h.key)%12 == 0:
		say(WrongOctave, h, at, "%s is the right note, but %s%s", where(h.note), octaves(h.key-w.key), mk.outside(h))
	case w.known && h.known && w.note.Place == h.note.Place: // a bend makes the difference
		for _, text := range touches(w.note, h.note) {
			say(WrongNote, h, at, "%s: %s%s", where(h.note), text, mk.outside(h))
		}
	default:
		say(WrongNote, h, at, "%s in place of %s%s%s", mk.wrong(h), where(w.note), slip(w, h), mk.outside(h))
	}
	if !inTime {
		off := h.onset.Sub(w.onset)
		way := "late"
		if off.Sign() < 0 {
			way, off = "early", off.Neg()
		}
		say(WrongRhythm, h, at, "%s comes %s %s, on beat %s", where(h.note), beatsText(off, beat), way, score.BeatName(h.onset, beat))
	}
	if w.key != h.key {
		return
	}
	if inTime {
		mk.report.Right++
		bm.Right++
	} else {
		mk.report.OffTime++
	}
	if w.note.Place != h.note.Place && w.known {
		if text := mk.outOfPosition(h); text != "" {
			say(OutOfReach, h, at, "the right note, but at string %d, fret %d in place of string %d, fret %d%s", h.note.Place.String, h.note.Place.Fret, w.note.Place.String, w.note.Place.Fret, text)
		} else {
			say(OtherPlace, h, at, "the right note, at string %d, fret %d in place of string %d, fret %d", h.note.Place.String, h.note.Place.Fret, w.note.Place.String, w.note.Place.Fret)
		}
	}
	for _, text := range touches(w.note, h.note) {
		say(WrongTouch, h, at, "%s: %s", where(h.note), text)
	}
}

// outside says that a note is none of the scale, or lies out of position.
func (mk *marker) outside(h *played) string {
	if mk.scale != nil && h.known && !mk.scale.Has(h.key) {
		return "; it is no note of " + mk.scale.Name
	}
	return mk.outOfPosition(h)
}

func (mk *marker) outOfPosition(h *played) string {
	if f := h.note.Place.Fret; f > 0 && (f < mk.low || f > mk.high) {
		return fmt.Sprintf("; that is outside of frets %d to %d", mk.low, mk.high)
	}
	return ""
}
