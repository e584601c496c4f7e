package theory

import (
	"cmp"
	"slices"
)

// A ChordScale is a scale that players choose over a chord, on its root.
type ChordScale struct {
	Scale Scale
	// Usual marks a choice that handbooks list for this kind of chord.
	Usual bool
	// InKey marks the scale of the key itself, begun on the chord's root.
	InKey bool
	// Avoid lists the notes not to rest on: a semitone above a chord tone.
	Avoid []Degree
	// Extensions lists the notes that colour the chord, as 9 11 13.
	Extensions []Degree
	// Missing lists chord tones that the scale lacks; only some usual
	// choices, such as blues over a dominant, lack any.
	Missing []Degree
}

// chordClass groups chords that take the same scales.
type chordClass int8

const (
	classMajor chordClass = iota
	classDominant
	classAltered // a dominant with altered fifth or ninth
	classSus
	classMinor // minor triad, minor sixth
	classMinorSeventh
	classMinorMajor
	classHalfDiminished
	classDiminished
	classAugmented
	classPower
	classOther
)

// usualScales lists what handbooks give for each class, in their order.
// Source: common practice as in Levine, The Jazz Theory Book, part II, and
// Nettles & Graf, The Chord Scale Theory and Jazz Harmony (from memory).
var usualScales = [...][]string{
	classMajor:          {"major", "lydian", "major pentatonic", "bebop major", "harmonic major", "major blues"},
	classDominant:       {"mixolydian", "lydian dominant", "bebop dominant", "blues", "half-whole diminished", "altered", "phrygian dominant", "mixolydian b6", "whole tone", "minor pentatonic"},
	classAltered:        {"altered", "half-whole diminished", "whole tone", "phrygian dominant", "lydian dominant", "mixolydian b6"},
	classSus:            {"mixolydian", "dorian", "suspended pentatonic", "phrygian", "dorian b2", "minor pentatonic"},
	classMinor:          {"dorian", "natural minor", "melodic minor", "minor pentatonic", "blues", "harmonic minor", "phrygian"},
	classMinorSeventh:   {"dorian", "natural minor", "minor pentatonic", "blues", "bebop dorian", "phrygian"},
	classMinorMajor:     {"melodic minor", "harmonic minor"},
	classHalfDiminished: {"locrian", "locrian natural 2", "locrian natural 6"},
	classDiminished:     {"whole-half diminished", "ultralocrian", "locrian", "locrian natural 2"},
	classAugmented:      {"lydian augmented", "whole tone", "augmented", "ionian #5"},
	classPower:          {"major", "natural minor", "major pentatonic", "minor pentatonic", "blues", "mixolydian", "dorian"},
	classOther:          {},
}

// maySkip lists the choices that players make although a chord tone is
// missing: the clash of blue and major third is what is wanted.
var maySkip = []string{"blues", "minor pentatonic"}

func classOf(degrees []Degree) chordClass {
	has := func(number, alter int) bool { return slices.Contains(degrees, Degree{number, alter}) }
	_, third := firstDegree(degrees, 3)
	_, fourth := firstDegree(degrees, 4, 2)
	seventh := has(7, -1)
	switch {
	case len(degrees) == 0:
		return classOther
	case has(3, -1) && has(5, -1) && seventh:
		return classHalfDiminished
	case has(3, -1) && has(5, -1):
		return classDiminished
	case has(3, -1) && has(7, 0):
		return classMinorMajor
	case has(3, -1) && seventh:
		return classMinorSeventh
	case has(3, -1):
		return classMinor
	case has(3, 0) && seventh && (has(5, 1) || has(5, -1) || has(9, -1) || has(9, 1) || has(13, -1)):
		return classAltered
	case has(3, 0) && seventh:
		return classDominant
	case has(3, 0) && has(5, 1):
		return classAugmented
	case has(3, 0):
		return classMajor
	case !third && fourth:
		return classSus
	case has(5, 0):
		return classPower
	}
	return classOther
}

