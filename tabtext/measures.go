package tabtext

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// measure turns a bar into a measure of the current part.
func (b *builder) measure(s *system, sys, index int, m *barMusic, lead []score.Event, marks []mark, sung []sungWord) {
	p := b.cur
	ref := func(col int) nodeRef {
		line, at := s.rows[0].where(max(col+s.rows[0].shift, 0))
		return nodeRef{line: int32(line), col: int32(at), sys: int32(sys), bar: int32(index), sign: -1}
	}
	at := func(kind nodeKind, col int) score.Common {
		r := ref(col)
		r.kind = kind
		return score.Common{Src: b.handle(r)}
	}
	ms := &score.Measure{Length: m.length}
	r := ref(m.from)
	r.kind = nodeMeasure
	ms.Src = b.handle(r)
	ms.Events = append(ms.Events, lead...)
	ms.Events = append(ms.Events, b.markEvents(s, sys, m, marks, false)...)
	if m.adopted != nil {
		m.adopted.Common = at(nodeAdopted, m.from)
		ms.Events = append(ms.Events, m.adopted)
	}
	ms.Nominal = m.nominal
	left, _ := s.clusterAt(m.from)
	if left.to == m.from && left.forward {
		ms.Events = append(ms.Events, &score.Barline{Common: at(nodeBarline, left.from), Repeat: score.Forward})
	}
	if m.start.Sign() > 0 {
		ms.Implicit = true
		ms.Number = "0"
	} else {
		p.numbered++
		ms.Number = strconv.Itoa(p.numbered)
	}
	m.number = ms.Number
	ms.Events = append(ms.Events, b.harmonies(s, sys, index, m)...)
	if m.repeat && len(p.part.Measures) > 0 {
		b.again(p, ms)
	} else {
		b.chords(s, sys, index, m, ms)
	}
	ms.Events = append(ms.Events, b.sing(s, sys, index, m, sung)...)
	if right, ok := s.clusterAt(m.to); ok && right.from == m.to {
		bl := &score.Barline{Common: at(nodeBarline, right.from)}
		bl.Onset = m.length
		if right.backward {
			bl.Repeat = score.Backward
			if bl.Times = b.times(s, right); bl.Times == 0 {
				bl.Times = b.timesInWords(s, sys)
			}
		} else if right.lines > 2 || right.lines == 2 && !right.forward {
			bl.Style = "light-light"
		}
		if bl.Repeat != score.NoRepeat || bl.Style != "" {
			ms.Events = append(ms.Events, bl)
		}
	}
	b.endings(s, sys, index, m, marks, ms)
	b.oneOfEach(ms)
	p.part.Measures = append(p.part.Measures, ms)
	ms.SortEvents()
}

// oneOfEach leaves one key, metre, tempo and neck for each time: the last, if
// the text states several.
func (b *builder) oneOfEach(ms *score.Measure) {
	for i := 0; i < len(ms.Events); i++ {
		e := ms.Events[i]
		kind := ""
		switch e.(type) {
		case *score.KeySignature:
			kind = "key"
		case *score.TimeSignature:
			kind = "metre"
		case *score.Tempo:
			kind = "tempo"
		case *score.NeckChange:
			kind = "neck"
		default:
			continue
		}
		later := slices.ContainsFunc(ms.Events[i+1:], func(o score.Event) bool {
			return fmt.Sprintf("%T", o) == fmt.Sprintf("%T", e) && o.At() == e.At()
		})
		if !later {
			continue
		}
		if kind != "neck" { // tuning, capo and frets are stated apart, and make one neck
			ref := b.nodes[e.Source()-1]
			b.noEffect(int(ref.line), int(ref.col), "another "+kind+" is stated for the same time")
		}
		ms.Events = slices.Delete(ms.Events, i, i+1)
		i--
	}
}

// again fills a bar of % with the music of the bar before it.
func (b *builder) again(p *partState, ms *score.Measure) {
	before := p.part.Measures[len(p.part.Measures)-1].Copy()
	ends := map[score.Span]bool{}
	for n := range score.Notes(before) {
		for _, t := range n.Techniques {
			if sp, ok := t.(score.Span); ok {
				ends[sp] = true
			}
		}
	}
	spans, tuplets := map[int]int{}, map[int]int{}
	fresh := func(ids map[int]int, id int, last *int) int {
		if ids[id] == 0 {
			*last++
			ids[id] = *last
		}
		return ids[id]
	}
	ms.Length = before.Length
	for c := range before.Chords() {
		for i := range c.Tuplets {
			c.Tuplets[i].ID = fresh(tuplets, c.Tuplets[i].ID, &p.tuplets)
		}
		for _, n := range c.Notes {
			n.TieStart, n.TieStop = false, false
			var kept []score.Technique
			for _, t := range n.Techniques {
				sp, ok := t.(score.Span)
				if ok {
					if !ends[score.Span{Kind: sp.Kind, ID: sp.ID, End: score.Start}] || !ends[score.Span{Kind: sp.Kind, ID: sp.ID, End: score.Stop}] {
						continue // its other end is in another bar
					}
					sp.ID = fresh(spans, sp.ID, &p.ids)
					t = sp
				}
				kept = append(kept, t)
			}
			n.Techniques = kept
		}
		ms.Events = append(ms.Events, c)
	}
}

