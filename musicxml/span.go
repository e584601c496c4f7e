package musicxml

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// A spanID is one span of the model.
type spanID struct {
	kind score.SpanKind
	id   int
}

// partSpans are the spans of a part of the applied score.
type partSpans struct {
	// names are the IDs under which the spans are compared with those that were
	// read: a span between the same notes has the ID that it had.
	names map[spanID]int
	pages map[spanID]*spanPage // by those names
	// hands counts the spans of the hand on the neck that notation and tab show,
	// by kind.
	hands map[score.SpanKind]*shownCount
}

// A spanPage says where the page has ends of a span already, and under what
// numbers; 0 for nowhere.
type spanPage struct {
	ends          [2]*score.Note // start and stop
	notation, tab int
}

// spanEnds lists the spans of a part with their ends.
func spanEnds(part *score.Part) map[spanID][2]*score.Note {
	list := map[spanID][2]*score.Note{}
	if part == nil {
		return list
	}
	for n := range score.Notes(part) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok {
				ends := list[spanID{s.Kind, s.ID}]
				ends[s.End-score.Start] = n
				list[spanID{s.Kind, s.ID}] = ends
			}
		}
	}
	return list
}

// otherSpans is added to the IDs of spans that are not those that were read
// under the same IDs.
const otherSpans = 1 << 26

// spansOf finds the spans of a part and the ends of them that the page has and
// that stay.
func (ap *applier) spansOf(part *score.Part) *partSpans {
	if list, ok := ap.spans[part]; ok {
		return list
	}
	list := &partSpans{names: map[spanID]int{}, pages: map[spanID]*spanPage{}, hands: map[score.SpanKind]*shownCount{}}
	ap.spans[part] = list
	was, _ := ap.node[part.Src].(*score.Part)
	type between struct {
		kind     score.SpanKind
		from, to score.Handle
	}
	old := map[between]int{}
	taken := map[spanID]bool{}
	for k, ends := range spanEnds(was) {
		taken[k] = true
		if ends[0] != nil && ends[1] != nil {
			old[between{k.kind, ends[0].Src, ends[1].Src}] = k.id
		}
		ap.countHands(list, k, ends)
	}
	now := spanEnds(part)
	for k, ends := range now {
		if ends[0] == nil || ends[1] == nil {
			continue
		}
		if id, ok := old[between{k.kind, ends[0].Src, ends[1].Src}]; ok && ends[0].Src != 0 && ends[1].Src != 0 {
			list.names[k] = id
		} else if taken[k] {
			list.names[k] = k.id + otherSpans
		}
	}
	for k, ends := range now {
		pg := &spanPage{ends: ends}
		id := list.name(k)
		list.pages[spanID{k.kind, id}] = pg
		for i, n := range ends {
			if n == nil || n.Src == 0 {
				continue
			}
			was := ap.node[n.Src].(*score.Note)
			for j, u := range was.Techniques {
				if u != (score.Span{Kind: k.kind, ID: id, End: score.SpanEnd(i) + score.Start}) {
					continue
				}
				if e := ap.spanElement(ap.refs[n.Src].elem, was, j); e != none && id < twinSpans {
					pg.notation = ap.spanNumber(e)
				}
				if e := ap.spanElement(ap.refs[n.Src].twin, was, j); e != none {
					pg.tab = ap.spanNumber(e)
				}
			}
		}
	}
	return list
}

// countHands counts where a span that was read is shown.
func (ap *applier) countHands(list *partSpans, k spanID, ends [2]*score.Note) {
	n := ends[0]
	if n == nil || n.Src == 0 || ap.refs[n.Src].twin == none || !k.kind.KeepsString() {
		return
	}
	count := list.hands[k.kind]
	if count == nil {
		count = &shownCount{}
		list.hands[k.kind] = count
	}
	i := slices.Index(n.Techniques, score.Technique(score.Span{Kind: k.kind, ID: k.id, End: score.Start}))
	if ap.spanElement(ap.refs[n.Src].elem, n, i) != none && k.id < twinSpans {
		count.here++
	}
	if ap.spanElement(ap.refs[n.Src].twin, n, i) != none {
		count.there++
	}
}

// name returns the ID under which a span is compared with those that were read.
func (l *partSpans) name(k spanID) int {
	if id, ok := l.names[k]; ok {
		return id
	}
	return k.id
}

// named returns the techniques of a note with its spans under the IDs that they
// had when they were read.
func (ap *applier) named(part *score.Part, list []score.Technique) []score.Technique {
	spans := ap.spansOf(part)
	out := slices.Clone(list)
	for i, t := range out {
		if s, ok := t.(score.Span); ok {
			s.ID = spans.name(spanID{s.Kind, s.ID})
			out[i] = s
		}
	}
	return out
}

func (ap *applier) spanNumber(e int32) int {
	if n, err := strconv.Atoi(ap.x.attrOr(e, "number")); err == nil && 1 <= n && n <= 16 {
		return n
	}
	return 1
}

// spanElement finds the element of the i-th technique of a note, a span, in one
// of its note elements.
func (ap *applier) spanElement(note int32, was *score.Note, i int) int32 {
	if note == none {
		return none
	}
	te, ok := elementOf(was.Techniques[i], 1)
	if !ok {
		return none
	}
	return ap.techniqueElement(note, te.container, te.elems[0], ap.nth(was, i))
}

// placeSpan, given a span under the ID that it had, says whether a new end of a span is written in the notation or in
// the tab, and under what number: where its other end stands; else in the
// notation and, if it is one of the hand on the neck, in the tab too, as far as
// they show others of its kind.
func (ap *applier) placeSpan(part *score.Part, s score.Span, tab bool) (number int, ok bool) {
	spans := ap.spansOf(part)
	pg := spans.pages[spanID{s.Kind, s.ID}]
	if pg == nil {
		return 0, false
	}
	hands := spans.hands[s.Kind]
	if hands == nil {
		hands = &shownCount{1, 1}
	}
	if pg.notation > 0 || pg.tab > 0 {
		if tab {
			return pg.tab, pg.tab > 0
		}
		return pg.notation, pg.notation > 0
	}
	if tab {
		for _, n := range pg.ends {
			if n == nil || ap.leavesOut(part, n) {
				return 0, false
			}
		}
		return ap.freeNumber(s), s.Kind.KeepsString() && hands.there > 0
	}
	return ap.freeNumber(s), !s.Kind.KeepsString() || hands.here > 0 || hands.there == 0
}

// freeNumber numbers a span that is new, out of the way of the low numbers
// that programs use.
func (ap *applier) freeNumber(s score.Span) int { return 9 + s.ID%8 }

// leavesOut tells whether the tab of a part leaves out a note, since it is tied
// to from before.
func (ap *applier) leavesOut(part *score.Part, n *score.Note) bool {
	if !n.TieStop || !ap.untied[part.Src] {
		return false
	}
	if n.Src > 0 && ap.refs[n.Src].twin != none {
		was, ok := ap.node[n.Src].(*score.Note)
		return ok && !was.TieStop
	}
	return true
}
