package handout

import (
	"fmt"
	"html"
	"html/template"
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// leafHeight is the height of music and pictures, in CSS pixels, up to which a
// sheet of one section is likely to leave room on its only page.
const leafHeight = 560

// ownSystems is more than a page can hold.
const ownSystems = 9

// Measures of a blank system, in CSS pixels.
const (
	ownGap    = 13.0 // between strings: wider than print, for handwriting
	ownMargin = 14.0 // of the names of the strings
	ownBelow  = 22.0 // room for rhythm and degrees
)

// An own is the room on a page that is left for the student: blank systems,
// as many as the rest of the page holds.
type own struct {
	Symbol  template.HTML // one system, drawn once
	Systems []struct{}
	Width   float64
	Height  float64
}

// ownHead is the height of the heading and the blank line before it.
const ownHead = 30

// One returns the height of the heading and one system.
func (o own) One() template.CSS {
	return template.CSS(fmt.Sprintf("--one:%.0fpx", o.Height+ownHead))
}

// ownOf returns the blank systems of a sheet, nil if its page has no room.
func ownOf(s Sheet, d sectionData) *own {
	if len(s.Sections) != 1 || s.Sections[0].Score == nil || len(d.Systems) == 0 || d.height > leafHeight {
		return nil
	}
	tuning := fretboard.Guitar().Tuning
	for n := range score.Preorder(s.Sections[0].Score) {
		if c, ok := n.(*score.NeckChange); ok && c.Neck.Tuning.Len() > 0 {
			tuning = c.Neck.Tuning
			break
		}
	}
	o := &own{Systems: make([]struct{}, ownSystems), Width: printWidth, Height: 10 + ownGap*float64(tuning.Len()-1) + ownBelow}
	var b strings.Builder
	bottom := 10 + ownGap*float64(tuning.Len()-1)
	fmt.Fprintf(&b, `<svg class="own-symbol" width="0" height="0" aria-hidden="true"><symbol id="own-system"><path fill="none" stroke="%s" stroke-width="0.7" d="`, hexOf(ink.Hex(stringColor)))
	for i := range tuning.Len() {
		y := number(10 + ownGap*float64(i))
		fmt.Fprintf(&b, "M%s %sL%s %s", number(ownMargin), y, number(printWidth-1), y)
	}
	fmt.Fprintf(&b, `M%[1]s 10L%[1]s %[2]sM%[3]s 10L%[3]s %[2]s"/>`, number(ownMargin), number(bottom), number(printWidth-1))
	fmt.Fprintf(&b, `<g fill="%s" font-size="8.5" text-anchor="end">`, hexOf(ink.Hex(quietColor)))
	for i := range tuning.Len() {
		fmt.Fprintf(&b, `<text x="%s" y="%s">%s</text>`, number(ownMargin-5), number(13+ownGap*float64(i)), html.EscapeString(tuning.StringName(i+1, theory.NoteName.Pretty)))
	}
	b.WriteString("</g></symbol></svg>")
	o.Symbol = template.HTML(b.String())
	return o
}
