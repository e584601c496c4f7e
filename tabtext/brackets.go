package tabtext

import (
	"strings"

	"example.org/lickwright/score"
)

// A bracket is a tuplet bracket over or under the tab.
type bracket struct {
	from, to       int // logical columns
	actual, normal int
}

// brackets reads the tuplet brackets of a system, outer rows first.
func (s *system) brackets() []bracket {
	var out []bracket
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			if list[i].kind == tupletLine {
				out = append(out, readBrackets(&list[i], s.rows[0].shift)...)
			}
		}
	}
	return out
}

// readBrackets reads "|-3-|   |--5:4--|": each number reaches as far as its
// hyphens, or up to the upright strokes around it.
func readBrackets(a *attached, shift int) []bracket {
	var out []bracket
	ch := a.cells.ch
	in := func(i int, set string) bool {
		return i >= 0 && i < len(ch) && strings.IndexByte(set, ch[i]) >= 0
	}
	for i := 0; i < len(ch); i++ {
		if !isDigit(ch[i]) {
			continue
		}
		from, b := i, bracket{}
		b.actual, i = digitsAt(ch, i)
		if in(i, ":") && i+1 < len(ch) && isDigit(ch[i+1]) {
			b.normal, i = digitsAt(ch, i+1)
		}
		b.from, b.to = from, i
		for in(b.from-1, "-_") {
			b.from--
		}
		for in(b.to, "-_") {
			b.to++
		}
		l, r := from, i
		for in(l-1, "-_ ") {
			l--
		}
		for in(r, "-_ ") {
			r++
		}
		if in(l-1, "|+") && in(r, "|+") {
			b.from, b.to = l-1, r+1
		}
		b.from, b.to = b.from-shift, b.to-shift
		if b.actual >= 2 && b.actual <= 99 {
			if b.normal == 0 {
				b.normal = usualNormal(b.actual)
			}
			out = append(out, b)
		}
	}
	return out
}

// digitsAt reads a number and returns where it ends. More than three digits
// are no number of a tuplet; they give 0.
func digitsAt(ch []byte, i int) (n, end int) {
	for end = i; end < len(ch) && isDigit(ch[end]); end++ {
		n = min(10*n+int(ch[end]-'0'), 1000)
	}
	return n, end
}

// usualNormal is the number of notes whose time n notes of a tuplet take when
// only n is said: the next power of two below; two in the time of three and
// four in the time of three for the duplets of compound metres.
func usualNormal(n int) int {
	switch n {
	case 2, 4:
		return 3
	}
	p := 1
	for 2*p < n {
		p *= 2
	}
	return p
}

// tagTuplets gives the events of a bar the tuplets whose brackets hold their
// columns. ids numbers brackets across bars.
func tagTuplets(m *barMusic, brackets []bracket, id func(i int) int) {
	counts, sums := make([]int, len(brackets)), make([]score.Quarters, len(brackets))
	for i := range m.events {
		e := &m.events[i]
		for k, b := range brackets {
			if b.from > e.col || e.col >= b.to {
				continue
			}
			if counts[k] >= b.actual && sums[k].Den() == 1 && e.dur.Den() == 1 {
				continue // the bracket is full; it was drawn up to what follows
			}
			counts[k]++
			sums[k] = sums[k].Add(e.dur)
			e.tuplets = append(e.tuplets, score.Tuplet{ID: id(k), Actual: b.actual, Normal: b.normal})
		}
	}
}

// inferTuplets marks triplets where no bracket says so: events that lie in
// one beat (or two) and begin or last by thirds of it.
func inferTuplets(m *barMusic, next func() int) {
	for i := 0; i < len(m.events); {
		e := m.events[i]
		if e.onset.Den()%3 != 0 && e.dur.Den()%3 != 0 || len(e.tuplets) > 0 {
			i++
			continue
		}
		j, sum := i, score.Quarters{}
		for j < len(m.events) && sum.Den()%3 == 0 || j == i {
			if j == len(m.events) {
				break
			}
			sum = sum.Add(m.events[j].dur)
			j++
		}
		if sum.Den()%3 == 0 || e.onset.Den()%3 == 0 {
			i++
			continue
		}
		id := next()
		for ; i < j; i++ {
			m.events[i].tuplets = append(m.events[i].tuplets, score.Tuplet{ID: id, Actual: 3, Normal: 2})
		}
	}
}

// valueIn gives the written value of an event inside its tuplets.
func valueIn(dur score.Quarters, tuplets []score.Tuplet) score.NoteValue {
	for _, t := range tuplets {
		dur = dur.Mul(score.Q(int64(t.Actual), int64(t.Normal)))
	}
	return valueOf(dur)
}
