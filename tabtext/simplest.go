package tabtext

import (
	"math"
	"slices"

	"example.org/lickwright/score"
)

// tick is how many ticks a quarter note has where rhythms are weighed: all
// parts of a bar that are looked for are whole numbers of them.
const tick = 384

// A pulse is what the rhythm of a bar is weighed against, in ticks.
type pulse struct {
	length   int
	beat     int
	compound bool // beats of three
}

func (m metre) pulse(length score.Quarters) pulse {
	p := pulse{length: int(length.Num() * tick / length.Den()), beat: tick}
	if m.unit.Sign() <= 0 {
		return p
	}
	if n := length.Div(m.unit); n.Den() == 1 && n.Num() >= 6 && n.Num()%3 == 0 && m.unit.Less(score.Q(1, 1)) {
		p.beat, p.compound = int(m.unit.Num()*tick*3/m.unit.Den()), true
	}
	return p
}

// Weights of what makes a rhythm less simple. One is as much as a column too
// many or too few; they were set by the careless texts of testdata.
const (
	oddValue    = 0.6  // a note that no plain or dotted value holds
	otherKind   = 0.1  // a second kind of value
	oddKind     = 0.3  // each kind beyond that
	offBeat     = 0.01 // a note off the beat
	offSixteen  = 0.7  // a note off the eighths that no sixteenth is beside
	overEighth  = 0.4  // a note that sounds from off the eighths over one
	overBeat    = 0.1  // a note that sounds from an eighth off the beat over one
	oddFine     = 0.7  // a note off the sixteenths
	mixedBeat   = 2.0  // triplets and straight parts in one beat
	mixedBar    = 1.0  // and in one bar
	anyTriplet  = 0.6  // triplets in a metre that has none
	loneTriplet = 0.4  // a beat of triplets with one note off the beat
	shuffled    = 0.15 // a beat that is parted two to one
	fineGrid    = 0.5  // each halving of the grid below the least gap
)

// oddness weighs how far from simple the rhythm is that begins notes at the
// ticks; 0 for notes of one plain value.
func (p pulse) oddness(at []int) float64 {
	cost := 0.0
	var kinds []int
	triplets, straight := false, false
	wide := 0                                   // thirds of two beats
	ternary, others, notes, last := 0, 0, 0, -1 // of the beat
	lone := false
	beat := func() {
		if ternary > 0 && others > 0 && notes < 4 {
			cost += mixedBeat
		}
		if ternary == 1 && notes-others < 3 && lone && !p.compound {
			cost += loneTriplet
		}
		triplets, straight = triplets || ternary > 0, straight || others > 0 && ternary == 0
		ternary, others, notes, lone = 0, 0, 0, false
	}
	for i, t := range at {
		if b := t / p.beat; b != last {
			beat()
			last = b
		}
		notes++
		in := t % p.beat
		if in != 0 {
			cost += offBeat
		}
		end, before := p.length, 0
		if i+1 < len(at) {
			end = at[i+1]
		}
		if i > 0 {
			before = at[i-1]
		}
		dur := end - t
		switch {
		case in%(tick/4) == 0:
			if in != 0 && !(p.compound && in%(tick/2) == 0) {
				others++
			}
		case in%(tick/6) == 0:
			ternary++
			if long := 2 * tick / 3; t-before == long && in == long && dur == tick/3 {
				cost += shuffled
			} else {
				lone = lone || dur != long || t-before != long
			}
			if p.compound {
				cost += oddFine
			}
		default:
			cost += oddFine
		}
		if dur == 2*tick/3 {
			wide++
		}
		switch {
		case in%(tick/2) == tick/4:
			if t-before != tick/4 && dur != tick/4 {
				cost += offSixteen
			} else if dur > tick/4 {
				cost += overEighth
			}
		case in == tick/2 && !p.compound && dur > tick/2 && i+1 < len(at):
			cost += overBeat
		}
		if i+1 == len(at) {
			break // how long the last note was meant to sound, the text does not tell
		}
		if !plainTicks(dur) {
			cost += oddValue
		}
		if !slices.Contains(kinds, dur) {
			kinds = append(kinds, dur)
		}
	}
	beat()
	if wide%3 != 0 {
		cost += 2 * loneTriplet
	}
	if triplets && !p.compound {
		cost += anyTriplet
		if straight {
			cost += mixedBar
		}
	}
	if len(kinds) > 1 {
		cost += otherKind + oddKind*float64(len(kinds)-2)
	}
	return cost
}

// evenHalves tells whether the notes of each two beats are three or four (or two, or one)
// evenly from their beginning to their end: columns that show a triplet of
// quarters exactly beside eighths are no accident.
func (p pulse) evenHalves(at []int) bool {
	half := 2 * p.beat
	if p.compound || p.length%half != 0 {
		return false
	}
	i := 0
	for from := 0; from < p.length; from += half {
		n := 0
		for i+n < len(at) && at[i+n] < from+half {
			n++
		}
		if n == 0 && from > 0 {
			continue
		}
		if n == 0 || n > 4 {
			return false
		}
		for k := range n {
			if at[i+k] != from+k*half/n {
				return false
			}
		}
		i += n
	}
	return true
}

// plainTicks tells whether a plain or dotted value or one of a triplet lasts
// so many ticks.
func plainTicks(n int) bool {
	for v := 8 * tick; v >= 4; v /= 2 {
		if n == v || 2*n == 3*v || 3*n == 2*v {
			return true
		}
	}
	return false
}

// tailCost weighs the columns that are left before the bar line, or are
// missing there.
func tailCost(left, width int) float64 {
	off := float64(left)
	switch {
	case left < 0:
		off *= -1.2 // bars are cut short less often than padded
	case left <= 2:
		off *= 0.3 // a column or two before the bar line is usual
	}
	return 4 * off / float64(width)
}

// gridCost weighs a grid that is finer than the gaps between the notes need.
func gridCost(offsets []int, cell int) float64 {
	least := 0
	for i := 1; i < len(offsets); i++ {
		if d := offsets[i] - offsets[i-1]; least == 0 || d < least {
			least = d
		}
	}
	if least <= cell {
		return 0
	}
	return fineGrid * math.Log2(float64(least)/float64(cell))
}
