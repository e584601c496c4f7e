package theory

import (
	"fmt"
	"strconv"
)

// A Degree is a scale degree counted against the major scale of the tonic:
// {3, -1} is ♭3, a minor third above the tonic in any scale. Numbers above 7
// name extensions (9, 11, 13). The zero value is not a degree.
type Degree struct {
	Number int // 1 and up
	Alter  int // semitones against the major scale's degree
}

// DegreeOf returns the degree of a name against a tonic, its number 1 to 7.
func DegreeOf(tonic, n NoteName) Degree {
	i := tonic.To(n)
	return Degree{i.Steps + 1, i.Semitones - diatonicSemitones[i.Steps]}
}

// Interval returns the rising interval from the tonic to the degree.
func (d Degree) Interval() Interval {
	oct, step := floorDiv(d.Number-1, 7)
	return Interval{d.Number - 1, 12*oct + diatonicSemitones[step] + d.Alter}
}

// Name returns the degree's note name over a tonic.
func (d Degree) Name(tonic NoteName) NoteName { return tonic.Transpose(d.Interval()) }

// Semitones returns the semitones above the tonic; ♭1 is -1, 9 is 14.
func (d Degree) Semitones() int { return d.Interval().Semitones }

// String writes the degree as it is typed: "b3", "#4", "13".
func (d Degree) String() string { return accidentals(d.Alter, "#", "b") + strconv.Itoa(d.Number) }

// Pretty writes the degree with the signs of print: "♭3".
func (d Degree) Pretty() string { return PrettyAlter(d.Alter) + strconv.Itoa(d.Number) }

// ParseDegree reads a degree: "b3", "♯4", "bb7", "13". Errors are of type
// [*ParseError].
func ParseDegree(s string) (Degree, error) {
	alter, rest := scanAlter(s)
	n, err := strconv.Atoi(rest)
	if err != nil || n < 1 || n > 99 || rest[0] == '+' {
		return Degree{}, parseError("degree", s, len(s)-len(rest), fmt.Sprintf("%q is no degree number", rest),
			"write a number with flats or sharps before it, as in b3 or #4")
	}
	return Degree{n, alter}, nil
}
