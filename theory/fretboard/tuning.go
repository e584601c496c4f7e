package fretboard

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/theory"
)

// MinStrings and MaxStrings bound how many strings a tuning may have.
const (
	MinStrings = 3
	MaxStrings = 12
)

// A Tuning is the pitches of the open strings, string 1 first. String 1 is
// the one that tab shows on top and players call the first; on a guitar it is
// the thinnest. A re-entrant tuning, in which a lower string is not the lower
// pitch, is a tuning like any other. The zero value has no strings.
//
// A Tuning is to be treated as a value: Strings is not to be written to.
type Tuning struct {
	Name    string // what players call it; empty if it has no name
	Strings []theory.Pitch
}

// NewTuning makes a tuning from open strings, string 1 first. It gives it the
// preset's name if there is one for these sounds. It fails if there are fewer
// than MinStrings or more than MaxStrings.
func NewTuning(strings ...theory.Pitch) (Tuning, error) {
	if n := len(strings); n < MinStrings || n > MaxStrings {
		return Tuning{}, fmt.Errorf("a tuning has %d to %d strings, not %d", MinStrings, MaxStrings, n)
	}
	t := Tuning{Strings: slices.Clone(strings)}
	for _, p := range Presets() {
		if p.Tuning.Sounds(t) {
			t.Name = p.Tuning.Name
			break
		}
	}
	return t, nil
}

// Standard returns the standard guitar tuning, E2 A2 D3 G3 B3 E4.
func Standard() Tuning { return preset(0).Tuning }

// Open returns the pitch of an open string, 1 being the first. It panics if
// there is no such string.
func (t Tuning) Open(str int) theory.Pitch { return t.Strings[str-1] }

// Len returns the number of strings.
func (t Tuning) Len() int { return len(t.Strings) }

// Sounds tells whether two tunings sound the same; spelling and name aside.
func (t Tuning) Sounds(u Tuning) bool {
	return slices.EqualFunc(t.Strings, u.Strings, func(a, b theory.Pitch) bool { return a.MIDI() == b.MIDI() })
}

// ReEntrant tells whether the pitches of the strings, from the last to the
// first, do not all rise.
func (t Tuning) ReEntrant() bool {
	for i := 1; i < len(t.Strings); i++ {
		if t.Strings[i].MIDI() >= t.Strings[i-1].MIDI() {
			return true
		}
	}
	return false
}

