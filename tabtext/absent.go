package tabtext

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// Many people leave out the rows of strings that are not played. A system with
// fewer rows than another of the same player, and with some of its labels in
// the same order, has the strings that bear these labels; the others are silent.
// One or two labelled rows are tab only so, or as strings of a guitar.

// findAbsent finds such systems, and takes out those of one or two rows that
// no other system explains.
func (l *layout) findAbsent() {
	guitar := guitarRows()
	systems := l.systems[:0:0]
	for i, s := range l.systems {
		s.of, s.at = nil, nil
		if s.named() {
			for _, k := range around(i, len(l.systems)) {
				o := l.systems[k]
				if len(o.rows) < fretboard.MinStrings && o.of == nil { // not read by itself
					continue
				}
				if len(o.rows) <= len(s.rows) || s.of != nil && len(o.rows) <= len(s.of.rows) || !o.named() || l.anotherPlayer(s, o) {
					continue
				}
				if at := placeLabels(s.rows, o.rows); at != nil {
					s.of, s.at = o, at
				}
				if s.of != nil && s.of.of != nil { // it lacks rows itself
					for i := range s.at {
						s.at[i] = s.of.at[s.at[i]]
					}
					s.of = s.of.of
				}
				if k < i && s.of != nil {
					break // the one before tells
				}
			}
			if s.of == nil && len(s.rows) < fretboard.MinStrings {
				if at := placeLabels(s.rows, guitar.rows); at != nil {
					s.of, s.at = guitar, at
				}
			}
		}
		if s.of == nil && len(s.rows) < fretboard.MinStrings {
			for _, r := range s.rows {
				l.unread = append(l.unread, r.line)
			}
			continue
		}
		systems = append(systems, s)
	}
	l.systems = systems
}

// hasTab tells whether a text has any system.
func hasTab(src *source) bool {
	l := &layout{src: src}
	l.systems, _ = findSystems(src, 0)
	l.findAbsent()
	return len(l.systems) > 0
}

// maxAround is how many systems before and after one are looked at.
const maxAround = 24

// around lists the indices near one: those before it from the nearest on, then
// those after it.
func around(i, n int) []int {
	var out []int
	for k := i - 1; k >= 0 && k >= i-maxAround; k-- {
		out = append(out, k)
	}
	for k := i + 1; k < n && k <= i+maxAround; k++ {
		out = append(out, k)
	}
	return out
}

// guitarRows is a system with the labels of a guitar.
func guitarRows() *system {
	s := &system{}
	preset, _ := fretboard.PresetByName("standard")
	for str := 1; str <= preset.Tuning.Len(); str++ {
		name := preset.Tuning.Open(str).NoteName
		text := name.String()
		if str == 1 {
			text = strings.ToLower(text)
		}
		s.rows = append(s.rows, row{label: label{text: text, name: name, named: true, octave: noOctave}})
	}
	return s
}

// placeLabels finds the rows of a whole system that have the labels of a part
// of it, in the same order; nil if there are none. Rows that follow each other
// are preferred, and lower ones.
func placeLabels(some, whole []row) []int {
	same := []func(a, b *label) bool{
		func(a, b *label) bool { return a.text == b.text },
		func(a, b *label) bool { return a.name.Class() == b.name.Class() },
	}
	for _, eq := range same {
		for from := len(whole) - len(some); from >= 0; from-- {
			at := make([]int, 0, len(some))
			for i := range some {
				if eq(&some[i].label, &whole[from+i].label) {
					at = append(at, from+i)
				}
			}
			if len(at) == len(some) {
				return at
			}
		}
		at, next := make([]int, 0, len(some)), 0
		for i := range some {
			for next < len(whole) && !eq(&some[i].label, &whole[next].label) {
				next++
			}
			if next < len(whole) {
				at = append(at, next)
			}
			next++
		}
		if len(at) == len(some) {
			return at
		}
	}
	return nil
}

