package tabtext

import (
	"example.org/lickwright/score"
)

// A bendSign is a bend as it is written.
type bendSign struct {
	pre     bool
	amount  score.Quarters // in semitones
	guessed bool           // no amount was written
	target  span           // digits of a target fret
	release bool
	relTo   int  // fret; -1 if not said
	relAt   span // its digits
}

// suffixBend reads a bend or a release at the scanner. It tells whether it
// read anything.
func (sc *rowScanner) suffixBend(s *sign) bool {
	switch b := sc.peek(0); b {
	case 'p', 'b', '^':
		if s.bend == nil {
			s.bend = &bendSign{relTo: -1}
		}
		if b == 'p' {
			sc.i++
			s.bend.pre = true
		}
		sc.i++
		sc.fill()
		sc.bendAmount(s)
	case 'r':
		sc.i++
		if s.bend == nil {
			// A release without its bend: the note was bent before it was struck.
			s.bend = &bendSign{pre: true, guessed: true, amount: score.Q(2, 1), relTo: -1}
		}
		s.bend.release = true
		open := sc.peek(0) == '('
		if open && isDigit(sc.peek(1)) {
			sc.i++
		}
		if isDigit(sc.peek(0)) {
			s.bend.relTo, s.bend.relAt = sc.target()
			if open && sc.peek(0) == ')' {
				sc.i++
			}
		}
	default:
		return false
	}
	return true
}

// bendAmount reads how far a bend goes: a target fret ("9", "(9)"), steps
// ("1/2", "1"), f for full and h for half, or nothing, which is a whole step.
func (sc *rowScanner) bendAmount(s *sign) {
	s.bend.amount, s.bend.guessed = score.Q(2, 1), true
	open := sc.peek(0) == '('
	k := 0
	if open {
		k = 1
	}
	switch b := sc.peek(k); {
	case b == 'f':
		s.bend.guessed = false
		sc.i += k + 1
		if sc.peek(0) == 'u' && sc.peek(1) == 'l' && sc.peek(2) == 'l' {
			sc.i += 3
		}
	case b == 'h' && !isDigit(sc.peek(k+1)):
		s.bend.guessed = false
		s.bend.amount = score.Q(1, 1)
		sc.i += k + 1
	case b == foreign && sc.fraction(k) != 0:
		s.bend.guessed = false
		s.bend.amount = score.Q(int64(sc.fraction(k)), 2) // quarters of a step are half semitones
		sc.i += k + 1
	case isDigit(b):
		if open {
			sc.i++
		}
		sc.bendNumber(s)
	default:
		return
	}
	if open && sc.peek(0) == ')' {
		sc.i++
	}
}

// fraction reads ¼ ½ ¾ at an offset as quarters, 0 for another sign.
func (sc *rowScanner) fraction(k int) int {
	at := sc.i + k + sc.base + sc.r.shift
	switch sc.r.cells.slice(at, at+1) {
	case "¼":
		return 1
	case "½":
		return 2
	case "¾":
		return 3
	}
	return 0
}

func (sc *rowScanner) bendNumber(s *sign) {
	from := sc.i
	n, at := sc.target()
	whole := int64(0)
	if sc.peek(0) == '+' && isDigit(sc.peek(1)) && sc.peek(2) == '/' { // 1+1/2
		whole = int64(n)
		sc.i++
		n, _ = sc.target()
	}
	if sc.peek(0) == '/' && isDigit(sc.peek(1)) && sc.isFraction(n) {
		sc.i++
		den, _ := sc.target()
		if den != 0 {
			s.bend.guessed = false
			s.bend.amount = score.Q(2*(int64(n)+whole*int64(den)), int64(den))
		}
		return
	}
	switch {
	case !s.dead && n > s.fret:
		s.bend.amount, s.bend.target, s.bend.guessed = score.Q(int64(n-s.fret), 1), at, false
	case n >= 1 && n <= 3:
		s.bend.amount, s.bend.guessed = score.Q(2*int64(n), 1), false
	default:
		sc.doubt(score.Warning, "tab-bend-target", sc.base+from, "a bend goes to a fret that is not above its own; a whole step is assumed")
	}
}

// isFraction tells a fraction of a step (1/2) from a slide (9/11).
func (sc *rowScanner) isFraction(n int) bool {
	return n < 10 && (sc.peek(1) == '2' || sc.peek(1) == '4' || sc.peek(1) == '8') && !isDigit(sc.peek(2)) && n < int(sc.peek(1)-'0')*2
}
