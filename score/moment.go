package score

import (
	"fmt"
	"strconv"
	"strings"
)

// SpokenName returns the part's name on one line, whatever lines it has on the
// page; "" if it has none.
func (p *Part) SpokenName() string { return strings.Join(strings.Fields(p.Name), " ") }

// BarName returns the number of a measure as printed or, where none is, its
// place in the part, counted from 1. It is what players call the bar.
func (p *Part) BarName(measure int) string {
	if n := p.Measures[measure].Number; n != "" {
		return n
	}
	return strconv.Itoa(measure + 1)
}

// BeatLengths returns the length of a beat in each measure, in quarter notes:
// the denominator's note, three of them in compound metres (6/8, 9/8, 12/8);
// a quarter note before any metre is said. Source: common practice on simple
// and compound metre.
func (p *Part) BeatLengths() []Quarters {
	beats := make([]Quarters, len(p.Measures))
	beat := Q(1, 1)
	for i, m := range p.Measures {
		for _, e := range m.Events {
			if t, ok := e.(*TimeSignature); ok && t.Onset.IsZero() {
				beat = t.Beat()
			}
		}
		beats[i] = beat
	}
	return beats
}

// Beat returns the length of the metre's beat in quarter notes; see
// [Part.BeatLengths].
func (t *TimeSignature) Beat() Quarters {
	if len(t.BeatTypes) == 0 || t.BeatTypes[0] < 1 {
		return Q(1, 1)
	}
	unit := Q(4, int64(t.BeatTypes[0]))
	n, err := strconv.Atoi(t.Beats[0])
	if err == nil && n > 3 && n%3 == 0 && t.BeatTypes[0] >= 8 {
		return unit.Mul(Q(3, 1))
	}
	return unit
}

// MetreAt returns the metre in force in a measure of the part: one that the
// measure begins with, else the last one before; nil for none.
func (p *Part) MetreAt(measure *Measure) *TimeSignature {
	var now *TimeSignature
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if t, ok := e.(*TimeSignature); ok && (m != measure || t.Onset.IsZero()) {
				now = t
			}
		}
		if m == measure {
			break
		}
	}
	return now
}

// TempoBeat returns what a tempo counts that is a number alone, in quarter
// notes: the dotted beat of a compound metre (6/8, 9/8, 12/8), else a quarter
// note, also without metre (t nil). Source: common practice.
func (t *TimeSignature) TempoBeat() Quarters {
	if t != nil {
		if beat := t.Beat(); beat.Num()%3 == 0 {
			return beat
		}
	}
	return Q(1, 1)
}

// BeatName names an onset in a measure as players count it, given the length
// of a beat: "2", off the beat "2+1/2". It is "?" if there is no such beat.
func BeatName(onset, beat Quarters) string {
	q := onset.Div(beat)
	if q.Invalid() {
		return "?"
	}
	whole := q.Num() / q.Den()
	if rest := q.Sub(Q(whole, 1)); !rest.IsZero() {
		return fmt.Sprintf("%d+%s", whole+1, rest)
	}
	return strconv.FormatInt(whole+1, 10)
}
