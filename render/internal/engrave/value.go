package engrave

import (
	"math/bits"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// A piece is one written value of a chord's duration. Most chords are one
// piece; what no single value can write is several, tied.
type piece struct {
	at      score.Quarters
	length  score.Quarters // sounding
	value   score.NoteValue
	ok      bool // value is known
	tuplets []score.Tuplet
	tied    bool // to the piece before it
}

// cut divides a chord's duration into written values. Where the page that was
// read said how the duration is written, and that fits, it is followed.
func (c *collector) cut(b *bar, ch *score.Chord, implied *score.Tuplet) []piece {
	tuplets := ch.Tuplets
	if len(tuplets) == 0 && implied != nil {
		tuplets = []score.Tuplet{*implied}
	}
	one := piece{at: ch.Onset, length: ch.Duration, value: ch.Value, ok: ch.Value.Known, tuplets: tuplets}
	ratio := tupletRatio(tuplets)
	written := ch.Duration.Mul(ratio)
	if ch.WholeMeasure && ch.IsRest() {
		one.value, one.ok = score.NoteValue{Known: true}, true
		return []piece{one}
	}
	if one.ok && one.value.Quarters() == written {
		return []piece{one}
	}
	if v, ok := valueOf(written); ok {
		one.value, one.ok = v, true
		return []piece{one}
	}
	if written.Sign() <= 0 || written.Invalid() {
		one.ok = false
		return []piece{one}
	}
	return cutPieces(b, one, written, ratio)
}

// cutPieces cuts a written length up: to the next beat first, then the
// longest values that there are.
func cutPieces(b *bar, one piece, written, ratio score.Quarters) []piece {
	var out []piece
	at := one.at
	add := func(v score.NoteValue) {
		p := piece{at: at, length: v.Quarters().Div(ratio), value: v, ok: true, tuplets: one.tuplets, tied: len(out) > 0}
		out = append(out, p)
		at = at.Add(p.length)
		written = written.Sub(v.Quarters())
	}
	if rest := b.toNextGroup(at); len(one.tuplets) == 0 && !rest.IsZero() && rest.Less(written) {
		if v, ok := valueOf(rest); ok {
			add(v)
		}
	}
	for log := int8(-1); log <= 8 && written.Sign() > 0; log++ {
		for dots := int8(1); dots >= 0; dots-- {
			for v := (score.NoteValue{Log: log, Dots: dots, Known: true}); v.Quarters().Cmp(written) <= 0 && len(out) < 16; {
				add(v)
			}
		}
	}
	if len(out) == 0 {
		one.ok = false
		return []piece{one}
	}
	return out
}

// toNextGroup returns how long it is to the next beat, 0 on a beat.
func (b *bar) toNextGroup(at score.Quarters) score.Quarters {
	_, start, end := b.groupAt(at)
	if at == start {
		return score.Quarters{}
	}
	return end.Sub(at)
}

// groupAt returns the number of the group of beats in which a time lies, and
// where it begins and ends. After the groups of the metre they begin again.
func (b *bar) groupAt(at score.Quarters) (n int, start, end score.Quarters) {
	for n = 0; n < 4096; n++ {
		end = start.Add(b.groups[n%len(b.groups)])
		if at.Less(end) {
			return n, start, end
		}
		start = end
	}
	return n, start, end
}

func valueOf(q score.Quarters) (score.NoteValue, bool) {
	v := score.ValueOf(q)
	return v, v.Known
}

// tupletRatio returns how much longer notes are written than they sound.
func tupletRatio(ts []score.Tuplet) score.Quarters {
	q := score.Q(1, 1)
	for _, t := range ts {
		q = q.Mul(score.Q(int64(max(t.Actual, 1)), int64(max(t.Normal, 1))))
	}
	return q
}

// impliedTuplets finds the tuplets that durations ask for where the model does
// not name them: the odd part of a denominator in the time of the next lower
// power of two, grouped in each voice until an even time is reached.
func impliedTuplets(m *score.Measure) map[*score.Chord]*score.Tuplet {
	type voice struct{ staff, voice int }
	out := map[*score.Chord]*score.Tuplet{}
	open := map[voice]*score.Tuplet{}
	id := -1
	for ch := range m.Chords() {
		if ch.Grace != score.NotGrace || len(ch.Tuplets) > 0 {
			continue
		}
		k := voice{ch.Staff, ch.Voice}
		odd := oddPart(ch.Duration)
		if odd <= 1 || odd > 1000 {
			delete(open, k)
			continue
		}
		if open[k] == nil || open[k].Actual != odd {
			open[k] = &score.Tuplet{ID: id, Actual: odd, Normal: 1 << (bits.Len(uint(odd)) - 1)}
			id--
		}
		out[ch] = open[k]
		if oddPart(ch.End()) <= 1 {
			delete(open, k)
		}
	}
	return out
}

func oddPart(q score.Quarters) int {
	if d := uint64(q.Den()); d > 0 {
		return int(d >> bits.TrailingZeros64(d))
	}
	return 1
}

// beatGroups returns the lengths that are beamed together in a metre, and
// whether they are quarter beats of which eighths join two. 5/8 is 3+2 and 7/8
// 2+2+3 where the metre does not say it. Source: Gould, "Behind Bars", on
// beaming and metre, from memory.
func beatGroups(t *score.TimeSignature) (groups []score.Quarters, quarterBeats bool) {
	for i, beats := range t.Beats {
		unitType := 4
		if i < len(t.BeatTypes) && t.BeatTypes[i] > 0 {
			unitType = t.BeatTypes[i]
		}
		unit := score.Q(4, int64(unitType))
		addends := strings.Split(beats, "+")
		for _, a := range addends {
			n, err := strconv.Atoi(strings.TrimSpace(a))
			if err != nil || n < 1 || n > 256 {
				continue
			}
			for _, size := range groupSizes(n, unitType, len(addends) > 1 || len(t.Beats) > 1) {
				groups = append(groups, unit.Mul(score.Q(int64(size), 1)))
			}
		}
	}
	if len(groups) == 0 {
		return []score.Quarters{score.Q(1, 1)}, false
	}
	quarterBeats = len(t.Beats) == 1 && len(groups)%2 == 0
	for _, g := range groups {
		quarterBeats = quarterBeats && g == score.Q(1, 1)
	}
	return groups, quarterBeats
}

func groupSizes(n, unit int, said bool) []int {
	repeat := func(size, times int) []int {
		out := make([]int, times)
		for i := range out {
			out[i] = size
		}
		return out
	}
	switch {
	case said && unit >= 8:
		return []int{n}
	case unit < 8:
		return repeat(1, n)
	case n%3 == 0:
		return repeat(3, n/3)
	case n == 5:
		return []int{3, 2}
	case n%2 == 1 && n > 3:
		return append(repeat(2, (n-3)/2), 3)
	case n%2 == 0:
		return repeat(2, n/2)
	}
	return []int{n}
}
