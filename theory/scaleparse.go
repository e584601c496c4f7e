package theory

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"example.org/lickwright/internal/typo"
)

const scaleHint = "write a name (dorian, A minor pentatonic, mode 5 of harmonic minor) or a formula (1 b3 4 5 b7); lickwright scales lists the names"

// maxScaleName is the length in bytes up to which a name or a formula is
// looked at.
const maxScaleName = 200

// ParseFormula reads a scale as its degrees, separated by spaces, commas or
// hyphens: "1 b3 4 #4 5 b7". It must hold 1 and no two degrees of one sound;
// degrees above 7 fall into the octave. The degrees keep their spelling, and
// the scale has its name if it has one. Errors are of type [*ParseError].
func ParseFormula(s string) (Scale, error) {
	var degrees []Degree
	var set PitchSet
	for f, at := range fields(s, " ,-\t–") {
		d, err := ParseDegree(f)
		if err != nil {
			return Scale{}, parseError("scale formula", s, at, fmt.Sprintf("%q is no degree", f), "write degrees as in 1 b3 4 #4 5 b7")
		}
		d.Number = (d.Number-1)%7 + 1
		semis := d.Semitones()
		if set.Has(semis) {
			return Scale{}, parseError("scale formula", s, at, fmt.Sprintf("%s sounds like a degree before it", f), "name each note of the scale once")
		}
		if semis < 0 || semis > 11 || abs(d.Alter) > 3 {
			return Scale{}, parseError("scale formula", s, at, fmt.Sprintf("%s lies outside the octave from 1", f), "write it as another degree")
		}
		set = set.With(semis)
		degrees = append(degrees, d)
	}
	if len(degrees) == 0 {
		return Scale{}, parseError("scale formula", s, 0, "nothing there", "write degrees as in 1 b3 4 #4 5 b7")
	}
	if !set.Has(0) {
		return Scale{}, parseError("scale formula", s, 0, "it has no 1", "a formula begins with the tonic, 1")
	}
	return newScale(degrees), nil
}

// fields yields the parts of s between separators, with their offsets.
func fields(s, separators string) func(yield func(string, int) bool) {
	return func(yield func(string, int) bool) {
		start := -1
		for i, r := range s + separators[:1] {
			switch sep := strings.ContainsRune(separators, r); {
			case !sep && start < 0:
				start = i
			case sep && start >= 0:
				if !yield(s[start:i], start) {
					return
				}
				start = -1
			}
		}
	}
}

// ScaleByName finds a scale by a name of the trade: "dorian", "lydian b7",
// "minor pent", "diminished (whole-half)", "mode 5 of harmonic minor". Case,
// "scale" and "mode" do not matter, and the words may be turned round
// ("pentatonic minor"). A formula is
// understood too. Errors are of type [*ParseError]; their hint names the
// nearest scale for a typing mistake.
func ScaleByName(s string) (Scale, error) {
	name := strings.TrimSpace(s)
	if name == "" {
		return Scale{}, parseError("scale", s, 0, "nothing there", scaleHint)
	}
	if len(name) > maxScaleName {
		return Scale{}, parseError("scale", s[:maxScaleName], 0, "longer than any name or formula", scaleHint)
	}
	if looksLikeFormula(name) {
		f, err := ParseFormula(name)
		if err != nil {
			return Scale{}, err
		}
		f.name = nameOfScale(f)
		return f, nil
	}
	if sc, ok := scaleNamed(name); ok {
		return sc, nil
	}
	if n, parent, ok := modeOf(name); ok {
		sc, err := ScaleByName(parent)
		if err != nil {
			return Scale{}, err
		}
		if n > sc.Len() {
			return Scale{}, parseError("scale", s, 0, fmt.Sprintf("%s has %d modes", sc.Title(), sc.Len()), scaleHint)
		}
		return sc.Mode(n), nil
	}
	hint := scaleHint
	if near := nearestScaleName(name); near != "" {
		hint = "did you mean " + near + "?"
	}
	return Scale{}, parseError("scale", s, 0, "no such name", hint)
}

