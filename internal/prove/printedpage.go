package prove

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A printedNumber is a number of a sheet on its string.
type printedNumber struct {
	str    int
	fret   int  // -1 for a dead note without one
	held   bool // in parentheses
	node   bool // of a harmonic
	x, top float64
	shared int // how many notes it stands for
}

// A printedPiece is the music under one heading, as one of its pictures has it:
// the one for paper, or that for narrow screens.
type printedPiece struct {
	heading string
	kind    string // "sheet", "answers"; with ", narrow" behind it
	numbers map[int][]printedNumber
	names   map[int]map[int]string // of strings, by part and string
}

// stringGap is how far strings lie apart in a picture of tab, as
// render/internal/engrave documents it.
const stringGap = 11

// A pageElement is an element of a page.
type pageElement struct {
	name     string
	attrs    map[string]string
	parent   *pageElement
	children []*pageElement
	inside   []pageRune // of texts and headings: their characters, those of elements in them too
}

// A pageRune is a character with the element that it stands in.
type pageRune struct {
	r  rune
	in *pageElement
}

func (e *pageElement) is(class string) bool {
	return slices.Contains(strings.Fields(e.attrs["class"]), class)
}

// find lists the elements below for which want is true; it does not look into
// them.
func (e *pageElement) find(want func(*pageElement) bool) []*pageElement {
	var list []*pageElement
	for _, c := range e.children {
		if want(c) {
			list = append(list, c)
		} else {
			list = append(list, c.find(want)...)
		}
	}
	return list
}

// readPage reads a page of HTML as far as it is like XML: void elements need no
// end. Source: the HTML standard, chapter 13.1.2.
func readPage(data []byte) (*pageElement, error) {
	d := xml.NewDecoder(strings.NewReader(string(data)))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	root := &pageElement{name: "#page"}
	now := root
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			if now != root {
				return nil, fmt.Errorf("<%s> does not end", now.name)
			}
			return root, nil
		}
		if err != nil {
			return nil, err
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := &pageElement{name: tok.Name.Local, attrs: map[string]string{}, parent: now}
			for _, a := range tok.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			now.children = append(now.children, e)
			now = e
		case xml.EndElement:
			if now.parent != nil {
				now = now.parent
			}
		case xml.CharData:
			for e := now; e != nil; e = e.parent {
				if e.name == "text" || e.name == "h2" {
					for _, r := range string(tok) {
						e.inside = append(e.inside, pageRune{r, now})
					}
				}
			}
		}
	}
}

// printedPieces reads the music of a page.
func printedPieces(data []byte) ([]printedPiece, error) {
	page, err := readPage(data)
	if err != nil {
		return nil, err
	}
	var list []printedPiece
	for _, section := range page.find(func(e *pageElement) bool { return e.name == "section" && e.is("piece") }) {
		heading := ""
		if h := section.find(func(e *pageElement) bool { return e.name == "h2" }); len(h) > 0 {
			for _, r := range h[0].inside {
				heading += string(r.r)
			}
		}
		kind := "sheet"
		if strings.HasPrefix(section.attrs["id"], "answers") {
			kind = "answers"
		}
		for _, width := range []string{"wide", "narrow", ""} {
			p := printedPiece{heading: heading, kind: kind, numbers: map[int][]printedNumber{}, names: map[int]map[int]string{}}
			if width == "narrow" {
				p.kind += ", narrow"
			}
			systems := section.find(func(e *pageElement) bool {
				return e.name == "svg" && e.is("tab") && (width != "" && e.is(width) || width == "" && !e.is("wide") && !e.is("narrow"))
			})
			for _, svg := range systems {
				if err := p.system(svg); err != nil {
					return nil, err
				}
			}
			if len(systems) > 0 {
				list = append(list, p)
			}
		}
	}
	return list, nil
}

