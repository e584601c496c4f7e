package handout

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// An element is one of a page, as a reader of its own sees it.
type element struct {
	name     string
	attrs    map[string]string
	text     string // all below
	begins   int    // of its text in that of the page, in bytes
	parent   *element
	children []*element
}

// domOf reads a page or what a browser makes of it. It is not a parser of
// HTML for all the world, but takes void elements and inline SVG.
func domOf(t *testing.T, page string) *element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	root := &element{name: "#page", attrs: map[string]string{}}
	now := root
	var all strings.Builder
	for {
		tok, err := d.Token()
		if err == io.EOF {
			root.text = all.String()
			return root
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			e := &element{name: tok.Name.Local, attrs: map[string]string{}, parent: now}
			for _, a := range tok.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			now.children = append(now.children, e)
			now = e
			e.begins = all.Len()
		case xml.EndElement:
			now.text = all.String()[now.begins:]
			if now.parent != nil {
				now = now.parent
			}
		case xml.CharData:
			all.Write(tok)
		}
	}
}

// all returns the elements below for which want is true, in their order.
func (e *element) all(want func(*element) bool) []*element {
	var out []*element
	for _, c := range e.children {
		if want(c) {
			out = append(out, c)
		}
		out = append(out, c.all(want)...)
	}
	return out
}

func (e *element) named(name string) []*element {
	return e.all(func(x *element) bool { return x.name == name })
}

func (e *element) is(class string) bool {
	for f := range strings.FieldsSeq(e.attrs["class"]) {
		if f == class {
			return true
		}
	}
	return false
}

// within tells whether the element lies in one of a class.
func (e *element) within(class string) bool {
	for x := e; x != nil; x = x.parent {
		if x.is(class) {
			return true
		}
	}
	return false
}
