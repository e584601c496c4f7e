package musicxml

import (
	"cmp"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// A freshBar is a part of a new bar in a timewise file.
type freshBar struct {
	pg   *partBars
	m    *score.Measure
	lead string // white space before it
	text func() string
}

// timewiseRows puts in and takes out the bars of a timewise file.
func (ap *applier) timewiseRows(rows []row, fresh [][]freshBar) {
	before := int32(none)
	count := 0
	for i, r := range rows {
		if r.base < 0 {
			ap.newRow(before, fresh[i])
			count++
			continue
		}
		e := ap.rows[r.base]
		had := ap.x.first(e) != none
		if had && !slices.ContainsFunc(r.bars, func(m *score.Measure) bool { return m != nil }) {
			span := ap.x.elems[e]
			ap.bars = slices.DeleteFunc(ap.bars, func(b rebuilt) bool { return span.start <= b.start && b.end <= span.end })
			ap.bars = append(ap.bars, rebuilt{ap.ed.lead(span.start), span.end, func() string { return "" }})
		} else {
			ap.fillRow(e, fresh[i])
			count++
		}
		before = e
	}
	if count == 0 && len(rows) > 0 {
		ap.fail(ap.base.Src, "all bars were taken out, and a file has one at least")
	}
}

// newRow writes a new bar with all its parts.
func (ap *applier) newRow(before int32, parts []freshBar) {
	if len(parts) == 0 {
		return
	}
	// Parts stand in the order of the file.
	slices.SortStableFunc(parts, func(a, b freshBar) int {
		return cmp.Compare(slices.Index(ap.pages, a.pg), slices.Index(ap.pages, b.pg))
	})
	like := ap.rows[0]
	var at int32
	if before != none {
		like, at = before, ap.x.elems[before].end
	} else {
		at = ap.ed.lead(ap.x.elems[like].start)
	}
	r := ap.x.elems[like]
	lead, tail := string(ap.x.text[ap.ed.lead(r.start):r.start]), string(ap.x.text[ap.ed.lead(r.shut):r.shut])
	ap.bars = append(ap.bars, rebuilt{at, at, func() string {
		var b strings.Builder
		b.WriteString(lead + measureStart(parts[0].m))
		for _, p := range parts {
			b.WriteString(p.lead + `<part id="` + escape(p.pg.id) + `">` + p.text() + "</part>")
		}
		return b.String() + tail + "</measure>"
	}})
}

// fillRow writes the parts that are new in a bar of the file.
func (ap *applier) fillRow(row int32, parts []freshBar) {
	for _, p := range parts {
		at := ap.ed.lead(ap.x.elems[row].shut)
		for c := range ap.x.children(row) {
			if i := slices.IndexFunc(ap.pages, func(pg *partBars) bool { return pg.id == ap.x.attrOr(c, "id") }); i > slices.Index(ap.pages, p.pg) {
				at = ap.ed.lead(ap.x.elems[c].start)
				break
			}
		}
		ap.bars = append(ap.bars, rebuilt{at, at, func() string { return p.lead + `<part id="` + escape(p.pg.id) + `">` + p.text() + "</part>" }})
	}
}
