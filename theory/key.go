package theory

import (
	"fmt"
	"strings"
)

// A Mode names the seven-note scale on a tonic that a key is in. The first
// two are the keys of common practice; the rest are the church modes under
// the names of MusicXML's mode element.
type Mode int8

// The modes. Major and Ionian have the same notes, and so have Minor and
// Aeolian; they differ in name only and are kept apart because the page does.
const (
	Major Mode = iota
	Minor
	Ionian
	Dorian
	Phrygian
	Lydian
	Mixolydian
	Aeolian
	Locrian
)

// modes gives each mode's name and the fifths of the key signature minus the
// fifths of the tonic: D dorian has the signature of C, two fifths below D.
// Source: Kostka & Payne, Tonal Harmony, on modes and signatures.
var modes = [...]struct {
	name   string
	offset int
}{
	Major: {"major", 0}, Minor: {"minor", -3}, Ionian: {"ionian", 0}, Dorian: {"dorian", -2},
	Phrygian: {"phrygian", -4}, Lydian: {"lydian", 1}, Mixolydian: {"mixolydian", -1},
	Aeolian: {"aeolian", -3}, Locrian: {"locrian", -5},
}

// String returns the mode's name in lower case, as MusicXML writes it.
func (m Mode) String() string { return modes[m].name }

// ParseMode finds a mode by its name, in any case; "maj", "min" and "m" are
// understood too. Errors are of type [*ParseError].
func ParseMode(s string) (Mode, error) {
	switch s {
	case "M", "maj", "Maj":
		return Major, nil
	case "m", "min", "Min":
		return Minor, nil
	}
	for m := range modes {
		if strings.EqualFold(s, modes[m].name) {
			return Mode(m), nil
		}
	}
	return 0, parseError("mode", s, 0, "unknown", "use major, minor, ionian, dorian, phrygian, lydian, mixolydian, aeolian or locrian")
}

// A Key is a tonic and a mode. The zero value is C major.
type Key struct {
	Tonic NoteName
	Mode  Mode
}

// KeyOf returns the key that has a signature of the given number of sharps
// (positive) or flats (negative) in a mode. Any number is allowed; a page
// shows -7 to 7.
func KeyOf(fifths int, mode Mode) Key {
	return Key{NameAtFifths(fifths - modes[mode].offset), mode}
}

// Fifths returns the key signature: the number of sharps, or of flats as a
// negative number. Beyond 7 either way no page shows it.
func (k Key) Fifths() int { return k.Tonic.Fifths() + modes[k.Mode].offset }

// Transpose moves the key by an interval, exactly: B major up A1 is B♯ major.
func (k Key) Transpose(by Interval) Key { return Key{k.Tonic.Transpose(by), k.Mode} }

// String writes the key as it is typed: "Eb major", "F# dorian".
func (k Key) String() string { return k.Tonic.String() + " " + k.Mode.String() }

// Pretty writes the key with the signs of print: "E♭ major".
func (k Key) Pretty() string { return k.Tonic.Pretty() + " " + k.Mode.String() }

// Signature returns the alteration that the key signature gives to a letter.
func (k Key) Signature(s Step) int { return SignatureAlter(k.Fifths(), s) }

// SignatureAlter returns the alteration that a signature of so many sharps
// (or flats, negative) gives to a letter; beyond 7 some letters get two.
func SignatureAlter(fifths int, s Step) int {
	q, _ := floorDiv(fifths-letterFifths[s]+5, 7)
	return q
}

// Practical returns the key as a page shows it: the same key when its
// signature has at most seven sharps or flats, else the enharmonic key with
// the fewest (B♯ major gives C major).
func (k Key) Practical() Key {
	return KeyOf(k.Fifths()+12*EnharmonicShift(k.Fifths()), k.Mode)
}

// EnharmonicShift returns how many times twelve fifths must be added to bring
// a signature into -7…7: 0 for those inside, else the number that leaves the
// fewest sharps or flats.
func EnharmonicShift(fifths int) int {
	if -7 <= fifths && fifths <= 7 {
		return 0
	}
	q, _ := floorDiv(fifths+6, 12)
	return -q
}

const keyHint = "write tonic and mode, as in Eb major, Am, F# dorian; major is meant when nothing is said"

// ParseKey reads a key: "Eb", "E♭ major", "Am", "A minor", "F# dorian",
// "Cmaj", "g min", "E flat major". A lower-case letter alone is a major key
// like any other.
// The second result tells whether a mode was said. Errors are of type
// [*ParseError].
func ParseKey(s string) (k Key, modeSaid bool, err error) {
	text := strings.TrimSpace(s)
	name, rest, err := scanTonic(text)
	if err != nil {
		return Key{}, false, parseError("key", s, 0, "no tonic", keyHint)
	}
	rest = strings.TrimLeft(rest, "-_ \t")
	if rest == "" {
		return Key{Tonic: name}, false, nil
	}
	mode, err := ParseMode(rest)
	if err != nil {
		return Key{}, false, parseError("key", s, strings.Index(s, text)+len(text)-len(rest), fmt.Sprintf("%q is no mode", rest), keyHint)
	}
	return Key{name, mode}, true, nil
}

// scanTonic reads a note name at the start of s, its accidental also as a
// word: "Eb", "E flat", "F-sharp".
func scanTonic(s string) (n NoteName, rest string, err error) {
	n, rest, err = scanNoteName(s)
	if err != nil || n.Alter != 0 {
		return n, rest, err
	}
	after := strings.TrimLeft(rest, "- ")
	for _, a := range [...]struct {
		word  string
		alter int
	}{{"flat", -1}, {"sharp", 1}} {
		if len(after) >= len(a.word) && strings.EqualFold(after[:len(a.word)], a.word) {
			return NoteName{n.Step, a.alter}, after[len(a.word):], nil
		}
	}
	return n, rest, nil
}

// A Direction says which way to go from one key to another.
type Direction int8

// Nearest takes the shorter way, and up when both are a tritone.
const (
	Nearest Direction = iota
	Up
	Down
)

// IntervalTo returns the interval that takes a tonic to another by less than
// an octave, in the direction asked for. The same tonic gives a unison.
func (n NoteName) IntervalTo(m NoteName, dir Direction) Interval {
	up := n.To(m)
	// Names far out on the line of fifths (C to B♯) make intervals an octave
	// wide or wider; bring the sound back into one octave.
	if q, _ := floorDiv(up.Semitones, 12); q != 0 {
		up = up.Add(Octaves(-q))
	}
	if up.Semitones == 0 || dir == Up || dir == Nearest && up.Semitones <= 6 {
		return up
	}
	return up.Add(Octaves(-1))
}

// PracticalTonics returns the twelve tonics in which musicians write music of
// a mode, from C (major) or A (minor) along the circle of fifths upwards: for
// major C G D A E B F♯ D♭ A♭ E♭ B♭ F, for minor A E B F♯ C♯ G♯ E♭ B♭ F C G D.
// Other modes take the signatures of the major list: six sharps, five flats.
// Source: common practice; the circle of fifths.
func PracticalTonics(m Mode) [12]NoteName {
	lowest := -5 // flats of the flattest signature in the list
	if modes[m].offset == -3 {
		lowest = -6 // E flat minor rather than D sharp minor
	}
	var tonics [12]NoteName
	for i := range tonics {
		fifths := i
		if fifths > lowest+11 {
			fifths -= 12
		}
		tonics[i] = KeyOf(fifths, m).Tonic
	}
	return tonics
}
