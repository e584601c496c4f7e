package prove

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Of theory and theory/fretboard only the shapes of the data are used here:
// the letter and octave that a note was read with, the string and fret, the
// open strings of a neck. What they mean is reckoned below.

// letters are the semitones of C D E F G A B above C.
var letters = [7]int{0, 2, 4, 5, 7, 9, 11}

// sounds is the key number of a written pitch, 60 for middle C. Source: the
// MIDI 1.0 specification.
func sounds(p theory.Pitch) int {
	return letters[p.Step] + p.Alter + 12*(p.Octave+1)
}

// stopped is the key number that a place gives on a neck. ok is false where
// the neck has no such place.
func stopped(n fretboard.Neck, p fretboard.Place) (key int, ok bool) {
	if p.String < 1 || p.String > len(n.Tuning.Strings) || p.Fret < 0 || p.Fret+n.Capo > n.Frets {
		return 0, false
	}
	return sounds(n.Tuning.Strings[p.String-1]) + n.Capo + p.Fret, true
}

// A Scale is a tonic and the sounds above it.
type Scale struct {
	Name  string // as it was asked for
	tonic int    // pitch class
	steps [12]bool
}

// Has tells whether a key number is a note of the scale.
func (s Scale) Has(key int) bool { return s.steps[((key-s.tonic)%12+12)%12] }

// Len returns how many notes the scale has.
func (s Scale) Len() int {
	n := 0
	for _, has := range s.steps {
		if has {
			n++
		}
	}
	return n
}

// step counts the notes of the scale from its tonic in octave 0 up to a key
// number, which must be one of them.
func (s Scale) step(key int) int {
	above := key - s.tonic
	octave, rest := above/12, above%12
	if rest < 0 {
		octave, rest = octave-1, rest+12
	}
	n := 0
	for i := range rest {
		if s.steps[i] {
			n++
		}
	}
	return octave*s.Len() + n
}

// formulas are the scales that a check knows by name, as degrees. Source:
// common practice, as handbooks print them, written down from memory; a test
// compares them with those of theory, which were written by others.
var formulas = map[string]string{
	"major": "1 2 3 4 5 6 7", "ionian": "1 2 3 4 5 6 7", "dorian": "1 2 b3 4 5 6 b7", "phrygian": "1 b2 b3 4 5 b6 b7", "lydian": "1 2 3 #4 5 6 7",
	"mixolydian": "1 2 3 4 5 6 b7", "aeolian": "1 2 b3 4 5 b6 b7", "natural minor": "1 2 b3 4 5 b6 b7", "minor": "1 2 b3 4 5 b6 b7", "locrian": "1 b2 b3 4 b5 b6 b7",
	"melodic minor": "1 2 b3 4 5 6 7", "dorian b2": "1 b2 b3 4 5 6 b7", "lydian augmented": "1 2 3 #4 #5 6 7", "lydian dominant": "1 2 3 #4 5 6 b7",
	"mixolydian b6": "1 2 3 4 5 b6 b7", "locrian natural 2": "1 2 b3 4 b5 b6 b7", "altered": "1 b2 b3 b4 b5 b6 b7",
	"harmonic minor": "1 2 b3 4 5 b6 7", "locrian natural 6": "1 b2 b3 4 b5 6 b7", "ionian #5": "1 2 3 4 #5 6 7", "dorian #4": "1 2 b3 #4 5 6 b7",
	"phrygian dominant": "1 b2 3 4 5 b6 b7", "lydian #2": "1 #2 3 #4 5 6 7", "ultralocrian": "1 b2 b3 b4 b5 b6 bb7", "harmonic major": "1 2 3 4 5 b6 7",
	"double harmonic major": "1 b2 3 4 5 b6 7", "hungarian minor": "1 2 b3 #4 5 b6 7",
	"major pentatonic": "1 2 3 5 6", "minor pentatonic": "1 b3 4 5 b7", "suspended pentatonic": "1 2 4 5 b7", "dominant pentatonic": "1 2 3 5 b7", "minor 6 pentatonic": "1 b3 4 5 6",
	"blues": "1 b3 4 b5 5 b7", "major blues": "1 2 b3 3 5 6", "whole tone": "1 2 3 #4 #5 b7", "augmented": "1 #2 3 5 #5 7",
	"whole-half diminished": "1 2 b3 4 b5 b6 6 7", "half-whole diminished": "1 b2 b3 3 #4 5 6 b7", "bebop dominant": "1 2 3 4 5 6 b7 7", "bebop major": "1 2 3 4 5 #5 6 7",
	"chromatic": "1 b2 2 b3 3 4 #4 5 b6 6 b7 7",
}

