package handout

import (
	"fmt"
	"strings"

	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// describe says in words what the bars of a score from first to last ask a
// player to do, for those who hear the sheet and do not see it.
func describe(s *score.Score, first, last int) string {
	var b strings.Builder
	for _, p := range s.Parts {
		if !p.Fretted() {
			continue
		}
		if len(s.Parts) > 1 {
			fmt.Fprintf(&b, "%s. ", nonEmpty(p.Name, p.ID))
		}
		beats := p.BeatLengths()
		for i := first; i <= last && i < len(p.Measures); i++ {
			fmt.Fprintf(&b, "%s. ", upperFirst(barName(p, i, "bar ")))
			describeBar(&b, p.Measures[i], beats[i])
		}
	}
	return strings.TrimSpace(b.String())
}

// barName names a bar after a word for it; one before the first is the pickup.
func barName(p *score.Part, i int, bar string) string {
	if i == 0 && (p.Measures[0].Implicit || p.BarName(0) == "0") {
		return "pickup"
	}
	return bar + p.BarName(i)
}

func nonEmpty(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func describeBar(b *strings.Builder, m *score.Measure, beat score.Quarters) {
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Harmony:
			fmt.Fprintf(b, "Chord %s. ", e.Chord.Pretty())
		case *score.Barline:
			switch e.Repeat {
			case score.Forward:
				b.WriteString("Repeat from here. ")
			case score.Backward:
				b.WriteString("Repeat. ")
			}
		case *score.Chord:
			fmt.Fprintf(b, "Beat %s: %s. ", score.BeatName(e.Onset, beat), describeChord(e))
		}
	}
}

func describeChord(c *score.Chord) string {
	if c.IsRest() {
		return "rest"
	}
	var notes []string
	for _, n := range c.Notes {
		notes = append(notes, describeNote(n))
	}
	text := strings.Join(notes, " and ")
	if c.Grace != score.NotGrace {
		text = "grace note " + text
	}
	return text
}

func describeNote(n *score.Note) string {
	text := n.Pitch.Pretty()
	if !n.Place.IsZero() {
		text = fmt.Sprintf("string %d %s", n.Place.String, fretWords(n.Place))
	}
	if n.TieStop {
		return text + " held"
	}
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			text += " bent " + engrave.BendAmount(t.Amount)
			if t.Release {
				text += " and released"
			}
		case score.Harmonic:
			text += " as a harmonic"
		case score.Span:
			if w := spanWords(t.Kind); w != "" && t.End == score.Start {
				text += " " + w
			}
		case score.Mark:
			text += markWords(t)
		}
	}
	return text
}

func fretWords(p fretboard.Place) string {
	if p.Fret == 0 {
		return "open"
	}
	return fmt.Sprintf("fret %d", p.Fret)
}

func spanWords(k score.SpanKind) string {
	switch k {
	case score.HammerOn:
		return "hammer-on to the next"
	case score.PullOff:
		return "pull-off to the next"
	case score.LegatoSlide, score.ShiftSlide, score.Glissando:
		return "slide to the next"
	}
	return ""
}

func markWords(m score.Mark) string {
	switch m {
	case score.Dead:
		return " dead"
	case score.Vibrato, score.WideVibrato:
		return " with vibrato"
	case score.Tap, score.TapLeft:
		return " tapped"
	case score.PalmMuted:
		return " palm muted"
	}
	return ""
}
