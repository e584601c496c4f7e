package tabtext

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// Where no metre is stated, bars that all hold as many even notes show one, if that
// number is not one of 4/4. Which beats they make is decided by what the bars
// show, all over the part.

// metreFromBars finds the metre that the columns of a part show where it states
// none, and why; nil where they show none or 4/4.
func (b *builder) metreFromBars(first int) (ts *score.TimeSignature, why string) {
	threes, even := newThrees(), newEvenBars()
	for i, s := range b.lay.systems[first:] {
		if s.strings() != b.cur.strings || i > 0 && b.lay.statedBetween(headTime, b.lay.systems[first+i-1], s) {
			break
		}
		if s.marksMetre() || s.rhythmRow(countLine) != nil || s.rhythmRow(letterLine) != nil || len(s.brackets()) > 0 || s.hasNumbers() || len(s.bars) < 2 && len(s.clusters) == 0 {
			return nil, ""
		}
		sc := &rowScanner{top: b.topFret(), legend: &b.lay.legend, odd: func(int, string) {}, doubt: func(score.Severity, string, int, string) {}}
		for k, br := range s.bars {
			m := readBar(s, br, sc)
			one := m.spaced(false, false)
			if len(one.offsets) == 0 || !one.rises() {
				continue
			}
			if i == 0 && k == 0 && len(s.bars) > 1 && 4*one.width <= 3*(s.bars[1].right-s.bars[1].left) {
				continue // a pickup
			}
			threes = threes.with(one)
			if even.add(s, m, one); len(threes) == 0 && !even.possible() {
				return nil, ""
			}
		}
	}
	if threes.found() {
		ts, _ = score.ParseMetre("3/4")
		return ts, "every bar has room for three quarter notes"
	}
	return even.metre()
}

// marksMetre tells whether a mark over a system states a metre.
func (s *system) marksMetre() bool {
	return slices.ContainsFunc(s.marks(), func(k mark) bool { return strings.HasPrefix(k.text, "time:") || strings.Contains(k.text, "/") })
}

// An evenBars gathers what bars of a part say of how many even notes they all
// hold, number by number.
type evenBars struct {
	by      map[int]*evenCount
	several int // bars of more than one note
}

// An evenCount is what speaks for so many notes to a bar.
type evenCount struct {
	full  int // bars that hold them all, or a rhythm of two beats of three
	cell  int // columns of a note, in the narrowest of the full bars
	votes int // for groups of three, less those for twos (for fours, of twelve notes)
}

// evenMetres are the metres of so many even notes to a bar, where each is an
// eighth. Common practice; of twelve and six below.
var evenMetres = map[int]string{3: "3/4", 5: "5/8", 6: "6/8", 7: "7/8", 9: "9/8", 10: "5/4", 11: "11/8", 12: "12/8", 13: "13/8", 14: "7/4", 15: "15/8"}

// wideNote is how many columns a note takes that is typed as a quarter note.
const wideNote = 4

func newEvenBars() *evenBars {
	e := &evenBars{by: map[int]*evenCount{}}
	for n := range evenMetres {
		e.by[n] = &evenCount{}
	}
	return e
}

// possible tells whether any number of notes is left.
func (e *evenBars) possible() bool { return len(e.by) > 0 }

// add takes a bar. Numbers that it does not hold are out.
func (e *evenBars) add(s *system, m *barMusic, b spaced) {
	gaps := m.spaced(true, false)
	if len(b.offsets) > 1 {
		e.several++
	}
	for n, c := range e.by {
		cell, fits := evenCell(b, n)
		if !fits && gaps.rises() {
			cell, fits = evenCell(gaps, n)
		}
		if !fits {
			delete(e.by, n)
			continue
		}
		switch {
		case len(b.offsets) == n:
			if c.full++; c.cell == 0 || cell < c.cell {
				c.cell = cell
			}
			if n == 6 || n == 12 {
				c.votes += m.groupVotes(s, 3, b) - m.groupVotes(s, map[int]int{6: 2, 12: 4}[n], b)
			}
		case n == 6 && cell > 0 && inTwoBeats(b, cell):
			c.full++
			c.votes++
		}
	}
}

// evenCell tells whether a bar has room for n even notes, all of its notes
// being some of these, and how many columns each takes. A full bar may be a
// column uneven, or two where they are wide, which is also how people set groups
// apart. A bar of one note is often typed short, and always fits, with no width.
func evenCell(b spaced, n int) (cell int, ok bool) {
	k := len(b.offsets)
	if b.offsets[0] > maxPad || k > n {
		return 0, false
	}
	if k == 1 {
		return 0, true
	}
	least, most := b.width, 0
	for i := 1; i < k; i++ {
		gap := b.offsets[i] - b.offsets[i-1]
		least, most = min(least, gap), max(most, gap)
	}
	spare := func(left, cell int) bool { // columns before the bar line
		if usual := n + 1; usual == 4 || usual == 8 || usual == 16 {
			return left >= -1 && 2*left < cell
		}
		return left >= -1 && 2*left <= cell
	}
	if k == n {
		even := most-least <= 1 || least >= wideNote && most-least <= 2
		room := b.width - b.offsets[k-1]
		return least, even && least > 1 && (spare(room-least, least) || spare(room-most, most))
	}
	for cell = least; cell > 1; cell-- {
		fits := spare(b.width-b.offsets[0]-n*cell, cell) && (b.offsets[k-1]-b.offsets[0])/cell < n
		for _, o := range b.offsets {
			fits = fits && (o-b.offsets[0])%cell == 0
		}
		if fits {
			return cell, true
		}
	}
	return 0, false
}

