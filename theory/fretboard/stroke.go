package fretboard

import (
	"fmt"
	"strings"

	"example.org/lickwright/theory"
)

// A Stroke is a stroke of the pick.
type Stroke int8

// NoStroke is a note that is hammered on or pulled off.
const (
	NoStroke Stroke = iota
	Down
	Up
)

// String returns "down", "up" or "-".
func (s Stroke) String() string { return [...]string{"-", "down", "up"}[s] }

// A StrokePolicy is how the pick is used. String changes can be judged only
// under one.
type StrokePolicy int8

const (
	// Strict alternates down and up whatever the strings.
	Strict StrokePolicy = iota
	// Swept alternates on a string and goes on to the next one in the
	// direction in which the line crosses the strings.
	Swept
	// Legato strikes the first note on each string, in the direction in
	// which the line crosses; the others are hammered on or pulled off.
	Legato
)

var strokePolicies = [...]string{"strict", "swept", "legato"}

// String returns "strict", "swept" or "legato".
func (p StrokePolicy) String() string { return strokePolicies[p] }

// ParseStrokePolicy reads the name of a policy. Errors are of type
// [*theory.ParseError].
func ParseStrokePolicy(s string) (StrokePolicy, error) {
	for p, name := range strokePolicies {
		if strings.EqualFold(s, name) {
			return StrokePolicy(p), nil
		}
	}
	return 0, &theory.ParseError{What: "stroke policy", Input: s, Msg: "unknown", Hint: "use strict, swept or legato"}
}

// A ChangeKind is how the pick gets from one string to another.
type ChangeKind int8

const (
	// Inside is a change with the pick between the two strings: up, then
	// down on a thinner string; down, then up on a thicker one.
	Inside ChangeKind = iota + 1
	// Outside is a change around both strings: down, then up on a thinner
	// string; up, then down on a thicker one.
	Outside
	// Sweep is a change in one stroke.
	Sweep
)

// String returns "inside", "outside" or "sweep".
func (k ChangeKind) String() string { return [...]string{"", "inside", "outside", "sweep"}[k] }

// A StringChange is a change of string in a line.
type StringChange struct {
	After    int // index of the last note on the string that is left
	From, To int // strings
	Kind     ChangeKind
}

// Strokes says how each note of a line is struck under a policy, and how the
// pick changes strings. A line that goes to thinner strings first begins with
// a downstroke, one that goes to thicker ones with an upstroke, one that
// stays on a string with a downstroke.
//
// Source: inside and outside changes are computed from the way of the pick;
// the words are common practice.
func Strokes(line []Place, policy StrokePolicy) ([]Stroke, []StringChange) {
	if len(line) == 0 {
		return nil, nil
	}
	strokes := make([]Stroke, len(line))
	var changes []StringChange
	strokes[0] = Down
	for i := 1; i < len(line); i++ {
		if line[i].String != line[0].String {
			strokes[0] = across(line[0].String, line[i].String)
			break
		}
	}
	last := strokes[0] // the last stroke that was made
	for i := 1; i < len(line); i++ {
		from, to := line[i-1].String, line[i].String
		crossing := from != to
		switch {
		case policy == Legato && !crossing:
			continue
		case policy != Strict && crossing:
			strokes[i] = across(from, to)
		case last == Down:
			strokes[i] = Up
		default:
			strokes[i] = Down
		}
		if crossing {
			kind := Inside
			way := across(from, to)
			switch {
			case strokes[i] == last:
				kind = Sweep
			case last == way:
				kind = Outside
			}
			changes = append(changes, StringChange{i - 1, from, to, kind})
		}
		last = strokes[i]
	}
	return strokes, changes
}

// across returns the stroke that goes from one string towards another.
func across(from, to int) Stroke {
	if to < from {
		return Down
	}
	return Up
}

// CountChanges counts string changes by kind.
func CountChanges(changes []StringChange) (inside, outside, sweeps int) {
	for _, c := range changes {
		switch c.Kind {
		case Inside:
			inside++
		case Outside:
			outside++
		case Sweep:
			sweeps++
		default:
			panic(fmt.Sprintf("fretboard: unknown change %d", c.Kind))
		}
	}
	return inside, outside, sweeps
}
