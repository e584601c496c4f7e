package theory

import "slices"

// Degrees returns what the symbol names, counted against the major scale of
// the root and rising by number: C7(b9) gives 1 3 5 b7 b9. It is nil for N.C.
// and for a quality that is not understood.
//
// A higher number holds what the MusicXML standard stacks under it, so 11
// has the third and the ninth; but a natural 11 is left out of a 13th chord
// with a major third, as players do, unless the symbol names it.
func (c Chord) Degrees() []Degree {
	if c.NoChord {
		return nil
	}
	q, err := parseQuality(c.Quality, c.Quality, 0)
	if err != nil {
		return nil
	}
	return q.tones()
}

// Tones returns the note names of [Chord.Degrees], from the root up. A bass
// that is not among them is not added.
func (c Chord) Tones() []NoteName {
	degrees := c.Degrees()
	if degrees == nil {
		return nil
	}
	names := make([]NoteName, len(degrees))
	for i, d := range degrees {
		names[i] = d.Name(c.Root)
	}
	return names
}

// Classes returns the pitch classes that sound, the bass among them.
func (c Chord) Classes() PitchSet {
	var set PitchSet
	for _, n := range c.Tones() {
		set = set.With(n.Class())
	}
	if c.HasBass {
		set = set.With(c.Bass.Class())
	}
	return set
}

// degree returns the first of the given numbers that the chord has.
func firstDegree(degrees []Degree, numbers ...int) (Degree, bool) {
	for _, n := range numbers {
		if i := slices.IndexFunc(degrees, func(d Degree) bool { return d.Number == n }); i >= 0 {
			return degrees[i], true
		}
	}
	return Degree{}, false
}

// Third returns the degree that decides between major and minor, or the
// suspension in its place (4, else 2); ok is false if there is none.
func (c Chord) Third() (d Degree, ok bool) { return firstDegree(c.Degrees(), 3, 4, 2) }

// Seventh returns the seventh, or the sixth in a sixth chord; ok is false if
// there is neither.
func (c Chord) Seventh() (d Degree, ok bool) { return firstDegree(c.Degrees(), 7, 6) }

// GuideTones returns the third and the seventh, or what stands for them
// (suspended fourth or second, sixth). These two tell the chord from others
// on its root, and lead to the next one. It may hold one or none.
func (c Chord) GuideTones() []Degree {
	degrees := c.Degrees()
	var guides []Degree
	if d, ok := firstDegree(degrees, 3, 4, 2); ok {
		guides = append(guides, d)
	}
	if d, ok := firstDegree(degrees, 7, 6); ok {
		guides = append(guides, d)
	}
	return guides
}

// Extensions returns the degrees above the seventh that the symbol names.
func (c Chord) Extensions() []Degree {
	var ext []Degree
	for _, d := range c.Degrees() {
		if d.Number > 7 {
			ext = append(ext, d)
		}
	}
	return ext
}

// DegreeOf names a note over the chord: by the chord's own degree if it is a
// chord tone, spelled as the chord has it, else by its letter against the
// root, 1 to 7. inChord tells which. A note that sounds like a chord tone but
// is spelled differently is not one.
func (c Chord) DegreeOf(n NoteName) (d Degree, inChord bool) {
	d = DegreeOf(c.Root, n)
	for _, t := range c.Degrees() {
		if (t.Number-1)%7 == d.Number-1 && t.Alter == d.Alter {
			return t, true
		}
	}
	return d, false
}

// Inversion returns which inversion the bass makes, as MusicXML counts: 0 for
// root position, 1 with the third in the bass, 2 with the fifth. It is -1 if
// the bass is no tone of the chord.
func (c Chord) Inversion() int {
	if !c.HasBass {
		return 0
	}
	return slices.Index(c.Tones(), c.Bass)
}

// Invert returns the chord with another of its tones in the bass, as
// MusicXML's inversion element asks: 1 is the first inversion. ok is false
// if it has no such tone.
func (c Chord) Invert(inversion int) (inv Chord, ok bool) {
	tones := c.Tones()
	if inversion < 0 || inversion >= len(tones) {
		return c, false
	}
	c.Bass, c.HasBass = tones[inversion], inversion > 0
	if !c.HasBass {
		c.Bass = NoteName{}
	}
	return c, true
}
