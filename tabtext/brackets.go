package tabtext

import (
	"slices"
	"sort"
	"strings"

	"example.org/lickwright/score"
)

// A bracket is a tuplet bracket over or under the tab.
type bracket struct {
	line           int // in source.lines
	from, to       int // logical columns
	actual, normal int
}

// brackets reads the tuplet brackets of a system, wide ones first, since one
// that holds another is the outer one.
func (s *system) brackets() []bracket {
	var out []bracket
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			if list[i].kind == tupletLine || list[i].mixed {
				out = append(out, readBrackets(&list[i], s.rows[0].shift)...)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b bracket) int { return (b.to - b.from) - (a.to - a.from) })
	return out
}

// bracketsByBar gives for each bar the brackets that reach over it, wide ones
// first.
func bracketsByBar(brackets []bracket, bars []*barMusic) [][]bracket {
	out := make([][]bracket, len(bars))
	for _, b := range brackets {
		first := sort.Search(len(bars), func(i int) bool { return bars[i].to > b.from })
		for i := first; i < len(bars) && bars[i].from < b.to; i++ {
			out[i] = append(out[i], b)
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
		from, b := i, bracket{line: a.line}
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
// columns. ids numbers brackets across bars. It returns the brackets that
// contradict the times of what they hold, or another bracket, and have no effect.
func tagTuplets(m *barMusic, brackets []bracket, id func(i int) int) (bad []int) {
	counts, sums := make([]int, len(brackets)), make([]score.Quarters, len(brackets))
	of := map[int]int{} // bracket of an id
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
			of[id(k)] = k
			e.tuplets = append(e.tuplets, score.Tuplet{ID: id(k), Actual: b.actual, Normal: b.normal})
		}
	}
	wrong := m.untrueTuplets()
	for t := range wrong {
		bad = append(bad, of[t])
	}
	m.dropTuplets(wrong)
	return bad
}

// A tupled is the length of a chord or rest and the tuplets that hold it.
type tupled struct {
	dur     score.Quarters
	tuplets []score.Tuplet
}

// untrueTuplets finds, in the chords and rests of a bar in order, the tuplets
// that no bracket can show: what they hold does not follow each other, they
// cross another, or their ratio does not make single note values of the times
// in them, nor a time of whole notes of them all.
func untrueTuplets(events []tupled) map[int]bool {
	var bad map[int]bool
	for {
		id := firstUntrue(events, bad)
		if id == 0 {
			return bad
		}
		if bad == nil {
			bad = map[int]bool{}
		}
		bad[id] = true
	}
}

func firstUntrue(events []tupled, bad map[int]bool) int {
	type reach struct{ id, from, to, level int }
	var all []reach
	for i, e := range events {
		level := 0
		for _, t := range e.tuplets {
			if bad[t.ID] {
				continue
			}
			k := slices.IndexFunc(all, func(r reach) bool { return r.id == t.ID })
			switch {
			case k < 0:
				all = append(all, reach{t.ID, i, i, level})
			case all[k].to != i-1 || all[k].level != level:
				return t.ID
			default:
				all[k].to = i
			}
			level++
		}
	}
	for k, r := range all {
		for _, o := range all[:k] {
			if r.from <= o.to && o.from <= r.to && (r.from < o.from || r.to > o.to || r.level <= o.level) {
				return r.id
			}
		}
		sum := score.Quarters{}
		for _, e := range events[r.from : r.to+1] {
			outer, inner := e.dur, e.dur
			inside := false
			for _, t := range e.tuplets {
				if bad[t.ID] {
					continue
				}
				inner = inner.Mul(score.Q(int64(t.Actual), int64(t.Normal)))
				if inside = inside || t.ID == r.id; !inside {
					outer = inner
				}
			}
			if !score.ValueOf(inner).Known {
				return r.id
			}
			sum = sum.Add(outer)
		}
		if den := sum.Den(); den <= 0 || den&(den-1) != 0 {
			return r.id
		}
	}
	return 0
}

func (m *barMusic) untrueTuplets() map[int]bool {
	events := make([]tupled, len(m.events))
	for i, e := range m.events {
		events[i] = tupled{e.dur, e.tuplets}
	}
	return untrueTuplets(events)
}

func (m *barMusic) dropTuplets(ids map[int]bool) {
	if len(ids) == 0 {
		return
	}
	for i := range m.events {
		m.events[i].tuplets = slices.DeleteFunc(m.events[i].tuplets, func(t score.Tuplet) bool { return ids[t.ID] })
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
	m.dropTuplets(m.untrueTuplets())
}

// valueIn gives the written value of an event inside its tuplets.
func valueIn(dur score.Quarters, tuplets []score.Tuplet) score.NoteValue {
	for _, t := range tuplets {
		dur = dur.Mul(score.Q(int64(t.Actual), int64(t.Normal)))
	}
	return score.ValueOf(dur)
}
