package diagram

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// words says in words what a dot shows.
func (d Dot) words(of Diagram) string {
	where := fmt.Sprintf("string %d, fret %d", d.Place.String, d.Place.Fret)
	if d.Place.Fret == 0 {
		where = fmt.Sprintf("string %d, open", d.Place.String)
	}
	return where + ": " + strings.Join(d.says(of), ", ")
}

func (d Dot) says(of Diagram) []string {
	var says []string
	if d.Dead {
		says = append(says, "dead")
	} else {
		says = append(says, prettyName(d.Pitch.NoteName))
	}
	if d.Degree.Number > 0 && !d.Dead {
		says = append(says, "degree "+prettyDegree(d.Degree))
	}
	switch {
	case d.Role == Root && !d.chordal(of):
		says = append(says, "tonic")
	case d.Role != Other:
		says = append(says, d.Role.String())
	}
	switch {
	case d.Function == "R" && d.Role != Root:
		says = append(says, "root of the chord")
	case d.Function != "" && d.Function != "R" && d.Function != prettyDegree(d.Degree):
		says = append(says, "in the chord "+d.Function)
	}
	if f := d.label(Fingers); f != "" {
		says = append(says, "finger "+f)
	}
	switch d.When {
	case Before:
		says = append(says, "just played")
	case Next:
		says = append(says, "comes next")
	}
	if d.Again {
		says = append(says, "and next again")
	}
	if len(d.Steps) > 0 {
		steps := make([]string, len(d.Steps))
		for i, s := range d.Steps {
			steps[i] = strings.Join(append([]string{strconv.Itoa(s.Number)}, s.said()...), " ")
		}
		says = append(says, "played "+strings.Join(steps, ", "))
	}
	for _, l := range [...]Label{Degrees, Functions, Roles, Names, Intervals} {
		if said := d.said(l); said != "" {
			says = append(says, kindOf[l]+" "+said)
		}
	}
	if d.Reach > 0 {
		says = append(says, "reached for")
	}
	if d.Repeated {
		says = append(says, "the sound before again")
	}
	return says
}

// chordal tells whether a dot has its shape to a chord, else to the tonic.
func (d Dot) chordal(of Diagram) bool {
	return of.Over != nil || slices.ContainsFunc(d.Steps, func(s Step) bool {
		_, labelled := labelledRole(s.Labels)
		return labelled || s.Chord != ""
	})
}

// kind names what a link is.
func (l Link) kind() string {
	switch {
	case l.Kind == StruckSlide:
		return "slide, struck,"
	case l.Kind != Slur:
		return linkNames[l.Kind]
	case l.letter() == "H":
		return "hammer-on"
	}
	return "pull-off"
}

func (l Link) words() string {
	return fmt.Sprintf("%s on string %d from fret %d to %d", l.kind(), l.From.String, l.From.Fret, l.To.Fret) + l.times()
}

// words says in words where a move leads, and on which strings it can be made.
func (m Move) words() string {
	s := fmt.Sprintf("%s: the index finger moves from fret %d to %d", m.Label, m.From, m.To)
	for i, w := range m.Ways {
		on := "on "
		if i == 0 {
			on = "on string "
		}
		s += fmt.Sprintf(", %s%d from fret %d to %d", on, w.String, w.From, w.To)
	}
	return s
}

// Describe says in words what the diagram shows, string by string from the
// last one, for those who hear it and do not see it.
func (d Diagram) Describe() string {
	var parts []string
	name := strings.Trim(d.Title+", "+d.Subtitle, ", ")
	if name != "" {
		parts = append(parts, name)
	}
	if words := neckWords(d.Neck.Tuning, prettyName); words != "" {
		parts = append(parts, words)
	}
	for str := d.Neck.Tuning.Len(); str >= 1; str-- {
		var on []string
		for fret := 0; fret <= d.Neck.TopFret(); fret++ {
			for _, dot := range d.Dots {
				if dot.Place.String != str || dot.Place.Fret != fret || dot.Faint {
					continue
				}
				at := fmt.Sprintf("fret %d ", fret)
				if fret == 0 {
					at = "open "
				}
				on = append(on, at+strings.Join(dot.says(d), " "))
			}
		}
		if len(on) > 0 {
			parts = append(parts, fmt.Sprintf("String %d: %s", str, strings.Join(on, ", ")))
		}
	}
	for _, s := range d.Silent {
		parts = append(parts, fmt.Sprintf("String %d is not played", s))
	}
	for _, s := range d.Spans {
		parts = append(parts, fmt.Sprintf("%s: frets %d to %d", s.Name, s.From, s.To))
	}
	for _, l := range d.Links {
		w := l.words()
		parts = append(parts, strings.ToUpper(w[:1])+w[1:])
	}
	for _, m := range d.Moves {
		parts = append(parts, m.words())
	}
	parts = append(parts, d.Notes...)
	if d.Caution != "" {
		parts = append(parts, d.Caution)
	}
	return strings.Join(parts, ". ") + "."
}

// cautions returns what the diagrams warn of, each once.
func cautions(ds []Diagram) []string {
	var all []string
	for _, d := range ds {
		if d.Caution != "" && !slices.Contains(all, d.Caution) {
			all = append(all, d.Caution)
		}
	}
	return all
}
