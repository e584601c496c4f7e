package tabtext

import (
	"slices"
	"sort"
	"strings"

	"example.org/lickwright/score"
)

// A mark is a word of a row of marks over a system.
type mark struct {
	word
	list int // index in system.above
}

// marks gathers the words of the rows of marks, in order of column and then of
// row.
func (s *system) marks() []mark {
	var out []mark
	for i, a := range s.above {
		if a.kind != markLine && a.kind != chordLine {
			continue
		}
		for _, w := range a.words {
			if a.kind == chordLine && !isMark(w.text) {
				continue
			}
			for _, text := range strings.Split(w.text, ";") {
				out = append(out, mark{word{w.col, text}, i})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b mark) int { return a.col - b.col })
	return out
}

// marksOf returns the marks over a bar, its left bar line included.
func (s *system) marksOf(m *barMusic, marks []mark) []mark {
	from := m.from
	if left, ok := s.clusterAt(m.from); ok && left.to == m.from {
		from = left.from
	}
	if m.from == s.bars[0].from { // what stands over the labels too
		from = -1 << 20
	}
	return marksIn(marks, from, m.to)
}

// marksIn gives the marks at columns [from, to), of marks in order of column.
func marksIn(marks []mark, from, to int) []mark {
	i := sort.Search(len(marks), func(i int) bool { return marks[i].col >= from })
	j := i + sort.Search(len(marks)-i, func(k int) bool { return marks[i+k].col >= to })
	return marks[i:j]
}

// markEvents makes the events that marks over a bar bring: metre, key, tempo
// and neck. timeOnly gives the metre alone, before times are known.
func (b *builder) markEvents(s *system, sys int, m *barMusic, marks []mark, timeOnly bool) []score.Event {
	var events []score.Event
	for _, k := range s.marksOf(m, marks) {
		key, value, found := strings.Cut(k.text, ":")
		if !found {
			if t, ok := score.ParseMetre(k.text); ok && strings.Contains(k.text, "/") {
				key, value = "time", k.text
				_ = t
			} else {
				continue
			}
		}
		if timeOnly && key != "time" {
			continue
		}
		common := score.Common{}
		if !timeOnly {
			a := s.above[k.list]
			common.Src = b.handle(nodeRef{line: int32(a.line), col: int32(k.col + s.rows[0].shift), sys: int32(sys), bar: -1, sign: -1, kind: nodeMark})
			if key != "time" {
				common.Onset, _ = m.timeBeside(k.col)
			}
		}
		e, bad, hint := b.markEvent(key, value, common, s.above[k.list].line, k.col+s.rows[0].shift)
		if n, ok := e.(*score.NeckChange); ok && len(events) > 0 {
			if before, ok := events[len(events)-1].(*score.NeckChange); ok && before.Onset == n.Onset {
				before.Neck = n.Neck
				continue
			}
		}
		if e != nil {
			events = append(events, e)
		} else if !timeOnly && bad != "" {
			b.report(score.Warning, "tab-header", b.lay.src.pos(s.above[k.list].line, k.col+s.rows[0].shift), bad, hint)
		}
	}
	return events
}

func (b *builder) markEvent(key, value string, c score.Common, line, col int) (e score.Event, bad, hint string) {
	h := header{text: strings.ReplaceAll(value, ",", " ")}
	switch key {
	case "time":
		h.kind, h.text = headTime, value
	case "key":
		h.kind = headKey
	case "tempo":
		h.kind = headTempo
	case "capo":
		h.kind = headCapo
	case "frets":
		h.kind = headFrets
	case "tuning":
		h.kind = headTuning
	}
	h.parse()
	if h.bad != "" {
		return nil, h.bad, h.hint
	}
	p := b.cur
	switch h.kind {
	case headTime:
		return cloneTime(h.time, c), "", ""
	case headKey:
		p.key = h.key
		return &score.KeySignature{Common: c, Key: h.key, ModeSaid: h.mode}, "", ""
	case headTempo:
		return b.tempo(h, c, line, col), "", ""
	}
	neck := p.neck
	switch h.kind {
	case headCapo:
		neck.Capo = h.number
	case headFrets:
		neck.Frets = h.number
	case headTuning:
		if h.tuning.Len() != neck.Tuning.Len() {
			return nil, "the tuning has another number of strings than the tab", "begin another part for it"
		}
		neck.Tuning = h.tuning
	}
	if err := neck.Validate(); err != nil {
		return nil, err.Error(), ""
	}
	if neck.Equal(p.neck) && neck.Tuning.String() == p.neck.Tuning.String() {
		return nil, "", ""
	}
	p.neck = neck
	return &score.NeckChange{Common: c, Neck: neck}, "", ""
}

// endings reads brackets of first and second endings over a bar.
func (b *builder) endings(s *system, sys, index int, m *barMusic, marks []mark, ms *score.Measure) {
	p := b.cur
	to := m.to
	if right, ok := s.clusterAt(m.to); ok && right.from == m.to {
		to = right.to
	}
	started := false
	for _, k := range s.marksOf(m, marks) {
		if numbers, closed, ok := parseEnding(k.text); ok {
			if started {
				b.noEffect(s.above[k.list].line, k.col+s.rows[0].shift, "a second ending begins in one bar")
				continue
			}
			started = true
			if p.ending != "" {
				b.closeEnding(p)
			}
			p.ending, p.unclosed = numbers, !closed && !b.endingCloses(sys, k, marks)
			bl := barlineAt(ms, score.Quarters{}, b.handle(nodeRef{line: int32(s.above[k.list].line), col: int32(k.col + s.rows[0].shift), sys: int32(sys), bar: int32(index), sign: -1, kind: nodeBarline}))
			bl.Ending, bl.EndingType = numbers, "start"
			if closed {
				b.endEnding(ms, m, k, s, sys, index, "stop")
			}
		}
	}
	for _, k := range marksIn(marks, m.from, to+1) {
		if (k.text == "]" || k.text == "]>") && p.ending != "" {
			kind := "stop"
			if k.text == "]>" {
				kind = "discontinue"
			}
			b.endEnding(ms, m, k, s, sys, index, kind)
		}
	}
	// An ending without a sign at its end lasts until the repeat goes back, the
	// next one begins or the double bar line; the last lasts one bar.
	if p.ending == "" || !p.unclosed {
		return
	}
	next := false
	for _, k := range marksIn(marks, m.to, to+4) {
		_, _, ok := parseEnding(k.text)
		next = next || ok
	}
	right, ok := s.clusterAt(m.to)
	switch {
	case next, ok && right.from == m.to && (right.backward || right.lines > 1 && p.ended), p.ended && !s.moreBackward(m.to):
		bl := barlineAt(ms, m.length, b.handle(nodeRef{line: int32(s.rows[0].line), col: int32(max(m.to+s.rows[0].shift, 0)), sys: int32(sys), bar: int32(index), sign: -1, kind: nodeBarline}))
		bl.Ending, bl.EndingType = p.ending, "stop"
		if bl.Repeat == score.NoRepeat && !next && bl.Style == "" {
			bl.EndingType = "discontinue"
		}
		p.ending, p.ended = "", true
	}
}

// endingCloses tells whether a sign, in this system or a later one, says where
// an ending that begins at a mark stops.
func (b *builder) endingCloses(sys int, from mark, marks []mark) bool {
	for first := true; ; first = false {
		if first {
			marks = marksIn(marks, from.col+1, 1<<30)
		}
		for _, k := range marks {
			if k.text == "]" || k.text == "]>" {
				return true
			}
			if _, _, ok := parseEnding(k.text); ok {
				return false
			}
		}
		if sys++; sys == len(b.lay.systems) {
			return false
		}
		marks = b.lay.systems[sys].marks()
	}
}

// moreBackward tells whether a repeat goes back in the system at a column or
// after it.
func (s *system) moreBackward(from int) bool {
	return slices.ContainsFunc(s.clusters, func(c cluster) bool { return c.backward && c.from >= from })
}

func (b *builder) endEnding(ms *score.Measure, m *barMusic, k mark, s *system, sys, index int, kind string) {
	bl := barlineAt(ms, m.length, b.handle(nodeRef{line: int32(s.above[k.list].line), col: int32(k.col + s.rows[0].shift), sys: int32(sys), bar: int32(index), sign: -1, kind: nodeBarline}))
	bl.Ending, bl.EndingType = b.cur.ending, kind
	b.cur.ending = ""
}

// closeEnding ends an ending that nothing in the text ends with the last bar
// that was read.
func (b *builder) closeEnding(p *partState) {
	if n := len(p.part.Measures); p.ending != "" && n > 0 {
		last := p.part.Measures[n-1]
		ref := b.nodes[last.Src-1]
		ref.kind = nodeBarline
		bl := barlineAt(last, last.Length, b.handle(ref))
		bl.Ending, bl.EndingType = p.ending, "discontinue"
	}
	p.ending = ""
}

// barlineAt finds the bar line event of a measure at an end, or makes it.
func barlineAt(ms *score.Measure, at score.Quarters, src score.Handle) *score.Barline {
	for _, e := range ms.Events {
		if bl, ok := e.(*score.Barline); ok && bl.Onset == at && (bl.Repeat == score.Forward) == at.IsZero() {
			return bl
		}
	}
	bl := &score.Barline{Common: score.Common{Onset: at, Src: src}}
	first := len(ms.Events)
	if at.IsZero() { // before the music that begins with it
		first = slices.IndexFunc(ms.Events, func(e score.Event) bool {
			switch e.(type) {
			case *score.Chord, *score.Harmony:
				return true
			}
			return false
		})
		if first < 0 {
			first = len(ms.Events)
		}
	}
	ms.Events = slices.Insert(ms.Events, first, score.Event(bl))
	return bl
}