// String lists the open strings from the last string to the first, as
// players say a tuning: "E2 A2 D3 G3 B3 E4". [ParseTuning] reads it back.
func (t Tuning) String() string {
	var b strings.Builder
	for i := len(t.Strings) - 1; i >= 0; i-- {
		b.WriteString(t.Strings[i].String())
		if i > 0 {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// ParseTuning reads a preset's name ("drop-d", "drop D", "standard") or the
// open strings from the last to the first, with octaves ("D2 A2 D3 G3 B3 E4")
// or without ("D A D G A D", "DADGAD"). Without octaves each string takes the
// octave nearest to that of standard tuning for that number of strings; see
// [FromNames]. Errors are of type [*theory.ParseError] or say how many strings
// a tuning may have.
func ParseTuning(s string) (Tuning, error) {
	if p, ok := PresetByName(s); ok {
		return p.Tuning, nil
	}
	fields := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == '\t' })
	if len(fields) == 1 {
		fields = splitHyphens(fields[0])
	}
	if len(fields) == 1 {
		var err error
		if fields, err = splitNames(fields[0]); err != nil {
			return Tuning{}, tuningError(s, err.Error())
		}
	}
	if len(fields) == 0 {
		return Tuning{}, tuningError(s, "nothing there")
	}
	slices.Reverse(fields)
	var pitches []theory.Pitch
	var names []theory.NoteName
	for _, f := range fields {
		if p, err := theory.ParsePitch(f); err == nil {
			pitches = append(pitches, p)
		} else if n, err := theory.ParseNoteName(f); err == nil {
			names = append(names, n)
		} else {
			return Tuning{}, tuningError(s, fmt.Sprintf("%q is neither a preset nor a note", f))
		}
	}
	switch {
	case len(pitches) > 0 && len(names) > 0:
		return Tuning{}, tuningError(s, "some strings have an octave and some have none")
	case len(pitches) > 0:
		return NewTuning(pitches...)
	}
	return FromNames(names...)
}

func tuningError(s, msg string) error {
	return &theory.ParseError{What: "tuning", Input: s, Msg: msg,
		Hint: "name a preset (lickwright tunings lists them) or the strings from low to high, as in D2 A2 D3 G3 B3 E4"}
}

// splitHyphens cuts at hyphens, "D-A-D-G-A-D", but for one before a number,
// which is the sign of an octave below 0.
func splitHyphens(s string) []string {
	var fields []string
	start := 0
	for i := range len(s) {
		if s[i] == '-' && (i+1 == len(s) || s[i+1] < '0' || s[i+1] > '9') {
			if start < i {
				fields = append(fields, s[start:i])
			}
			start = i + 1
		}
	}
	if start < len(s) {
		fields = append(fields, s[start:])
	}
	return fields
}

// splitNames cuts "DADGAD" or "EbAbDbGbBbEb" into note names. In lower case a
// b may be a flat or the note B: "dgdgbd" is read as the preset that it names,
// and refused if it names none.
func splitNames(s string) ([]string, error) {
	flats := cutNames(s, func(i int) bool { return s[i] != 'b' })
	notes := cutNames(s, func(int) bool { return true })
	if s != strings.ToLower(s) || len(flats) == len(notes) {
		return flats, nil
	}
	for _, reading := range [][]string{notes, flats} {
		if _, ok := presetOfNames(reading); ok {
			return reading, nil
		}
	}
	return nil, errors.New("a small b may be a flat or the note B; write capitals for the notes")
}

// cutNames cuts before every letter of a note for which begins says so.
func cutNames(s string, begins func(i int) bool) []string {
	var names []string
	start := 0
	for i := 1; i <= len(s); i++ {
		if i < len(s) {
			if _, ok := theory.StepOf(s[i]); !ok || !begins(i) {
				continue
			}
		}
		names = append(names, s[start:i])
		start = i
	}
	return names
}

// presetOfNames finds the preset whose open strings, from the last to the
// first, have these names.
func presetOfNames(fields []string) (Preset, bool) {
	for _, p := range Presets() {
		n := p.Tuning.Len()
		same := n == len(fields)
		for i := 0; same && i < n; i++ {
			name, err := theory.ParseNoteName(fields[i])
			same = err == nil && name == p.Tuning.Strings[n-1-i].NoteName
		}
		if same {
			return p, true
		}
	}
	return Preset{}, false
}

// FromNames makes a tuning from names without octaves, string 1 first. Names
// that a preset has are that preset: E A D G is a bass and G C E A a ukulele.
// Else each string takes the octave in which it lies nearest to the same
// string of a guitar with so many strings; ties go down, since players tune
// down.
func FromNames(names ...theory.NoteName) (Tuning, error) {
	if n := len(names); n < MinStrings || n > MaxStrings {
		return Tuning{}, fmt.Errorf("a tuning has %d to %d strings, not %d", MinStrings, MaxStrings, n)
	}
	for _, p := range Presets() {
		if slices.EqualFunc(p.Tuning.Strings, names, func(a theory.Pitch, b theory.NoteName) bool { return a.NoteName == b }) {
			return p.Tuning, nil
		}
	}
	usual := UsualStrings(len(names))
	pitches := make([]theory.Pitch, len(names))
	for i, n := range names {
		best := theory.Pitch{NoteName: n, Octave: -1}
		for oct := 0; oct <= 6; oct++ {
			p := theory.Pitch{NoteName: n, Octave: oct}
			if dist(p, usual[i]) < dist(best, usual[i]) {
				best = p
			}
		}
		pitches[i] = best
	}
	return NewTuning(pitches...)
}

func dist(a, b theory.Pitch) int {
	return max(a.MIDI()-b.MIDI(), b.MIDI()-a.MIDI())
}

// UsualStrings returns the open strings of a guitar with n strings: the upper
// n of a nine-string guitar in fourths, or beyond that further fourths down.
func UsualStrings(n int) []theory.Pitch {
	nine := []theory.Pitch{
		theory.P(theory.E, 0, 4), theory.P(theory.B, 0, 3), theory.P(theory.G, 0, 3), theory.P(theory.D, 0, 3),
		theory.P(theory.A, 0, 2), theory.P(theory.E, 0, 2), theory.P(theory.B, 0, 1), theory.P(theory.F, 1, 1),
		theory.P(theory.C, 1, 1),
	}
	fourth := theory.Interval{Steps: 3, Semitones: 5}
	for len(nine) < n {
		nine = append(nine, nine[len(nine)-1].Transpose(fourth.Neg()))
	}
	return nine[:n]
}

// StringName returns the name of an open string as it stands beside it, as write
// puts it. That of the first string is small where another one has the same name,
// so that it is clear which side is which. Source: common practice of tab in text.
func (t Tuning) StringName(str int, write func(theory.NoteName) string) string {
	name := t.Open(str).NoteName
	if str == 1 && slices.ContainsFunc(t.Strings[1:], func(p theory.Pitch) bool { return p.NoteName == name }) {
		return strings.ToLower(write(name))
	}
	return write(name)
}
