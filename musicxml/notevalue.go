package musicxml

import (
	"math/bits"

	"example.org/lickwright/score"
)

// maxDots is the largest number of dots that a written value may get.
const maxDots = 2

// A tupletEdge is what a chord has to do with the tuplet that holds it, when
// the model does not say and its duration shows it.
type tupletEdge struct {
	ratios []score.Tuplet
	starts []score.Tuplet // brackets that begin at the chord
	stops  []score.Tuplet
}

// impliedTuplet returns the ratio that a duration needs to be written: the
// odd part of its denominator in the time of the next lower power of two.
func impliedTuplet(d score.Quarters) (actual, normal int, ok bool) {
	odd := d.Den() >> bits.TrailingZeros64(uint64(d.Den()))
	if odd <= 1 || odd > 1000 {
		return 0, 0, false
	}
	return int(odd), 1 << (bits.Len64(uint64(odd)) - 1), true
}

// tupletGroups finds the brackets of all tuplets in a part. Where the model
// names them, first and last chord of an ID are the edges; else chords of one
// ratio are grouped until they end on an even time.
func tupletGroups(p *score.Part) map[*score.Chord]tupletEdge {
	out := map[*score.Chord]tupletEdge{}
	next := 1 << 28 // IDs of implied tuplets
	for _, m := range p.Measures {
		first, last := map[int]*score.Chord{}, map[int]*score.Chord{}
		type voiceKey struct{ staff, voice int }
		open := map[voiceKey]*score.Tuplet{}
		for c := range m.Chords() {
			if c.Grace != score.NotGrace {
				continue
			}
			e := tupletEdge{ratios: c.Tuplets}
			if len(e.ratios) == 0 {
				k := voiceKey{c.Staff, c.Voice}
				a, n, ok := impliedTuplet(c.Duration)
				if !ok {
					delete(open, k)
					continue
				}
				if open[k] == nil || open[k].Actual != a {
					next++
					open[k] = &score.Tuplet{ID: next, Actual: a, Normal: n}
				}
				e.ratios = []score.Tuplet{*open[k]}
				if _, _, uneven := impliedTuplet(c.End()); !uneven {
					delete(open, k)
				}
			}
			for _, t := range e.ratios {
				if first[t.ID] == nil {
					first[t.ID] = c
				}
				last[t.ID] = c
			}
			out[c] = e
		}
		for c := range m.Chords() {
			e, ok := out[c]
			if !ok {
				continue
			}
			for _, t := range e.ratios {
				if first[t.ID] == c {
					e.starts = append(e.starts, t)
				}
				if last[t.ID] == c {
					e.stops = append(e.stops, t)
				}
			}
			out[c] = e
		}
	}
	return out
}

// ratio returns how much longer a chord is written than it sounds.
func ratio(ts []score.Tuplet) (actual, normal int64) {
	q := score.Q(1, 1)
	for _, t := range ts {
		q = q.Mul(score.Q(int64(t.Actual), int64(max(t.Normal, 1))))
	}
	return q.Num(), max(q.Den(), 1)
}

// valueOf finds the written value of a length, ok if there is one with at
// most maxDots dots.
func valueOf(q score.Quarters) (v score.NoteValue, ok bool) {
	for log := int8(-3); log <= 10; log++ {
		for dots := int8(0); dots <= maxDots; dots++ {
			v = score.NoteValue{Log: log, Dots: dots, Known: true}
			if v.Quarters() == q {
				return v, true
			}
		}
	}
	return score.NoteValue{}, false
}

// pieces cuts a length into written values to be tied together, the longest
// first. Lengths that no sum of values gives (finer than 1024ths) are ok =
// false.
func pieces(q score.Quarters) (values []score.NoteValue, ok bool) {
	if v, ok := valueOf(q); ok {
		return []score.NoteValue{v}, true
	}
	for log := int8(-3); log <= 10 && q.Sign() > 0; log++ {
		v := score.NoteValue{Log: log, Known: true}
		for v.Quarters().Cmp(q) <= 0 && len(values) < 64 {
			values = append(values, v)
			q = q.Sub(v.Quarters())
		}
	}
	return values, q.IsZero() && len(values) > 0
}

// typeName returns the standard's name of a value.
func typeName(v score.NoteValue) string {
	for name, log := range noteTypes {
		if log == v.Log {
			return name
		}
	}
	return ""
}
