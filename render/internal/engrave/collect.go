package engrave

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A staff is one set of strings on the page: a staff of a part that has a
// neck.
type staff struct {
	part   *score.Part
	index  int              // of the part in the score
	number int              // of the staff in the part
	necks  []fretboard.Neck // in each measure, at its end
}

// A when orders what happens in a bar: grace notes come before the notes at
// their onset, with ranks below 0.
type when struct {
	at    score.Quarters
	grace int
}

func (a when) cmp(b when) int { return cmp.Or(a.at.Cmp(b.at), cmp.Compare(a.grace, b.grace)) }

// A column is a moment of a bar in which something stands, in any staff.
type column struct {
	when
	left, right float64 // room that its things need beside x
	// The same of labels and the lines to write on, which stand below.
	labelLeft, labelRight float64
	x                     float64 // from the left edge of the page, once it is laid out
}

// An entry is a chord or rest of a voice in its column.
type entry struct {
	chord  *score.Chord
	staff  int
	col    int
	pieces []piece
	heads  []*head
	dx     float64 // from its column, to be clear of another voice
}

// A head is the number of a note on its string.
type head struct {
	note     *score.Note
	chord    *score.Chord
	staff    int
	bar, col int
	text     string
	half     float64 // half of its width
	small    bool
	dx       float64 // that of its entry
	// twin is a head of another voice that says the same at the same place,
	// and stands for this one too; twins are those that it stands for.
	twin  *head
	twins []*score.Note
	x, y  float64 // its middle, once the system is laid out; y from the first string
}

// A bar is one measure through all staves.
type bar struct {
	index        int
	cols         []*column
	entries      []*entry
	metre        *score.TimeSignature // printed at its beginning
	groups       []score.Quarters     // that are beamed together
	quarterBeats bool                 // eighths may be beamed by half bars
	tempoBeat    score.Quarters       // what its tempos count
	left, right  barEdge
	inner        []score.Quarters // bar lines inside of it
	length       score.Quarters
	// natural and least are widths between the columns and bar lines.
	natural, least float64
	extra          []float64 // room that texts need, by gap
	x0, x1         float64   // its bar lines, once laid out
}

// A barEdge is how a bar begins or ends.
type barEdge struct {
	style  string
	repeat score.Repeat
	times  int
	ending string
	// endingType is "start", "stop" or "discontinue".
	endingType string
}

type collector struct {
	score  *score.Score
	opt    Options
	staves []*staff
	bars   []*bar
}

func (c *collector) say(sev score.Severity, code string, src score.Handle, msg, hint string) {
	if c.opt.Report != nil {
		c.opt.Report(score.Diagnostic{Severity: sev, Code: code, Pos: c.score.PosOf(src), Msg: msg, Hint: hint})
	}
}

// collect finds the staves and sorts what is in each bar into columns.
func collect(s *score.Score, opt Options) *collector {
	c := &collector{score: s, opt: opt}
	length := 0
	for i, p := range s.Parts {
		found := c.stavesOf(i, p)
		if len(found) == 0 {
			c.say(score.Warning, CodeNoNeck, p.Src, fmt.Sprintf("part %q has no strings and frets and is left out of the tab", p.Name),
				"a part of one staff is fingered when it is read from a file of notation")
			continue
		}
		c.staves = append(c.staves, found...)
		length = max(length, len(p.Measures))
	}
	groups, quarterBeats := []score.Quarters{score.Q(1, 1)}, true
	tempoBeat := score.Q(1, 1)
	for i := range length {
		b := &bar{index: i, groups: groups, quarterBeats: quarterBeats}
		for _, st := range c.staves {
			if i < len(st.part.Measures) {
				c.edges(b, st.part.Measures[i])
			}
		}
		if b.metre != nil {
			groups, quarterBeats = beatGroups(b.metre)
			b.groups, b.quarterBeats = groups, quarterBeats
			tempoBeat = b.metre.TempoBeat()
		}
		b.tempoBeat = tempoBeat
		moments := map[when]bool{}
		for n, st := range c.staves {
			if i < len(st.part.Measures) {
				c.fill(b, n, st.part.Measures[i], moments)
			}
		}
		c.columns(b, moments)
		c.bars = append(c.bars, b)
	}
	return c
}

// stavesOf finds the staves of a part that have a neck and notes or rests.
func (c *collector) stavesOf(index int, p *score.Part) []*staff {
	var out []*staff
	for number := 1; number <= max(p.Staves, 1); number++ {
		st := &staff{part: p, index: index, number: number}
		var neck *fretboard.Neck
		placed := false
		first := 0
		for i, m := range p.Measures {
			for _, e := range m.Events {
				if e.OnStaff() != 0 && e.OnStaff() != number {
					continue
				}
				switch e := e.(type) {
				case *score.NeckChange:
					if neck == nil {
						first = i
					}
					neck = &e.Neck
				case *score.Chord:
					for _, n := range e.Notes {
						placed = placed || !n.Place.IsZero()
					}
				}
			}
			if neck == nil {
				st.necks = append(st.necks, fretboard.Neck{})
			} else {
				st.necks = append(st.necks, *neck)
			}
		}
		if neck == nil || !placed && number > 1 || neck.Tuning.Len() == 0 {
			continue
		}
		for i := range first { // before the first word on it
			st.necks[i] = st.necks[first]
		}
		out = append(out, st)
	}
	return out
}

