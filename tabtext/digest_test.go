package tabtext

import (
	"fmt"
	"sort"
	"strings"

	"example.org/lickwright/score"
)

// digest writes a reading in a few lines that a person can check against the
// text: per bar its length and then onset+duration and string.fret with signs
// (h> begins a hammer-on, >h ends it).
func digest(s *score.Score, said score.Diagnostics) string {
	var b strings.Builder
	for _, p := range s.Parts {
		fmt.Fprintf(&b, "part %q\n", p.Name)
		for _, m := range p.Measures {
			number := m.Number
			if m.Implicit {
				number += " pickup"
			}
			fmt.Fprintf(&b, "bar %s, %v:", number, m.Length)
			for _, e := range m.Events {
				b.WriteString(" " + digestEvent(e))
			}
			b.WriteByte('\n')
		}
	}
	sort.SliceStable(said, func(i, j int) bool { return said[i].Pos.Offset < said[j].Pos.Offset })
	for _, d := range said {
		fmt.Fprintf(&b, "%v %d:%d %s\n", d.Severity, d.Pos.Line, d.Pos.Col, d.Code)
	}
	return b.String()
}

func digestEvent(e score.Event) string {
	at := e.At().String()
	switch e := e.(type) {
	case *score.NeckChange:
		text := "(" + e.Neck.Tuning.String()
		if e.Neck.Capo > 0 {
			text += fmt.Sprintf(" capo %d", e.Neck.Capo)
		}
		if e.Neck.Frets != 22 {
			text += fmt.Sprintf(" frets %d", e.Neck.Frets)
		}
		return text + ")"
	case *score.KeySignature:
		return "(key " + e.Key.String() + ")"
	case *score.TimeSignature:
		return "(" + e.Metre() + ")"
	case *score.Tempo:
		return fmt.Sprintf("(tempo %v)", e.QuartersPerMinute)
	case *score.Harmony:
		return at + ":" + e.Chord.String()
	case *score.Barline:
		text := "{" + e.Style
		switch e.Repeat {
		case score.Forward:
			text += "repeat"
		case score.Backward:
			text += fmt.Sprintf("back x%d", e.Times)
		}
		if e.EndingType != "" {
			text += fmt.Sprintf(" %s %s", e.EndingType, e.Ending)
		}
		return text + "}"
	case *score.Words:
		return at + ":" + fmt.Sprintf("%q", e.Text)
	case *score.Chord:
		text := at + "+" + e.Duration.String()
		if e.Grace != score.NotGrace {
			text = at + "+grace"
		}
		for _, t := range e.Tuplets {
			text += fmt.Sprintf("(%d:%d)", t.Actual, t.Normal)
		}
		if e.IsRest() {
			return text + "=rest"
		}
		var notes []string
		for _, n := range e.Notes {
			notes = append(notes, digestNote(n))
		}
		return text + "=" + strings.Join(notes, ",")
	}
	return fmt.Sprintf("%T", e)
}

var markWords = map[score.Mark]string{score.Dead: "dead", score.Ghost: "ghost", score.Held: "held", score.Tap: "tap", score.Vibrato: "vib", score.WideVibrato: "wide",
	score.TremoloPicking: "tremolo", score.PalmMuted: "pm", score.LetRing: "ring", score.DownStroke: "down", score.UpStroke: "up", score.Slap: "slap", score.Pop: "pop",
	score.Rake: "rake", score.BarDip: "dip", score.TapLeft: "tapleft"}

func digestNote(n *score.Note) string {
	text := fmt.Sprintf("%d.%d", n.Place.String, n.Place.Fret)
	if n.TieStop {
		text = "~" + text
	}
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Mark:
			text += "/" + markWords[t]
		case score.Span:
			k := map[score.SpanKind]string{score.HammerOn: "h", score.PullOff: "p", score.LegatoSlide: "s", score.ShiftSlide: "S", score.PalmMute: "PM", score.LetRingSpan: "LR", score.VibratoSpan: "VIB"}[t.Kind]
			if t.End == score.Start {
				text += "/" + k + ">"
			} else {
				text += "/>" + k
			}
		case score.Bend:
			text += "/bend" + t.Amount.String()
			if t.PreBend {
				text += "pre"
			}
			if t.Release {
				text += "r" + t.ReleaseTo.String()
			}
		case score.Harmonic:
			text += fmt.Sprintf("/harm%d:%d:%d", t.Kind, t.Over, t.Touch)
		case score.SlideEdge:
			text += map[score.SlideEdge]string{{In: true, Below: true}: "/in-up", {In: true}: "/in-down", {}: "/out-up", {Below: true}: "/out-down"}[t]
		case score.Trill:
			text += fmt.Sprintf("/trill%d", t.To)
		}
	}
	return text
}
