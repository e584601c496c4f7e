package tabtext

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// chordRowReports says which words among chord symbols have no effect, and
// which lines with chord symbols are taken for prose.
func (b *builder) chordRowReports(s *system) {
	for _, a := range slices.Concat(s.above, s.below) {
		if len(a.foreign) == 0 {
			continue
		}
		texts := make([]string, len(a.foreign))
		for i, w := range a.foreign {
			texts[i] = w.text
		}
		b.report(score.Info, "tab-chord-words", b.lay.src.pos(a.line, a.foreign[0].col+s.rows[0].shift),
			strconv.Quote(strings.Join(texts, " "))+" among chord symbols stays where it is and has no effect", "")
	}
	for _, a := range slices.Concat(s.above, s.below) {
		for _, w := range a.words {
			if _, ok := parseTimes(w.text); ok && (a.kind == markLine || a.kind == chordLine) && !s.repeatsAt(w.col) {
				b.report(score.Warning, "tab-times", b.lay.src.pos(a.line, w.col+s.rows[0].shift), strconv.Quote(w.text)+" stands at no repeat and has no effect", "write the repeat with its dots, as in |:  :|")
			}
		}
	}
	for i := range s.rows {
		r := &s.rows[i]
		tail := strings.Fields(string(r.cells.ch[min(r.end, len(r.cells.ch)):]))
		last := len(s.clusters) - 1
		if len(tail) == 0 || last < 0 || s.clusters[last].backward {
			continue
		}
		if _, ok := parseTail(tail[0]); ok {
			b.report(score.Warning, "tab-times", b.sysPos(s, i, s.width), strconv.Quote(tail[0])+" stands after a bar line that is no repeat and has no effect", "write the repeat with its dots, as in |:  :|")
			break
		}
	}
	for _, line := range s.doubts {
		b.report(score.Warning, "tab-chord-row", b.lay.src.pos(line, skipQuote(b.lay.src.columns(line).ch)),
			"a line with chord symbols over the tab is taken for prose: its symbols stay as they are", "leave an empty line under it if it is prose; else write the chord symbols on a line of their own")
	}
}

// repeatsAt tells whether a column is that of the end of a repeat, where it is
// said how often.
func (s *system) repeatsAt(col int) bool {
	for _, cl := range s.clusters {
		if cl.backward && cl.from-4 <= col && col <= cl.to+2 && s.nearest(col) == cl {
			return true
		}
	}
	return false
}

// rowReports says how rows are read that are not as usual: broken by a mail, or
// with blanks for hyphens.
func (b *builder) rowReports(s *system) {
	if s.rows[0].tail.line > 0 {
		b.reportOnce(score.Info, "tab-rows-joined", "", b.sysAt(s, 0, s.begin), "rows that are broken into two lines are joined", "")
	}
	if b.lay.src.wideDash[s.rows[0].line] {
		b.reportOnce(score.Info, "tab-long-dash", "", b.sysAt(s, 0, s.begin), "each long dash on these rows is read as two hyphens, since only so the rows are of one length", "")
	}
	if s.blank {
		b.reportOnce(score.Info, "tab-rows-blank", "", b.sysAt(s, 0, s.begin), "blanks or dots between the bar lines are read as hyphens", "")
	}
}
