package theory

import (
	"fmt"
	"strings"
)

// numerals are the Roman numerals of the degrees, longest first where one
// begins like another.
var numerals = [...]struct {
	text   string
	number int
}{{"VII", 7}, {"VI", 6}, {"V", 5}, {"IV", 4}, {"III", 3}, {"II", 2}, {"I", 1}}

const romanHint = "write a numeral with its quality, as in ii7, V7(b9), Imaj7, viiø7, bVII, V7/V, I/3"

// Roman writes a chord as a Roman numeral in the key: D minor seventh in C is
// "ii7", E♭ in C minor "bIII". Numerals count against the major scale of the
// tonic in every key, as degrees do. Capitals are chords with a major third
// or none, small letters those with a minor third, ° is diminished and ø
// half-diminished; the rest of the quality is written as [Chord.Normal] does.
// A bass follows a slash as a degree of the key: "I/3". [Key.ParseRoman] reads
// it back to the same chord.
func (k Key) Roman(c Chord) string {
	if c.NoChord {
		return c.Quality
	}
	d := DegreeOf(k.Tonic, c.Root)
	numeral := ""
	for _, n := range numerals {
		if n.number == d.Number {
			numeral = n.text
		}
	}
	quality := c.Normal().Quality
	if minor, rest := minorQuality(quality); minor {
		numeral, quality = strings.ToLower(numeral), rest
	}
	if quality != "" && strings.IndexByte("IVX", quality[0]) >= 0 {
		quality = ":" + quality // "bVI:It+6"
	}
	s := accidentals(d.Alter, "#", "b") + numeral + quality
	if c.HasBass {
		s += "/" + DegreeOf(k.Tonic, c.Bass).String()
	}
	return s
}

// minorQuality turns a quality with a minor third, as Normal writes it, into
// what stands after a small numeral.
func minorQuality(q string) (minor bool, rest string) {
	switch {
	case strings.HasPrefix(q, "maj"):
		return false, q
	case strings.HasPrefix(q, "dim"):
		return true, "°" + q[len("dim"):]
	case strings.HasPrefix(q, "m7b5"), strings.HasPrefix(q, "m9b5"):
		return true, "ø" + q[1:2] + q[len("m7b5"):]
	case strings.HasPrefix(q, "m11b5"):
		return true, "ø11" + q[len("m11b5"):]
	case strings.HasPrefix(q, "m"):
		return true, q[1:]
	}
	return false, q
}

// ParseRoman reads a Roman numeral in the key: "ii7", "V7(b9)", "bVII",
// "viiø7", "IIm7", "I/3", "N.C.". Numerals count against the major scale of
// the tonic; small letters make a minor chord unless the quality says
// otherwise. After a slash a number is the bass, as a degree of the key, and
// a numeral the chord that this one belongs to: "V7/V" is the dominant of the
// dominant. Errors are of type [*ParseError].
func (k Key) ParseRoman(s string) (Chord, error) {
	text := strings.TrimSpace(s)
	at := strings.Index(s, text)
	if isNoChord(text) {
		return Chord{Quality: text, NoChord: true}, nil
	}
	tonic := k.Tonic
	var bass Degree
	if i := strings.LastIndexByte(text, '/'); i >= 0 {
		after := text[i+1:]
		if d, number, rest, _ := scanNumeral(after); number > 0 && rest == "" {
			tonic = Degree{number, d}.Name(k.Tonic)
			text = text[:i]
		} else if d, err := ParseDegree(after); err == nil && d.Number <= 7 {
			bass = d
			text = text[:i]
		}
	}
	alter, number, rest, small := scanNumeral(text)
	if number == 0 {
		return Chord{}, parseError("Roman numeral", s, at, "it does not begin with a numeral from I to VII", romanHint)
	}
	c := Chord{Root: Degree{number, alter}.Name(tonic), Quality: strings.TrimPrefix(rest, ":")}
	if small && !saysMinor(c.Quality) {
		c.Quality = "m" + c.Quality
	}
	if bass != (Degree{}) {
		c.Bass, c.HasBass = bass.Name(k.Tonic), true
	}
	if err := c.Check(); err != nil {
		return Chord{}, parseError("Roman numeral", s, at+len(text)-len(rest), fmt.Sprintf("%q is no quality of a chord", rest), romanHint)
	}
	return c, nil
}

// saysMinor tells whether a quality has a minor third by itself.
func saysMinor(q string) bool {
	for _, sign := range [...]string{"°", "º", "ø", "Ø", "o", "dim", "min", "mi", "-"} {
		if strings.HasPrefix(q, sign) && !strings.HasPrefix(q, "omit") {
			return true
		}
	}
	return q == "m" || strings.HasPrefix(q, "m") && !strings.HasPrefix(q, "ma") && !strings.HasPrefix(q, "mj")
}

// scanNumeral reads accidentals and a numeral; number is 0 if there is none.
func scanNumeral(s string) (alter, number int, rest string, small bool) {
	alter, text := scanAlter(s)
	for _, n := range numerals {
		if strings.HasPrefix(text, n.text) {
			return alter, n.number, text[len(n.text):], false
		}
		if strings.HasPrefix(text, strings.ToLower(n.text)) {
			return alter, n.number, text[len(n.text):], true
		}
	}
	return 0, 0, s, false
}
