package tabtext

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
)

func dump(s *score.Score) string {
	var b strings.Builder
	for _, p := range s.Parts {
		fmt.Fprintf(&b, "part %q\n", p.Name)
		for _, m := range p.Measures {
			fmt.Fprintf(&b, " m%s len %v nom %v impl %v\n", m.Number, m.Length, m.Nominal, m.Implicit)
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Chord:
					fmt.Fprintf(&b, "  %v +%v %v tup%v g%d:", e.Onset, e.Duration, e.Value, e.Tuplets, e.Grace)
					for _, n := range e.Notes {
						fmt.Fprintf(&b, " %d/%d %v %v", n.Place.String, n.Place.Fret, n.Pitch, n.Techniques)
						if n.TieStop {
							b.WriteString(" tied")
						}
						for _, a := range n.Annotations {
							fmt.Fprintf(&b, " %v", a)
						}
					}
					b.WriteString("\n")
				case *score.Harmony:
					fmt.Fprintf(&b, "  %v harmony %v\n", e.Onset, e.Chord)
				case *score.NeckChange:
					fmt.Fprintf(&b, "  %v neck %v capo %d frets %d\n", e.Onset, e.Neck.Tuning, e.Neck.Capo, e.Neck.Frets)
				case *score.KeySignature:
					fmt.Fprintf(&b, "  %v key %v\n", e.Onset, e.Key)
				case *score.TimeSignature:
					fmt.Fprintf(&b, "  %v time %v\n", e.Onset, e.Metre())
				case *score.Tempo:
					fmt.Fprintf(&b, "  %v tempo %v\n", e.Onset, e.QuartersPerMinute)
				case *score.Barline:
					fmt.Fprintf(&b, "  %v bar %q %v %d ending %q %q\n", e.Onset, e.Style, e.Repeat, e.Times, e.Ending, e.EndingType)
				}
			}
		}
	}
	return b.String()
}
