package fingering

// What a step from one state to another costs, and whether it can be taken at
// all: the definition that the gadget (gadget.go) factors.

// a carry is a note whose stop before bears on that of a voice after.
type carry struct {
	before, after int // voices
	join          Join
	held          bool // it is the same note
}

// a step is what a gadget is made from.
type step struct {
	a, b    *shape
	carries []carry
	rest    bool
}

// a motion is a circumstance under which the hand moves.
type motion int8

const (
	plainMotion motion = iota
	openMotion
	restMotion
	slideMotion
)

// moving returns the terms of a move in its circumstance: what it costs at
// all, and per millimetre.
func moving(m motion, mm float64) (once, along [2]amount) {
	d := mm / 100
	switch m {
	case openMotion:
		return [2]amount{{ShiftOpen, 1}}, [2]amount{{ShiftOpenMM, d}}
	case restMotion:
		return [2]amount{{ShiftRest, 1}}, [2]amount{{ShiftRestMM, d}}
	case slideMotion:
		return [2]amount{{ShiftSlide, 1}}, [2]amount{{ShiftSlideMM, d}}
	}
	return [2]amount{{Shift, 1}, {ShiftHaste, 1}}, [2]amount{{ShiftMM, d}, {ShiftMMHaste, d}}
}

// motionOf returns the circumstance of a move between two states.
func (s *step) motionOf(a, b lead) motion {
	for _, c := range s.carries {
		if c.join == Slide {
			return slideMotion
		}
	}
	switch {
	case s.rest:
		return restMotion
	case a.bare || b.bare:
		return openMotion
	}
	return plainMotion
}

// between returns the terms of going from one lead to the next, whether or
// not the hand moves.
func (r *rules) between(s *step, a, b lead, list []amount) []amount {
	up := s.b.voices[s.b.top].pitch - s.a.voices[s.a.top].pitch
	if up == 0 {
		if a.place() != b.place() {
			list = append(list, amount{Restruck, 1})
		}
		return list
	}
	// Three terms for each size of interval.
	size := StepOnString
	switch up := max(up, -up); {
	case up >= 10:
		size = WideOnString
	case up >= 5:
		size = LeapOnString
	case up >= 3:
		size = ThirdOnString
	}
	d := int(b.str) - int(a.str)
	switch d = max(d, -d); d {
	case 0:
		list = append(list, amount{size, 1})
	case 1:
		list = append(list, amount{size + 1, 1})
	default:
		n := float64(d - 1)
		list = append(list, amount{size + 1, 1}, amount{size + 2, n}, amount{SkipHaste, n})
	}
	if rise := r.open[b.str] - r.open[a.str]; rise*up < 0 {
		list = append(list, amount{AgainstString, 1})
	}
	if (a.fret == 0) != (b.fret == 0) {
		list = append(list, amount{OpenFretted, 1})
	}
	return list
}

// hops returns the terms of one finger taking two places in a row, or of two
// fingers taking one.
func hops(a, b lead, list []amount) []amount {
	switch same := a.place() == b.place(); {
	case a.finger == 0 || b.finger == 0:
	case a.finger == b.finger && !same:
		list = append(list, amount{Hop, 1}, amount{HopHaste, 1})
	case a.finger != b.finger && same:
		list = append(list, amount{ChangeFinger, 1})
	}
	return list
}

// alongString tells whether the lead goes on along its string.
func alongString(a, b lead) bool {
	return a.str == b.str && a.fret != b.fret && a.fret > 0 && b.fret > 0
}

// follow tells whether carried notes allow the stops after to follow those
// before, how many notes are let go, and whether a finger stays down.
func (r *rules) follow(carries []carry, before, after []stop) (released int, anchored, ok bool) {
	for i, c := range carries {
		a, b := before[i], after[i]
		if c.held {
			switch {
			case b.str == 0 && a.str != 0:
				released++
			case a != b:
				return 0, false, false
			case a.finger > 0:
				anchored = true
			}
			continue
		}
		if a.str == 0 || a.str != b.str {
			return 0, false, false
		}
		switch c.join {
		case HammerOn, PullOff:
			lo, hi := a, b
			if c.join == PullOff {
				lo, hi = b, a
			}
			if lo.fret >= hi.fret {
				return 0, false, false
			}
			if lo.finger > 0 && hi.finger > 0 && (lo.finger >= hi.finger || r.mm[hi.fret]-r.mm[lo.fret] > r.hand.Reach[lo.finger][hi.finger]) {
				return 0, false, false
			}
		case Slide:
			if a.fret == b.fret || a.finger != b.finger {
				return 0, false, false
			}
		}
	}
	return released, anchored, true
}
