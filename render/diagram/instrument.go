package diagram

import (
	"fmt"
	"strings"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// neckWords says what neck it is and how it is tuned, "drop D: D A D G B E", and
// which strings sound higher than their place says. A guitar in standard tuning
// goes without saying: "".
func neckWords(t fretboard.Tuning, write func(theory.NoteName) string) string {
	if t.Len() == 0 || t.Sounds(fretboard.Standard()) {
		return ""
	}
	names := make([]string, t.Len())
	for i := range names {
		names[i] = write(t.Open(t.Len() - i).NoteName)
	}
	notes := strings.Join(names, " ")
	name := t.Name
	instrument := t.Instrument().Name
	switch {
	case name == "" && (instrument == "" || instrument == "guitar"):
		name = "tuning"
	case name == "" || strings.HasPrefix(instrument, name):
		name = instrument
	case name == notes:
		name = "tuning"
	}
	return name + ": " + notes + highWords(t, write)
}

// highWords names the strings of a re-entrant tuning that lie above the next
// thinner one.
func highWords(t fretboard.Tuning, write func(theory.NoteName) string) string {
	high := t.High()
	switch {
	case len(high) == 0:
		return ""
	case len(high) > 1:
		numbers := make([]string, len(high))
		for i, s := range high {
			numbers[i] = fmt.Sprint(s)
		}
		return ", strings " + strings.Join(numbers, ", ") + " are high ones"
	}
	name := t.Open(high[0]).NoteName
	for s := 1; s <= t.Len(); s++ {
		if s != high[0] && t.Open(s).NoteName == name {
			return fmt.Sprintf(", string %d (%s) is the high one", high[0], write(name))
		}
	}
	return ", the " + write(name) + " string is the high one"
}

// oneTuning tells whether all diagrams are of necks that are tuned alike.
func oneTuning(ds []Diagram) bool {
	for _, d := range ds {
		if !d.Neck.Tuning.Sounds(ds[0].Neck.Tuning) {
			return false
		}
	}
	return len(ds) > 0
}
