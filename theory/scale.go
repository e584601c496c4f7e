package theory

import (
	"slices"
	"strings"
)

// A Scale is a formula of degrees over a tonic that it does not name: the
// major scale, not C major. The degrees rise from 1 and count against the
// major scale of the tonic. Scales are values, comparable and immutable. The
// zero value is empty and no scale.
type Scale struct {
	name    string
	length  int8
	degrees [12]scaleDegree
}

// scaleDegree is a Degree in two bytes, so that a Scale is small.
type scaleDegree struct{ number, alter int8 }

// Name returns the name under which the trade knows the scale, the most usual
// one; empty if it has none here.
func (s Scale) Name() string { return s.name }

// Title returns the name, or the formula where there is none.
func (s Scale) Title() string {
	if s.name != "" {
		return s.name
	}
	return s.Formula()
}

// Len returns the number of degrees.
func (s Scale) Len() int { return int(s.length) }

// Degree returns the i-th degree, 0 being the first. It panics out of range.
func (s Scale) Degree(i int) Degree {
	d := s.degrees[:s.length][i]
	return Degree{int(d.number), int(d.alter)}
}

// Degrees returns the degrees in rising order, a fresh slice.
func (s Scale) Degrees() []Degree {
	degrees := make([]Degree, s.length)
	for i := range degrees {
		degrees[i] = s.Degree(i)
	}
	return degrees
}

// Formula writes the degrees as they are typed: "1 b3 4 5 b7".
func (s Scale) Formula() string {
	var b strings.Builder
	for i := range s.Len() {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(s.Degree(i).String())
	}
	return b.String()
}

// Pretty writes the degrees with the signs of print: "1 ♭3 4 5 ♭7".
func (s Scale) Pretty() string {
	var b strings.Builder
	for i := range s.Len() {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(s.Degree(i).Pretty())
	}
	return b.String()
}

// Notes returns the scale on a tonic, spelled by its degrees.
func (s Scale) Notes(tonic NoteName) []NoteName {
	notes := make([]NoteName, s.length)
	for i := range notes {
		notes[i] = s.Degree(i).Name(tonic)
	}
	return notes
}

// Set returns the pitch classes above the tonic, which is class 0. Transpose
// it by a tonic's class for the sounds of the scale on that tonic.
func (s Scale) Set() PitchSet {
	var set PitchSet
	for i := range s.Len() {
		set = set.With(s.Degree(i).Semitones())
	}
	return set
}

// DegreeOf returns the degree that a note is in the scale on a tonic, by its
// letter; ok is false if the scale does not have it.
func (s Scale) DegreeOf(tonic, n NoteName) (d Degree, ok bool) {
	d = DegreeOf(tonic, n)
	return d, slices.Contains(s.degrees[:s.length], scaleDegree{int8(d.Number), int8(d.Alter)})
}

// Same tells whether two scales have the same degrees, spelled alike.
func (s Scale) Same(t Scale) bool { return s.length == t.length && s.degrees == t.degrees }

// Mode returns the scale that begins on the n-th degree of s, 1 being s
// itself and Len()+1 again s. A seven-note scale keeps one letter per degree;
// others are spelled as the catalogue has them, or as [ScaleOfSet] does.
func (s Scale) Mode(n int) Scale {
	if s.length == 0 {
		return s
	}
	_, first := floorDiv(n-1, s.Len())
	if first == 0 {
		return s
	}
	from := s.Degree(first).Interval()
	if s.length == 7 && s.oneLetterEach() {
		var m Scale
		m.length = 7
		for i := range 7 {
			to := s.Degree((first + i) % 7).Interval()
			if first+i >= 7 {
				to = to.Add(Octaves(1))
			}
			by := to.Add(from.Neg())
			m.degrees[i] = scaleDegree{int8(by.Steps + 1), int8(by.Semitones - diatonicSemitones[by.Steps])}
		}
		m.name = nameOfScale(m)
		return m
	}
	return ScaleOfSet(s.Set().Transpose(-from.Semitones))
}

// Modes returns s and its other modes, in the order of their first degrees.
func (s Scale) Modes() []Scale {
	modes := make([]Scale, s.Len())
	for i := range modes {
		modes[i] = s.Mode(i + 1)
	}
	return modes
}

func (s Scale) oneLetterEach() bool {
	for i := range s.Len() {
		if s.Degree(i).Number != i+1 {
			return false
		}
	}
	return true
}

// Brightness returns the sum of the degrees' places on the line of fifths
// over the tonic: the more, the brighter. Each step from Lydian to Locrian
// lowers it by 7.
func (s Scale) Brightness() int {
	sum := 0
	for i := range s.Len() {
		sum += s.Degree(i).Interval().Fifths()
	}
	return sum
}

// Scale returns the scale of the key's mode.
func (k Key) Scale() Scale {
	s, _ := scaleNamed(k.Mode.String())
	return s
}

// newScale makes a scale of degrees, sorted by sound; the caller has made
// sure that they are 1 to 12 degrees of different sounds within an octave.
func newScale(degrees []Degree) Scale {
	degrees = slices.Clone(degrees)
	slices.SortFunc(degrees, func(a, b Degree) int { return a.Semitones() - b.Semitones() })
	var s Scale
	s.length = int8(len(degrees))
	for i, d := range degrees {
		s.degrees[i] = scaleDegree{int8(d.Number), int8(d.Alter)}
	}
	return s
}
