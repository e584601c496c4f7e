package tabtext

import (
	"fmt"

	"example.org/lickwright/score"
)

// restarts cuts the columns of a bar where its counts begin again at 1: there
// somebody forgot a bar line.
func restarts(row *attached, br bar) []bar {
	var out []bar
	before := 0
	for _, w := range wordsFrom(row.words, br.from-maxLead) {
		if w.col >= br.to {
			break
		}
		c, shift, ok := parseCount(w.text)
		if !ok || c.num == 0 || w.col+shift < br.from {
			continue
		}
		if c.num == 1 && c.frac.IsZero() && before > 1 {
			out = append(out, bar{from: br.from, to: w.col, left: br.left, right: w.col})
			br.from, br.left = w.col, w.col
		}
		before = c.num
	}
	return append(out, br)
}

// splitAtCounts cuts bars where the counts under them begin again at 1.
func (b *builder) splitAtCounts(s *system, counts *attached, bars []*barMusic) []*barMusic {
	var out []*barMusic
	for _, m := range bars {
		parts := restarts(counts, m.bar)
		if len(parts) == 1 || m.repeat {
			out = append(out, m)
			continue
		}
		for i := 1; i < len(parts); i++ { // what stands before a number goes with it
			for _, g := range m.groups {
				if g.lead < parts[i].from && g.end > parts[i].from {
					parts[i-1].to, parts[i-1].right = g.lead, g.lead
					parts[i].from, parts[i].left = g.lead, g.lead
				}
			}
		}
		what := "a bar line is missing here, and the bar is cut"
		if n := len(parts) - 1; n > 1 {
			what = fmt.Sprintf("%d bar lines are missing from here on, and the bar is cut at each 1", n)
		}
		b.report(score.Warning, "tab-bar-missing", b.sysPos(s, 0, parts[1].from), "the counts begin again at 1: "+what, "draw the bar line before the 1")
		for _, p := range parts {
			out = append(out, m.piece(p))
		}
	}
	return out
}

// piece takes the music of some columns out of a bar.
func (m *barMusic) piece(p bar) *barMusic {
	part := &barMusic{bar: p}
	for _, g := range m.groups {
		if g.lead < p.from || g.lead >= p.to {
			continue
		}
		signs := make([]int, len(g.signs))
		for i, k := range g.signs {
			signs[i] = len(part.signs)
			part.signs = append(part.signs, m.signs[k])
		}
		g.signs = signs
		part.groups = append(part.groups, g)
	}
	for _, o := range m.odd {
		if p.from <= o.col && o.col < p.to {
			part.odd = append(part.odd, o)
		}
	}
	return part
}
