package tabtext

import (
	"slices"
	"sort"
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

// A covered is an extent as far as it was read: the first and the last chord
// under it and how many there are.
type covered struct {
	first, last *score.Chord
	chords      int
}

// extents finds the notes under the palm mutes, let-rings and vibratos of a
// system. One joins the first note under its first column with the first of the
// last chord under it, which may be in a later system; over one chord it is a mark of all its notes.
func (b *builder) extents(s *system, sys int) {
	type place struct {
		kind score.SpanKind
		col  int
	}
	taken := map[place]bool{}
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			if list[i].kind != extentLine && list[i].kind != chordLine {
				continue
			}
			for _, x := range readExtents(&list[i], s.rows[0].shift) {
				under, after := b.under(sys, x)
				again := slices.ContainsFunc(under, func(g group) bool { return taken[place{x.kind, g.col}] })
				for _, g := range under {
					taken[place{x.kind, g.col}] = true
				}
				if again {
					b.noEffect(list[i].line, x.from+s.rows[0].shift, "an extent ("+extentText(x.kind)+") over notes that another of its kind holds")
					continue
				}
				b.extent(sys, x, under, after)
			}
		}
	}
}

// under gives the groups under an extent, grace notes left out, and tells
// whether there are others after it in the system.
func (b *builder) under(sys int, x extent) (groups []group, after bool) {
	music := b.music[sys]
	first := sort.Search(len(music), func(i int) bool { return music[i].to > x.from })
	for _, m := range music[max(first-1, 0):] {
		for _, g := range m.groups {
			switch {
			case g.grace: // it belongs to the note after it
			case g.col >= x.to:
				return groups, true
			case g.end > x.from:
				groups = append(groups, g)
			}
		}
	}
	return groups, false
}

func (b *builder) extent(sys int, x extent, under []group, after bool) {
	p := b.cur
	c := p.spans[x.kind]
	if c == nil || !x.goesOn {
		p.closeExtent(x.kind)
		c = &covered{}
		p.spans[x.kind] = c
	}
	for _, g := range under {
		c.last = g.chord
		if c.first == nil {
			c.first = g.chord
		}
		c.chords++
	}
	if !x.open || after || !b.nextGoesOn(sys, x.kind) {
		p.closeExtent(x.kind)
	}
}

// closeExtent puts an extent that has come to its end on its notes.
func (p *partState) closeExtent(kind score.SpanKind) {
	c := p.spans[kind]
	delete(p.spans, kind)
	switch {
	case c == nil || c.chords == 0:
	case c.chords == 1:
		addAll(c.first, map[score.SpanKind]score.Mark{score.PalmMute: score.PalmMuted, score.LetRingSpan: score.LetRing, score.VibratoSpan: score.Vibrato}[kind])
	default:
		p.ids++
		begin := c.first.Notes[0]
		begin.Techniques = append(begin.Techniques, score.Span{Kind: kind, ID: p.ids, End: score.Start})
		end := c.last.Notes[0]
		end.Techniques = append(end.Techniques, score.Span{Kind: kind, ID: p.ids, End: score.Stop})
	}
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