// anotherPlayer tells whether a line between two systems names a player, or
// one stands right under the other like the staves of two: a bass under a
// guitar, say, with its bar lines under those.
func (l *layout) anotherPlayer(a, b *system) bool {
	if a.rows[0].line > b.rows[0].line {
		a, b = b, a
	}
	from, to := a.rows[len(a.rows)-1].lastLine()+1, b.rows[0].line
	if l.players == nil {
		l.players = l.playerLines()
	}
	if k, _ := slices.BinarySearch(l.players, from); k < len(l.players) && l.players[k] < to {
		return true
	}
	blank := to-from <= 1
	for line := from; line < to && blank; line++ {
		blank = isBlank(l.src.columns(line).ch)
	}
	if !blank || to-from > 1 || len(a.rows) < fretboard.MinStrings || len(b.rows) < fretboard.MinStrings {
		return false
	}
	return len(a.bars) > 1 && slices.EqualFunc(a.bars, b.bars, func(x, y bar) bool { return x.from == y.from && x.to == y.to })
}

// playerLines are the lines that name a player or a part.
func (l *layout) playerLines() []int {
	out := []int{}
	for line := range l.src.lines {
		c := l.src.columns(line)
		if len(c.ch) > maxHeaderLine {
			continue
		}
		text := c.show(skipQuote(c.ch), len(c.ch), l.src.html)
		if _, ok := partHeading(text); ok || strings.HasPrefix(strings.ToLower(strings.TrimSpace(text)), "part:") {
			out = append(out, line)
		}
	}
	return out
}

// strings is how many strings the instrument of a system has.
func (s *system) strings() int {
	if s.of != nil {
		return len(s.of.rows)
	}
	return len(s.rows)
}

// whole is the system whose labels name all strings.
func (s *system) whole() *system {
	if s.of != nil {
		return s.of
	}
	return s
}

// absentReports says which strings of a system have no row, and where the
// labels show that a row is missing.
func (b *builder) absentReports(s *system) {
	if s.of != nil {
		var names []string
		for i := range s.of.rows {
			if !slices.Contains(s.at, i) {
				names = append(names, s.of.rows[i].label.text)
			}
		}
		list := strings.Join(names, " ")
		b.reportOnce(score.Info, "tab-rows-absent", list, b.sysAt(s, 0, s.begin),
			fmt.Sprintf("the system has %d of %d rows: the strings without one (%s) are silent in it", len(s.rows), len(s.of.rows), list), "write Part: and a name before it if another instrument plays it")
		return
	}
	if len(b.cur.part.Measures) > 0 || !s.named() {
		return
	}
	if name, top, ok := b.missingRow(s); ok {
		where, row := "at the bottom", len(s.rows)-1
		if top {
			where, row = "on top", 0
		}
		b.report(score.Warning, "tab-row-missing", b.sysPos(s, row, s.begin),
			fmt.Sprintf("a row seems to be missing %s: the labels are those of %s without %s", where, "six strings", name), "add the row, empty if it is not played")
	}
}

// missingRow tells whether five labels are those of a tuning of six strings
// without its first or its last, and of no usual instrument of five.
func (b *builder) missingRow(s *system) (name string, top, ok bool) {
	if len(s.rows) != 5 {
		return "", false, false
	}
	t, flipped, fits := s.labelTuning()
	if !fits || t.Name != "" || !t.Sounds(b.cur.neck.Tuning) {
		return "", false, false
	}
	for i := range s.rows {
		if s.rows[i].label.octave != noOctave {
			return "", false, false
		}
	}
	for _, p := range fretboard.Presets() {
		if p.Tuning.Len() != 6 {
			continue
		}
		for _, from := range []int{1, 2} { // without the sixth, without the first
			match := true
			for str := range 5 {
				match = match && p.Tuning.Open(from+str).Class() == t.Open(str+1).Class()
			}
			if match {
				lost := p.Tuning.Open([]int{6, 1}[from-1]).NoteName.String()
				if from == 2 {
					lost = strings.ToLower(lost)
				}
				return lost, (from == 2) != flipped, true
			}
		}
	}
	return "", false, false
}

// unreadLines names the lines that look like tab and are not read.
func (b *builder) unreadLines() {
	lines := b.lay.unread
	if len(lines) == 0 {
		return
	}
	slices.Sort(lines)
	var text []string
	for _, l := range lines[:min(len(lines), maxPlaces)] {
		text = append(text, strconv.Itoa(l+1))
	}
	if len(lines) > maxPlaces {
		text = append(text, "…")
	}
	b.report(score.Warning, "tab-unread", b.lay.src.pos(lines[0], 0), "lines that look like tab are not read and stay as they are: "+strings.Join(text, ", "),
		"write the name of its string before each row, as in e|---, or all rows of the instrument")
}

// maxPlaces is how many places a report names.
const maxPlaces = 5
