package compare

import (
	"slices"

	"example.org/lickwright/score"
)

// techniques lists the techniques of a note by name.
func (c *comparison) techniques(n *score.Note, extents []string) []string {
	list := slices.Clone(extents)
	for _, t := range n.Techniques {
		if c.cannot(t) {
			continue
		}
		if s, ok := t.(score.Span); ok {
			if s.End == score.Start && !extends(s.Kind) {
				list = append(list, c.names.spans[s.Kind])
			}
			continue
		}
		list = append(list, c.names.techniqueName(c.plainer(t)))
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// plainer leaves out of a technique what one of the formats does not say.
func (c *comparison) plainer(t score.Technique) score.Technique {
	if !c.lacks.Details {
		return t
	}
	switch t := t.(type) {
	case score.Trill:
		return score.Trill{}
	case score.Harmonic:
		if t.Kind != score.NaturalHarmonic {
			t.Kind = score.ArtificialHarmonic
		}
		t.Touch = 0
		return t
	}
	return t
}

// cannot tells whether one of the formats has no sign for a technique.
func (c *comparison) cannot(t score.Technique) bool {
	return slices.ContainsFunc(c.lacks.Techniques, func(no score.Technique) bool {
		switch no := no.(type) {
		case score.Mark:
			return t == score.Technique(no)
		case score.Span:
			s, ok := t.(score.Span)
			return ok && s.Kind == no.Kind
		case score.Bend:
			b, ok := t.(score.Bend)
			return ok && (b.WithBar || b.Amount.Sign() <= 0) == no.WithBar
		}
		return false
	})
}

// covered finds the notes under each extent, from the one on which it starts
// to the one on which it stops, whatever voice they are in.
func covered(p *score.Part, n *names) map[*score.Note][]string {
	type running struct {
		kind score.SpanKind
		id   int
	}
	stops := map[running]bool{}
	for note := range score.Notes(p) {
		for _, t := range note.Techniques {
			if s, ok := t.(score.Span); ok && s.End == score.Stop && extends(s.Kind) {
				stops[running{s.Kind, s.ID}] = true
			}
		}
	}
	list := map[*score.Note][]string{}
	var open []running
	for _, m := range p.Measures {
		for c := range m.Chords() {
			var closing []running
			for _, note := range c.Notes {
				for _, t := range note.Techniques {
					s, ok := t.(score.Span)
					if !ok || !extends(s.Kind) {
						continue
					}
					r := running{s.Kind, s.ID}
					if s.End == score.Start && stops[r] && !slices.Contains(open, r) {
						open = append(open, r)
					} else if s.End == score.Stop {
						closing = append(closing, r)
					}
				}
			}
			for _, note := range c.Notes {
				for _, r := range open {
					list[note] = append(list[note], n.spans[r.kind])
				}
			}
			open = slices.DeleteFunc(open, func(r running) bool { return slices.Contains(closing, r) })
		}
	}
	return list
}
