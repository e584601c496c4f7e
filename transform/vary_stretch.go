package transform

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// stretch makes all times so many times as long and lays out new bars of the
// same metre; the last one is filled up. Where the metre changes on the way,
// only whole factors keep bars whole: each bar becomes several then.
func (v *varied) stretch(by score.Quarters, say string) {
	one := true
	for i, m := range v.part.Measures {
		first, last := i == 0, i == len(v.part.Measures)-1
		if m.Nominal != v.part.Measures[0].Nominal || m.Nominal.Sign() <= 0 || m.Length != m.Nominal && !first && !last || m.Nominal.Less(m.Length) {
			one = false
		}
	}
	if !one && by.Den() != 1 {
		v.refuse("say a whole number for --augment", "the bars are not all of one metre, so they cannot be %v times as long", by)
		return
	}
	old := v.part.Measures
	begins := starts(v.part)
	if one {
		v.part.Measures = v.evenBars(by)
	} else {
		v.part.Measures = v.manyBars(int(by.Num()))
	}
	beats := v.rep.beats
	v.rep.beats = make([]score.Quarters, len(v.part.Measures))
	for i := range v.rep.beats {
		v.rep.beats[i] = beats[min(i, len(beats)-1)]
		if !one {
			v.rep.beats[i] = beats[min(i/max(1, int(by.Num())), len(beats)-1)]
		}
	}
	now := starts(v.part)
	k := 0 // events come in order of time, but for the last bar line of a bar
	for i, m := range old {
		for _, e := range m.Events {
			if _, ok := e.(*score.Chord); ok {
				continue
			}
			_, isBar := e.(*score.Barline)
			atEnd := isBar && e.At() == m.Length
			at := begins[i].Add(e.At()).Mul(by)
			k = max(0, k-1)
			for k+1 < len(v.part.Measures) && (now[k+1].Less(at) || now[k+1] == at && !atEnd) {
				k++
			}
			if atEnd && i == len(old)-1 {
				k = len(v.part.Measures) - 1
				at = now[k+1]
			}
			if v.part.Measures[k].Src != m.Src {
				e = score.CopyEvent(e)
			}
			setOnset(e, at.Sub(now[k]))
			v.part.Measures[k].Events = append(v.part.Measures[k].Events, e)
		}
	}
	for _, l := range v.lines {
		for _, t := range l.tones {
			t.at, t.length = t.at.Mul(by), t.length.Mul(by)
		}
	}
	v.longer = true
	v.forget()
	v.say(say, by)
}

// evenBars makes bars of one metre for all music: a pickup as long as need be,
// and a last bar that is whole, or as short as it was meant beside a pickup.
func (v *varied) evenBars(by score.Quarters) []*score.Measure {
	old := v.part.Measures
	bar := old[0].Nominal
	pickup := score.Quarters{}
	if old[0].Length.Less(bar) {
		pickup = old[0].Length.Mul(by)
	}
	rest := v.total().Mul(by).Sub(pickup)
	for !pickup.Less(bar) {
		pickup, rest = pickup.Sub(bar), rest.Add(bar)
	}
	var lengths []score.Quarters
	if pickup.Sign() > 0 {
		lengths = append(lengths, pickup)
	}
	for rest.Sign() > 0 {
		d := bar
		if rest.Less(bar) && rest.Add(pickup) == bar {
			d = rest // with the pickup it makes a bar
		}
		lengths, rest = append(lengths, d), rest.Sub(bar)
	}
	return v.barsOf(lengths, func(int) *score.Measure { return old[0] })
}

// manyBars makes so many bars of each.
func (v *varied) manyBars(times int) []*score.Measure {
	old := v.part.Measures
	var lengths []score.Quarters
	var from []*score.Measure
	for _, m := range old {
		for range times {
			lengths, from = append(lengths, m.Length), append(from, m)
		}
	}
	return v.barsOf(lengths, func(i int) *score.Measure { return from[i] })
}

// barsOf makes bars of some lengths. They take the sources of the old ones in
// their order, so that a document writes them over those.
func (v *varied) barsOf(lengths []score.Quarters, like func(int) *score.Measure) []*score.Measure {
	old := v.part.Measures
	number := 1
	if i := slices.IndexFunc(old, func(m *score.Measure) bool { return !m.Implicit }); i >= 0 {
		if n, err := strconv.Atoi(old[i].Number); err == nil {
			number = n
		}
	}
	var list []*score.Measure
	for i, d := range lengths {
		m := &score.Measure{Length: d, Nominal: like(i).Nominal}
		if i < len(old) {
			m.Src = old[i].Src
		}
		if m.Implicit = i == 0 && d.Less(m.Nominal); m.Implicit {
			m.Number = strconv.Itoa(number - 1)
		} else {
			m.Number = strconv.Itoa(number)
			number++
		}
		list = append(list, m)
	}
	return list
}
