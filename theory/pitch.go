package theory

import (
	"fmt"
	"math"
	"strconv"
)

// A Pitch is a spelled pitch: a note name in an octave of scientific pitch
// notation, in which C4 is middle C and an octave begins at its C, so that
// B♯3 sounds like C4 and C♭4 like B3. The zero value is C0.
type Pitch struct {
	NoteName
	Octave int
}

// P is short for a Pitch literal.
func P(step Step, alter, octave int) Pitch { return Pitch{NoteName{step, alter}, octave} }

// MIDI returns the sound as a MIDI key number: C4 is 60, A4 is 69. It goes
// below 0 and above 127 where the pitch does.
// Source: ISO 16:1975 for A4 = 440 Hz; the MIDI 1.0 specification for 69.
func (p Pitch) MIDI() int { return 12*(p.Octave+1) + p.Step.Semitones() + p.Alter }

// Hertz returns the frequency in equal temperament, 440·2^((m−69)/12).
func (p Pitch) Hertz() float64 { return 440 * math.Exp2(float64(p.MIDI()-69)/12) }

// Diatonic returns the number of letters above C0, alterations aside. It is
// what decides the line or space of the staff.
func (p Pitch) Diatonic() int { return 7*p.Octave + int(p.Step) }

// Transpose moves the pitch by a named interval, exactly: letters by letters
// and semitones by semitones. Moving by a and then by b is moving by a+b.
func (p Pitch) Transpose(by Interval) Pitch {
	oct, step := floorDiv(p.Diatonic()+by.Steps, 7)
	q := Pitch{NoteName{Step(step), 0}, oct}
	q.Alter = p.MIDI() + by.Semitones - q.MIDI()
	return q
}

// To returns the interval from p to q, falling intervals negative.
func (p Pitch) To(q Pitch) Interval {
	return Interval{q.Diatonic() - p.Diatonic(), q.MIDI() - p.MIDI()}
}

// String writes the pitch as it is typed: "F#4", "Bb-1".
func (p Pitch) String() string { return p.NoteName.String() + strconv.Itoa(p.Octave) }

// Pretty writes the pitch with the signs of print: "F♯4".
func (p Pitch) Pretty() string { return p.NoteName.Pretty() + strconv.Itoa(p.Octave) }

// ParsePitch reads a note name with its octave: "F#4", "b♭2". Errors are of
// type [*ParseError].
func ParsePitch(s string) (Pitch, error) {
	n, rest, err := scanNoteName(s)
	if err != nil {
		return Pitch{}, err
	}
	oct, err := strconv.Atoi(rest)
	if err != nil || oct < -2 || oct > 12 {
		return Pitch{}, parseError("pitch", s, len(s)-len(rest), fmt.Sprintf("%q is no octave", rest),
			"write the octave as a number after the name; middle C is C4, the open low string of a guitar E2")
	}
	return Pitch{n, oct}, nil
}
