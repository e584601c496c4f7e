package theory

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// An Interval is a named interval with a direction: how many letters and how
// many semitones it spans, both negative when it falls. A major third up is
// {2, 4}, down {-2, -4}. Letters and semitones are independent, so every
// alteration of every size has its own value: {2, 3} is a minor third and
// {1, 3} an augmented second. Intervals add and negate like vectors. The zero
// value is the perfect unison.
type Interval struct {
	Steps     int // letters, 0 for a unison, 7 for an octave
	Semitones int
}

// Octaves returns n perfect octaves, falling ones where n is negative.
func Octaves(n int) Interval { return Interval{7 * n, 12 * n} }

// diatonicSemitones holds the perfect or major size of each simple interval.
var diatonicSemitones = letterSemitones

// Add returns i followed by j.
func (i Interval) Add(j Interval) Interval {
	return Interval{i.Steps + j.Steps, i.Semitones + j.Semitones}
}

// Neg returns the interval in the other direction.
func (i Interval) Neg() Interval { return Interval{-i.Steps, -i.Semitones} }

// Times returns the interval taken n times; n may be negative.
func (i Interval) Times(n int) Interval { return Interval{n * i.Steps, n * i.Semitones} }

// Fifths returns how far the interval moves a name on the line of fifths:
// 1 for a perfect fifth up, -3 for a minor third up, 7 for an augmented
// unison.
func (i Interval) Fifths() int { return 7*i.Semitones - 12*i.Steps }

// falls tells whether the interval is named as a falling one.
func (i Interval) falls() bool { return i.Steps < 0 || i.Steps == 0 && i.Semitones < 0 }

// quality returns how far the interval is from its perfect or major form, in
// semitones, and whether its number is one that can be perfect (unison,
// fourth, fifth and their octaves).
func (i Interval) quality() (off int, perfect bool) {
	if i.falls() {
		i = i.Neg()
	}
	oct, step := floorDiv(i.Steps, 7)
	return i.Semitones - 12*oct - diatonicSemitones[step], step == 0 || step == 3 || step == 4
}

// String writes the interval in the usual short form, falling ones with a
// minus sign: "m3", "P5", "-A4", "dd7", "M10". [ParseInterval] reads it back
// to the same value if the number is at most [MaxIntervalNumber] and the
// alteration at most [MaxIntervalAlter].
func (i Interval) String() string {
	off, perfect := i.quality()
	sign, n := "", i
	if i.falls() {
		sign, n = "-", i.Neg()
	}
	var q string
	switch {
	case perfect && off == 0:
		q = "P"
	case !perfect && off == 0:
		q = "M"
	case !perfect && off == -1:
		q = "m"
	case off > 0:
		q = strings.Repeat("A", off)
	case perfect:
		q = strings.Repeat("d", -off)
	default:
		q = strings.Repeat("d", -off-1)
	}
	return sign + q + strconv.Itoa(n.Steps+1)
}

var intervalNumbers = [...]string{"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave",
	"ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth"}

// Words writes the interval in words: "minor third up", "perfect octave down".
func (i Interval) Words() string {
	if (i == Interval{}) {
		return "perfect unison"
	}
	off, perfect := i.quality()
	dir, n := " up", i.Steps
	if i.falls() {
		dir, n = " down", -i.Steps
	}
	var q string
	switch {
	case perfect && off == 0:
		q = "perfect"
	case off == 0:
		q = "major"
	case !perfect && off == -1:
		q = "minor"
	default:
		q = "augmented"
		if off < 0 {
			q = "diminished"
			if off = -off; !perfect {
				off--
			}
		}
		switch off {
		case 1:
		case 2:
			q = "doubly " + q
		default:
			q = fmt.Sprintf("%d times %s", off, q)
		}
	}
	if n < len(intervalNumbers) {
		return q + " " + intervalNumbers[n] + dir
	}
	return fmt.Sprintf("%s %dth%s", q, n+1, dir)
}

const intervalHint = "write quality and number, as in m3 (minor third), P4, A1, M9, and a minus sign for down"

// MaxIntervalNumber is the largest interval number that parses, seven octaves.
const MaxIntervalNumber = 50

// MaxIntervalAlter is how many times augmented or diminished an interval may
// be to parse. Names as far apart as keys ever are stay within it.
const MaxIntervalAlter = 8

