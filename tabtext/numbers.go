package tabtext

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// Numbers of tuplets without brackets. A 3 over or under a group of three even
// notes is a triplet where the time of the bar comes out so; people put it at the middle of
// the group or at its first note.

// numberStands is where the numbers of a bar stand over their groups.
type numberStands int8

const (
	atMiddle numberStands = iota
	atFirst
)

// numbersOver gives the words of rows of tuplet numbers over or under a bar.
func (s *system) numbersOver(m *barMusic) []numberAt {
	var out []numberAt
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			if list[i].kind != numberLine {
				continue
			}
			for _, w := range wordsFrom(list[i].words, m.from) {
				if w.col >= m.to {
					break
				}
				n, _ := strconv.Atoi(w.text)
				out = append(out, numberAt{n, w.col, list[i].line})
			}
		}
	}
	return out
}

// A numberAt is a number of a tuplet at its column.
type numberAt struct{ n, col, line int }

// numberBrackets gives the brackets that stand for the numbers of a bar; nothing
// if one has no group of so many even notes of its own.
func (m *barMusic) numberBrackets(numbers []numberAt, stands numberStands) []bracket {
	var groups []*group
	for i := range m.groups {
		if !m.groups[i].grace {
			groups = append(groups, &m.groups[i])
		}
	}
	var out []bracket
	for _, k := range numbers {
		best, near := -1, 2 // a column beside is near enough
		for i := 0; i+k.n <= len(groups); i++ {
			at := groups[i].col
			if stands == atMiddle {
				at = (groups[i].col + groups[i+k.n-1].col) / 2
			}
			if d := abs(at - k.col); d < near && evenGroup(groups[i:i+k.n]) {
				best, near = i, d
			}
		}
		if best < 0 {
			return nil
		}
		out = append(out, bracket{line: k.line, from: groups[best].col, to: groups[best+k.n-1].end, actual: k.n, normal: usualNormal(k.n)})
	}
	slices.SortFunc(out, func(a, b bracket) int { return a.from - b.from })
	for i := 1; i < len(out); i++ {
		if out[i].from < out[i-1].to {
			return nil
		}
	}
	return out
}

// evenGroup tells whether notes stand in even steps, a column more or less.
func evenGroup(groups []*group) bool {
	least, most := 1<<30, 0
	for i := 1; i < len(groups); i++ {
		gap := groups[i].col - groups[i-1].col
		least, most = min(least, gap), max(most, gap)
	}
	return most-least <= 1
}

// timeByNumbers reads a bar by the numbers of tuplets over or under it, if that fits
// its columns better than an even grid (eight even notes stay so whatever 3 stands
// there) and each tuplet begins on its beat.
func (t *timer) timeByNumbers(m *barMusic, length score.Quarters) bool {
	numbers := t.sys.numbersOver(m)
	if len(numbers) == 0 {
		return false
	}
	_, plain := inferGrids([]spaced{m.spaced(false, false)}, t.parts(length))
	for _, stands := range []numberStands{atMiddle, atFirst} {
		brackets := m.numberBrackets(numbers, stands)
		if brackets == nil {
			continue
		}
		if groups, times, cost, ok := m.bracketTimes(brackets, length, t.parts(length), leastQuarter); ok && cost < plain-1e-9 && m.onBeats(brackets, groups, times) {
			t.setBracketed(m, groups, times, length)
			m.byNumbers = brackets
			return true
		}
	}
	return false
}

// leastQuarter is how many columns a quarter takes, at least, beside groups that have
// nothing but a number.
const leastQuarter = 2

// onBeats tells whether each tuplet begins where one as long may: at a multiple of
// its own time.
func (m *barMusic) onBeats(brackets []bracket, groups []int, times []score.Quarters) bool {
	for _, o := range m.bracketsOver(groups, brackets) {
		time := times[o.first+1].Sub(times[o.first]).Mul(score.Q(int64(o.actual), 1))
		if time.Sign() <= 0 || times[o.first].Div(time).Den() != 1 {
			return false
		}
	}
	return true
}

// numberReports says which numbers of tuplets have no effect.
func (b *builder) numberReports(s *system, bars []*barMusic) {
	for _, m := range bars {
		if numbers := s.numbersOver(m); len(numbers) > 0 && m.byNumbers == nil {
			b.reportOnce(score.Info, "tab-tuplet-numbers", "", b.lay.src.at(numbers[0].line, numbers[0].col+s.rows[0].shift),
				"numbers of tuplets without brackets fit no groups of even notes here, or not the time of the bar: they stay where they are; the rhythm is read from counts, letters or columns", "draw the brackets, as in |-3-|")
			return
		}
	}
}

// loneNumber takes a row that holds nothing but one 3 for the number of a triplet, not for
// a count or the number of a bar, if it stands at the middle of three even notes.
func (s *system) loneNumber(bars []*barMusic) {
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			a := &list[i]
			if a.kind != countLine && a.kind != barNumberLine || len(a.words) != 1 || a.words[0].text != "3" {
				continue
			}
			for _, m := range bars {
				if col := a.words[0].col; m.from <= col && col < m.to && m.numberBrackets([]numberAt{{3, col, a.line}}, atMiddle) != nil {
					a.kind = numberLine
				}
			}
		}
	}
}

func (s *system) hasNumbers() bool {
	is := func(a attached) bool { return a.kind == numberLine }
	return slices.ContainsFunc(s.above, is) || slices.ContainsFunc(s.below, is)
}
