package tabtext

import (
	"strings"

	"example.org/lickwright/score"
)

// An extent is a stretch of columns over which something is played: PM----|.
type extent struct {
	kind     score.SpanKind
	from, to int  // logical columns
	goesOn   bool // it began in the system before
	open     bool // it has no end sign
}

// readExtents reads the stretches of a line.
func readExtents(a *attached, shift int) []extent {
	var out []extent
	low := strings.ToLower(string(a.cells.ch))
	for i := 0; i < len(low); {
		lead := i
		for lead < len(low) && low[lead] == '-' {
			lead++
		}
		found := false
		for _, e := range extentNames {
			if !strings.HasPrefix(low[lead:], e.text) || i > 0 && low[i-1] >= 'a' && low[i-1] <= 'z' {
				continue
			}
			x := extent{kind: e.kind, from: i - shift, goesOn: lead > i}
			j := lead + len(e.text)
			for j < len(low) && strings.IndexByte("-_.~=> ", low[j]) >= 0 {
				if low[j] == ' ' && !hyphenAhead(low[j:]) {
					break
				}
				j++
			}
			x.open = true
			if j < len(low) && low[j] == '|' {
				x.open = false
				j++
			}
			x.to = j - shift
			out = append(out, x)
			i, found = j, true
			break
		}
		if !found {
			i = max(lead, i+1)
		}
	}
	return out
}

func hyphenAhead(s string) bool {
	s = strings.TrimLeft(s, " ")
	return s != "" && (s[0] == '-' || s[0] == '|')
}

// extents puts the spans of palm mutes, let-rings and vibratos on the notes
// under them. A span joins the first note under its first column with the
// first of the last chord under it; over one chord it is a mark.
func (b *builder) extents(s *system, sys int) {
	p := b.cur
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			if list[i].kind != extentLine && list[i].kind != chordLine {
				continue
			}
			for _, x := range readExtents(&list[i], s.rows[0].shift) {
				b.extent(p, sys, x)
			}
		}
	}
}

func (b *builder) extent(p *partState, sys int, x extent) {
	var first, last *score.Note
	groups, after := 0, false
	for _, m := range b.music[sys] {
		for _, g := range m.groups {
			switch {
			case g.col >= x.to:
				after = true
			case g.end > x.from:
				last = m.signs[g.signs[0]].note
				if first == nil {
					first = last
				}
				groups++
			}
		}
	}
	id, running := p.spans[x.kind], false
	if id != 0 && x.goesOn {
		running = true
	}
	delete(p.spans, x.kind)
	goesOn := x.open && !after // into the next system
	if first == nil {
		if running && goesOn {
			p.spans[x.kind] = id
		}
		return
	}
	add := func(n *score.Note, t score.Technique) { n.Techniques = append(n.Techniques, t) }
	if !running {
		if groups == 1 && !(goesOn && b.nextGoesOn(sys, x.kind)) {
			add(first, map[score.SpanKind]score.Mark{score.PalmMute: score.PalmMuted, score.LetRingSpan: score.LetRing, score.VibratoSpan: score.Vibrato}[x.kind])
			return
		}
		p.ids++
		id = p.ids
		add(first, score.Span{Kind: x.kind, ID: id, End: score.Start})
	}
	if goesOn && b.nextGoesOn(sys, x.kind) {
		p.spans[x.kind] = id
		return
	}
	add(last, score.Span{Kind: x.kind, ID: id, End: score.Stop})
}

// nextGoesOn tells whether the next system has an extent that goes on with
// the one that reached the end of this one.
func (b *builder) nextGoesOn(sys int, kind score.SpanKind) bool {
	if sys+1 >= len(b.lay.systems) {
		return false
	}
	next := b.lay.systems[sys+1]
	for _, list := range [][]attached{next.above, next.below} {
		for i := range list {
			if list[i].kind != extentLine {
				continue
			}
			for _, x := range readExtents(&list[i], next.rows[0].shift) {
				if x.kind == kind && x.goesOn {
					return true
				}
			}
		}
	}
	return false
}
