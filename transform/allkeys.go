package transform

import (
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// An Order is the order in which a lick is taken through all keys.
type Order int8

// The orders of practice. Those whose step does not reach all twelve keys go
// round once and begin again a semitone higher, as players do: whole tones
// twice six keys, minor thirds three times four, major thirds four times
// three. Source: common practice.
const (
	Semitones Order = iota
	Fourths
	Fifths
	WholeTones
	MinorThirds
	MajorThirds
)

var orders = [...]struct {
	name string
	step int // semitones
}{
	Semitones: {"semitones", 1}, Fourths: {"fourths", 5}, Fifths: {"fifths", 7},
	WholeTones: {"whole-tones", 2}, MinorThirds: {"minor-thirds", 3}, MajorThirds: {"major-thirds", 4},
}

// String returns the order's name as it is typed.
func (o Order) String() string { return orders[o].name }

// OrderNames lists the names of all orders.
func OrderNames() []string {
	names := make([]string, len(orders))
	for i, o := range orders {
		names[i] = o.name
	}
	return names
}

// ParseOrder finds an order by its name. Errors are of type
// [*theory.ParseError].
func ParseOrder(s string) (Order, error) {
	i := slices.Index(OrderNames(), s)
	if i < 0 {
		return 0, &theory.ParseError{What: "order of keys", Input: s, Msg: "unknown", Hint: "use " + strings.Join(OrderNames(), ", ")}
	}
	return Order(i), nil
}

// AllKeys returns the twelve keys of a mode in an order of practice, the given
// one first. Tonics have the names under which musicians write that mode
// ([theory.PracticalTonics]), but the given key keeps its own.
func AllKeys(from theory.Key, order Order) []theory.Key {
	var byClass [12]theory.NoteName
	for _, n := range theory.PracticalTonics(from.Mode) {
		byClass[n.Class()] = n
	}
	byClass[from.Tonic.Class()] = from.Tonic
	keys := make([]theory.Key, 0, 12)
	step := orders[order].step
	round := 12 / gcd(12, step) // keys before the step comes back to where it began
	for i := range 12 {
		class := (from.Tonic.Class() + i%round*step + i/round) % 12
		keys = append(keys, theory.Key{Tonic: byClass[class], Mode: from.Mode})
	}
	return keys
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// KeyAtStart returns the key that a score begins in, from the first part that
// says one, and whether it is known at all. A key signature whose mode was
// not said counts as major.
func KeyAtStart(s *score.Score) (key theory.Key, modeSaid, ok bool) {
	for _, p := range s.Parts {
		if onlyUnpitched(p) {
			continue
		}
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.KeySignature:
					if e.Free || e.NoKey {
						return theory.Key{}, false, false
					}
					return e.Key, e.ModeSaid, true
				case *score.Chord:
					// A key that comes after music is not the one it begins in.
					if !e.IsRest() {
						return theory.Key{}, false, false
					}
				}
			}
		}
	}
	return theory.Key{}, false, false
}
