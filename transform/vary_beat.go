package transform

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
)

// barBeats returns the lengths of the beats of a bar as they are felt: in
// compound and additive metres those of its groups, so dotted quarters in 6/8 and a
// quarter, a quarter and a dotted quarter in 7/8 (2+2+3), else the beat of the
// metre. unit is what the groups are made of, the beat itself where there are none.
// Source: common practice on simple, compound and additive metre.
func barBeats(p pulse, bar, beat score.Quarters) (list []score.Quarters, unit score.Quarters) {
	if !p.grouped() {
		for at := (score.Quarters{}); at.Less(bar) && beat.Sign() > 0; at = at.Add(beat) {
			list = append(list, beat)
		}
		return list, beat
	}
	for i, g := range p.groups {
		end := bar
		if i+1 < len(p.groups) {
			end = p.groups[i+1].start
		}
		if d := end.Sub(g.start); d.Sign() > 0 {
			list = append(list, d)
		}
	}
	return list, p.groups[0].beat
}

// grouped tells whether the groups of the bar are its beats.
func (p pulse) grouped() bool { return p.groups[0].inner == offBeat }

// beats returns the beats of the first whole bar, and what they are made of.
func (v *varied) beats() (list []score.Quarters, unit score.Quarters) {
	v.remember()
	i := 0
	if len(v.part.Measures) > 1 && !shortBy(v.part, 0).IsZero() {
		i = 1
	}
	return barBeats(v.pulses[i], v.part.Measures[i].Nominal, v.rep.beats[i])
}

// beatsLong returns how long so many beats are from the beginning of a bar, or, if
// they are negative, up to it.
func (v *varied) beatsLong(n int) (sum score.Quarters) {
	list, unit := v.beats()
	if len(list) == 0 {
		list = []score.Quarters{unit}
	}
	for i := range max(n, -n) {
		if n > 0 {
			sum = sum.Add(list[i%len(list)])
		} else {
			sum = sum.Sub(list[len(list)-1-i%len(list)])
		}
	}
	return sum
}

// beatAt returns how long the beat is in which a time lies.
func (v *varied) beatAt(at score.Quarters) score.Quarters {
	i := v.barAt(at)
	p := v.pulses[i]
	if !p.grouped() {
		return v.rep.beats[i]
	}
	list, _ := barBeats(p, v.part.Measures[i].Nominal, v.rep.beats[i])
	in := at.Sub(v.begins[i]).Add(shortBy(v.part, i))
	for _, d := range list {
		if in.Less(d) {
			return d
		}
		in = in.Sub(d)
	}
	return v.rep.beats[i]
}

// shifts lists by how much a phrase is displaced when that is left to choice: by
// halves of beats up to two beats and a half; where beats are groups, by one of what
// they are made of, by one to three of them, and by a dotted beat and one more.
func (v *varied) shifts() (list []score.Quarters) {
	beats, unit := v.beats()
	if len(beats) == 0 {
		return nil
	}
	bar := v.part.Measures[len(v.part.Measures)-1].Nominal
	add := func(q score.Quarters) {
		if q.Sign() > 0 && q.Less(bar) || q.Sign() < 0 && q.Neg().Less(bar) {
			list = append(list, q)
		}
	}
	if !v.pulses[len(v.pulses)-1].grouped() {
		for _, q := range [...]score.Quarters{score.Q(1, 2), score.Q(1, 1), score.Q(3, 2), score.Q(2, 1), score.Q(5, 2)} {
			add(q)
			add(q.Neg())
		}
		add(score.Q(1, 4))
		return list
	}
	add(unit)
	add(unit.Neg())
	for n := 1; n <= 3; n++ {
		add(v.beatsLong(n))
		add(v.beatsLong(-n))
	}
	if beats[0].Div(unit) == score.Q(3, 1) {
		add(beats[0].Add(unit))
		add(beats[0].Add(unit).Neg())
	}
	return list
}

// spanWords says a stretch of time, in beats where those are dotted notes and it is
// made of them: "two beats", "a beat and an eighth note".
func (v *varied) spanWords(q score.Quarters) string {
	beats, unit := v.beats()
	if len(beats) == 0 || beats[0].Div(unit) != score.Q(3, 1) || beats[len(beats)-1] != beats[0] {
		return valueWords(q)
	}
	n := q.Div(beats[0])
	whole := n.Num() / n.Den()
	rest := q.Sub(beats[0].Mul(score.Q(whole, 1)))
	var text string
	switch {
	case whole == 1:
		text = "a beat"
	case whole > 1:
		text = fmt.Sprintf("%d beats", whole)
	}
	units := rest.Div(unit)
	switch {
	case rest.IsZero():
		return text
	case units == score.Q(2, 1):
		rest := "two " + score.LengthName(unit) + " notes"
		if text == "" {
			return rest
		}
		return text + " and " + rest
	case text == "":
		return valueWords(rest)
	}
	return text + " and " + valueWords(rest)
}

// valueWords names a length as the note value that it is, or as two of them.
func valueWords(q score.Quarters) string {
	name := score.LengthName(q)
	if strings.Contains(name, " of a quarter") {
		return fmt.Sprintf("%v of a whole note", q.Mul(score.Q(1, 4)))
	}
	first, second, two := strings.Cut(name, " tied to ")
	text := "a "
	if strings.ContainsRune("aeiou", rune(first[0])) {
		text = "an "
	}
	text += first + " note"
	if two {
		text += " and " + second + " note"
	}
	return text
}