// Scales returns the scales to play over the chord, on its root: those of
// handbooks for its kind first, then every other named scale that holds its
// tones. If key is not nil the scale of the key comes before all, if it holds
// the chord, and the others are sorted by how few notes they have outside the
// key. It is nil for N.C. and for a quality that is not understood.
func (c Chord) Scales(key *Key) []ChordScale {
	degrees := c.Degrees()
	if degrees == nil {
		return nil
	}
	var tones PitchSet
	for _, d := range degrees {
		tones = tones.With(d.Semitones())
	}
	class := classOf(degrees)
	usual := usualScales[class]
	var keySet PitchSet // the key's notes, above the root of the chord
	if key != nil {
		keySet = key.Scale().Set().Transpose(key.Tonic.Class() - c.Root.Class())
	}
	type choice struct {
		ChordScale
		outside, rank int
	}
	var choices []choice
	for i, s := range scaleData().scales {
		set := s.Set()
		rank := slices.Index(usual, s.name)
		if !set.Holds(tones) && (rank < 0 || !slices.Contains(maySkip, s.name)) {
			continue
		}
		cs := choice{ChordScale: ChordScale{Scale: s, Usual: rank >= 0}, rank: rank}
		if rank < 0 {
			cs.rank = len(usual) + i
			if !scaleData().usual[i] {
				cs.rank += len(scaleData().scales)
			}
		}
		if key != nil {
			cs.InKey = set == keySet && keySet.Holds(tones)
			cs.outside = (set &^ keySet).Len()
		}
		cs.Avoid, cs.Extensions, cs.Missing = judge(s, degrees, class)
		choices = append(choices, cs)
	}
	slices.SortStableFunc(choices, func(a, b choice) int {
		return cmp.Or(compareBool(b.InKey, a.InKey), compareBool(b.Usual, a.Usual),
			cmp.Compare(a.outside, b.outside), cmp.Compare(a.rank, b.rank))
	})
	out := make([]ChordScale, len(choices))
	for i := range choices {
		out[i] = choices[i].ChordScale
	}
	return out
}

// judge sorts the notes of a scale over a chord. A note a semitone above a
// chord tone clashes with it; over dominants ♭9 and ♭13 are wanted for their
// tension. Source: common practice (Nettles & Graf; from memory).
func judge(s Scale, chord []Degree, class chordClass) (avoid, extensions, missing []Degree) {
	has := func(semis int) bool {
		return slices.ContainsFunc(chord, func(d Degree) bool { return class12(d.Semitones()-semis) == 0 })
	}
	for i := range s.Len() {
		d := s.Degree(i)
		semis := d.Semitones()
		if has(semis) {
			continue
		}
		tense := (class == classDominant || class == classAltered) && (semis == 1 || semis == 8)
		if has(semis-1) && !tense {
			avoid = append(avoid, d)
			continue
		}
		switch {
		case d == (Degree{3, -1}) && slices.Contains(chord, Degree{3, 0}):
			d = Degree{9, 1} // beside a major third it is heard as one
		case d.Number%2 == 0: // 2 4 6 are named above the octave
			d.Number += 7
		}
		extensions = append(extensions, d)
	}
	set := s.Set()
	for _, d := range chord {
		if !set.Has(d.Semitones()) {
			missing = append(missing, d)
		}
	}
	return avoid, extensions, missing
}

func class12(semitones int) int {
	_, c := floorDiv(semitones, 12)
	return c
}

// AvailableExtensions returns the degrees above the seventh that colour the
// chord without clashing, those that it names included: the ones a whole tone
// above a chord tone, and over dominants also ♭9 ♯9 ♭13, unless the chord
// names the natural ones. Over a diminished seventh the major seventh is one.
// Source: common practice (Nettles & Graf, The Chord Scale Theory; from
// memory).
func (c Chord) AvailableExtensions() []Degree {
	degrees := c.Degrees()
	if degrees == nil {
		return nil
	}
	class := classOf(degrees)
	has := func(semis int) bool {
		return slices.ContainsFunc(degrees, func(d Degree) bool { return d.Number <= 7 && d.Semitones() == semis })
	}
	named := func(number int) bool {
		return slices.ContainsFunc(degrees, func(d Degree) bool { return d.Number == number })
	}
	dominant := class == classDominant || class == classAltered
	var ext []Degree
	for _, d := range [...]Degree{{7, 0}, {9, -1}, {9, 0}, {9, 1}, {11, 0}, {11, 1}, {13, -1}, {13, 0}} {
		semis := class12(d.Semitones())
		switch {
		case slices.Contains(degrees, d):
			if d.Number < 9 {
				continue
			}
		case has(semis):
			continue // it sounds in the chord already
		case d.Number == 7:
			if class != classDiminished || !has(9) {
				continue
			}
		case named(d.Number):
			continue // the symbol has chosen another one
		case dominant && (d == Degree{9, -1} || d == Degree{9, 1} || d == Degree{13, -1}):
		case !has(class12(semis - 2)):
			continue
		case has(class12(semis - 1)):
			continue
		}
		ext = append(ext, d)
	}
	return ext
}
