package tabtext

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// canonical writes a measure as far as tab can hold it, so that two measures
// with the same music give the same bytes. What tab does not show is left
// out: spelling, the fret of dead notes, handles, the order of notes in a
// chord, staves, numbers of measures, identities of spans and tuplets.
//
// Loosely, the number of frets is left out too, which a reader raises to hold
// the highest note where the text does not state it.
func canonical(m *score.Measure, ids *canonIDs) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "length %v\n", m.Length)
	var lines []string
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Chord:
			fmt.Fprintf(&b, "%v %v", e.Onset, e.Duration)
			if e.Grace != score.NotGrace {
				b.WriteString(" grace")
			}
			if !e.WholeMeasure || !e.IsRest() {
				for _, t := range e.Tuplets {
					fmt.Fprintf(&b, " %d:%d#%d", t.Actual, t.Normal, ids.of(0, t.ID))
				}
			}
			notes := slices.DeleteFunc(slices.Clone(e.Notes), func(n *score.Note) bool { return n.Place.IsZero() || n.Unpitched })
			if len(notes) == 0 && e.Grace != score.NotGrace {
				b.WriteString(" nothing\n")
				continue
			}
			slices.SortStableFunc(notes, func(x, y *score.Note) int { return cmp.Compare(x.Place.String, y.Place.String) })
			var spans []string
			for _, n := range notes {
				fret := n.Place.Fret
				if n.Has(score.Dead) {
					fret = 0
				}
				fmt.Fprintf(&b, " %d/%d", n.Place.String, fret)
				if n.TieStart {
					b.WriteString("<")
				}
				if n.TieStop {
					b.WriteString(">")
				}
				if n.Finger != score.NoFinger || n.Pluck != "" {
					fmt.Fprintf(&b, " f%d%s", n.Finger, n.Pluck)
				}
				var techs []string
				for _, t := range n.Techniques {
					if s, ok := t.(score.Span); ok {
						text := fmt.Sprintf("span%d#%d-%d", s.Kind, ids.of(s.Kind, s.ID), s.End)
						if s.Kind == score.PalmMute || s.Kind == score.LetRingSpan || s.Kind == score.VibratoSpan {
							spans = append(spans, text)
						} else {
							techs = append(techs, text)
						}
						continue
					}
					techs = append(techs, fmt.Sprintf("%T%v", t, t))
				}
				slices.Sort(techs)
				fmt.Fprintf(&b, " %v", techs)
				var labels []string // in any order
				for _, a := range n.Annotations {
					labels = append(labels, fmt.Sprintf("%q=%q", a.Kind, a.Text))
				}
				slices.Sort(labels)
				fmt.Fprintf(&b, " %s", labels)
			}
			slices.Sort(spans)
			fmt.Fprintf(&b, " %v\n", spans)
		case *score.Words:
			if e.Kind == "lyric" && strings.TrimSpace(e.Text) != "" {
				lines = append(lines, fmt.Sprintf("%v sung %q", e.Onset, oneLine(e.Text)))
			}
		case *score.Harmony:
			lines = append(lines, fmt.Sprintf("%v chord %v", e.Onset, e.Chord))
		case *score.KeySignature:
			lines = append(lines, fmt.Sprintf("%v key %v", e.Onset, e.Key))
		case *score.TimeSignature:
			lines = append(lines, fmt.Sprintf("%v time %v", e.Onset, e.Metre()))
		case *score.Tempo:
			lines = append(lines, fmt.Sprintf("%v tempo %v", e.Onset, e.QuartersPerMinute))
		case *score.NeckChange:
			frets := e.Neck.Frets
			if ids.loose {
				frets = 0
			}
			lines = append(lines, fmt.Sprintf("%v neck %v %d %d", e.Onset, e.Neck.Tuning, e.Neck.Capo, frets))
		case *score.Barline:
			if e.Style == "" && e.Repeat == score.NoRepeat && e.EndingType == "" {
				continue
			}
			style := e.Style
			if e.Repeat != score.NoRepeat {
				style = ""
			}
			lines = append(lines, fmt.Sprintf("%v bar %s %d %d %s %s", e.Onset, style, e.Repeat, e.Times, e.Ending, e.EndingType))
		}
	}
	slices.Sort(lines)
	for _, l := range lines {
		b.WriteString(l)
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// canonIDs numbers spans of each kind, and tuplets (kind 0), in the order in
// which they come.
type canonIDs struct {
	seen  map[canonID]int
	last  [16]int
	loose bool
}

type canonID struct {
	kind score.SpanKind
	id   int
}

func (c *canonIDs) of(kind score.SpanKind, id int) int {
	if c.seen == nil {
		c.seen = map[canonID]int{}
	}
	k := canonID{kind, id}
	if c.seen[k] == 0 {
		c.last[kind]++
		c.seen[k] = c.last[kind]
	}
	return c.seen[k]
}

// A difference is the first measure in which two scores differ as tab.
type difference struct {
	part, measure int
	a, b          string
}

// compare finds the first difference of two scores as far as tab can hold
// them, nil for none.
func compare(a, b *score.Score) *difference { return differ(a, b, false) }

func compareLoosely(a, b *score.Score) *difference { return differ(a, b, true) }

func differ(a, b *score.Score, loose bool) *difference {
	if a.Title != b.Title || a.Subtitle != b.Subtitle || a.Composer != b.Composer {
		return &difference{-1, -1, a.Title + "/" + a.Subtitle + "/" + a.Composer, b.Title + "/" + b.Subtitle + "/" + b.Composer}
	}
	if x, y := tabLegend(a.Legend), tabLegend(b.Legend); !slices.Equal(x, y) {
		return &difference{-1, -1, strings.Join(x, "\n"), strings.Join(y, "\n")}
	}
	if len(a.Parts) != len(b.Parts) {
		return &difference{-1, -1, fmt.Sprintf("%d parts", len(a.Parts)), fmt.Sprintf("%d parts", len(b.Parts))}
	}
	for i, p := range a.Parts {
		q := b.Parts[i]
		if p.Name != q.Name || len(p.Measures) != len(q.Measures) {
			return &difference{i, -1, fmt.Sprintf("%s, %d measures", p.Name, len(p.Measures)), fmt.Sprintf("%s, %d measures", q.Name, len(q.Measures))}
		}
		ids, jds := canonIDs{loose: loose}, canonIDs{loose: loose}
		for k := range p.Measures {
			x, y := canonical(p.Measures[k], &ids), canonical(q.Measures[k], &jds)
			if !bytes.Equal(x, y) {
				return &difference{i, k, string(x), string(y)}
			}
		}
	}
	return nil
}

// String writes the lines in which the two differ, - before those of the
// first and + before those of the second.
func (d *difference) String() string {
	a, b := strings.Split(d.a, "\n"), strings.Split(d.b, "\n")
	var out strings.Builder
	for _, side := range []struct {
		sign       string
		own, other []string
	}{{"-", a, b}, {"+", b, a}} {
		for _, l := range side.own {
			if !slices.Contains(side.other, l) {
				out.WriteString(side.sign + l + "\n")
			}
		}
	}
	return out.String()
}