// ParseScale reads a scale with or without a tonic before it: "C major",
// "F# lydian dominant", "Am pentatonic", "Bb 1 b3 4 5 b7", "dorian". hasTonic
// tells whether there was one. Errors are of type [*ParseError].
func ParseScale(s string) (tonic NoteName, hasTonic bool, sc Scale, err error) {
	text := strings.TrimSpace(s)
	n, rest, nameErr := scanTonic(text)
	if nameErr == nil {
		rest, ok := afterTonic(rest)
		if ok && rest == "" {
			return NoteName{}, false, Scale{}, parseError("scale", s, 0, "it has a tonic but no name", scaleHint)
		}
		if ok {
			sc, err := ScaleByName(rest)
			if err == nil {
				return n, true, sc, nil
			}
			if whole, wholeErr := ScaleByName(text); wholeErr == nil {
				return NoteName{}, false, whole, nil
			}
			perr := err.(*ParseError) // ScaleByName gives no other
			return NoteName{}, false, Scale{}, parseError(perr.What, s, strings.Index(s, text)+len(text)-len(strings.TrimLeft(rest, " "))+perr.Offset, perr.Msg, perr.Hint)
		}
	}
	sc, err = ScaleByName(text)
	return NoteName{}, false, sc, err
}

// afterTonic tells whether what follows a note name lets it be a tonic: the
// end, a space, or a mode in short form ("Am pentatonic", "Cmaj blues").
func afterTonic(rest string) (scale string, ok bool) {
	if rest == "" || rest[0] == ' ' {
		return strings.TrimSpace(rest), true
	}
	word, more, _ := strings.Cut(rest, " ")
	switch word {
	case "m", "min":
		return strings.TrimSpace("minor " + more), true
	case "M", "maj":
		return strings.TrimSpace("major " + more), true
	}
	return "", false
}

func looksLikeFormula(s string) bool {
	first, _, _ := strings.Cut(strings.TrimLeft(s, " "), " ")
	first, _, _ = strings.Cut(first, ",")
	first, _, _ = strings.Cut(first, "-")
	_, err := ParseDegree(first)
	return err == nil
}

// ordinals are the words that name a mode by number.
var ordinals = [...]string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"}

// modeOf reads "mode 5 of harmonic minor", "5th mode of harmonic minor",
// "harmonic minor mode 5".
func modeOf(s string) (n int, parent string, ok bool) {
	words := strings.Fields(strings.ToLower(s))
	at := slices.Index(words, "mode")
	if at < 0 {
		return 0, "", false
	}
	number := func(i int) int {
		if i < 0 || i >= len(words) {
			return 0
		}
		if o := slices.Index(ordinals[:], words[i]); o >= 0 {
			return o + 1
		}
		w := words[i]
		for _, ending := range [...]string{"st", "nd", "rd", "th"} {
			w = strings.TrimSuffix(w, ending)
		}
		v, err := strconv.Atoi(w)
		if err != nil || v < 1 {
			return 0
		}
		return v
	}
	from, to := at, at+1
	switch {
	case number(at+1) > 0:
		n, to = number(at+1), at+2
	case number(at-1) > 0:
		n, from = number(at-1), at-1
	default:
		return 0, "", false
	}
	rest := slices.DeleteFunc(slices.Concat(words[:from], words[to:]), func(w string) bool { return w == "of" || w == "the" })
	return n, strings.Join(rest, " "), len(rest) > 0
}

// shortWords are what players write for the words of scale names.
var shortWords = map[string]string{
	"maj": "major", "min": "minor", "pent": "pentatonic", "penta": "pentatonic", "harm": "harmonic", "mel": "melodic",
	"dim": "diminished", "aug": "augmented", "dom": "dominant", "mixo": "mixolydian", "phryg": "phrygian", "lyd": "lydian",
	"loc": "locrian", "dor": "dorian", "alt": "altered", "nat": "natural", "wholetone": "whole tone", "six": "6", "seven": "7",
	"two": "2", "four": "4", "five": "5", "three": "3",
}

// plainSigns writes the signs of print as they are typed.
var plainSigns = strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "♮", " natural ")

// scaleWords brings a name into the form in which names are compared: its
// words in lower case, with signs in ASCII and without those that say nothing.
func scaleWords(s string) []string {
	s = plainSigns.Replace(strings.ToLower(s))
	var words []string
	accidental := ""
	for _, w := range strings.FieldsFunc(s, func(r rune) bool {
		return r != '#' && !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}) {
		if long, ok := shortWords[w]; ok {
			w = long
		}
		switch w {
		case "scale", "mode", "the", "of", "raga":
		case "flat":
			accidental += "b"
		case "sharp":
			accidental += "#"
		default:
			words = append(words, strings.Fields(accidental+w)...)
			accidental = ""
		}
	}
	return words
}

// nearestScaleName returns the name that a mistyped one most likely means,
// empty if none is near: a quarter of its letters may differ, three at most.
func nearestScaleName(s string) string {
	typed := strings.Join(scaleWords(s), " ")
	all := scaleData().names
	folded := make([]string, len(all))
	for i, n := range all {
		folded[i] = n.folded
	}
	if i := typo.Nearest(typed, folded, min(3, (len(typed)+2)/4)); i >= 0 {
		return all[i].name
	}
	return ""
}
