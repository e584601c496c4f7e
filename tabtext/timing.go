package tabtext

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
)

// A metre is the time signature in force as the timing needs it.
type metre struct {
	length  score.Quarters // of a bar; 0 if free
	unit    score.Quarters // of a count
	assumed bool
}

// A timer finds the times of the bars of a system.
type timer struct {
	sys    *system
	metre  metre
	first  bool // the next bar is the first of its part
	report func(d score.Diagnostic, col int)
	known  map[score.Quarters][]barParts // of bars of each length, for all timers of a text
	// counted reports what is said once, with how often it was found.
	counted func(code string, m *barMusic, col int, one, many string)
}

// parts are those of a bar of a length.
func (t *timer) parts(length score.Quarters) []barParts {
	p, ok := t.known[length]
	if !ok {
		p = parts(length)
		if t.known != nil {
			t.known[length] = p
		}
	}
	return p
}

// rhythmRow returns the row of counts or of letters of a system, nil for
// none. Counts win over letters.
func (s *system) rhythmRow(kind lineKind) *attached {
	for _, list := range [][]attached{s.below, s.above} {
		for i := range list {
			if list[i].kind == kind {
				return &list[i]
			}
		}
	}
	return nil
}

// timeAt returns the time of columns [from, to): of the anchor in them, else
// in proportion between the anchors around. exact tells whether there was one.
func (m *barMusic) timeAt(from, to int) (at score.Quarters, exact bool) {
	i, found := slices.BinarySearchFunc(m.anchors, from, func(a anchor, col int) int { return cmp.Compare(a.col, col) })
	if found || i < len(m.anchors) && m.anchors[i].col < to {
		return m.anchors[i].at, true
	}
	before, after := anchor{m.from, score.Quarters{}}, anchor{m.to, m.length}
	if i > 0 {
		before = m.anchors[i-1]
	}
	if i < len(m.anchors) {
		after = m.anchors[i]
	}
	if after.col <= before.col {
		return before.at, false
	}
	part := score.Q(int64(from-before.col), int64(after.col-before.col))
	span := after.at.Sub(before.at)
	return before.at.Add(snap(part, span)), false
}

// snap rounds a part of a span of time to the nearest sixteenth or, if the
// span is no whole number of them, to the nearest quarter of it. A part of less
// than the whole never becomes the whole.
func snap(part, span score.Quarters) score.Quarters {
	if span.Invalid() || span.Sign() <= 0 {
		return score.Quarters{}
	}
	step := score.Q(1, 4)
	if n := span.Div(step); n.Den() != 1 || n.Num() < 2 {
		step = span.Mul(score.Q(1, 4))
	}
	n := span.Mul(part).Div(step)
	at := step.Mul(score.Q((2*n.Num()+n.Den())/(2*n.Den()), 1))
	if part.Less(score.Q(1, 1)) && !at.Less(span) { // what stands before the end begins before it
		if at = span.Sub(step); at.Sign() <= 0 {
			at = span.Mul(score.Q(1, 2))
		}
	}
	return at
}

// durations sorts the events and lets each last until the next; time before
// the first is a rest. Groups at one time are not told apart by some small
// fraction: the later ones are moved on, see [barMusic.partCrowd].
func (t *timer) durations(m *barMusic) {
	slices.SortStableFunc(m.events, func(a, b timed) int { return a.onset.Cmp(b.onset) })
	if len(m.events) == 0 || m.events[0].onset.Sign() > 0 {
		m.events = slices.Insert(m.events, 0, timed{group: -1, col: m.from})
	}
	for i := 1; i < len(m.events); i++ {
		if !m.events[i-1].onset.Less(m.events[i].onset) {
			m.partCrowd(i)
		}
	}
	for i := range m.events {
		end := m.length
		if i+1 < len(m.events) {
			end = m.events[i+1].onset
		}
		m.events[i].dur = end.Sub(m.events[i].onset)
	}
}

// mostHalved is how many groups are moved on by halves. More of them are
// spread evenly: halves of halves come to an end of what numbers hold.
const mostHalved = 3

// partCrowd moves on the groups from i that are no later than the one before
// them.
func (m *barMusic) partCrowd(i int) {
	was, next := m.events[i-1].onset, m.length
	end := i
	for end < len(m.events) && !was.Less(m.events[end].onset) {
		end++
	}
	if end < len(m.events) {
		next = m.events[end].onset
	}
	parts := int64(1)
	for n := end - i; n > mostHalved && parts <= int64(n); {
		parts *= 2
	}
	for k := range m.events[i:end] {
		e := &m.events[i+k]
		if parts > 1 {
			e.onset = was.Add(next.Sub(was).Mul(score.Q(int64(k)+1, parts)))
		} else {
			e.onset = m.events[i+k-1].onset.Add(next).Mul(score.Q(1, 2))
		}
	}
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

func quartersText(q score.Quarters) string {
	if q == score.Q(1, 1) {
		return "1 quarter note"
	}
	return q.String() + " quarter notes"
}
