package prove

import (
	"fmt"
	"slices"
	"strings"

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
	Right   int      // notes of the task that are there, at their time or not
	InTime  int      // of these, at their time
	InPlace int      // of these, on their string and fret
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

// A played is a note that is struck, with all it is held for.
type played struct {
	note  *score.Note
	onset score.Quarters
	lasts score.Quarters
	key   int // sounding
	known bool
	guess bool // its time was read from spacing
}

// A playedBar is the notes of a bar in order of time, low ones first.
type playedBar struct {
	name   string
	beat   score.Quarters
	length score.Quarters
	notes  []*played
	keys   []int // of the notes, sorted, once bars are paired
}

// play lists what a part strikes, bar by bar.
func play(p *score.Part) []playedBar {
	beats := p.BeatLengths()
	out := make([]playedBar, len(p.Measures))
	held := map[int]*played{}
	for i, m := range p.Measures {
		out[i] = playedBar{name: p.BarName(i), beat: beats[i], length: m.Length}
		for c := range m.Chords() {
			if c.Cue {
				continue
			}
			for _, n := range c.Notes {
				if was := held[n.Place.String]; n.TieStop && was != nil && was.note.Place == n.Place {
					was.lasts = was.lasts.Add(c.Duration)
					continue
				}
				key, known := heard(n)
				if !known {
					key = -1 - n.Place.String // dead notes are alike on a string
				}
				struck := &played{n, c.Onset, c.Duration, key, known, c.InferredTime}
				out[i].notes = append(out[i].notes, struck)
				held[n.Place.String] = struck
			}
		}
		slices.SortStableFunc(out[i].notes, inOrder)
	}
	return out
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
	r.Other = r.Notes >= fewNotes && 3*r.Right < r.Notes
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

// maxPairs is how many pairs of bars are compared; of longer pieces only those
// that lie near each other.
const maxPairs = 200_000

// pairBars pairs the bars of task and student in order, so that the notes that
// differ are the fewest; a bar alone has a nil partner.
func (mk *marker) pairBars(a, b []playedBar) [][2]*playedBar {
	n, m := len(a), len(b)
	near := max(n, m)
	if n*m > maxPairs {
		near = max(n-m, m-n) + maxPairs/max(n, m)
	}
	for _, bars := range [...][]playedBar{a, b} {
		for i := range bars {
			for _, n := range bars[i].notes {
				bars[i].keys = append(bars[i].keys, n.key)
			}
			slices.Sort(bars[i].keys)
		}
	}
	// A bar that has no partner costs as much as its notes; two bars what
	// they do not share.
	alone := func(x playedBar) int { return 2 + 2*len(x.notes) }
	const never = 1 << 40
	cost := make([][]int, n+1)
	differ := make([][]int, n+1)
	for i := range cost {
		cost[i] = make([]int, m+1)
		differ[i] = make([]int, m+1)
	}
	for i := n; i >= 0; i-- {
		for j := m; j >= 0; j-- {
			differ[i][j] = never
			if i < n && j < m && max(i-j, j-i) <= near {
				differ[i][j] = unlike(a[i], b[j])
			}
			switch {
			case i == n && j == m:
			case i == n:
				cost[i][j] = cost[i][j+1] + alone(b[j])
			case j == m:
				cost[i][j] = cost[i+1][j] + alone(a[i])
			default:
				cost[i][j] = min(cost[i+1][j+1]+differ[i][j], cost[i+1][j]+alone(a[i]), cost[i][j+1]+alone(b[j]))
			}
		}
	}
	var pairs [][2]*playedBar
	for i, j := 0, 0; i < n || j < m; {
		switch {
		case i < n && j < m && cost[i][j] == cost[i+1][j+1]+differ[i][j]:
			pairs = append(pairs, [2]*playedBar{&a[i], &b[j]})
			i, j = i+1, j+1
		case i < n && cost[i][j] == cost[i+1][j]+alone(a[i]):
			pairs = append(pairs, [2]*playedBar{&a[i], nil})
			i++
		default:
			pairs = append(pairs, [2]*playedBar{nil, &b[j]})
			j++
		}
	}
	return pairs
}

// unlike counts how far two bars differ: two for each note that one has and
// the other has not, one if only its time is another.
func unlike(a, b playedBar) int {
	both := common(a.keys, b.keys, func(x, y int) int { return x - y })
	inTime := common(a.notes, b.notes, inOrder)
	return max(len(a.notes), len(b.notes))*2 - both - min(inTime, both)
}

// common counts what two sorted lists have in common.
func common[T any](a, b []T, order func(T, T) int) int {
	n := 0
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch d := order(a[i], b[j]); {
		case d < 0:
			i++
		case d > 0:
			j++
		default:
			n, i, j = n+1, i+1, j+1
		}
	}
	return n
}

func inOrder(a, b *played) int {
	if d := a.onset.Cmp(b.onset); d != 0 {
		return d
	}
	return a.key - b.key
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
			say(WrongRhythm, h, score.BeatName(w.onset, want.beat), "%s is too %s: %s in place of %s", where(h.note), way, beatsText(h.lasts, want.beat), beatsText(w.lasts, want.beat))
		}
	}
	mk.report.Notes += bm.Notes
	mk.report.Bars = append(mk.report.Bars, bm)
}

