package musicxml

import (
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// The legend of the labels is credits of a type of ours, one for each line, at
// the foot of the first page.
const (
	legendCredit  = "lickwright legend"
	legendLeading = 16 // tenths from one line to the next
)

// legendElement writes a line; x and y are its place on the page in tenths, if
// ok says that it is known.
func legendElement(line string, x, y float64, ok bool) *etree.Element {
	e := etree.NewElement("credit")
	e.CreateAttr("page", "1")
	e.CreateElement("credit-type").SetText(legendCredit)
	w := e.CreateElement("credit-words")
	if ok {
		w.CreateAttr("default-x", strconv.FormatFloat(x, 'f', -1, 64))
		w.CreateAttr("default-y", strconv.FormatFloat(y, 'f', -1, 64))
	}
	w.CreateAttr("font-size", "8")
	w.CreateAttr("justify", "left")
	w.CreateAttr("valign", "bottom")
	w.SetText(line)
	return e
}

// legendLine reads a line of the legend, if a credit is one.
func (r *reader) legendLine(credit int32) (string, bool) {
	if r.x.childContent(credit, "credit-type") != legendCredit {
		return "", false
	}
	return r.x.childContent(credit, "credit-words"), true
}

// applyLegend takes the credits of the legend out and puts the new ones in,
// before the list of parts.
func (ap *applier) applyLegend(s *score.Score) {
	if slices.Equal(ap.base.Legend, s.Legend) {
		return
	}
	root := int32(0)
	before := ap.x.child(root, "part-list")
	if before == none {
		before = ap.x.first(root)
	}
	for _, c := range ap.childrenNamed(root, "credit") {
		if ap.x.childContent(c, "credit-type") == legendCredit {
			ap.ed.remove(c)
		}
	}
	if before == none {
		return
	}
	start := ap.x.elems[before].start
	indent := string(ap.x.text[ap.ed.lead(start):start])
	x, y, ok := ap.footOfPage(root)
	for i, line := range s.Legend {
		e := legendElement(line, x, y+legendLeading*float64(len(s.Legend)-1-i), ok)
		ap.ed.edits = append(ap.ed.edits, edit{start: start, end: start, new: ap.ed.pretty(e, before) + indent})
	}
}

// footOfPage returns the lower left corner of the print, in tenths, if the file
// states its margins.
func (ap *applier) footOfPage(root int32) (x, y float64, ok bool) {
	defaults := ap.x.child(root, "defaults")
	if defaults == none {
		return 0, 0, false
	}
	page := ap.x.child(defaults, "page-layout")
	if page == none {
		return 0, 0, false
	}
	margins := ap.x.child(page, "page-margins")
	if margins == none {
		return 0, 0, false
	}
	x, err := strconv.ParseFloat(ap.x.childContent(margins, "left-margin"), 64)
	y, err2 := strconv.ParseFloat(ap.x.childContent(margins, "bottom-margin"), 64)
	return x, y, err == nil && err2 == nil
}