// inTwoBeats tells whether the notes of a bar of six parts make two beats of
// three: one begins with the second beat, and of those that last longer than a part
// one begins off the beats of three quarters.
func inTwoBeats(b spaced, cell int) bool {
	second, off := false, false
	for i, o := range b.offsets {
		at := (o - b.offsets[0]) / cell
		end := 6
		if i+1 < len(b.offsets) {
			end = (b.offsets[i+1] - b.offsets[0]) / cell
		}
		second = second || at == 3
		off = off || at%2 == 1 && end-at > 1
	}
	return second && off
}

// groupVotes counts what speaks for groups of so many notes in a bar of even
// ones: gaps between the groups, chords or low notes where they begin, strings or
// frets that come again, a line that does, chord symbols.
func (m *barMusic) groupVotes(s *system, size int, b spaced) int {
	var groups []*group
	for i := range m.groups {
		if !m.groups[i].grace {
			groups = append(groups, &m.groups[i])
		}
	}
	n := len(groups)
	begins := func(k int) bool { return k%size == 0 }
	only := func(mark func(k int) bool) bool { // just the beginnings have it
		for k := range n {
			if mark(k) != begins(k) {
				return false
			}
		}
		return true
	}
	again := func(same func(k, o int) bool) bool {
		all, alike := true, true
		for k := 0; k < n; k++ {
			alike = alike && same(0, k)
			all = all && (k < size || same(k-size, k))
		}
		return all && !alike
	}
	low := func(k int) int { // the lowest string, counted from the first
		row := 0
		for _, i := range groups[k].signs {
			if r := m.signs[i].row; !s.flipped {
				row = max(row, r)
			} else {
				row = max(row, len(s.rows)-1-r)
			}
		}
		return row
	}
	fret := func(k int) int { return m.signs[groups[k].signs[0]].fret }
	lowest, fullest := 0, 0
	for k := range n {
		lowest, fullest = max(lowest, low(k)), max(fullest, len(groups[k].signs))
	}
	inner, outer := 0, m.right-m.left // widest gap within a group, narrowest between two
	for k := 1; k < n; k++ {
		if gap := b.offsets[k] - b.offsets[k-1]; begins(k) {
			outer = min(outer, gap)
		} else {
			inner = max(inner, gap)
		}
	}
	up := func(k int) int { return (low(k)-low(k+1))*100 + fret(k+1) - fret(k) }
	line := true // it turns where groups begin, and only there
	for k := 0; k+2 < n; k++ {
		line = line && (up(k) > 0 == (up(k+1) > 0)) == (begins(k+1) == begins(k+2))
	}
	votes := 2*b2i(outer > inner) + b2i(only(func(k int) bool { return len(groups[k].signs) == fullest })) + b2i(only(func(k int) bool { return low(k) == lowest })) +
		b2i(again(func(k, o int) bool { return low(k) == low(o) })) + b2i(again(func(k, o int) bool { return low(k) == low(o) && fret(k) == fret(o) })) + b2i(line)
	for _, a := range s.above {
		if a.kind != chordLine {
			continue
		}
		for _, w := range wordsFrom(a.words, m.from+1) {
			if w.col >= m.to {
				break
			}
			for k := 1; k < n; k++ {
				votes += b2i(abs(w.col-groups[k].col) <= 1 && begins(k))
			}
		}
	}
	return votes
}

// metre is what the bars show: two of them at least, and half of those of
// several notes, hold all the notes. Six go by threes where nothing says otherwise,
// which is how most of them are meant (common practice). Twelve stay triplets of
// 4/4, which sound as 12/8 does on the same beats, unless they go by fours.
func (e *evenBars) metre() (ts *score.TimeSignature, why string) {
	best := 0
	for n, c := range e.by {
		if c.full >= 2 && 2*c.full >= e.several && n > best {
			best = n
		}
	}
	c := e.by[best]
	if c == nil {
		return nil, ""
	}
	name, more := evenMetres[best], ""
	switch {
	case best == 12 && c.votes < 0:
		name, more = "3/4", ", which go by fours"
	case best == 12:
		return nil, ""
	case best == 6 && c.votes < 0:
		name, more = "3/4", ", which go by twos"
	case best == 6 && c.votes > 0:
		more = ", which go by threes"
	case best == 6:
		more = ", and nothing says that they go by twos"
	case best == 5 && c.cell >= wideNote:
		name = "5/4"
	}
	ts, _ = score.ParseMetre(name)
	return ts, fmt.Sprintf("every bar has room for %d even notes%s", best, more)
}
