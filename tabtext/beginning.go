package tabtext

import (
	"example.org/lickwright/score"
)

// metreOfFirst is the metre that begins a measure of the first part, for a
// part that a heading names and that is played with it; nil if none does.
func (b *builder) metreOfFirst(measure int) *score.TimeSignature {
	first := b.parts[0]
	if first == b.cur || !b.cur.headed || measure >= len(first.part.Measures) {
		return nil
	}
	for _, e := range first.part.Measures[measure].Events {
		if ts, ok := e.(*score.TimeSignature); ok {
			return ts
		}
	}
	return nil
}

// beginEvents makes the events that statements before a system bring.
func (b *builder) beginEvents(sys int) []score.Event {
	p := b.cur
	var events []score.Event
	first := len(p.part.Measures) == 0
	ref := func(h header) score.Common {
		return score.Common{Src: b.handle(nodeRef{line: int32(h.line), col: int32(h.at.from), sys: -1, bar: -1, sign: int32(h.index), kind: nodeHeader})}
	}
	assumed := func() score.Common {
		return score.Common{Src: b.handle(nodeRef{line: int32(b.lay.systems[sys].rows[0].line), sys: int32(sys), bar: -1, sign: -1, kind: nodeAssumed})}
	}
	// What an option says wins; the line that states otherwise still belongs to
	// it, so that it follows when the music changes.
	source := func(h header, stated bool) score.Common {
		if stated {
			return ref(h)
		}
		return assumed()
	}
	overruled := func(h header, stated bool, says, used string) {
		if stated && says != used {
			b.report(score.Info, "tab-option", b.lay.src.pos(h.line, h.at.from), "the text states "+says+", the options "+used+", which is used", "")
		}
	}
	if h, ok := lastKey(p.pending); first && b.opt.Key != nil {
		p.key = *b.opt.Key
		events = append(events, &score.KeySignature{Common: source(h, ok), Key: p.key, ModeSaid: true})
		overruled(h, ok, h.key.String(), p.key.String())
	} else if ok {
		p.key = h.key
		events = append(events, &score.KeySignature{Common: ref(h), Key: h.key, ModeSaid: h.mode})
		if h.prose {
			p.headedKeys = append(p.headedKeys, headedKey{h.key, h.mode, h.line, len(p.part.Measures)})
		}
	}
	if h, ok := lastOf(p.pending, headTime); first && b.opt.Time != "" {
		if ts, good := score.ParseMetre(b.opt.Time); good {
			p.time = cloneTime(ts, source(h, ok))
			events = append(events, p.time)
			if ok {
				overruled(h, ok, h.time.Metre(), ts.Metre())
			}
		}
	} else if ok {
		p.time = cloneTime(h.time, ref(h))
		events = append(events, p.time)
	}
	if h, ok := lastOf(p.pending, headTempo); first && b.opt.Tempo > 0 {
		events = append(events, &score.Tempo{Common: source(h, ok), QuartersPerMinute: b.opt.Tempo})
		overruled(h, ok, number(h.tempo), number(b.opt.Tempo))
	} else if ok {
		events = append(events, b.tempo(h, ref(h), h.line, h.at.from))
	}
	p.pending = nil
	return events
}

func cloneTime(t *score.TimeSignature, c score.Common) *score.TimeSignature {
	n := *t
	n.Common = c
	return &n
}
