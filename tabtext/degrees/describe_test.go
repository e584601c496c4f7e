package degrees

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// describe writes all that a text of degrees is to hold of a score, in words
// of its own: it shares nothing with reader and writer. Spans are told by
// where their other end is, tuplets by which of how many notes a chord is.
func describe(s *score.Score) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%q %q %q\n", s.Title, s.Subtitle, s.Composer)
	for _, p := range s.Parts {
		fmt.Fprintf(&b, "part %q\n", p.Name)
		neck := fretboard.Guitar()
		place := map[*score.Note]string{}
		ends := map[score.Span]string{}
		size, count := map[int]int{}, map[int]int{}
		for i, m := range p.Measures {
			for c := range m.Chords() {
				k := 0
				for _, n := range c.Notes {
					if n.Unpitched {
						continue
					}
					pitch := n.Pitch.String()
					if onString(n) {
						pitch = fmt.Sprint("x", n.Place.String)
					}
					place[n] = fmt.Sprintf("%d/%v/%d/%d/%v/%d", i, c.Onset, c.Staff, c.Voice, pitch, c.Grace)
					k++
					for _, t := range n.Techniques {
						if s, ok := t.(score.Span); ok {
							ends[s] = place[n]
						}
					}
				}
				if c.Grace == score.NotGrace {
					for _, t := range c.Tuplets {
						size[t.ID]++
					}
				}
			}
		}
		for i, m := range p.Measures {
			fmt.Fprintf(&b, "bar %d length %v implicit %v\n", i, m.Length, m.Implicit)
			var lines []string
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Chord:
					lines = append(lines, describeChord(e, ends, size, count))
				case *score.Harmony:
					lines = append(lines, fmt.Sprintf("%v chord %v", e.Onset, e.Chord))
				case *score.KeySignature:
					lines = append(lines, fmt.Sprintf("%v key %v %v %v", e.Onset, e.Key, e.ModeSaid, e.NoKey))
				case *score.TimeSignature:
					lines = append(lines, fmt.Sprintf("%v time %v %v %v %v", e.Onset, e.Beats, e.BeatTypes, e.Symbol, e.Length))
				case *score.Tempo:
					lines = append(lines, fmt.Sprintf("%v tempo %v %q", e.Onset, e.QuartersPerMinute, e.Text))
				case *score.Words:
					lines = append(lines, fmt.Sprintf("%v %s %q", e.Onset, e.Kind, e.Text))
				case *score.NeckChange:
					// The usual guitar goes without saying, and so does the neck
					// that there is.
					if !e.Inferred && !e.Neck.Equal(neck) {
						lines = append(lines, fmt.Sprintf("%v neck %v %d %d", e.Onset, e.Neck.Tuning, e.Neck.Capo, e.Neck.Frets))
						neck = e.Neck
					}
				case *score.Barline:
					if e.Style == "" && e.Repeat == score.NoRepeat && e.EndingType == "" {
						continue
					}
					style := e.Style
					if e.Repeat != score.NoRepeat {
						style = ""
					}
					lines = append(lines, fmt.Sprintf("%v barline %s %d %d %q %s", e.Onset, style, e.Repeat, e.Times, e.Ending, e.EndingType))
				}
			}
			slices.Sort(lines)
			b.WriteString(strings.Join(lines, "\n") + "\n")
		}
	}
	return b.String()
}

func describeChord(c *score.Chord, ends map[score.Span]string, size, count map[int]int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%v+%v staff %d voice %d grace %d cue %v strokes %d whole %v", c.Onset, c.Duration, c.Staff, c.Voice, c.Grace, c.Cue && len(c.Notes) > 0, c.Tremolo, c.WholeMeasure)
	if c.Grace == score.NotGrace {
		for _, t := range c.Tuplets {
			count[t.ID]++
			fmt.Fprintf(&b, " [%d:%d %d of %d]", t.Actual, t.Normal, count[t.ID], size[t.ID])
		}
	}
	var notes []string
	for _, n := range c.Notes {
		var techs []string
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok {
				other := s
				other.End = score.Start + score.Stop - s.End
				techs = append(techs, fmt.Sprintf("span %d end %d, other %s", s.Kind, s.End, ends[other]))
				continue
			}
			techs = append(techs, fmt.Sprintf("%T%v", t, t))
		}
		slices.Sort(techs)
		dead := ""
		if n.Has(score.Dead) && n.Place.String > 0 && n.Place.Fret == 0 {
			dead = fmt.Sprint("string ", n.Place.String)
		}
		pitch := fmt.Sprint(n.Pitch)
		if dead != "" { // its pitch is that of its string
			pitch = ""
		}
		notes = append(notes, fmt.Sprintf("%s%s tie %v %v %q %v", pitch, dead, n.TieStart, n.TieStop, n.Pluck, techs))
	}
	slices.Sort(notes)
	return b.String() + " " + strings.Join(notes, " & ")
}
