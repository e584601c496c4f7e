package diagram

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// Arpeggio returns the diagram of a chord's notes that are played one after the
// other: read as a chord is, and with a word on their order and on a finger that
// goes from string to string at one fret.
func (d Diagram) Arpeggio() Diagram {
	d.Show = []Label{Functions, Fingers}
	d.Subtitle = joined("arpeggio", d.Subtitle)
	d.Notes = append(slices.Clone(d.Notes), "one note after the other, in any order")
	d.Notes = append(d.Notes, d.rolls()...)
	return d
}

// rolls says where one finger stops neighbouring strings at a fret: it lies flat
// and rolls, since lifting it would cut the notes off. Source: common practice.
func (d Diagram) rolls() []string {
	type held struct {
		finger score.Finger
		fret   int
	}
	on := map[held][]int{}
	var order []held
	for str := d.Neck.Tuning.Len(); str >= 1; str-- {
		for _, dot := range d.Dots {
			if dot.Place.String != str || dot.Place.Fret == 0 || dot.Faint || len(dot.Fingers) != 1 || fingerLabel(dot.Fingers[0]) == "" {
				continue
			}
			h := held{dot.Fingers[0], dot.Place.Fret}
			if on[h] == nil {
				order = append(order, h)
			}
			on[h] = append(on[h], str)
		}
	}
	var all []string
	for _, h := range order {
		for strs := on[h]; len(strs) > 0; {
			n := 1
			for n < len(strs) && strs[n] == strs[n-1]-1 {
				n++
			}
			if n > 1 {
				all = append(all, fmt.Sprintf("finger %s at fret %d: laid across %s and rolled", fingerLabel(h.finger), h.fret, d.stringList(strs[:n])))
			}
			strs = strs[n:]
		}
	}
	return all
}

// stringList names strings, by their numbers where names do not tell them apart.
func (d Diagram) stringList(strs []int) string {
	names, numbers := make([]string, len(strs)), make([]string, len(strs))
	alike := false
	for i, s := range strs {
		names[i], numbers[i] = d.Neck.Tuning.StringName(s, prettyName), fmt.Sprint(s)
		alike = alike || !d.named(s)
	}
	if alike {
		return "strings " + listed(numbers)
	}
	return "the " + listed(names) + " strings"
}

// stringWord names a string: "the A string", "string 3" where others have its
// name.
func (d Diagram) stringWord(str int) string {
	if !d.named(str) {
		return fmt.Sprintf("string %d", str)
	}
	return "the " + d.Neck.Tuning.StringName(str, prettyName) + " string"
}

// named tells whether no other string has the name of one.
func (d Diagram) named(str int) bool {
	for s := 1; s <= d.Neck.Tuning.Len(); s++ {
		if s != str && d.Neck.Tuning.StringName(s, prettyName) == d.Neck.Tuning.StringName(str, prettyName) {
			return false
		}
	}
	return true
}

func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
