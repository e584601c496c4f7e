package engrave

import (
	"example.org/lickwright/score"
)

// A span is what connects two heads of a staff; one end may be missing. Ties
// have the kind 0.
type span struct {
	kind     score.SpanKind
	from, to *head
}

// spansOf finds what connects the notes of a staff, in the order in which it
// begins.
func (c *collector) spansOf(n int) []*span {
	type spanKey struct {
		kind score.SpanKind
		id   int
	}
	type tieKey struct{ voice, str, midi int }
	var out []*span
	byID := map[spanKey]*span{}
	ties := map[tieKey]*span{}
	for _, b := range c.bars {
		for _, en := range b.entries {
			if en.staff != n {
				continue
			}
			for _, h := range en.heads {
				k := tieKey{en.chord.Voice, h.note.Place.String, h.note.Pitch.MIDI()}
				if h.note.TieStop && ties[k] != nil {
					ties[k].to = h
					delete(ties, k)
				}
				if h.note.TieStart {
					ties[k] = &span{from: h}
					out = append(out, ties[k])
				}
				for _, t := range h.note.Techniques {
					s, ok := t.(score.Span)
					if !ok {
						continue
					}
					key := spanKey{s.Kind, s.ID}
					if byID[key] == nil {
						byID[key] = &span{kind: s.Kind}
						out = append(out, byID[key])
					}
					if s.End == score.Start {
						byID[key].from = h
					} else {
						byID[key].to = h
					}
				}
			}
		}
	}
	return out
}
