package transform

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// write puts lines back into the bars of a part in place of the chords that
// it has. Tones are cut at bar lines and into note values, and tied; times
// that no note value has become tuplets; what is silent is filled with rests.
// Music beyond the last bar makes further bars of its metre.
func (v *varied) write() {
	v.extend()
	begins := starts(v.part)
	for _, m := range v.part.Measures {
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.Chord); return ok })
	}
	v.tuplets = 0
	silent := make([]bool, len(v.part.Measures))
	for i := range silent {
		silent[i] = true
	}
	if len(v.lines) == 0 {
		v.lines = []*phraseLine{{key: voiceKey{1, 1}}}
	}
	for k, l := range v.lines {
		next := 0
		for i, m := range v.part.Measures {
			b := &barWriter{v: v, key: l.key, measure: m, start: begins[i], end: begins[i+1], beat: v.rep.beats[min(i, len(v.rep.beats)-1)]}
			for next < len(l.tones) && l.tones[next].at.Less(b.end) {
				b.tone(l.tones[next])
				if b.end.Less(l.tones[next].end()) {
					break
				}
				next++
			}
			if k == 0 || b.any {
				b.rest(m.Length)
			}
			b.group()
		}
	}
	for _, m := range v.part.Measures {
		m.SortEvents()
	}
}

// extend adds bars until all music has room.
func (v *varied) extend() {
	var last score.Quarters
	for _, l := range v.lines {
		for _, t := range l.tones {
			if last.Less(t.end()) {
				last = t.end()
			}
		}
	}
	begins := starts(v.part)
	total := begins[len(begins)-1]
	ids := len(v.part.Measures)
	for total.Less(last) {
		final := takeFinalBarline(v.part.Measures[len(v.part.Measures)-1])
		before := v.part.Measures[len(v.part.Measures)-1]
		m := &score.Measure{Length: before.Nominal, Nominal: before.Nominal}
		if m.Length.Sign() <= 0 {
			m.Length = before.Length
		}
		if n, err := strconv.Atoi(before.Number); err == nil {
			m.Number = strconv.Itoa(n + 1)
		}
		if final != nil {
			final.Onset = m.Length
			m.Events = append(m.Events, final)
		}
		v.longer = true
		v.part.Measures = append(v.part.Measures, m)
		v.rep.beats = append(v.rep.beats, v.rep.beats[len(v.rep.beats)-1])
		total = total.Add(m.Length)
		if len(v.part.Measures) > ids+maxBars {
			break
		}
	}
}

// maxBars bounds how many bars a variation may add.
const maxBars = 20000

// A barWriter writes one voice into one bar.
type barWriter struct {
	v          *varied
	key        voiceKey
	measure    *score.Measure
	start, end score.Quarters // of the bar, from the start of the part
	beat       score.Quarters
	now        score.Quarters // from the start of the bar
	list       []*score.Chord
	any        bool
}

// tone writes what of a tone lies in the bar.
func (b *barWriter) tone(t *phraseTone) {
	b.any = true
	from, to := t.at.Sub(b.start), t.end().Sub(b.start)
	begins, ends := from.Sign() >= 0, !b.end.Less(t.end())
	if !begins {
		from = score.Quarters{}
	}
	if b.measure.Length.Less(to) {
		to = b.measure.Length
	}
	b.rest(from)
	if begins {
		for _, g := range t.graces {
			b.put(g, from, score.Quarters{})
		}
	}
	pieces := b.pieces(from, to, false)
	for i, d := range pieces {
		c := t.chord
		if i > 0 || !begins || b.v.home[c] != b.measure.Src {
			// A chord that goes to another bar is a new one there: a document
			// cannot move what it may have to take out with its old bar.
			c = score.CopyEvent(t.chord).(*score.Chord)
			c.Tremolo = 0
		}
		v := &piece{first: begins && i == 0, last: ends && i == len(pieces)-1}
		b.v.pieces[c] = v
		b.v.of[c] = t
		b.put(c, from, d)
		from = from.Add(d)
	}
}

// A piece tells which part of a tone a chord is.
type piece struct{ first, last bool }

// put places a chord.
func (b *barWriter) put(c *score.Chord, at, length score.Quarters) {
	c.Onset, c.Duration, c.Staff, c.Voice = at, length, b.key.staff, b.key.voice
	c.Tuplets, c.InferredTime, c.WholeMeasure = nil, false, false
	if c.Grace == score.NotGrace {
		c.Value = score.ValueOf(length)
		b.now = at.Add(length)
	}
	b.list = append(b.list, c)
}

