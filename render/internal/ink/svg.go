package ink

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// The families that SVG asks for: first the fonts that PNG is drawn with, then
// what machines have.
const (
	sansFamily = `Go, "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif`
	monoFamily = `"Go Mono", Menlo, Consolas, "Liberation Mono", "DejaVu Sans Mono", monospace`
)

// WriteSVG writes the picture as an SVG file, well-formed whatever its texts
// are.
func (p Picture) WriteSVG(w io.Writer) error {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	p.writeElement(&b)
	_, err := w.Write(b.Bytes())
	return err
}

// Inline returns the svg element alone, for a page of HTML. Pictures in one
// page need different IDs.
func (p Picture) Inline() string {
	var b bytes.Buffer
	p.writeElement(&b)
	return b.String()
}

func (p Picture) writeElement(b *bytes.Buffer) {
	id := p.ID
	if id == "" {
		id = "picture"
	}
	w, h := number(p.Width), number(p.Height)
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title`, w, h, w, h, quoted(id))
	if p.Desc != "" {
		fmt.Fprintf(b, ` %s-desc`, quoted(id))
	}
	fmt.Fprintf(b, "\" font-family=\"%s\">\n", quoted(sansFamily))
	fmt.Fprintf(b, "<title id=\"%s-title\">%s</title>\n", quoted(id), escaped(p.Title))
	if p.Desc != "" {
		fmt.Fprintf(b, "<desc id=\"%s-desc\">%s</desc>\n", quoted(id), escaped(p.Desc))
	}
	if p.Background.A > 0 {
		writeShape(b, Rect{W: p.Width, H: p.Height, Paint: Paint{Fill: p.Background, Class: "paper"}}, 0)
	}
	for _, s := range p.Shapes {
		writeShape(b, s, 0)
	}
	b.WriteString("</svg>\n")
}

func writeShape(b *bytes.Buffer, s Shape, depth int) {
	b.WriteString(strings.Repeat(" ", depth))
	switch s := s.(type) {
	case Rect:
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s"`, number(s.X), number(s.Y), number(s.W), number(s.H))
		if s.Radius > 0 {
			fmt.Fprintf(b, ` rx="%s"`, number(s.Radius))
		}
		writePaint(b, s.Paint)
		b.WriteString("/>\n")
	case Circle:
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s"`, number(s.X), number(s.Y), number(s.R))
		writePaint(b, s.Paint)
		b.WriteString("/>\n")
	case Line:
		fmt.Fprintf(b, `<line x1="%s" y1="%s" x2="%s" y2="%s"`, number(s.X1), number(s.Y1), number(s.X2), number(s.Y2))
		writePaint(b, s.Paint)
		b.WriteString("/>\n")
	case *Path:
		b.WriteString(`<path d="`)
		s.writeData(b)
		b.WriteByte('"')
		writePaint(b, s.Paint)
		b.WriteString("/>\n")
	case Text:
		s.write(b)
	case Group:
		s.write(b, depth)
	case *Group:
		s.write(b, depth)
	default:
		panic(fmt.Sprintf("ink: unknown shape %T", s))
	}
}

func (p *Path) writeData(b *bytes.Buffer) {
	for i, s := range p.segs {
		if i > 0 && s.kind != closing {
			b.WriteByte(' ')
		}
		switch s.kind {
		case moveTo:
			fmt.Fprintf(b, "M%s %s", number(s.p[0].x), number(s.p[0].y))
		case lineTo:
			fmt.Fprintf(b, "L%s %s", number(s.p[0].x), number(s.p[0].y))
		case cubeTo:
			fmt.Fprintf(b, "C%s %s %s %s %s %s", number(s.p[0].x), number(s.p[0].y), number(s.p[1].x), number(s.p[1].y), number(s.p[2].x), number(s.p[2].y))
		case closing:
			b.WriteByte('Z')
		}
	}
}

