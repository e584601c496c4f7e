package theory

import (
	"fmt"
	"strings"
)

// A Step is one of the seven letters, C to B. The zero value is C, so that a
// Step is also the number of letters above C.
type Step int8

// The seven letters.
const (
	C Step = iota
	D
	E
	F
	G
	A
	B
)

// letterSemitones holds the semitones from C up to each letter.
var letterSemitones = [7]int{0, 2, 4, 5, 7, 9, 11}

// letterFifths holds each letter's position on the line of fifths, C = 0.
var letterFifths = [7]int{0, 2, 4, -1, 1, 3, 5}

// fifthsLetters is the inverse of letterFifths, indexed from F.
var fifthsLetters = [7]Step{F, C, G, D, A, E, B}

// Semitones returns the semitones from C up to the natural letter, 0 to 11.
func (s Step) Semitones() int { return letterSemitones[s] }

// String returns the letter in upper case.
func (s Step) String() string { return "CDEFGAB"[s : s+1] }

// StepOf returns the letter for an upper- or lower-case character, and
// whether there is one.
func StepOf(letter byte) (Step, bool) {
	i := strings.IndexByte("CDEFGAB", letter&^0x20)
	return Step(i), i >= 0
}

// A NoteName is a spelled pitch class: a letter and an alteration, without an
// octave. The zero value is C.
type NoteName struct {
	Step  Step
	Alter int // semitones: -1 flat, +1 sharp, any size
}

// MaxAlter is the largest alteration that a parsed name may have, in
// semitones. Arithmetic may go beyond it; page and key never need to.
const MaxAlter = 6

// NameAtFifths returns the name at position n on the line of fifths, where
// C is 0, G is 1 and F is -1.
func NameAtFifths(n int) NoteName {
	q, r := floorDiv(n+1, 7)
	return NoteName{fifthsLetters[r], q}
}

// Fifths returns the position on the line of fifths, C = 0.
func (n NoteName) Fifths() int { return letterFifths[n.Step] + 7*n.Alter }

// Class returns the sounding pitch class, 0 (C) to 11 (B).
func (n NoteName) Class() int {
	_, r := floorDiv(n.Step.Semitones()+n.Alter, 12)
	return r
}

// Transpose moves the name by an interval, exactly; octaves fall away.
func (n NoteName) Transpose(by Interval) NoteName {
	return Pitch{NoteName: n, Octave: 4}.Transpose(by).NoteName
}

// To returns the smallest rising interval from n to m: its letters are
// counted upwards, 0 to 6. From C to B♯ it is an augmented seventh, from B♯
// to C a diminished second.
func (n NoteName) To(m NoteName) Interval {
	steps := int(m.Step - n.Step)
	semis := m.Step.Semitones() + m.Alter - n.Step.Semitones() - n.Alter
	if steps < 0 {
		steps, semis = steps+7, semis+12
	}
	return Interval{steps, semis}
}

// String writes the name in plain ASCII, as it is typed: "F#", "Bb", "C##".
func (n NoteName) String() string { return n.Step.String() + accidentals(n.Alter, "#", "b") }

// Pretty writes the name with the signs of print: "F♯", "B♭", "C𝄪".
func (n NoteName) Pretty() string { return n.Step.String() + PrettyAlter(n.Alter) }

// PrettyAlter writes an alteration in semitones with the signs of print.
// It is empty for 0.
func PrettyAlter(alter int) string {
	s := accidentals(alter, "♯", "♭")
	s = strings.ReplaceAll(s, "♯♯", "𝄪")
	return strings.ReplaceAll(s, "♭♭", "𝄫")
}

func accidentals(alter int, sharp, flat string) string {
	if alter < 0 {
		return strings.Repeat(flat, -alter)
	}
	return strings.Repeat(sharp, alter)
}

// ParseNoteName reads a letter and its accidentals: "F#", "f♯", "Bb", "B♭♭",
// "Cx", "C𝄪". The letter may be in either case. Errors are of type
// [*ParseError].
func ParseNoteName(s string) (NoteName, error) {
	n, rest, err := scanNoteName(s)
	if err != nil {
		return NoteName{}, err
	}
	if rest != "" {
		return NoteName{}, parseError("note name", s, len(s)-len(rest), fmt.Sprintf("unexpected %q", rest),
			"write a letter from A to G and then # or b, as in F# or Bb")
	}
	return n, nil
}

// ScanNoteName reads a note name at the start of s and returns what follows
// it. Errors are of type [*ParseError].
func ScanNoteName(s string) (n NoteName, rest string, err error) { return scanNoteName(s) }

func scanNoteName(s string) (NoteName, string, error) {
	if s == "" {
		return NoteName{}, "", parseError("note name", s, 0, "nothing there", "write a letter from A to G, as in F# or Bb")
	}
	step, ok := StepOf(s[0])
	if !ok {
		return NoteName{}, "", parseError("note name", s, 0, "no letter from A to G", "write a letter and then # or b, as in F# or Bb")
	}
	alter, rest := scanAlter(s[1:])
	if alter > MaxAlter || alter < -MaxAlter {
		return NoteName{}, "", parseError("note name", s, 1, "more accidentals than any music has", "")
	}
	return NoteName{step, alter}, rest, nil
}

var alterSigns = []struct {
	sign  string
	alter int
}{
	{"♯", 1}, {"#", 1}, {"♭", -1}, {"b", -1}, {"𝄪", 2}, {"x", 2}, {"𝄫", -2}, {"♮", 0},
}

// scanAlter reads accidentals of one direction from the start of s.
func scanAlter(s string) (alter int, rest string) {
next:
	for s != "" {
		for _, a := range alterSigns {
			if strings.HasPrefix(s, a.sign) && (alter == 0 || alter*a.alter > 0) {
				alter += a.alter
				s = s[len(a.sign):]
				continue next
			}
		}
		break
	}
	return alter, s
}

// floorDiv returns quotient and remainder with the remainder never negative.
func floorDiv(a, b int) (q, r int) {
	q, r = a/b, a%b
	if r < 0 {
		q, r = q-1, r+b
	}
	return q, r
}
