package prove

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// Sound asks whether music is well formed: bars as long as their metre, notes
// that do not run into each other, places that the neck has and that give the
// pitch that is written, hammer-ons that rise and pull-offs that fall on one
// string, slides on one string, bends of stopped strings, ties between equal
// notes, and no string struck twice at once.
func Sound(s *score.Score) []Fault {
	var faults []Fault
	for _, p := range s.Parts {
		faults = append(faults, durations(s, p)...)
		faults = append(faults, places(s, p)...)
		faults = append(faults, techniques(s, p)...)
	}
	return faults
}

func durations(s *score.Score, p *score.Part) []Fault {
	var faults []Fault
	for i, m := range p.Measures {
		fault := func(src score.Handle, format string, args ...any) {
			faults = append(faults, Fault{Kind: Duration, Pos: s.PosOf(src), Bar: p.BarName(i), Msg: fmt.Sprintf(format, args...)})
		}
		pickup := m.Implicit || i == 0 || i == len(p.Measures)-1 && p.Measures[0].Implicit
		if !m.Nominal.IsZero() && m.Length != m.Nominal && !(pickup && m.Length.Less(m.Nominal)) {
			fault(m.Src, "lasts %s quarters, and its metre asks for %s", m.Length, m.Nominal)
		}
		ends := map[[2]int]score.Quarters{} // by staff and voice
		for c := range m.Chords() {
			if c.Grace != score.NotGrace || c.Cue {
				continue
			}
			voice := [2]int{c.Staff, c.Voice}
			if c.Onset.Less(ends[voice]) {
				fault(c.Src, "what begins after %s quarters runs into what sounds before it", c.Onset)
			}
			ends[voice] = c.End()
			if m.Length.Less(c.End()) {
				fault(c.Src, "its notes last longer than the bar")
			}
		}
	}
	return faults
}

// necks returns the neck in force in each measure of a part, at its start.
func necks(p *score.Part) []fretboard.Neck {
	var out []fretboard.Neck
	var now fretboard.Neck
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if n, ok := e.(*score.NeckChange); ok {
				now = n.Neck
			}
		}
		out = append(out, now)
	}
	return out
}

func places(s *score.Score, p *score.Part) []Fault {
	var faults []Fault
	neck := necks(p)
	for _, m := range moments(p) {
		var used []int
		for _, n := range m.chord.Notes {
			if n.Place.IsZero() || n.Unpitched {
				continue
			}
			if slices.Contains(used, n.Place.String) {
				faults = append(faults, m.at(s, Place, n, "string %d is struck twice at once", n.Place.String))
			}
			used = append(used, n.Place.String)
			key, ok := stopped(neck[m.bar], n.Place)
			switch {
			case !ok:
				faults = append(faults, m.at(s, Place, n, "the neck has no fret %d on string %d", n.Place.Fret, n.Place.String))
			case key != sounds(n.Pitch) && !n.Has(score.Dead):
				faults = append(faults, m.at(s, Place, n, "string %d, fret %d does not give %s", n.Place.String, n.Place.Fret, n.Pitch))
			}
		}
	}
	return faults
}

// An end is a note at one end of a span.
type end struct {
	m moment
	n *score.Note
}

func techniques(s *score.Score, p *score.Part) []Fault {
	var faults []Fault
	type spanID struct {
		kind score.SpanKind
		id   int
	}
	open := map[spanID]end{}
	held := ringing[end]{}
	for _, m := range moments(p) {
		for _, n := range m.chord.Notes {
			if n.TieStop {
				was, ok := held.find(m.chord, n)
				if !ok || !was.n.TieStart || sounds(was.n.Pitch) != sounds(n.Pitch) {
					faults = append(faults, m.at(s, Technique, n, "%s is tied to a note that is not before it", where(n)))
				}
			}
			for _, t := range n.Techniques {
				switch t := t.(type) {
				case score.Bend:
					if n.Place.Fret == 0 && n.Place.String > 0 && !t.WithBar {
						faults = append(faults, m.at(s, Technique, n, "an open string cannot be bent"))
					}
				case score.Span:
					id := spanID{t.Kind, t.ID}
					if t.End == score.Start {
						open[id] = end{m, n}
						continue
					}
					from, ok := open[id]
					delete(open, id)
					if ok {
						if text := joined(t.Kind, from.n, n); text != "" {
							faults = append(faults, m.at(s, Technique, n, "%s", text))
						}
					}
				}
			}
			if m.chord.Grace == score.NotGrace {
				held.hold(m.chord, n, end{m, n})
			}
		}
	}
	return faults
}

// joined tells what is wrong with two notes that a technique joins, "" if
// nothing.
func joined(kind score.SpanKind, from, to *score.Note) string {
	names := map[score.SpanKind]string{score.HammerOn: "hammer-on", score.PullOff: "pull-off", score.LegatoSlide: "slide", score.ShiftSlide: "slide"}
	name, ok := names[kind]
	if !ok || from.Place.IsZero() || to.Place.IsZero() || from.Has(score.Dead) || to.Has(score.Dead) {
		return ""
	}
	a, b := from.Place, to.Place
	switch {
	case a.String != b.String:
		return fmt.Sprintf("a %s goes from string %d to string %d", name, a.String, b.String)
	case kind == score.HammerOn && b.Fret <= a.Fret:
		return fmt.Sprintf("a hammer-on goes from fret %d to %d", a.Fret, b.Fret)
	case kind == score.PullOff && b.Fret >= a.Fret:
		return fmt.Sprintf("a pull-off goes from fret %d to %d", a.Fret, b.Fret)
	case name == "slide" && a.Fret == b.Fret:
		return fmt.Sprintf("a slide stays at fret %d", a.Fret)
	}
	return ""
}
