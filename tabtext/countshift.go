package tabtext

import "example.org/lickwright/score"

// maxCountShift is how many columns a row of counts may stand beside its notes: as many
// as a label and a bar line have, which were forgotten over or under it.
const maxCountShift = 3

// shiftCounts moves a row of counts that stands beside its notes by the same number of
// columns all along, so that each note has its count.
func (b *builder) shiftCounts(s *system, bars []*barMusic) {
	counts := s.rhythmRow(countLine)
	if counts == nil {
		return
	}
	at, ones := map[int]bool{}, map[int]bool{}
	first := 1 << 30
	for _, w := range counts.words {
		if c, shift, ok := parseCount(w.text); ok && !c.rest {
			at[w.col+shift] = true
			ones[w.col+shift] = c.num == 1 && c.frac.IsZero()
			first = min(first, w.col+shift)
		}
	}
	// meet counts the notes that have a count, and the bars that begin with their 1.
	meet := func(by int) (met, begun, groups int) {
		for _, m := range bars {
			for k, g := range m.groups {
				begun += b2i(k == 0 && g.col-m.left <= maxPad && ones[g.col-by])
				if g.grace {
					continue
				}
				groups++
				for c := g.lead; c < g.end; c++ {
					if at[c-by] {
						met++
						break
					}
				}
			}
		}
		return met, begun, groups
	}
	asIs, start, groups := meet(0)
	best, most := 0, asIs
	for by := -maxCountShift; by <= maxCountShift; by++ {
		if met, begun, _ := meet(by); met > most || met == most && begun > start {
			best, most, start = by, met, begun
		}
	}
	if best == 0 || groups < 4 || 4*asIs > groups || 10*most < 9*groups || len(bars) == 0 || first+best < bars[0].from-maxLead {
		return
	}
	for i := range counts.words {
		counts.words[i].col += best
	}
	b.reportOnce(score.Info, "tab-count-shifted", "", b.lay.src.at(counts.line, counts.words[0].col-best+s.rows[0].shift),
		"a row of counts stands beside its notes all along and is read as if it stood under them", "set the counts under the numbers")
}