// system reads the rows of the strings of a picture.
func (p *printedPiece) system(svg *pageElement) error {
	found := map[int][]printedNumber{}
	for _, row := range svg.find(func(e *pageElement) bool { return e.name == "text" && e.attrs["data-string"] != "" }) {
		str, err := strconv.Atoi(row.attrs["data-string"])
		if err != nil || str < 1 {
			return fmt.Errorf("there is no string %q", row.attrs["data-string"])
		}
		part := 1
		if text := row.attrs["data-part"]; text != "" {
			if part, err = strconv.Atoi(text); err != nil {
				return fmt.Errorf("there is no part %q", text)
			}
		}
		words, err := wordsOfRow(row)
		if err != nil {
			return err
		}
		for _, w := range words {
			if w.name {
				if p.names[part] == nil {
					p.names[part] = map[int]string{}
				}
				p.names[part][str] = w.text
				continue
			}
			n, ok := numberOf(w.text)
			if !ok {
				return fmt.Errorf("%q stands on string %d and is no number", w.text, str)
			}
			n.str, n.x, n.top, n.shared = str, w.x, w.y-stringGap*float64(str-1), w.notes
			found[part] = append(found[part], n)
		}
	}
	for part, numbers := range found { // systems below each other, then from the left
		slices.SortStableFunc(numbers, func(a, b printedNumber) int {
			switch {
			case math.Abs(a.top-b.top) > stringGap/2 && a.top < b.top, math.Abs(a.top-b.top) <= stringGap/2 && a.x < b.x:
				return -1
			case math.Abs(a.top-b.top) <= stringGap/2 && a.x == b.x:
				return 0
			}
			return 1
		})
		p.numbers[part] = append(p.numbers[part], numbers...)
	}
	return nil
}

// A rowWord is a word of a row with its place: the middle of its signs.
type rowWord struct {
	text  string
	x, y  float64
	name  bool // of the string
	notes int  // that it stands for
}

// wordsOfRow cuts a row into words. Each character has a place of its own in the
// lists of the element that has any, or follows the one before. Source: SVG 2,
// chapter 11.4.
func wordsOfRow(row *pageElement) ([]rowWord, error) {
	var words []rowWord
	used := map[*pageElement]int{} // characters of an element's lists
	lists := map[*pageElement][2][]float64{}
	var x, y float64
	signs, open := 0, false
	for _, c := range row.inside {
		owner := c.in
		for owner != row && owner.attrs["x"] == "" && owner.parent != nil {
			owner = owner.parent
		}
		if _, known := lists[owner]; !known {
			var both [2][]float64
			for i, name := range []string{"x", "y"} {
				for _, word := range strings.Fields(strings.ReplaceAll(owner.attrs[name], ",", " ")) {
					v, err := strconv.ParseFloat(word, 64)
					if err != nil {
						return nil, fmt.Errorf("%q is no place", word)
					}
					both[i] = append(both[i], v)
				}
			}
			lists[owner] = both
		}
		k, both := used[owner], lists[owner]
		used[owner]++
		if k < len(both[0]) {
			x = both[0][k]
		}
		if k < len(both[1]) {
			y = both[1][k]
		}
		if strings.TrimSpace(string(c.r)) == "" {
			open = false
			continue
		}
		if !open {
			open, signs = true, 0
			words = append(words, rowWord{notes: 1})
		}
		w := &words[len(words)-1]
		w.text += string(c.r)
		w.x = (w.x*float64(signs) + x) / float64(signs+1)
		w.y = y
		signs++
		class := c.in
		for class != row && class.attrs["class"] == "" && class.parent != nil {
			class = class.parent
		}
		w.name = class.is("string-name")
		for e := c.in; e != nil; e = e.parent {
			if n, err := strconv.Atoi(e.attrs["data-notes"]); err == nil && n > 0 {
				w.notes = n
				break
			}
		}
	}
	return words, nil
}

// numberOf reads a number as it stands on a string: 7, (7), <12>, 5<17>, x.
func numberOf(text string) (n printedNumber, ok bool) {
	inner, held := strings.CutPrefix(text, "(")
	if held {
		if inner, ok = strings.CutSuffix(inner, ")"); !ok {
			return n, false
		}
	}
	n.held = held
	if inner == "x" {
		n.fret = -1
		return n, true
	}
	first, rest, node := strings.Cut(inner, "<")
	if node {
		n.node = true
		touched, closed := strings.CutSuffix(rest, ">")
		if !closed {
			return n, false
		}
		if first == "" {
			first = touched
		} else if _, err := strconv.ParseFloat(touched, 64); err != nil {
			return n, false
		}
	}
	fret, err := strconv.Atoi(first)
	n.fret = fret
	return n, err == nil && fret >= 0
}
