package fretboard

import (
	"fmt"
	"math"
)

// A Place is where a note is stopped: a string, 1 being the first, and a
// written fret, which counts from the capo; 0 is the open string. The zero
// value is no place.
type Place struct {
	String int `json:"string"`
	Fret   int `json:"fret"`
}

// IsZero tells whether p is no place at all.
func (p Place) IsZero() bool { return p.String == 0 }

// DefaultFrets is the number of frets when nothing is said, as on most
// electric guitars.
const DefaultFrets = 22

// MaxFrets is the largest number of frets that a neck may have.
const MaxFrets = 36

// ScaleLength is the default length of the open string in millimetres
// (25.5 inches).
const ScaleLength = 648.0

// A Neck is a tuning with a capo and a number of frets. Frets counts from the
// nut; written frets count from the capo, so the highest written fret is
// Frets - Capo. The zero value has no strings.
type Neck struct {
	Tuning Tuning
	Capo   int // fret at which the capo stands, 0 for none
	Frets  int // frets from the nut
}

// Guitar returns a neck of 22 frets in standard tuning without a capo.
func Guitar() Neck { return Neck{Tuning: Standard(), Frets: DefaultFrets} }

// Validate tells what is wrong with the neck, nil if nothing.
func (n Neck) Validate() error {
	switch {
	case n.Tuning.Len() < MinStrings || n.Tuning.Len() > MaxStrings:
		return fmt.Errorf("a neck has %d to %d strings, not %d", MinStrings, MaxStrings, n.Tuning.Len())
	case n.Frets < 1 || n.Frets > MaxFrets:
		return fmt.Errorf("a neck has 1 to %d frets, not %d", MaxFrets, n.Frets)
	case n.Capo < 0 || n.Capo >= n.Frets:
		return fmt.Errorf("a capo stands at fret 0 to %d, not %d", n.Frets-1, n.Capo)
	}
	return nil
}

// Equal tells whether two necks are the same in sound, capo and frets.
func (n Neck) Equal(m Neck) bool {
	return n.Capo == m.Capo && n.Frets == m.Frets && n.Tuning.Sounds(m.Tuning)
}

// TopFret returns the highest written fret.
func (n Neck) TopFret() int { return n.Frets - n.Capo }

// Has tells whether the place is on this neck.
func (n Neck) Has(p Place) bool {
	return 1 <= p.String && p.String <= n.Tuning.Len() && 0 <= p.Fret && p.Fret <= n.TopFret()
}

// Stopped returns the MIDI key number of a stopped place: open string + capo
// + fret. It panics if there is no such string; the fret may be any number.
func (n Neck) Stopped(p Place) int { return n.Tuning.Open(p.String).MIDI() + n.Capo + p.Fret }

// FretOn returns the written fret at which a string gives the sound, and
// whether that is on the neck.
func (n Neck) FretOn(str, midi int) (Place, bool) {
	p := Place{str, midi - n.Tuning.Open(str).MIDI() - n.Capo}
	return p, n.Has(p)
}

// Places returns every place at which the sound can be stopped, string 1
// first.
func (n Neck) Places(midi int) []Place {
	var places []Place
	for s := 1; s <= n.Tuning.Len(); s++ {
		if p, ok := n.FretOn(s, midi); ok {
			places = append(places, p)
		}
	}
	return places
}

// FretDistance returns the millimetres from the nut to a fret, counted from
// the nut, on a string of the given length: L·(1 − 2^(−n/12)).
// Source: equal temperament; each fret shortens the string by the twelfth
// root of 2.
func FretDistance(fret int, scaleLength float64) float64 {
	return scaleLength * (1 - math.Exp2(-float64(fret)/12))
}

// Reach returns the millimetres along the neck between two written frets.
// Open strings (fret 0) hold no finger; the caller leaves them out.
func (n Neck) Reach(a, b int, scaleLength float64) float64 {
	return math.Abs(FretDistance(n.Capo+a, scaleLength) - FretDistance(n.Capo+b, scaleLength))
}
