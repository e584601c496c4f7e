package theory

// A Chord is a chord symbol as it is written over the music: a root, the
// quality as its writer put it, and a bass where it is not the root. A symbol
// such as N.C. (no chord) has no root.
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

// String writes the symbol as it is typed: "F#m7b5", "C/G", "N.C.".
func (c Chord) String() string {
	if c.NoChord {
		return c.Quality
	}
	s := c.Root.String() + c.Quality
	if c.HasBass {
		s += "/" + c.Bass.String()
	}
	return s
}
