package theory

import "strings"

// A Chord is a chord symbol as it is written over the music: a root, the
// quality as its writer put it, and a bass where it is not the root. A symbol
// such as N.C. (no chord) has no root.
//
// The quality stays as it was written, so "-7" does not turn into "m7" on the
// way. What it means is computed from it: see [Chord.Degrees] and
// [Chord.Kind]. A Chord may hold a quality that means nothing to us; see
// [Chord.Check]. Chords are comparable, and equal when they are written alike;
// [Chord.Same] compares what they mean.
type Chord struct {
	Root    NoteName
	Quality string // as written: "m7", "-7", "maj9", "7(b9,#11)"; for NoChord the whole symbol
	Bass    NoteName
	HasBass bool
	NoChord bool // the symbol says that no chord is played
}

// Transpose moves root and bass by an interval, exactly. The quality is not
// touched, so a symbol keeps its writer's style.
func (c Chord) Transpose(by Interval) Chord {
	if c.NoChord {
		return c
	}
	c.Root = c.Root.Transpose(by)
	if c.HasBass {
		c.Bass = c.Bass.Transpose(by)
	}
	return c
}

// String writes the symbol as it is typed: "F#m7b5", "C/G", "N.C.". Where the
// quality begins with an accidental that a reader would take for the root's
// (G and "b5"), it is put in parentheses: "G(b5)".
func (c Chord) String() string {
	if c.NoChord {
		return c.Quality
	}
	s := c.Root.String() + c.apart()
	if c.HasBass {
		s += "/" + c.Bass.String()
	}
	return s
}

// Pretty writes the symbol with the signs of print: "F♯m7♭5", "B♭7(♯9)".
func (c Chord) Pretty() string {
	if c.NoChord {
		return c.Quality
	}
	s := c.Root.Pretty() + prettyQuality(c.apart())
	if c.HasBass {
		s += "/" + c.Bass.Pretty()
	}
	return s
}

// apart returns the quality, set apart where it would run into the root.
func (c Chord) apart() string {
	if alter, rest := scanAlter(c.Quality); rest != c.Quality && alter*c.Root.Alter >= 0 {
		digits := len(rest) - len(strings.TrimLeft(rest, "0123456789"))
		end := len(c.Quality) - len(rest) + digits
		return "(" + c.Quality[:end] + ")" + c.Quality[end:]
	}
	return c.Quality
}

// prettyQuality gives accidentals before numbers their printed signs.
func prettyQuality(q string) string {
	var b strings.Builder
	for i := 0; i < len(q); {
		alter, rest := scanAlter(q[i:])
		n := len(q) - i - len(rest)
		if n > 0 && rest != "" && rest[0] >= '1' && rest[0] <= '9' {
			b.WriteString(PrettyAlter(alter))
			i += n
			continue
		}
		b.WriteByte(q[i])
		i++
	}
	return b.String()
}

// Same tells whether two symbols mean the same chord, spelling included,
// however they are written: "A-7" and "Am7", "C/C" and "C". Symbols whose
// quality is not understood are the same when they are equal.
func (c Chord) Same(d Chord) bool {
	if c == d {
		return true
	}
	if c.NoChord || d.NoChord {
		return c.NoChord && d.NoChord
	}
	if c.Root != d.Root || c.Lowest() != d.Lowest() {
		return false
	}
	a, b := c.Degrees(), d.Degrees()
	if a == nil || len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// Lowest returns the name that the symbol puts in the bass: the root unless
// it says otherwise.
func (c Chord) Lowest() NoteName {
	if c.HasBass {
		return c.Bass
	}
	return c.Root
}

// Normal writes the same chord in this package's own style, as
// [ChordOfKind] does; a chord that is not understood stays as it is.
func (c Chord) Normal() Chord {
	kind, degrees := c.Kind()
	if kind == "" {
		return c
	}
	var bass *NoteName
	if c.HasBass {
		bass = &c.Bass
	}
	n, ok := ChordOfKind(c.Root, kind, degrees, bass)
	if !ok {
		return c
	}
	return n
}
