package handout

import (
	"fmt"
	"html"
	"html/template"
	"strconv"
	"strings"

	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/render/internal/ink"
)

// svg draws a scene as an element of the page. All lines of one look are one
// path, and neighbouring texts of one face share a group: a lesson of twelve
// keys holds ten thousands of both.
func svg(s engrave.Scene, id, title, desc string) template.HTML {
	var b strings.Builder
	w, h := number(s.Width), number(s.Height)
	fmt.Fprintf(&b, `<svg class="tab" width="%s" height="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title %s-desc">`, w, h, w, h, id, id)
	fmt.Fprintf(&b, "\n<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n", id, html.EscapeString(title), id, html.EscapeString(desc))
	writePaths(&b, s)
	writeTexts(&b, s)
	b.WriteString("</svg>\n")
	return template.HTML(b.String())
}

// A look is how a path is drawn.
type look struct {
	class  string
	stroke float64
	dashed bool
}

func writePaths(b *strings.Builder, s engrave.Scene) {
	data := map[look]*strings.Builder{}
	var order []look
	for _, it := range s.Items {
		p, ok := it.(*engrave.Path)
		if !ok {
			continue
		}
		l := look{p.Class, p.Stroke, p.Dashed}
		if data[l] == nil {
			data[l] = &strings.Builder{}
			order = append(order, l)
		}
		for code, points := range p.Steps() {
			data[l].WriteByte(code)
			for i, v := range points {
				if i > 0 {
					data[l].WriteByte(' ')
				}
				data[l].WriteString(number(v))
			}
		}
	}
	for _, l := range order {
		c := hexOf(colorOf(l.class))
		if l.stroke > 0 {
			fmt.Fprintf(b, `<path class="%s" fill="none" stroke="%s" stroke-width="%s"`, l.class, c, number(l.stroke))
		} else {
			fmt.Fprintf(b, `<path class="%s" fill="%s"`, l.class, c)
		}
		if l.dashed {
			b.WriteString(` stroke-dasharray="4 3"`)
		}
		fmt.Fprintf(b, " d=\"%s\"/>\n", data[l])
	}
}

// A face is how a text is written.
type face struct {
	class        string
	size         float64
	bold, italic bool
	anchor       engrave.Anchor
	color        ink.Color
}

// writeTexts writes the texts in their order; neighbours of one face share a
// group that says it.
func writeTexts(b *strings.Builder, s engrave.Scene) {
	var last face
	open := false
	for _, it := range s.Items {
		t, ok := it.(*engrave.Text)
		if !ok {
			continue
		}
		f := face{t.Class, t.Size, t.Bold, t.Italic, t.Anchor, colorOf(t.Class)}
		if c, ok := labelColor(t); ok {
			f.color = c
		}
		if !open || f != last {
			if open {
				b.WriteString("</g>\n")
			}
			f.write(b)
			open, last = true, f
		}
		writeText(b, t)
	}
	if open {
		b.WriteString("</g>\n")
	}
}

func (f face) write(b *strings.Builder) {
	fmt.Fprintf(b, `<g class="%s" fill="%s" font-size="%s"`, html.EscapeString(f.class), hexOf(f.color), number(f.size))
	if f.bold {
		b.WriteString(` font-weight="700"`)
	}
	if f.italic {
		b.WriteString(` font-style="italic"`)
	}
	switch f.anchor {
	case ink.Middle:
		b.WriteString(` text-anchor="middle"`)
	case ink.End:
		b.WriteString(` text-anchor="end"`)
	}
	b.WriteString(">\n")
}

// writeText writes a text. That of a note says which one it is, for whoever
// reads the page by program: data-part and data-bar from 1, data-at in quarter
// notes from the beginning of the bar, data-string, and data-notes where the
// number stands for notes of several voices.
func writeText(b *strings.Builder, t *engrave.Text) {
	fmt.Fprintf(b, `<text x="%s" y="%s"`, number(t.X), number(t.Y))
	if t.Note != nil {
		fmt.Fprintf(b, ` data-part="%d" data-bar="%d" data-at="%s" data-string="%d"`, t.Part+1, t.Bar+1, t.At, t.Note.Place.String)
		if len(t.Also) > 0 {
			fmt.Fprintf(b, ` data-notes="%d"`, 1+len(t.Also))
		}
	}
	fmt.Fprintf(b, ">%s</text>\n", html.EscapeString(t.Text))
}

func hexOf(c ink.Color) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// number writes a length to a tenth of a pixel.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	if s = strings.TrimSuffix(s, ".0"); s == "-0" {
		return "0"
	}
	return s
}