// ParseScale reads a tonic and a scale: "A minor pentatonic", "C 1 b3 4 5 b7".
// ok is false where the check does not know the scale.
func ParseScale(text string) (s Scale, ok bool) {
	text = strings.TrimSpace(text)
	tonic, rest, found := cutNote(text)
	if !found {
		return s, false
	}
	s = Scale{Name: text, tonic: tonic}
	name := strings.ToLower(strings.Join(strings.Fields(rest), " "))
	if name == "" {
		name = "major"
	}
	if name == "m" || name == "min" {
		name = "minor"
	}
	formula, known := formulas[name]
	if !known {
		formula = name
	}
	steps, known := degrees(formula)
	if !known {
		return s, false
	}
	for _, n := range steps {
		s.steps[n] = true
	}
	return s, true
}

// ScaleOf makes a scale of note names: "D E F G A B C", the first its tonic.
func ScaleOf(name, notes string) (s Scale, ok bool) {
	s.Name = name
	for i, word := range strings.Fields(notes) {
		class, rest, found := cutNote(word)
		if !found || rest != "" {
			return s, false
		}
		if i == 0 {
			s.tonic = class
		}
		s.steps[((class-s.tonic)%12+12)%12] = true
	}
	return s, s.Len() > 0
}

// cutNote reads a note name at the beginning of a text as a pitch class.
func cutNote(text string) (class int, rest string, ok bool) {
	if text == "" {
		return 0, text, false
	}
	i := strings.IndexByte("CDEFGAB", text[0]&^0x20)
	if i < 0 {
		return 0, text, false
	}
	class, rest = letters[i], text[1:]
	for {
		switch {
		case strings.HasPrefix(rest, "#"):
			class, rest = class+1, rest[1:]
		case strings.HasPrefix(rest, "♯"):
			class, rest = class+1, rest[len("♯"):]
		case strings.HasPrefix(rest, "b"):
			class, rest = class-1, rest[1:]
		case strings.HasPrefix(rest, "♭"):
			class, rest = class-1, rest[len("♭"):]
		default:
			return (class + 24) % 12, rest, true
		}
	}
}

// degrees reads a formula of degrees, "1 b3 4 5 b7", as semitones.
func degrees(text string) (steps []int, ok bool) {
	for _, word := range strings.Fields(text) {
		n, ok := degree(word)
		if !ok {
			return nil, false
		}
		steps = append(steps, (n%12+12)%12)
	}
	return steps, len(steps) > 0
}

// degree reads a degree as semitones above the tonic: "b3" is 3, "9" is 14.
func degree(word string) (semitones int, ok bool) {
	number := strings.TrimLeft(word, "b#♭♯")
	signs := strings.TrimSuffix(word, number)
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > 15 {
		return 0, false
	}
	semitones = letters[(n-1)%7] + 12*((n-1)/7)
	semitones += strings.Count(signs, "#") + strings.Count(signs, "♯") - strings.Count(signs, "b") - strings.Count(signs, "♭")
	return semitones, true
}

// fifthsOfLetter are the sharps of the major key on each letter, C to B.
// Source: the circle of fifths.
var fifthsOfLetter = [7]int{0, 2, 4, -1, 1, 3, 5}

// fifthsOfMode is what a mode adds to the signature of the major key on its
// tonic: a minor key has three flats more. Source: common practice.
var fifthsOfMode = map[string]int{
	"": 0, "major": 0, "ionian": 0, "lydian": 1, "mixolydian": -1, "dorian": -2, "minor": -3, "m": -3, "natural minor": -3, "aeolian": -3,
	"harmonic minor": -3, "melodic minor": -3, "major pentatonic": 0, "minor pentatonic": -3, "phrygian": -4, "locrian": -5,
}

// signature returns the sharps of a key, flats negative.
func signature(key string) (sharps int, ok bool) {
	key = strings.TrimSpace(key)
	if key == "" {
		return 0, false
	}
	i := strings.IndexByte("CDEFGAB", key[0]&^0x20)
	_, rest, found := cutNote(key)
	if i < 0 || !found {
		return 0, false
	}
	signs := key[1 : len(key)-len(rest)]
	mode, known := fifthsOfMode[strings.ToLower(strings.TrimSpace(rest))]
	if !known {
		return 0, false
	}
	alter := strings.Count(signs, "#") + strings.Count(signs, "♯") - strings.Count(signs, "b") - strings.Count(signs, "♭")
	return fifthsOfLetter[i] + 7*alter + mode, true
}

// signatureText says a signature as players do.
func signatureText(sharps int) string {
	switch {
	case sharps == 0:
		return "no sharps or flats"
	case sharps == 1:
		return "1 sharp"
	case sharps == -1:
		return "1 flat"
	case sharps > 0:
		return fmt.Sprintf("%d sharps", sharps)
	}
	return fmt.Sprintf("%d flats", -sharps)
}

// nodes are the natural harmonics by the fret at which they are touched, and
// the semitones that they sound above the open string. Source: the partials
// of a string, common practice.
var nodes = map[int]int{12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28}