// ParseInterval reads an interval in the short form (m3, P4, A4, dd7, M10,
// "maj3", with a minus sign for a falling one) or in words ("minor third
// down", "perfect 5th").
// Perfect, major, minor, augmented and diminished may be repeated letters.
// Errors are of type [*ParseError].
func ParseInterval(s string) (Interval, error) {
	text := strings.TrimSpace(s)
	if strings.ContainsRune(text, ' ') {
		return parseIntervalWords(s)
	}
	at := strings.Index(s, text) // where text stands in s
	falling := false
	for _, sign := range [...]string{"-", "−", "+"} {
		if rest, found := strings.CutPrefix(text, sign); found {
			falling = sign != "+"
			text = rest
			at += len(sign)
			break
		}
	}
	digits := strings.IndexAny(text, "0123456789")
	if digits < 0 {
		switch strings.ToLower(text) {
		case "semitone", "halfstep", "half-step":
			return Interval{}, parseError("interval", s, 0, "a semitone has two names", "say m2 (next letter: C to Db) or A1 (same letter: C to C#)")
		case "tritone":
			return Interval{}, parseError("interval", s, 0, "a tritone has two names", "say A4 (C to F#) or d5 (C to Gb)")
		case "octave":
			return signed(Octaves(1), falling), nil
		case "unison":
			return Interval{}, nil
		}
		return Interval{}, parseError("interval", s, 0, "it has no number", intervalHint)
	}
	number, err := strconv.Atoi(text[digits:])
	if err != nil || number < 1 || number > MaxIntervalNumber {
		return Interval{}, parseError("interval", s, at+digits, fmt.Sprintf("the number must be 1 to %d", MaxIntervalNumber), intervalHint)
	}
	if digits == 0 {
		return Interval{}, parseError("interval", s, at, "a number alone does not say which "+numberWord(number), intervalHint)
	}
	quality := text[:digits]
	if q := qualityWords[strings.ToLower(quality)]; q != "" {
		quality = q // "maj3"
	}
	i, msg := makeInterval(quality, number)
	if msg != "" {
		return Interval{}, parseError("interval", s, at, msg, intervalHint)
	}
	return signed(i, falling), nil
}

func numberWord(n int) string {
	if n <= len(intervalNumbers) {
		return intervalNumbers[n-1]
	}
	return "one"
}

func signed(i Interval, falling bool) Interval {
	if falling {
		return i.Neg()
	}
	return i
}

// makeInterval builds a rising interval from its quality letters and number;
// msg says what is wrong with them.
func makeInterval(quality string, number int) (i Interval, msg string) {
	steps := number - 1
	perfect := steps%7 == 0 || steps%7 == 3 || steps%7 == 4
	i = Interval{steps, 12*(steps/7) + diatonicSemitones[steps%7]}
	count := len(quality)
	if count > MaxIntervalAlter {
		return i, fmt.Sprintf("more than %d times altered", MaxIntervalAlter)
	}
	switch {
	case quality == "P" || quality == "p":
		if !perfect {
			return i, fmt.Sprintf("a %s is major or minor, never perfect", numberWord(number))
		}
	case quality == "M":
		if perfect {
			return i, fmt.Sprintf("a %s is perfect, never major", numberWord(number))
		}
	case quality == "m":
		if perfect {
			return i, fmt.Sprintf("a %s is perfect, never minor", numberWord(number))
		}
		i.Semitones--
	case strings.Trim(quality, "Aa") == "":
		i.Semitones += count
	case strings.Trim(quality, "d") == "":
		i.Semitones -= count
		if !perfect {
			i.Semitones--
		}
	default:
		return i, fmt.Sprintf("%q is no quality", quality)
	}
	return i, ""
}

var qualityWords = map[string]string{
	"perfect": "P", "major": "M", "minor": "m", "augmented": "A", "diminished": "d",
	"perf": "P", "maj": "M", "min": "m", "aug": "A", "dim": "d",
}

func parseIntervalWords(s string) (Interval, error) {
	quality, number, times, falling := "", 0, 1, false
	from := 0
	for _, field := range strings.Fields(s) {
		at := from + strings.Index(s[from:], field)
		from = at + len(field)
		w := strings.ToLower(field)
		n := slices.Index(intervalNumbers[:], w) + 1
		if ordinal := strings.TrimRight(w, "dhnrst"); n == 0 && ordinal != w {
			if v, err := strconv.Atoi(ordinal); err == nil && 1 <= v && v <= MaxIntervalNumber {
				n = v // "3rd", "17th"
			}
		}
		switch {
		case w == "up":
		case w == "down":
			falling = true
		case w == "doubly" || w == "double":
			times = 2
		case qualityWords[w] != "" && quality == "":
			quality = qualityWords[w]
		case n > 0 && number == 0:
			number = n
		default:
			return Interval{}, parseError("interval", s, at, fmt.Sprintf("unexpected word %q", field), intervalHint)
		}
	}
	if quality == "" && (number == 1 || number == 8 || number == 15) {
		quality = "P"
	}
	if quality == "" || number == 0 {
		return Interval{}, parseError("interval", s, 0, "it needs a quality and a number", intervalHint)
	}
	i, msg := makeInterval(strings.Repeat(quality, times), number)
	if msg != "" {
		return Interval{}, parseError("interval", s, 0, msg, intervalHint)
	}
	return signed(i, falling), nil
}
