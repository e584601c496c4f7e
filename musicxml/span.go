package musicxml

import (
	"strconv"

	"example.org/lickwright/score"
)

// A spanID is one span of the model.
type spanID struct {
	kind score.SpanKind
	id   int
}

// A spanPage says where the page has ends of a span already, and under what
// numbers; 0 for nowhere.
type spanPage struct {
	ends          [2]*score.Note // start and stop
	notation, tab int
}

// spansOf finds the spans of a part and the ends of them that the page has and
// that stay.
func (ap *applier) spansOf(part *score.Part) map[spanID]*spanPage {
	if list, ok := ap.spans[part]; ok {
		return list
	}
	list := map[spanID]*spanPage{}
	ap.spans[part] = list
	for n := range score.Notes(part) {
		for _, t := range n.Techniques {
			s, ok := t.(score.Span)
			if !ok {
				continue
			}
			k := spanID{s.Kind, s.ID}
			pg := list[k]
			if pg == nil {
				pg = &spanPage{}
				list[k] = pg
			}
			pg.ends[s.End-score.Start] = n
			if n.Src <= 0 || int(n.Src) >= len(ap.node) {
				continue
			}
			was, ok := ap.node[n.Src].(*score.Note)
			if !ok || !was.Has(t) {
				continue
			}
			for i, u := range was.Techniques {
				if u != t {
					continue
				}
				if e := ap.spanElement(ap.refs[n.Src].elem, was, i); e != none && s.ID < twinSpans {
					pg.notation = ap.spanNumber(e)
				}
				if e := ap.spanElement(ap.refs[n.Src].twin, was, i); e != none {
					pg.tab = ap.spanNumber(e)
				}
			}
		}
	}
	return list
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

// placeSpan says whether a new end of a span is written in the notation or in
// the tab, and under what number: where its other end stands; else in the
// notation and, if it is one of the hand on the neck, in the tab too.
func (ap *applier) placeSpan(part *score.Part, s score.Span, tab bool) (number int, ok bool) {
	pg := ap.spansOf(part)[spanID{s.Kind, s.ID}]
	if pg == nil {
		return 0, false
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
		return ap.freeNumber(s), s.Kind.KeepsString()
	}
	return ap.freeNumber(s), true
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
