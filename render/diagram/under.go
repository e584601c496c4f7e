package diagram

import (
	"fmt"
	"strings"

	"example.org/lickwright/render/internal/ink"
)

// A underLine is a line below a dot.
type underLine struct {
	text  string
	of    Label
	first bool // it begins with the first number of the picture
}

func (l underLine) width(size float64) float64 {
	w := ink.Text{Text: l.text, Size: size, Bold: l.of == Order, Italic: l.of == Roles || l.of == Intervals}.Width()
	if l.first {
		w += .8 * size // its ground
	}
	return w
}

// beneath returns what stands below a dot, broken at its commas where it is
// wider than a width. first is the first number of the picture.
func (d Dot) beneath(below []Label, width, size float64, first int) []underLine {
	if d.Faint {
		return nil
	}
	var lines []underLine
	for _, l := range below {
		texts := []string{d.label(l)}
		switch _, same := d.saidEach(l); {
		case l == Order:
			texts = d.orderLines()
		case l == Roles && !same:
			texts = strings.Split(texts[0], ", ")
		}
		for _, text := range texts {
			if text != "" {
				lines = append(lines, brokenLines(text, l, width, size)...)
			}
		}
	}
	for i := range lines {
		if lines[i].of == Order && (i == 0 || lines[i-1].of != Order) {
			n := 0
			_, err := fmt.Sscanf(lines[i].text, "%d", &n)
			lines[i].first = err == nil && n == first
		}
	}
	return lines
}

// brokenLines breaks a text at its commas.
func brokenLines(text string, l Label, width, size float64) []underLine {
	lines := []underLine{{of: l}}
	for part := range strings.SplitAfterSeq(text, ", ") {
		last := &lines[len(lines)-1]
		longer := underLine{text: last.text + part, of: l}
		if last.text == "" || (underLine{text: strings.TrimSpace(longer.text), of: l}).width(size) <= width {
			*last = longer
			continue
		}
		lines = append(lines, underLine{text: part, of: l})
	}
	for i := range lines {
		lines[i].text = strings.TrimSpace(lines[i].text)
	}
	return lines
}
