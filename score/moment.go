package score

import (
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
// of a beat in quarter notes: "2", and off the beat "2+1/2". Of a beat that is
// a dotted note the eighths, or what the beat has three of, are counted, or
// their halves: "3, third eighth", "3, fourth sixteenth", and what divides one of
// them otherwise: "3, first eighth, third of its triplet". Places in a triplet,
// quintuplet or septuplet that fills a beat are "2, third of the triplet". It is
// "?" if there is no such beat.
// Source: common practice on simple and compound metre.
func BeatName(onset, beat Quarters) string {
	q := onset.Div(beat)
	if q.Invalid() {
		return "?"
	}
	whole := q.Num() / q.Den()
	name := strconv.FormatInt(whole+1, 10)
	rest := q.Sub(Q(whole, 1))
	if rest.IsZero() {
		return name
	}
	thirds := rest.Mul(Q(3, 1))
	switch n := rest.Den(); {
	case n == 5 || n == 7:
		return name + ", " + ordinal(rest.Num()) + " of the " + tupletName(n)
	case beat.Num()%3 == 0:
		return name + ", " + ofDotted(thirds, beat.Div(Q(3, 1)))
	case n == 3:
		return name + ", " + ordinal(rest.Num()) + " of the triplet"
	}
	return name + "+" + rest.String()
}

// ofDotted names a place in a beat that is a dotted note, by the units that it
// has three of.
func ofDotted(at, unit Quarters) string {
	if halves := at.Mul(Q(2, 1)); at.Den() == 2 {
		at, unit = halves, unit.Div(Q(2, 1))
	}
	whole := at.Num() / at.Den()
	name := ordinal(whole) + " " + LengthName(unit)
	if rest := at.Sub(Q(whole, 1)); !rest.IsZero() {
		name += ", " + ordinal(rest.Num()) + " of its " + tupletName(rest.Den())
	}
	return name
}

// tupletName names so many notes that are equally long.
func tupletName(n int64) string {
	switch n {
	case 3:
		return "triplet"
	case 4:
		return "four"
	case 5:
		return "quintuplet"
	case 6:
		return "sextuplet"
	case 7:
		return "septuplet"
	}
	return strconv.FormatInt(n, 10)
}

// ordinal names the place of one of several, counted from 0.
func ordinal(i int64) string {
	names := [...]string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}
	if 0 <= i && i < int64(len(names)) {
		return names[i]
	}
	return strconv.FormatInt(i+1, 10) + "th"
}