// after returns when the next note of a bar is struck, 0 if none is.
func after(notes []*played, n *played) score.Quarters {
	for _, o := range notes {
		if n.onset.Less(o.onset) {
			return o.onset
		}
	}
	return score.Quarters{}
}

// note marks a note of the task, of the student, or a pair of them.
func (mk *marker) note(bm *BarMark, w, h *played, beat score.Quarters, say func(Kind, *played, string, string, ...any)) {
	switch {
	case h == nil:
		say(MissingNote, nil, score.BeatName(w.onset, beat), "%s is missing", where(w.note))
		return
	case w == nil:
		mk.report.Extra++
		say(ExtraNote, h, score.BeatName(h.onset, beat), "%s is not in the task%s", where(h.note), mk.outside(h))
		return
	}
	at := score.BeatName(w.onset, beat)
	inTime := w.onset == h.onset
	switch {
	case w.key == h.key:
		mk.report.Right++
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
		say(WrongNote, h, at, "%s in place of %s%s%s", where(h.note), where(w.note), slip(w, h), mk.outside(h))
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
		mk.report.InTime++
		bm.Right++
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

// slip names a likely slip of the finger.
func slip(w, h *played) string {
	a, b := w.note.Place, h.note.Place
	switch off := b.Fret - a.Fret; {
	case a.String == b.String && off != 0 && off >= -2 && off <= 2:
		way := "high"
		if off < 0 {
			way, off = "low", -off
		}
		return fmt.Sprintf(" (%s too %s)", count(off, "fret"), way)
	case a.Fret == b.Fret && a.String != b.String:
		return " (the right fret on another string)"
	}
	return ""
}

func octaves(off int) string {
	way := "high"
	if off < 0 {
		way, off = "low", -off
	}
	return fmt.Sprintf("%s too %s", count(off/12, "octave"), way)
}

// beatsText says a time in beats: "half a beat", "1 beat", "3/4 of a beat".
func beatsText(q, beat score.Quarters) string {
	n := q.Div(beat)
	switch {
	case n == score.Q(1, 2):
		return "half a beat"
	case n == score.Q(1, 1):
		return "1 beat"
	case n.Less(score.Q(1, 1)):
		return n.String() + " of a beat"
	case n.Den() == 1:
		return n.String() + " beats"
	}
	whole := n.Num() / n.Den()
	return fmt.Sprintf("%d+%s beats", whole, n.Sub(score.Q(whole, 1)))
}

// touches says which techniques are lacking and which are too many.
func touches(want, have *score.Note) []string {
	return differ(touchNames(want), touchNames(have))
}

// differ says what names are missing in b and which are too many.
func differ(a, b []string) []string {
	lacking := slices.DeleteFunc(slices.Clone(a), func(t string) bool { return slices.Contains(b, t) })
	extra := slices.DeleteFunc(slices.Clone(b), func(t string) bool { return slices.Contains(a, t) })
	if len(lacking) == 1 && len(extra) == 1 {
		return []string{extra[0] + " in place of " + lacking[0]}
	}
	var out []string
	for _, t := range lacking {
		out = append(out, t+" is missing")
	}
	for _, t := range extra {
		out = append(out, t+" is not asked for")
	}
	return out
}

// touchNames names the techniques of a note as players do, the end of a join
// with the note that it leads to.
func touchNames(n *score.Note) []string {
	var out []string
	joins := map[score.SpanKind]string{score.HammerOn: "the hammer-on to it", score.PullOff: "the pull-off to it", score.LegatoSlide: "the slide to it", score.ShiftSlide: "the slide to it"}
	marks := map[score.Mark]string{score.Vibrato: "vibrato", score.WideVibrato: "vibrato", score.PalmMuted: "palm muting", score.Dead: "the dead note", score.Tap: "tapping", score.Staccato: "staccato"}
	for _, t := range n.Techniques {
		name := ""
		switch t := t.(type) {
		case score.Span:
			if t.End == score.Stop {
				name = joins[t.Kind]
			}
		case score.Mark:
			name = marks[t]
		case score.Bend:
			name = "the bend"
			if t.Amount.Den() == 1 {
				name = fmt.Sprintf("the bend of %s", count(int(t.Amount.Num()), "semitone"))
			}
			if t.Release {
				name += " with release"
			}
		case score.Harmonic:
			name = "the harmonic"
		}
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// align pairs the notes of two bars in order of time, at the least cost: the
// same note at the same time costs nothing, at another time or place a little,
// another note at the same time more, and a note alone most.
func align(a, b []*played) [][2]*played {
	const alone, never = 12, 1 << 20
	price := func(w, h *played) int {
		switch {
		case w.key == h.key && w.onset == h.onset && w.note.Place == h.note.Place:
			return 0
		case w.key == h.key && w.onset == h.onset:
			return 1
		case w.key == h.key:
			return 6
		case w.onset == h.onset && w.known && h.known && (w.key-h.key)%12 == 0:
			return 9
		case w.onset == h.onset:
			return 10
		}
		return never
	}
	n, m := len(a), len(b)
	cost := make([][]int, n+1)
	for i := range cost {
		cost[i] = make([]int, m+1)
	}
	for i := n; i >= 0; i-- {
		for j := m; j >= 0; j-- {
			switch {
			case i == n:
				cost[i][j] = alone * (m - j)
			case j == m:
				cost[i][j] = alone * (n - i)
			default:
				cost[i][j] = min(cost[i+1][j+1]+price(a[i], b[j]), cost[i+1][j]+alone, cost[i][j+1]+alone)
			}
		}
	}
	var pairs [][2]*played
	for i, j := 0, 0; i < n || j < m; {
		switch {
		case i < n && j < m && cost[i][j] == cost[i+1][j+1]+price(a[i], b[j]):
			pairs = append(pairs, [2]*played{a[i], b[j]})
			i, j = i+1, j+1
		case i < n && cost[i][j] == cost[i+1][j]+alone:
			pairs = append(pairs, [2]*played{a[i], nil})
			i++
		default:
			pairs = append(pairs, [2]*played{nil, b[j]})
			j++
		}
	}
	return pairs
}

// name names a bar as both sides count it.
func (b BarMark) name() string {
	switch {
	case b.Bar == "":
		return "your bar " + b.Yours
	case b.Yours != "" && b.Yours != b.Bar:
		return fmt.Sprintf("bar %s (your bar %s)", b.Bar, b.Yours)
	}
	return "bar " + b.Bar
}

// Text writes the report for the student.
func (r Report) Text() string {
	var b strings.Builder
	for _, w := range r.Whole {
		b.WriteString(w + "\n")
	}
	if r.Other {
		fmt.Fprintf(&b, "Of %s of the task %d are there: is this the answer to another one?\n", count(r.Notes, "note"), r.Right)
		return b.String()
	}
	clean := 0
	worst, most := "", 0
	for _, bar := range r.Bars {
		if len(bar.Remarks) == 0 {
			clean++
			continue
		}
		if len(bar.Remarks) > most && bar.Notes > 0 {
			worst, most = bar.Bar, len(bar.Remarks)
		}
		if bar.Bar == "" || bar.Yours == "" { // the one remark says it all
			fmt.Fprintf(&b, "%s: %s\n", bar.name(), bar.Remarks[0].Text)
			continue
		}
		fmt.Fprintf(&b, "%s: %d of %s right\n", bar.name(), bar.Right, count(bar.Notes, "note"))
		for _, k := range bar.Remarks {
			if k.Beat == "" {
				fmt.Fprintf(&b, "  %s\n", k.Text)
			} else {
				fmt.Fprintf(&b, "  beat %s: %s\n", k.Beat, k.Text)
			}
		}
	}
	if r.Faults() == 0 {
		fmt.Fprintf(&b, "All %s right, in time and in place.\n", count(r.Notes, "note"))
	} else {
		fmt.Fprintf(&b, "In all: %d of %d notes right; of these %d in time and %d at their place", r.Right, r.Notes, r.InTime, r.InPlace)
		if r.Extra > 0 {
			fmt.Fprintf(&b, "; %s too many", count(r.Extra, "note"))
		}
		b.WriteString(".\n")
		fmt.Fprintf(&b, "Without a remark: %d of %s.", clean, count(len(r.Bars), "bar"))
		if worst != "" {
			fmt.Fprintf(&b, " Begin with bar %s, slowly.", worst)
		}
		b.WriteString("\n")
	}
	if r.Spaced {
		b.WriteString("The rhythm was read from the spacing of the tab, since it has no counts or letters.\n")
	}
	return b.String()
}
