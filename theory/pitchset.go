package theory

import (
	"math/bits"
	"strings"
)

// A PitchSet is a set of pitch classes, bit n for class n (C is 0). Sets are
// comparable; the zero value is empty. It knows sounds, no spelling.
type PitchSet uint16

// AllPitches holds all twelve pitch classes.
const AllPitches PitchSet = 1<<12 - 1

// SetOf returns the set that the names sound.
func SetOf(names ...NoteName) PitchSet {
	var s PitchSet
	for _, n := range names {
		s = s.With(n.Class())
	}
	return s
}

// With returns the set with a pitch class added; any integer counts modulo 12.
func (s PitchSet) With(class int) PitchSet {
	_, c := floorDiv(class, 12)
	return s | 1<<c
}

// Has tells whether the set holds a pitch class, modulo 12.
func (s PitchSet) Has(class int) bool {
	_, c := floorDiv(class, 12)
	return s&(1<<c) != 0
}

// Holds tells whether the set holds all of t.
func (s PitchSet) Holds(t PitchSet) bool { return t&^s == 0 }

// Len returns how many pitch classes the set holds.
func (s PitchSet) Len() int { return bits.OnesCount16(uint16(s & AllPitches)) }

// Transpose moves every pitch class up by semitones, down if negative.
func (s PitchSet) Transpose(semitones int) PitchSet {
	_, n := floorDiv(semitones, 12)
	return (s<<n | s>>(12-n)) & AllPitches
}

// Invert mirrors the set at C: class n becomes -n.
func (s PitchSet) Invert() PitchSet {
	var inv PitchSet
	for c := range s.Classes() {
		inv = inv.With(-c)
	}
	return inv
}

// Classes yields the pitch classes in rising order.
func (s PitchSet) Classes() func(yield func(int) bool) {
	return func(yield func(int) bool) {
		for c := range 12 {
			if s.Has(c) && !yield(c) {
				return
			}
		}
	}
}

// String lists the classes in hexadecimal with t and e for ten and eleven, as
// set theory writes them: "{0,4,7}".
func (s PitchSet) String() string {
	var b strings.Builder
	b.WriteByte('{')
	for c := range s.Classes() {
		if b.Len() > 1 {
			b.WriteByte(',')
		}
		b.WriteString([...]string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "t", "e"}[c])
	}
	b.WriteByte('}')
	return b.String()
}
