package midi

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// Percussion keys of General MIDI: high and low wood block.
const (
	highClick = 76
	lowClick  = 77
)

// beats gives the times of the beats of a bar in a metre, counted from its
// beginning: the groups of a metre that has some, dotted notes in compound metres,
// else what the lower number says. Without metre they are quarters.
func beats(t *score.TimeSignature, length score.Quarters) []score.Quarters {
	var out []score.Quarters
	at := score.Quarters{}
	add := func(d score.Quarters) {
		out = append(out, at)
		at = at.Add(d)
	}
	if t != nil {
		for i, kind := range t.BeatTypes {
			unit := score.Q(4, int64(kind))
			groups := strings.Split(t.Beats[i], "+")
			for _, g := range groups {
				n, _ := strconv.Atoi(g)
				switch {
				case len(groups) > 1:
					add(unit.Mul(score.Q(int64(n), 1)))
				case kind >= 8 && n > 3 && n%3 == 0:
					for range n / 3 {
						add(unit.Mul(score.Q(3, 1)))
					}
				default:
					for range n {
						add(unit)
					}
				}
			}
		}
	}
	for at.Less(length) {
		add(score.Q(1, 1))
	}
	return slices.DeleteFunc(out, func(q score.Quarters) bool { return !q.Less(length) })
}

// click adds the clicks of a bar, the first one high.
func (p *performance) click(v *visit) {
	for _, b := range beats(v.metre, v.before.Add(v.length)) {
		if b.Less(v.before) {
			continue
		}
		p.clickAt(v.at.Add(b).Sub(v.before), b.IsZero())
	}
}

func (p *performance) clickAt(at score.Quarters, high bool) {
	s := struck{on: at, off: at.Add(thirtySecond), key: lowClick, velocity: 90}
	if high {
		s.key, s.velocity = highClick, 110
	}
	p.clicks = append(p.clicks, s)
}

// countIn adds the bars that are counted before the music, and of a pickup's
// bar what comes before it. It returns when the music begins.
func (p *performance) countIn(q *score.Part, at score.Quarters) score.Quarters {
	m := q.Measures[0]
	var metre *score.TimeSignature
	for _, e := range m.Events {
		if t, ok := e.(*score.TimeSignature); ok && t.Onset.IsZero() {
			metre = t
		}
	}
	length := m.Nominal
	if length.IsZero() {
		length = score.Q(4, 1)
	}
	if metre != nil {
		p.moment = append(p.moment, change{at, metre})
	}
	for range p.opt.CountIn {
		for _, b := range beats(metre, length) {
			p.clickAt(at.Add(b), b.IsZero())
		}
		at = at.Add(length)
	}
	if m.Implicit && m.Length.Less(m.Nominal) {
		rest := m.Nominal.Sub(m.Length)
		for _, b := range beats(metre, rest) {
			p.clickAt(at.Add(b), b.IsZero())
		}
		at = at.Add(rest)
	}
	return at
}
