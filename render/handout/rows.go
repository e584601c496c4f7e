package handout

import (
	"cmp"
	"fmt"
	"html"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/render/internal/ink"
)

// A row is texts that are one element: what stands on one string, a line of
// labels, the chord symbols. Copied, it is a line of words with blanks between
// them, in the order in which they stand on the page.
type row struct {
	y     float64
	str   int // whose names and numbers they are; 0 for none
	part  int
	texts []*engrave.Text
}

// A rowKey says which texts are one row.
type rowKey struct {
	class string
	y     int // in tenths
}

// rowsOf sorts the texts of a scene into rows, from the top of the page down.
func rowsOf(s engrave.Scene) []*row {
	byKey := map[rowKey]*row{}
	var out []*row
	for _, it := range s.Items {
		t, ok := it.(*engrave.Text)
		if !ok {
			continue
		}
		k := rowKey{t.Class, tenths(t.Y)}
		switch t.Class {
		case "fret", "string-name": // numbers large and small are centred on their string
			k = rowKey{"fret", tenths(t.Y - t.Size*ink.CapHeight/2)}
		case "row-name":
			k.class = "label"
		case "letter", "bar-number": // each has found its own height
			k.y = 0
		default:
			if strings.HasPrefix(t.Class, "label ") {
				k.class = "label"
			}
		}
		r := byKey[k]
		if r == nil {
			r = &row{y: t.Y}
			byKey[k] = r
			out = append(out, r)
		}
		if t.Note != nil {
			r.str, r.part = t.Note.Place.String, t.Part+1
		}
		r.y = min(r.y, t.Y)
		r.texts = append(r.texts, t)
	}
	for _, r := range out {
		slices.SortStableFunc(r.texts, func(a, b *engrave.Text) int { return cmp.Compare(a.X, b.X) })
	}
	slices.SortStableFunc(out, func(a, b *row) int { return cmp.Compare(a.y, b.y) })
	return out
}

// A run is neighbours of a row that are written alike.
type run struct {
	style
	texts []*engrave.Text
}

// A style is what a run has of its own beside its place.
type style struct {
	class  string
	color  string // "" for that of the class
	shared int    // the number of notes that the number stands for, 0 for one
}

func (l *looks) styleOf(t *engrave.Text) style {
	s := style{class: l.ofText(face{t.Class, t.Size, t.Bold, t.Italic, t.Anchor})}
	if c, ok := labelColor(t); ok {
		s.color = hexOf(c)
	}
	if len(t.Also) > 0 {
		s.shared = 1 + len(t.Also)
	}
	return s
}

func (s style) write(b *strings.Builder) {
	b.WriteString(` class="` + html.EscapeString(s.class) + `"`)
	s.writeOwn(b)
}

// writeOwn writes what the class does not say.
func (s style) writeOwn(b *strings.Builder) {
	if s.color != "" {
		b.WriteString(` style="fill:` + s.color + `"`)
	}
	if s.shared > 0 {
		fmt.Fprintf(b, ` data-notes="%d"`, s.shared)
	}
}

// writeTexts writes the texts of a scene that lies so far down.
func (l *looks) writeTexts(b *strings.Builder, s placed) {
	for _, r := range rowsOf(s.Scene) {
		l.writeRow(b, r, s.y)
	}
}

// writeRow writes a row as one element. That of a string says which one it is,
// for whoever reads the page by program: data-string, data-part where it is not
// the first, and data-notes at a number that stands for notes of several voices.
// Where all of its texts are signs that
// can be placed one by one (numbers, degrees, names of strings), it has one list
// of places; else each text that does not follow its neighbour is an element
// in it.
func (l *looks) writeRow(b *strings.Builder, r *row, dy float64) {
	var runs []run
	single := true
	for _, t := range r.texts {
		st := l.styleOf(t)
		if n := len(runs); n == 0 || runs[n-1].style != st {
			runs = append(runs, run{style: st})
		}
		last := &runs[len(runs)-1]
		last.texts = append(last.texts, t)
		single = single && isPlaced(t)
	}
	b.WriteString("<text")
	if r.str > 0 {
		fmt.Fprintf(b, ` data-string="%d"`, r.str)
		if r.part > 1 {
			fmt.Fprintf(b, ` data-part="%d"`, r.part)
		}
	}
	if single {
		l.writePlaced(b, runs, dy)
	} else {
		l.writeWords(b, runs, dy)
	}
	b.WriteString("</text>")
}

// writeWords writes words, each with its place.
func (l *looks) writeWords(b *strings.Builder, runs []run, dy float64) {
	if len(runs) == 1 && len(runs[0].texts) == 1 {
		t := runs[0].texts[0]
		runs[0].write(b)
		fmt.Fprintf(b, ` x="%s" y="%s">%s`, short(t.X), short(t.Y+dy), html.EscapeString(t.Text))
		return
	}
	same := !slices.ContainsFunc(runs, func(r run) bool { return r.style != runs[0].style })
	if same {
		runs[0].write(b)
	}
	b.WriteString(">")
	end := 0.0 // of what has been written
	for i, r := range runs {
		for j := 0; j < len(r.texts); {
			p := places{end: end}
			if first := r.texts[j]; !isPlaced(first) {
				p.word(first, dy, i+j > 0)
				j++
			} else {
				for ; j < len(r.texts) && isPlaced(r.texts[j]); j++ {
					p.add(r.texts[j], dy, i+j > 0)
				}
			}
			end = p.end
			b.WriteString("<tspan")
			if !same {
				r.write(b)
			}
			p.write(b)
			fmt.Fprintf(b, ">%s</tspan>", html.EscapeString(p.text.String()))
		}
	}
}

