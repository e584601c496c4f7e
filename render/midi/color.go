package midi

import (
	"fmt"
	"math"

	"example.org/lickwright/score"
)

func isSlide(k score.SpanKind) bool {
	return k == score.LegatoSlide || k == score.ShiftSlide || k == score.Glissando
}

// leave notes the slides that lead from a note to the next.
func (p *player) leave(s *struck, n *score.Note) {
	for _, t := range n.Techniques {
		if sp, ok := t.(score.Span); ok && sp.End == score.Start && isSlide(sp.Kind) {
			p.slides[sp.ID] = s
		}
	}
}

// slideInto moves the pitch of a note to that of the next in its last quarter.
func (p *player) slideInto(from, to *struck, n *score.Note) {
	by := float64(to.key - from.key)
	if math.Abs(by) > BendRange {
		p.beyond(n)
		by = math.Copysign(BendRange, by)
	}
	end := to.on.Float()
	time := math.Min((end-from.on.Float())/4, 0.25)
	from.curves = append(from.curves, ramp(end-time, end, 0, by))
}

func (p *player) beyond(n *score.Note) {
	if !p.reach {
		p.report(score.Warning, "midi-bend-range", n.Src, fmt.Sprintf("a bend or slide of more than %d semitones is cut short", BendRange), "")
	}
	p.reach = true
}

// ramp goes from one value to another and stays there.
func ramp(from, to, a, b float64) curve {
	return func(at float64) float64 {
		switch {
		case at <= from || to <= from:
			return a
		case at >= to:
			return b
		}
		return a + (b-a)*(at-from)/(to-from)
	}
}

// color adds the bends, slides from and to nowhere and vibratos of a note.
func (p *player) color(s *struck, n *score.Note, onset, end score.Quarters) {
	on, off := onset.Float(), end.Float()
	quick := math.Min((off-on)/4, 0.5)
	add := func(c curve) { s.curves = append(s.curves, c) }
	vibrato := len(p.on[score.VibratoSpan]) > 0
	wide := false
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			to := t.Amount.Float()
			if math.Abs(to) > BendRange {
				p.beyond(n)
				to = math.Copysign(BendRange, to)
			}
			if t.PreBend {
				add(func(float64) float64 { return to })
			} else {
				add(ramp(on, on+quick, 0, to))
			}
			if t.Release {
				middle := on + (off-on)/2
				add(ramp(middle, middle+quick, 0, t.ReleaseTo.Float()-to))
			}
		case score.SlideEdge:
			switch {
			case t.In && t.Below:
				add(ramp(on, on+quick, -2, 0))
			case t.In:
				add(ramp(on, on+quick, 2, 0))
			case t.Below:
				add(ramp(off-quick, off, 0, -3))
			default:
				add(ramp(off-quick, off, 0, 3))
			}
		case score.Mark:
			switch t {
			case score.Vibrato:
				vibrato = true
			case score.WideVibrato:
				vibrato, wide = true, true
			case score.BarDip:
				add(ramp(on, on+quick, 0, -1))
				add(ramp(on+quick, on+2*quick, 0, 1))
			case score.BarDive:
				add(ramp(on, off, 0, -BendRange))
			}
		}
	}
	if vibrato {
		depth, perQuarter := 0.3, 5.5*60/p.tempo // cycles: 5.5 in a second
		if wide {
			depth = 0.7
		}
		start := on + quick
		add(func(at float64) float64 {
			if at <= start || at >= off {
				return 0
			}
			return depth * math.Sin(2*math.Pi*perQuarter*(at-start))
		})
	}
}

// repeated plays a trill or a tremolo out.
func (p *player) repeated(s *struck, c *score.Chord, n *score.Note) {
	step, other := score.Quarters{}, s.key
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Trill:
			step, other = thirtySecond, s.key+t.To
			if t.To == 0 {
				other = s.key + 2
			}
		case score.Mark:
			if t == score.TremoloPicking {
				step = thirtySecond
			}
		}
	}
	if c.Tremolo > 0 && c.Tremolo < 8 {
		step = score.Q(1, 1<<c.Tremolo)
	}
	if step.IsZero() || other < 0 || other > 127 {
		return
	}
	end := s.off
	keys := [2]int{s.key, other}
	if s.off = s.on.Add(step); end.Less(s.off) {
		s.off = end
	}
	for i, at := 1, s.on.Add(step); at.Less(end); i, at = i+1, at.Add(step) {
		next := &struck{on: at, off: at.Add(step), slot: s.slot, key: keys[i%2], velocity: softVelocity, curves: s.curves, detune: s.detune}
		if end.Less(next.off) {
			next.off = end
		}
		p.notes = append(p.notes, next)
		p.last[holderOf(n, s.slot, s.key)] = next
	}
}
