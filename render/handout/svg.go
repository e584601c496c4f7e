package handout

import (
	"fmt"
	"html"
	"html/template"
	"strings"

	"example.org/lickwright/render/internal/engrave"
)

// A placed scene is one that lies so far below the top of its picture.
type placed struct {
	engrave.Scene
	y float64
}

// A picture is an SVG element of music.
type picture struct {
	class  string
	width  float64
	height float64
	scenes []placed
	// labelled are the ids of what says in words what it shows; title and desc
	// are written into it if they are not "".
	labelled    []string
	title, desc string
}

// svg draws music as an element of the page. All lines of one look are one
// path and all texts of one row one element, without blanks between elements
// that a browser would have to keep: a lesson of twelve keys holds ten
// thousands of numbers.
func (l *looks) svg(p picture) template.HTML {
	var b strings.Builder
	w, h := number(p.width), number(p.height)
	fmt.Fprintf(&b, `<svg class="tab %s" width="%s" height="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s">`, p.class, w, h, w, h, strings.Join(p.labelled, " "))
	if p.title != "" {
		fmt.Fprintf(&b, `<title id="%s">%s</title><desc id="%s">%s</desc>`, p.labelled[0], html.EscapeString(p.title), p.labelled[1], html.EscapeString(p.desc))
	}
	l.writePaths(&b, p.scenes)
	for _, s := range p.scenes {
		l.writeTexts(&b, s)
	}
	b.WriteString("</svg>\n")
	return template.HTML(b.String())
}
