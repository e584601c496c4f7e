package score

import (
	"math/bits"
	"strconv"
	"strings"
)

// ParseMetre reads a metre as players write it: "4/4", "3+2/8" (grouped
// beats), "3/8+2/4" (two metres in turn), "C", "C|" and "free" (without
// metre). ok is false for anything else.
func ParseMetre(s string) (t *TimeSignature, ok bool) {
	s = strings.Join(strings.Fields(s), "")
	t = &TimeSignature{}
	switch strings.ToLower(s) {
	case "c", "common":
		t.Symbol, s = "common", "4/4"
	case "c|", "cut":
		t.Symbol, s = "cut", "2/2"
	case "free":
		return t, true
	}
	for _, m := range splitMetres(s) {
		beats, unit, found := strings.Cut(m, "/")
		n, err := strconv.Atoi(unit)
		if !found || err != nil || n < 1 || n > 128 || n&(n-1) != 0 {
			return nil, false
		}
		sum := 0
		for b := range strings.SplitSeq(beats, "+") {
			k, err := strconv.Atoi(b)
			if err != nil || k < 1 || k > 99 {
				return nil, false
			}
			sum += k
		}
		t.Beats = append(t.Beats, beats)
		t.BeatTypes = append(t.BeatTypes, n)
		t.Length = t.Length.Add(Q(4*int64(sum), int64(n)))
	}
	return t, true
}

// splitMetres cuts at each plus that has a lower number before it, since 3+2
// over 8 is one metre of grouped beats.
func splitMetres(s string) []string {
	var parts []string
	start, slash := 0, false
	for i := range len(s) {
		switch s[i] {
		case '/':
			slash = true
		case '+':
			if slash {
				parts = append(parts, s[start:i])
				start, slash = i+1, false
			}
		}
	}
	return append(parts, s[start:])
}

// Metre writes the metre so that [ParseMetre] reads it back.
func (t *TimeSignature) Metre() string {
	switch {
	case t.Symbol == "common":
		return "C"
	case t.Symbol == "cut":
		return "C|"
	case len(t.Beats) == 0:
		return "free"
	}
	parts := make([]string, len(t.Beats))
	for i := range t.Beats {
		parts[i] = t.Beats[i] + "/" + strconv.Itoa(t.BeatTypes[i])
	}
	return strings.Join(parts, "+")
}

// ValueOf returns the note value of a length without tuplets, from the breve
// to the 256th with up to two dots; the zero value if there is none.
func ValueOf(q Quarters) NoteValue {
	num, den := q.Num(), q.Den()
	if num <= 0 || den <= 0 || den&(den-1) != 0 {
		return NoteValue{}
	}
	up := bits.TrailingZeros64(uint64(num))
	dots := 0
	switch num >> up {
	case 1:
	case 3:
		dots = 1
	case 7:
		dots = 2
	default:
		return NoteValue{}
	}
	// The undotted value is 2^(up+dots)/den quarter notes; a whole is 2^2.
	log := 2 - (up + dots) + bits.TrailingZeros64(uint64(den))
	if log < -1 || log > 8 {
		return NoteValue{}
	}
	return NoteValue{Log: int8(log), Dots: int8(dots), Known: true}
}