// edges takes the metre and the bar lines of a measure.
func (c *collector) edges(b *bar, m *score.Measure) {
	if b.length.Less(m.Length) {
		b.length = m.Length
	}
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.TimeSignature:
			if b.metre == nil && e.Onset.IsZero() {
				b.metre = e
			}
		case *score.Barline:
			switch {
			case e.Onset.IsZero() && !m.Length.IsZero() && e.Repeat != score.Backward && e.EndingType != "stop" && e.EndingType != "discontinue":
				b.left.merge(e)
			case e.Onset.Cmp(m.Length) >= 0 || e.Repeat == score.Backward || e.EndingType == "stop" || e.EndingType == "discontinue":
				b.right.merge(e)
			default:
				b.inner = append(b.inner, e.Onset)
			}
		}
	}
}

func (e *barEdge) merge(b *score.Barline) {
	if b.Style != "" {
		e.style = b.Style
	}
	if b.Repeat != score.NoRepeat {
		e.repeat, e.times = b.Repeat, b.Times
	}
	if b.EndingType != "" {
		e.ending, e.endingType = b.Ending, b.EndingType
	}
}

// shown tells whether an event belongs to a staff.
func (st *staff) shown(e score.Event) bool {
	return e.OnStaff() == st.number || e.OnStaff() == 0
}

// fill sorts the chords of a measure of one staff.
func (c *collector) fill(b *bar, n int, m *score.Measure, moments map[when]bool) {
	st := c.staves[n]
	implied := impliedTuplets(m)
	graces := map[[2]any]int{} // still to come at an onset in a voice
	for ch := range m.Chords() {
		if st.shown(ch) && ch.Grace != score.NotGrace {
			graces[[2]any{ch.Onset, ch.Voice}]++
		}
	}
	for _, e := range m.Events {
		if !st.shown(e) {
			continue
		}
		switch e := e.(type) {
		case *score.Chord:
			w := when{at: e.Onset}
			if e.Grace != score.NotGrace {
				k := [2]any{e.Onset, e.Voice}
				w.grace = -graces[k]
				graces[k]--
			}
			en := &entry{chord: e, staff: n}
			if !e.Cue && e.Grace == score.NotGrace {
				en.pieces = c.cut(b, e, implied[e])
				for _, p := range en.pieces[1:] {
					moments[when{at: p.at}] = true
				}
			}
			moments[w] = true
			en.heads = c.heads(b, n, e)
			en.col = w.grace // resolved by columns
			b.entries = append(b.entries, en)
		case *score.Harmony, *score.Words, *score.Tempo:
			moments[when{at: e.At()}] = true
		}
	}
}

// columns makes the columns of all moments and sends the entries to theirs.
func (c *collector) columns(b *bar, moments map[when]bool) {
	for w := range moments {
		b.cols = append(b.cols, &column{when: w})
	}
	slices.SortFunc(b.cols, func(x, y *column) int { return x.when.cmp(y.when) })
	for _, en := range b.entries {
		en.col = b.colAt(when{en.chord.Onset, en.col})
		for _, h := range en.heads {
			h.col = en.col
		}
	}
}

// colAt returns the index of the column of a moment, or of the next one.
func (b *bar) colAt(w when) int {
	i, _ := slices.BinarySearchFunc(b.cols, w, func(col *column, w when) int { return col.when.cmp(w) })
	return min(i, max(len(b.cols)-1, 0))
}

// heads makes the numbers of a chord.
func (c *collector) heads(b *bar, n int, ch *score.Chord) []*head {
	st := c.staves[n]
	strings := st.necks[min(b.index, len(st.necks)-1)].Tuning.Len()
	var out []*head
	for _, note := range ch.Notes {
		h := &head{note: note, chord: ch, staff: n, bar: b.index, small: ch.Cue || ch.Grace != score.NotGrace}
		if note.Place.IsZero() || note.Place.String > strings {
			if note.Unpitched {
				c.say(score.Warning, CodeNoPlace, note.Src, fmt.Sprintf("bar %s: a note of no pitch has no place on the strings and is left out", st.part.BarName(b.index)), "")
				continue
			}
			c.say(score.Warning, CodeNoPlace, note.Src, fmt.Sprintf("bar %s: %s has no string and fret; its name stands over the strings", st.part.BarName(b.index), note.Pitch),
				"finger the part first")
		}
		h.text = headText(note)
		h.half = textWidth(h.text, h.size(), !h.small) / 2
		h.y = float64(note.Place.String-1) * stringGap
		out = append(out, h)
	}
	slices.SortStableFunc(out, func(a, b *head) int { return cmp.Compare(a.note.Place.String, b.note.Place.String) })
	return out
}

func (h *head) size() float64 {
	if h.small {
		return smallFret
	}
	return fretSize
}

// placed tells whether the head stands on a string.
func (h *head) placed() bool { return !h.note.Place.IsZero() }
