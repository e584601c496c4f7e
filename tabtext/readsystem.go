package tabtext

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// scan reads the signs of all bars of a system.
func (b *builder) scan(s *system) []*barMusic {
	var bars []*barMusic
	sc := &rowScanner{top: b.topFret(), legend: &b.lay.legend}
	for _, br := range s.bars {
		sc.odd = func(col int, what string) {
			b.reportOnce(score.Warning, "tab-unknown-sign", what, b.sysAt(s, sc.index, col),
				"the sign "+strconv.Quote(what)+" is not known; it stays where it is and has no effect", "")
		}
		sc.doubt = func(sev score.Severity, code string, col int, what string) {
			b.reportOnce(sev, code, "", b.sysAt(s, sc.index, col), what, "")
		}
		m := readBar(s, br, sc)
		if len(m.signs) == 0 && !s.sounding(br) {
			continue
		}
		bars = append(bars, m)
	}
	return bars
}

// sounding tells whether a stretch between bar lines is a bar at all: it is
// at least two columns wide and holds hyphens.
func (s *system) sounding(b bar) bool {
	if b.to-b.from < 2 {
		return false
	}
	for i := range s.rows {
		for c := b.from; c < b.to; c++ {
			if p := c + s.rows[i].shift; p >= s.rows[i].start && p < s.rows[i].end && s.rows[i].cells.ch[p] == '-' {
				return true
			}
		}
	}
	return false
}

// metre returns the metre in force.
func (p *partState) metre() metre {
	m := metre{length: score.Q(4, 1), unit: score.Q(1, 1), assumed: p.time == nil}
	if p.time != nil {
		m.length, m.unit = p.time.Length, beatUnit(p.time)
	}
	return m
}