func writePaint(b *bytes.Buffer, p Paint) {
	if p.Class != "" {
		fmt.Fprintf(b, ` class="%s"`, quoted(p.Class))
	}
	writeColor(b, "fill", p.Fill)
	if p.Stroke.A == 0 || p.Width <= 0 {
		return
	}
	writeColor(b, "stroke", p.Stroke)
	fmt.Fprintf(b, ` stroke-width="%s" stroke-linejoin="round"`, number(p.Width))
	if p.Round {
		b.WriteString(` stroke-linecap="round"`)
	}
	for i, d := range p.Dash {
		if i == 0 {
			fmt.Fprintf(b, ` stroke-dasharray="%s`, number(d))
		} else {
			fmt.Fprintf(b, " %s", number(d))
		}
	}
	if len(p.Dash) > 0 {
		b.WriteByte('"')
	}
}

func writeColor(b *bytes.Buffer, attr string, c Color) {
	if c.A == 0 {
		fmt.Fprintf(b, ` %s="none"`, attr)
		return
	}
	fmt.Fprintf(b, ` %s="#%02x%02x%02x"`, attr, c.R, c.G, c.B)
	if c.A < 0xff {
		fmt.Fprintf(b, ` %s-opacity="%s"`, attr, number(float64(c.A)/0xff))
	}
}

func (t Text) write(b *bytes.Buffer) {
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s"`, number(t.X), number(t.Y), number(t.Size))
	if t.Class != "" {
		fmt.Fprintf(b, ` class="%s"`, quoted(t.Class))
	}
	switch t.Anchor {
	case Middle:
		b.WriteString(` text-anchor="middle"`)
	case End:
		b.WriteString(` text-anchor="end"`)
	}
	if t.Mono {
		fmt.Fprintf(b, ` font-family="%s"`, quoted(monoFamily))
	}
	if t.Bold {
		b.WriteString(` font-weight="700"`)
	}
	if t.Italic {
		b.WriteString(` font-style="italic"`)
	}
	if t.Fit && t.Text != "" {
		fmt.Fprintf(b, ` textLength="%s" lengthAdjust="spacingAndGlyphs"`, number(t.Width()))
	}
	writeColor(b, "fill", t.Fill)
	if t.Halo.A > 0 && t.HaloWidth > 0 {
		writeColor(b, "stroke", t.Halo)
		fmt.Fprintf(b, ` stroke-width="%s" stroke-linejoin="round" paint-order="stroke"`, number(2*t.HaloWidth))
	}
	fmt.Fprintf(b, ">%s</text>\n", escaped(t.Text))
}

func (g Group) write(b *bytes.Buffer, depth int) {
	b.WriteString("<g")
	if g.Class != "" {
		fmt.Fprintf(b, ` class="%s"`, quoted(g.Class))
	}
	for _, d := range g.Data {
		fmt.Fprintf(b, ` data-%s="%s"`, d.Name, quoted(d.Value))
	}
	move, scale := g.X != 0 || g.Y != 0, g.Scale != 0 && g.Scale != 1
	switch {
	case move && scale:
		fmt.Fprintf(b, ` transform="translate(%s %s) scale(%s)"`, number(g.X), number(g.Y), exact(g.Scale))
	case move:
		fmt.Fprintf(b, ` transform="translate(%s %s)"`, number(g.X), number(g.Y))
	case scale:
		fmt.Fprintf(b, ` transform="scale(%s)"`, exact(g.Scale))
	}
	b.WriteString(">\n")
	if g.Title != "" {
		fmt.Fprintf(b, "%s<title>%s</title>\n", strings.Repeat(" ", depth+1), escaped(g.Title))
	}
	for _, s := range g.Shapes {
		writeShape(b, s, depth+1)
	}
	b.WriteString(strings.Repeat(" ", depth) + "</g>\n")
}

// number writes a length to a hundredth, which is finer than any screen or
// printer shows and the same on all machines.
func number(f float64) string { return trimmed(f, 2) }

func exact(f float64) string { return trimmed(f, 6) }

func trimmed(f float64, places int) string {
	s := strconv.FormatFloat(f, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// escaped makes text fit for an element or an attribute. What XML 1.0 cannot
// hold at all becomes U+FFFD.
func escaped(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool {
		return r < ' ' || r == '<' || r == '>' || r == '&' || r == '"' || r == '\'' || r == utf8.RuneError || r > 0xd7ff
	}) {
		return s
	}
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder takes everything
	return b.String()
}

func quoted(s string) string { return escaped(s) }
