package transform

import (
	"fmt"
	"strconv"

	"example.org/lickwright/score"
)

// A reporter collects what there is to say, and knows how players name a
// moment: "bar 3, beat 2".
type reporter struct {
	score *score.Score
	parts int // of the score; with one part its name is not said
	part  *score.Part
	beats []score.Quarters // length of a beat by measure of the part
	list  score.Diagnostics
}

// enter says that what follows is about a part.
func (r *reporter) enter(p *score.Part) {
	r.part = p
	r.beats = beatLengths(p)
}

func (r *reporter) add(sev score.Severity, code string, h score.Handle, msg, hint string) {
	r.list = append(r.list, score.Diagnostic{Severity: sev, Code: code, Pos: r.score.PosOf(h), Msg: msg, Hint: hint})
}

// where names a moment of the part: "bar 3, beat 2", off the beat
// "bar 3, beat 2+1/2", and with the part's name where there are several.
func (r *reporter) where(measure int, onset score.Quarters) string {
	return r.inPart() + fmt.Sprintf("bar %s, beat %s", r.bar(measure), r.beat(measure, onset))
}

// beat returns the beat of an onset as players count it.
func (r *reporter) beat(measure int, onset score.Quarters) string {
	return beatOf(onset, r.beats[measure])
}

// inPart names the part where there are several: "Guitar, ".
func (r *reporter) inPart() string {
	switch {
	case r.parts < 2:
		return ""
	case r.part.Name != "":
		return r.part.Name + ", "
	}
	return "part " + r.part.ID + ", "
}

// bar returns a measure's number as printed, or counted where none is.
func (r *reporter) bar(measure int) string {
	if n := r.part.Measures[measure].Number; n != "" {
		return n
	}
	return strconv.Itoa(measure + 1)
}

func beatOf(onset, beat score.Quarters) string {
	q := onset.Div(beat)
	if q.Invalid() {
		return "?"
	}
	whole := q.Num() / q.Den()
	s := strconv.FormatInt(whole+1, 10)
	if rest := q.Sub(score.Q(whole, 1)); !rest.IsZero() {
		s += "+" + rest.String()
	}
	return s
}

// beatLengths returns the length of a beat in each measure, in quarter notes:
// the denominator's note, three of them in compound metres (6/8, 9/8, 12/8).
// Source: common practice on simple and compound metre.
func beatLengths(p *score.Part) []score.Quarters {
	beats := make([]score.Quarters, len(p.Measures))
	beat := score.Q(1, 1)
	for i, m := range p.Measures {
		for _, e := range m.Events {
			if t, ok := e.(*score.TimeSignature); ok && t.Onset.IsZero() {
				beat = beatOfMetre(t)
			}
		}
		beats[i] = beat
	}
	return beats
}

func beatOfMetre(t *score.TimeSignature) score.Quarters {
	if len(t.BeatTypes) == 0 || t.BeatTypes[0] < 1 {
		return score.Q(1, 1)
	}
	unit := score.Q(4, int64(t.BeatTypes[0]))
	n, err := strconv.Atoi(t.Beats[0])
	if err == nil && n > 3 && n%3 == 0 && t.BeatTypes[0] >= 8 {
		return unit.Mul(score.Q(3, 1))
	}
	return unit
}