// times finds x3 beside a closing repeat.
func (b *builder) times(s *system, cl cluster) int {
	for i := range s.rows {
		r := &s.rows[i]
		if cl.to == s.width {
			tail := strings.TrimSpace(string(r.cells.ch[min(r.end, len(r.cells.ch)):]))
			if word, _, _ := strings.Cut(tail, " "); word != "" {
				if n, ok := parseTail(word); ok {
					return n
				}
			}
		}
	}
	for _, a := range slices.Concat(s.above, s.below) {
		if a.kind != markLine && a.kind != chordLine {
			continue
		}
		for _, w := range wordsFrom(a.words, cl.from-4) {
			if w.col > cl.to+2 {
				break
			}
			if n, ok := parseTimes(w.text); ok && s.nearest(w.col) == cl {
				return n
			}
		}
	}
	return 0
}

// harmonies reads the chord symbols over a bar.
func (b *builder) harmonies(s *system, sys, index int, m *barMusic) []score.Event {
	var events []score.Event
	from, to := m.from, m.to
	if index == len(b.music[sys])-1 { // on the closing bar line, or beyond it
		to = 1 << 20
	}
	if index == 0 {
		from = -1 << 20
	} else if left, ok := s.clusterAt(m.from); ok {
		from = left.from
	}
	for _, list := range [][]attached{s.above, s.below} {
		for ai := range list {
			if list[ai].kind != chordLine {
				continue
			}
			words := list[ai].words
			for _, w := range wordsFrom(words, from-1) {
				if w.col >= to {
					break
				}
				if w.col < from && !early(b.music[sys], index-1, w) || index+1 < len(b.music[sys]) && early(b.music[sys], index, w) {
					continue // it stands before a bar line and means the bar after it
				}
				c, ok := readChordWord(w.text)
				if !ok || slices.Contains(list[ai].foreign, w) {
					continue
				}
				if w.col >= m.to {
					b.reportOnce(score.Info, "tab-chord-late", "", b.lay.src.at(list[ai].line, w.col+s.rows[0].shift),
						"the chord symbol "+w.text+" stands at the closing bar line or after it and is taken for the end of the last bar", "")
				}
				h := &score.Harmony{Chord: c.chord}
				h.Onset = m.harmonyTime(w.col, len(events) == 0 && m.start.IsZero())
				h.Src = b.handle(nodeRef{line: int32(list[ai].line), col: int32(w.col + s.rows[0].shift), sys: int32(sys), bar: int32(index),
					sign: -1, kind: nodeHarmony})
				events = append(events, h)
			}
		}
	}
	return events
}

// early tells whether a chord symbol begins in the last column of a bar that is
// timed by its spacing, where no note is: typed a column too far left, it belongs
// to the next bar.
func early(bars []*barMusic, index int, w word) bool {
	if index < 0 {
		return false
	}
	m := bars[index]
	if m.cut && index+1 < len(bars) && m.grid.cell > 1 {
		next := bars[index+1].onsets()
		return len(next) > 0 && next[0] == w.col+1 && !slices.Contains(m.onsets(), w.col)
	}
	if len(w.text) < 2 {
		return false
	}
	if w.col != m.left+(m.right-m.left)-1 || m.timing != bySpacing || m.cut {
		return false
	}
	return !slices.ContainsFunc(m.groups, func(g group) bool { return g.col <= w.col && w.col < g.end })
}

// harmonyTime gives the time of a chord symbol: of the note or count at its
// column or up to two columns beside it, else in proportion. The first of a bar
// that stands at no column of these, and within the first beat, is the bar's: it
// was typed a little late. So is one up to two columns behind the first note, if
// the bar is timed by its spacing.
func (m *barMusic) harmonyTime(col int, first bool) score.Quarters {
	at, exact := m.timeBeside(col)
	if m.timing == bySpacing && len(m.anchors) > 0 && col <= m.anchors[0].col+2 {
		exact = false
	}
	if first && !exact && at.Less(m.beat) {
		return score.Quarters{}
	}
	return at
}

// timeBeside is the time of the note or count that is nearest to a word; exact
// tells that it stands at its own column.
func (m *barMusic) timeBeside(col int) (at score.Quarters, exact bool) {
	best := -1
	for i, a := range m.anchors {
		if d := abs(a.col - col); d <= 2 && (best < 0 || d < abs(m.anchors[best].col-col)) {
			best = i
		}
	}
	if best >= 0 {
		return m.anchors[best].at, m.anchors[best].col == col
	}
	if len(m.anchors) > 0 && col < m.anchors[0].col && col < m.from+3 {
		return score.Quarters{}, false
	}
	at, _ = m.timeAt(max(col, m.from), max(col, m.from)+1)
	beat := score.Q(1, 1)
	beats := at.Add(beat.Mul(score.Q(1, 2))).Div(beat) // to the nearest beat
	at = beat.Mul(score.Q(beats.Num()/max(1, beats.Den()), 1))
	for at.Sign() > 0 && !at.Less(m.length) {
		at = at.Sub(beat)
	}
	if at.Sign() < 0 {
		return score.Quarters{}, false
	}
	return at, false
}

// finalBar makes a double bar line at the very end a final one.
func (b *builder) finalBar(p *partState) {
	if len(p.part.Measures) == 0 {
		return
	}
	last := p.part.Measures[len(p.part.Measures)-1]
	for _, e := range last.Events {
		if bl, ok := e.(*score.Barline); ok && bl.Style == "light-light" {
			bl.Style = "light-heavy"
		}
	}
}

// nearest returns the bar line nearest to a column.
func (s *system) nearest(col int) cluster {
	i := sort.Search(len(s.clusters), func(i int) bool { return s.clusters[i].from >= col })
	near := s.clusters[max(i-1, 0):min(i+1, len(s.clusters))]
	best := near[0]
	for _, cl := range near {
		if abs(cl.from-col) < abs(best.from-col) {
			best = cl
		}
	}
	return best
}