// rest fills the bar with rests up to a time.
func (b *barWriter) rest(to score.Quarters) {
	if b.now.IsZero() && to == b.measure.Length && len(b.list) == 0 {
		b.put(&score.Chord{}, score.Quarters{}, to)
		c := b.list[0]
		c.WholeMeasure, c.Value = true, score.NoteValue{}
		return
	}
	from := b.now
	for _, d := range b.pieces(from, to, true) {
		b.put(&score.Chord{}, from, d)
		from = from.Add(d)
	}
}

// pieces cuts a stretch of the bar into note values that are tied: as few as
// will do, cut at beats where there is a choice. A stretch that does not begin
// and end on a binary division stays whole where it is part of a tuplet.
func (b *barWriter) pieces(from, to score.Quarters, silent bool) []score.Quarters {
	var list []score.Quarters
	for from.Less(to) {
		d := to.Sub(from)
		if !binary(from) || !binary(to) {
			// To the next beat, so that tuplets end where beats do.
			if next := nextBeat(from, b.beat); next.Less(to) && (!binary(from) || binaryPart(d) > 1) {
				d = next.Sub(from)
			}
			list, from = append(list, d), from.Add(d)
			continue
		}
		// One value where there is one: for a note of any, for a rest one that
		// begins where its value does. Else as much as begins there.
		v := score.ValueOf(d)
		whole := longest(d)
		if !v.Known || v.Dots > 1 || v.Log < 0 || silent && !multiple(from, whole) {
			for d = whole; !multiple(from, d); {
				d = d.Mul(score.Q(1, 2))
			}
		}
		list, from = append(list, d), from.Add(d)
	}
	return list
}

// multiple tells whether a time is so many times a value.
func multiple(q, value score.Quarters) bool { return q.Div(value).Den() == 1 }

// binary tells whether a time is a multiple of some power of two of a quarter.
func binary(q score.Quarters) bool { return q.Den()&(q.Den()-1) == 0 }

// binaryPart returns a length in quarter notes, rounded up.
func binaryPart(q score.Quarters) int64 { return (q.Num() + q.Den() - 1) / q.Den() }

func nextBeat(q, beat score.Quarters) score.Quarters {
	n := q.Div(beat)
	return beat.Mul(score.Q(n.Num()/n.Den()+1, 1))
}

// longest returns the longest value without dots that is not longer, a whole
// note at most and a 2^20th part of a quarter at least.
func longest(d score.Quarters) score.Quarters {
	v := score.Q(4, 1)
	for d.Less(v) && v.Den() < 1<<20 {
		v = v.Mul(score.Q(1, 2))
	}
	return v
}

// group makes tuplets of what has no note value, and puts all into the bar.
func (b *barWriter) group() {
	for i := 0; i < len(b.list); i++ {
		c := b.list[i]
		if c.Grace != score.NotGrace || binary(c.Onset) && binary(c.End()) {
			continue
		}
		j := i
		odd := int64(1)
		for ; j < len(b.list); j++ {
			odd = lcm(odd, oddPart(b.list[j].End().Den()))
			if binary(b.list[j].End()) && b.list[j].Grace == score.NotGrace {
				break
			}
		}
		if j == len(b.list) || odd < 3 || odd > 63 {
			break // nothing that can be written with one bracket
		}
		b.v.tuplets++
		t := score.Tuplet{ID: b.v.tuplets, Actual: int(odd), Normal: 1}
		for t.Normal*2 < t.Actual {
			t.Normal *= 2
		}
		for _, in := range b.list[i : j+1] {
			if in.Grace == score.NotGrace {
				in.Tuplets = []score.Tuplet{t}
				in.Value = score.ValueOf(in.Duration.Mul(score.Q(int64(t.Actual), int64(t.Normal))))
			}
		}
		i = j
	}
	for _, c := range b.list {
		b.measure.Events = append(b.measure.Events, c)
	}
}

func oddPart(n int64) int64 {
	for n > 0 && n%2 == 0 {
		n /= 2
	}
	return n
}

func lcm(a, b int64) int64 {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x * b
}

// tie ties the pieces of each tone together and gives each technique to the
// piece that it belongs to: what joins a tone to the next goes to its last
// piece, what lasts to both ends, all else to the first.
func (v *varied) tie() {
	for c, p := range v.pieces {
		for _, n := range c.Notes {
			n.TieStop, n.TieStart = !p.first, !p.last
			if p.first && p.last {
				continue
			}
			n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
				if _, ok := t.(score.Harmonic); ok {
					return false // what sounds on is still one
				}
				s, ok := t.(score.Span)
				if !ok {
					return !p.first
				}
				atEnd := s.End == score.Start && (s.Kind.KeepsString() || s.Kind == score.Glissando) || s.End == score.Stop && !s.Kind.KeepsString() && s.Kind != score.Glissando
				if atEnd {
					return !p.last
				}
				return !p.first
			})
			if !p.first {
				n.Annotations = nil
			}
		}
	}
}