// writePlaced writes signs with one list of their places. The row is written
// as most of it is.
func (l *looks) writePlaced(b *strings.Builder, runs []run, dy float64) {
	main := runs[0]
	for _, r := range runs {
		if len(r.texts) > len(main.texts) {
			main = r
		}
	}
	main.shared = 0
	main.write(b)
	var p places
	var content strings.Builder
	for i, r := range runs {
		before := p.text.Len()
		for j, t := range r.texts {
			p.add(t, dy, i+j > 0)
		}
		text := p.text.String()[before:]
		if r.style == main.style {
			content.WriteString(html.EscapeString(text))
			continue
		}
		if i > 0 { // the blank is the row's
			content.WriteByte(' ')
			text = text[1:]
		}
		content.WriteString("<tspan")
		if r.class != main.class {
			r.write(&content)
		} else {
			r.writeOwn(&content)
			if r.color == "" && main.color != "" {
				content.WriteString(` class="` + html.EscapeString(r.class) + `"`)
			}
		}
		fmt.Fprintf(&content, ">%s</tspan>", html.EscapeString(text))
	}
	p.write(b)
	b.WriteString(">")
	b.WriteString(content.String())
}

// maxPlaced is the length of the longest text that is placed sign by sign.
const maxPlaced = 9

// isPlaced tells whether a text is signs of which each may have its own
// place: one, or numbers and names of notes, in which no sign leans on the next
// one and which are equally wide in all common fonts.
func isPlaced(t *engrave.Text) bool {
	n := utf8.RuneCountInString(t.Text)
	switch kind, _, _ := strings.Cut(t.Class, " "); kind {
	case "fret", "string-name", "label", "bar-number":
		return n <= maxPlaced && !strings.ContainsFunc(t.Text, func(r rune) bool { return !strings.ContainsRune("0123456789()<>,♭♯xABCDEFGRabcdefg", r) })
	}
	return n == 1
}

// places is a text whose signs each have a place: SVG takes one of each list
// for each character. Source: SVG 2, chapter 11.4.
type places struct {
	text strings.Builder
	x, y []int // in tenths; y only as far as it changes
	end  float64
}

// add adds a text sign by sign, after a blank if it is not the first.
func (p *places) add(t *engrave.Text, dy float64, blank bool) {
	left := p.begin(t, dy, blank)
	for _, r := range t.Text {
		p.text.WriteRune(r)
		w := signWidth(t, r)
		p.put(tenths(left+w*share(t.Anchor)), tenths(t.Y+dy))
		left += w
	}
}

// word adds a text whose letters follow the first one. Nothing can be added
// behind it.
func (p *places) word(t *engrave.Text, dy float64, blank bool) {
	p.begin(t, dy, blank)
	p.text.WriteString(t.Text)
	p.put(tenths(t.X), tenths(t.Y+dy))
}

// begin adds the blank before a text and returns where the text begins. The
// blank has a place of its own, or it would push aside what ends or has its
// middle at a place.
func (p *places) begin(t *engrave.Text, dy float64, blank bool) (left float64) {
	if blank {
		p.text.WriteByte(' ')
		p.put(int(math.Round(p.end))*10, tenths(t.Y+dy))
	}
	width := 0.0
	for _, r := range t.Text {
		width += signWidth(t, r)
	}
	left = t.X - width*share(t.Anchor)
	p.end = left + width
	return left
}

// share returns how much of a text lies before its place.
func share(a engrave.Anchor) float64 {
	switch a {
	case ink.Middle:
		return 0.5
	case ink.End:
		return 1
	}
	return 0
}

// accidentalWidth is the room of ♭ and ♯ beside a digit, in ems: fonts to which
// browsers turn for these signs draw them wider than ours.
const accidentalWidth = 0.5

// signWidth returns the room of one sign of a text.
func signWidth(t *engrave.Text, r rune) float64 {
	w := ink.Text{Text: string(r), Size: t.Size, Bold: t.Bold, Italic: t.Italic}.Width()
	if r == '♭' || r == '♯' {
		return max(w, accidentalWidth*t.Size)
	}
	return w
}

func (p *places) put(x, y int) {
	p.x = append(p.x, x)
	p.y = append(p.y, y)
}

func (p *places) write(b *strings.Builder) {
	last := len(p.y) - 1
	for last > 0 && p.y[last-1] == p.y[last] {
		last--
	}
	for _, list := range []struct {
		name string
		of   []int
	}{{"x", p.x}, {"y", p.y[:last+1]}} {
		b.WriteString(" " + list.name + `="`)
		for i, v := range list.of {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(shortest(v))
		}
		b.WriteByte('"')
	}
}

// short writes a length to a tenth of a pixel.
func short(v float64) string { return shortest(tenths(v)) }

// number writes a length to a tenth of a pixel, with a digit before the point.
func number(v float64) string {
	return strconv.FormatFloat(float64(tenths(v))/10, 'f', -1, 64)
}
