package score

import (
	"fmt"
	"strings"
)

// LengthName names a length as players do: "quarter", "dotted quarter",
// "triplet eighth", "half tied to an eighth". A length of no such name is a
// fraction: "5/9 of a quarter". Source: the American names of note values,
// common practice.
func LengthName(q Quarters) string {
	if name := lengthName(q); name != "" {
		return name
	}
	if q.Sign() <= 0 || q.Invalid() {
		return q.String() + " quarters"
	}
	return q.String() + " of a quarter"
}

// LengthNames names the length of several notes that are equally long:
// "quarters", "dotted half notes".
func LengthNames(q Quarters) string {
	name := lengthName(q)
	switch {
	case name == "" || strings.Contains(name, " tied to "):
		return LengthName(q) + " each"
	case strings.HasSuffix(name, "half"):
		return name + " notes"
	}
	return name + "s"
}

func lengthName(q Quarters) string {
	if q.Sign() <= 0 || q.Invalid() {
		return ""
	}
	if name := oneNote(q); name != "" {
		return name
	}
	// Two notes that are tied, the longer one first, without a dot if that goes.
	for dots := range int8(2) {
		for log := int8(-1); log <= 8; log++ {
			v := NoteValue{Log: log, Dots: dots, Known: true}
			rest := q.Sub(v.Quarters())
			if name := oneNote(rest); name != "" && rest.Less(v.Quarters()) {
				return valueName(v) + " tied to " + article(name)
			}
		}
	}
	return ""
}

// oneNote names the length of a note that is not tied, or "".
func oneNote(q Quarters) string {
	if v := ValueOf(q); v.Known {
		return valueName(v)
	}
	for _, t := range [...]struct {
		name           string
		actual, normal int64
	}{{"triplet", 3, 2}, {"quintuplet", 5, 4}, {"septuplet", 7, 4}} {
		if v := ValueOf(q.Mul(Q(t.actual, t.normal))); v.Known && v.Dots == 0 {
			return t.name + " " + valueName(v)
		}
	}
	return ""
}

func valueName(v NoteValue) string {
	names := [...]string{"breve", "whole", "half", "quarter", "eighth", "sixteenth", "thirty-second", "sixty-fourth", "128th", "256th"}
	dots := [...]string{"", "dotted ", "double-dotted "}
	return dots[v.Dots] + names[v.Log+1]
}

func article(name string) string {
	if strings.HasPrefix(name, "eighth") {
		return "an " + name
	}
	return "a " + name
}

// BarLengthName counts a length in the largest note value that it is a
// multiple of, as metres do: "4 quarters", "7 eighths". Lengths of bars are
// said so, since a bar is no note.
func BarLengthName(q Quarters) string {
	if q.Sign() <= 0 || q.Invalid() {
		return q.String() + " quarters"
	}
	unit := Q(1, q.Den())
	name := oneNote(unit)
	if name == "" {
		return q.String() + " quarters"
	}
	if q.Num() == 1 {
		return "1 " + name
	}
	return fmt.Sprintf("%d %s", q.Num(), LengthNames(unit))
}