// system reads a system into the current part.
func (b *builder) system(s *system, index int) {
	for len(b.music) <= index {
		b.music = append(b.music, nil)
	}
	b.music[index] = b.scan(s)
	p := b.cur
	neck := b.settleNeck(s, index)
	b.rowReports(s)
	begin := b.beginEvents(index)
	if neck != nil {
		begin = append([]score.Event{neck}, begin...)
	}
	bars := b.music[index]
	letters := s.rhythmRow(letterLine)
	row := s.barNumbers(bars)
	s.loneNumber(bars)
	if row != nil && row.kind == barNumberLine {
		b.reportOnce(score.Info, "tab-bar-numbers", "", b.lay.src.at(row.line, row.words[0].col+s.rows[0].shift),
			"one number to each bar is read as the number of the bar, not as a count or an ending", "to count, write all beats: 1 2 3 4")
	}
	b.shiftCounts(s, bars)
	counts := s.rhythmRow(countLine)
	if counts != nil {
		bars = b.splitAtCounts(s, counts, bars)
		b.music[index] = bars
	}
	if p.time == nil && counts != nil && len(p.part.Measures) == 0 {
		if ts := b.metreFromCounts(index); ts != nil {
			ts.Src = b.handle(nodeRef{line: int32(counts.line), sys: int32(index), bar: -1, sign: -1, kind: nodeAssumed})
			p.time = ts
			begin = append(begin, ts)
			b.report(score.Info, "tab-metre-counts", b.lay.src.pos(counts.line, counts.words[0].col+s.rows[0].shift),
				"no metre is stated; the counts end alike in every bar, so it is read as "+ts.Metre(), "state the metre, as in Time: "+ts.Metre())
		}
	}
	if p.time == nil && counts == nil && letters == nil && len(p.part.Measures) == 0 && b.metreOfFirst(0) == nil {
		if ts, why := b.metreFromBars(index); ts != nil {
			ts.Src = b.handle(nodeRef{line: int32(s.rows[0].line), sys: int32(index), bar: -1, sign: -1, kind: nodeAssumed})
			p.time = ts
			begin = append(begin, ts)
			b.report(score.Warning, "tab-metre-doubt", b.sysPos(s, 0, s.begin),
				"no metre is stated; "+why+": it is read as "+ts.Metre(), "state the metre, as in Time: "+ts.Metre())
		}
	}
	brackets := s.brackets()
	if counts == nil && letters == nil && len(bars) == 1 && (s.unbarred() || len(brackets) == 0 && b.closedLine(s, bars[0], p.metre())) {
		bars = b.cutLine(s, bars[0], p.metre())
		b.music[index] = bars
	}
	if counts == nil && letters == nil {
		for _, m := range bars {
			if n := m.mergeRagged(); n > 0 {
				b.reportCounted("tab-chord-ragged", m, b.sysAt(s, 0, m.from), "a note stands a column beside its chord and is read with it", "%d bars have notes a column beside their chord, which are read with it")
			}
		}
	}
	t := &timer{
		sys:   s,
		known: b.knownParts,
		report: func(d score.Diagnostic, col int) {
			d.Pos = b.sysPos(s, 0, col)
			b.diags = append(b.diags, d)
		},
		counted: func(code string, m *barMusic, col int, one, many string) {
			b.reportCounted(code, m, b.sysAt(s, 0, col), one, many)
		},
	}
	marks := s.marks()
	b.chordRowReports(s)
	b.shortRows(s)
	b.absentReports(s)
	pool := spacePool{}
	flush := func() {
		if len(pool.bars) > 0 {
			t.first = pool.first
			t.metre = pool.metre
			t.timeBySpacing(pool.bars, brackets)
		}
		pool = spacePool{}
	}
	// Times first: bars in one metre that are read by spacing are read together.
	for i, m := range bars {
		for _, e := range b.markEvents(s, index, m, marks, true) {
			if ts, ok := e.(*score.TimeSignature); ok {
				flush()
				p.time = ts
			}
		}
		if ts := b.metreOfFirst(len(p.part.Measures) + i); ts != nil && (p.time == nil || p.time.Metre() != ts.Metre()) {
			flush()
			m.adopted = cloneTime(ts, score.Common{})
			p.time = m.adopted
		}
		t.metre, t.first = p.metre(), len(p.part.Measures) == 0 && i == 0
		m.nominal, m.beat = t.metre.length, p.time.TempoBeat()
		half := score.Quarters{}
		switch {
		case i == 0 && p.rest.Sign() > 0:
			half, p.rest = p.rest, score.Quarters{}
		case i == len(bars)-1 && i > 0 && b.goesOn(index):
			flush()
			if half = halfLength(bars[:i], m); half.Sign() > 0 {
				p.rest = m.nominal.Sub(half)
				b.report(score.Info, "tab-bar-split", b.sysPos(s, 0, m.from),
					"the bar goes on in the next system: it is read as two measures that make one bar together", "")
			}
		}
		switch {
		case half.Sign() > 0:
			flush()
			t.timeHalf(m, half)
			b.stats.inferred++
		case counts != nil && t.timeByCounts(m, counts):
		case letters != nil && t.timeByLetters(m, letters, brackets):
		default:
			if m.repeat && len(p.part.Measures)+i == 0 {
				m.repeat = false
				b.noEffect(s.rows[0].line, m.from+s.rows[0].shift, "a sign that repeats the bar before stands in the first bar")
			}
			if m.repeat {
				m.length = t.metre.length
				break
			}
			if len(pool.bars) == 0 {
				pool.metre, pool.first = t.metre, t.first
			}
			pool.bars = append(pool.bars, m)
			b.stats.inferred++
			if b.stats.firstLine == 0 {
				b.stats.firstLine = s.rows[0].line + 1
			}
			if p.time == nil {
				b.stats.assumedMetre = true
			}
		}
		b.stats.bars++
	}
	flush()
	b.saidGuesses(s, index, bars)
	b.numberReports(s, bars)
	bracketsBy := bracketsByBar(brackets, bars)
	sung := b.lyrics(s, index)
	for i, m := range bars {
		over := slices.Concat(bracketsBy[i], m.byNumbers)
		for _, k := range m.tupletsFrom(over, func() int { p.tuplets++; return p.tuplets }) {
			a := &over[k]
			b.noEffect(a.line, a.from+s.rows[0].shift, "a tuplet bracket does not fit the times of what it holds, or crosses another")
		}
		var lead []score.Event
		if i == 0 {
			lead = begin
		}
		b.measure(s, index, i, m, lead, marks, sung[i])
		m.events, m.anchors = nil, nil // they are in the measure now
	}
	b.extents(s, index)
}

// A spacePool gathers bars that are read by spacing together.
type spacePool struct {
	bars  []*barMusic
	metre metre
	first bool
}

// tupletsFrom marks the tuplets of a bar: those of its brackets or, if it has
// none, triplets that its times show. It returns the brackets that have no
// effect.
func (m *barMusic) tupletsFrom(brackets []bracket, next func() int) (bad []int) {
	if m.timing != bySpacing || m.bracketed {
		ids := map[int]int{}
		bad = tagTuplets(m, brackets, func(i int) int {
			if ids[i] == 0 {
				ids[i] = next()
			}
			return ids[i]
		})
	}
	if !slices.ContainsFunc(m.events, func(e timed) bool { return len(e.tuplets) > 0 }) {
		inferTuplets(m, next)
	}
	for i := range m.events {
		if !m.events[i].value.Known {
			m.events[i].value = valueIn(m.events[i].dur, m.events[i].tuplets)
		}
	}
	return bad
}
