package routine

import (
	"fmt"

	"example.org/lickwright/score"
)

// shortest and longest bound the notes of a run, in quarter notes.
func shortest() score.Quarters { return score.Q(1, 32) }
func longest() score.Quarters  { return score.Q(4, 1) }

// checkTime tells whether notes of a length can be written in a metre.
func checkTime(t *score.TimeSignature, value score.Quarters) error {
	if t.Length.Sign() <= 0 {
		return fmt.Errorf("a sheet has bars, so it needs a metre")
	}
	if value.Less(shortest()) || longest().Less(value) {
		return fmt.Errorf("a run goes in notes between a 128th and a whole")
	}
	shown, triplet := written(value)
	if !score.ValueOf(shown).Known {
		return fmt.Errorf("%s of a whole is no note value", value.Mul(score.Q(1, 4)))
	}
	if triplet && t.Length.Less(value.Mul(score.Q(3, 1))) {
		return fmt.Errorf("three such triplet notes are longer than a bar of %s", t.Metre())
	}
	return nil
}

// written returns how long a note looks on the page: one of a triplet by half
// longer than it lasts.
func written(value score.Quarters) (shown score.Quarters, triplet bool) {
	if value.Den()%3 == 0 {
		return value.Mul(score.Q(3, 2)), true
	}
	return value, false
}

func dyadic(q score.Quarters) bool { return q.Den()&(q.Den()-1) == 0 }

// spell writes a dyadic length as note values that are tied together, the
// longest first.
func spell(q score.Quarters) []score.NoteValue {
	if v := score.ValueOf(q); v.Known {
		return []score.NoteValue{v}
	}
	var values []score.NoteValue
	for q.Sign() > 0 {
		var best score.NoteValue
		var length score.Quarters
		for log := int8(-1); log <= 8; log++ {
			for dots := int8(0); dots <= 2; dots++ {
				v := score.NoteValue{Log: log, Dots: dots, Known: true}
				if l := v.Quarters(); !q.Less(l) && length.Less(l) {
					best, length = v, l
				}
			}
		}
		if !best.Known {
			return values
		}
		values = append(values, best)
		q = q.Sub(length)
	}
	return values
}
