package musicxml

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"example.org/lickwright/score"
)

// Limits on what is read, so that a hostile file cannot exhaust the machine.
const (
	maxDepth = 200           // nested elements; the schema needs about 12
	maxSize  = math.MaxInt32 // bytes of one document: offsets are 32-bit
	maxNames = math.MaxUint16
)

// An elem is one element of the document as a record over the source text.
// Records stand in document order, so the elements below one are those up to
// after, and its first child, if any, is the next record.
type elem struct {
	start, open int32 // of the start tag: its '<', and behind its '>'
	shut, end   int32 // of the end tag: its '<', and behind its '>'; both equal open if the element is <empty/>
	after       int32 // record behind the element's last descendant
	parent      int32 // record of the parent, -1 for the root
	attrs       int32 // first of its attributes in index.attrs
	name        uint16
	nattrs      uint16
}

// An attr is one attribute; the value has its references resolved.
type attr struct{ name, value string }

// An index is the flat list of all elements of a document. It is made once
// and only read from then on.
type index struct {
	text  []byte // UTF-8
	elems []elem
	attrs []attr
	names []string
}

// none is the record number of no element.
const none = -1

// buildIndex makes the records with one pass of encoding/xml's tokenizer,
// which checks well-formedness within tags; nesting is checked here. The
// error is a *syntaxError.
func buildIndex(text []byte) (*index, error) {
	if len(text) > maxSize {
		return nil, &syntaxError{0, "the document is larger than 2 GiB", ""}
	}
	x := &index{text: text, elems: make([]elem, 0, len(text)/28+8)}
	nameIDs := make(map[string]uint16, 128)
	dec := xml.NewDecoder(bytes.NewReader(asVersion10(text)))
	// The text is UTF-8 by now, whatever the declaration says.
	dec.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }

	var stack []int32
	for {
		start := dec.InputOffset()
		tok, err := dec.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, syntaxErrorAt(dec, text, err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			if len(stack) == maxDepth {
				return nil, &syntaxError{int(start), fmt.Sprintf("elements are nested more than %d deep", maxDepth), ""}
			}
			if len(stack) == 0 && len(x.elems) > 0 {
				return nil, &syntaxError{int(start), "a second root element", "a document has one root element; cut the file behind the first"}
			}
			name := qualified(tok.Name)
			id, ok := nameIDs[name]
			if !ok {
				if len(x.names) == maxNames {
					return nil, &syntaxError{int(start), "more element names than any format has", ""}
				}
				id = uint16(len(x.names))
				nameIDs[name] = id
				x.names = append(x.names, name)
			}
			parent := int32(none)
			if len(stack) > 0 {
				parent = stack[len(stack)-1]
			}
			stack = append(stack, int32(len(x.elems)))
			open := int32(dec.InputOffset())
			x.elems = append(x.elems, elem{
				start: int32(start), open: open, shut: open, end: open, after: none, parent: parent, name: id,
				attrs: int32(len(x.attrs)), nattrs: uint16(min(len(tok.Attr), math.MaxUint16)),
			})
			for _, a := range tok.Attr {
				x.attrs = append(x.attrs, attr{qualified(a.Name), a.Value})
			}
		case xml.EndElement:
			if len(stack) == 0 {
				return nil, &syntaxError{int(start), fmt.Sprintf("</%s> closes nothing", qualified(tok.Name)), ""}
			}
			e := &x.elems[stack[len(stack)-1]]
			if open := x.names[e.name]; open != qualified(tok.Name) {
				line, col := lineCol(text, int(e.start))
				return nil, &syntaxError{int(start), fmt.Sprintf("</%s> does not close <%s> of line %d, column %d", qualified(tok.Name), open, line, col), ""}
			}
			e.shut, e.end, e.after = int32(start), int32(dec.InputOffset()), int32(len(x.elems))
			stack = stack[:len(stack)-1]
		}
	}
	if len(stack) > 0 {
		e := x.elems[stack[len(stack)-1]]
		line, col := lineCol(text, int(e.start))
		return nil, &syntaxError{len(text), fmt.Sprintf("the file ends inside of <%s> of line %d, column %d", x.names[e.name], line, col),
			"the file looks cut off; get it again from where it came from"}
	}
	if len(x.elems) == 0 {
		return nil, &syntaxError{0, "there is no XML element", "is it a MusicXML file?"}
	}
	return x, nil
}

// asVersion10 returns the text with a declared XML version of 1.1 as 1.0,
// which is all that encoding/xml takes; offsets stay. What 1.1 allows beyond
// (control characters as references) is refused then.
func asVersion10(text []byte) []byte {
	head := text[:min(len(text), 64)]
	if !bytes.HasPrefix(head, []byte("<?xml")) {
		return text
	}
	at := bytes.Index(head, []byte("1.1"))
	if at < 0 || at > bytes.Index(head, []byte("?>")) && bytes.Contains(head, []byte("?>")) {
		return text
	}
	same := bytes.Clone(text)
	copy(same[at:], "1.0")
	return same
}

func qualified(n xml.Name) string {
	if n.Space == "" {
		return n.Local
	}
	return n.Space + ":" + n.Local
}

// A syntaxError says where a document is not well-formed.
type syntaxError struct {
	offset int
	msg    string
	hint   string
}

func (e *syntaxError) Error() string { return e.msg }

func syntaxErrorAt(dec *xml.Decoder, text []byte, err error) error {
	offset := min(int(dec.InputOffset()), len(text))
	var se *xml.SyntaxError
	msg := err.Error()
	if errors.As(err, &se) {
		msg = se.Msg
	}
	if strings.Contains(msg, "unexpected EOF") {
		return &syntaxError{offset, "the file ends inside of a tag or comment", "the file looks cut off; get it again from where it came from"}
	}
	return &syntaxError{offset, "not well-formed XML: " + msg, ""}
}

// lineCol returns the 1-based line and column, in bytes, of an offset. It
// counts from the start of the text; use a lineTable for many.
func lineCol(text []byte, offset int) (line, col int) {
	before := text[:offset]
	return bytes.Count(before, []byte("\n")) + 1, offset - bytes.LastIndexByte(before, '\n')
}

// name returns the element's name with its prefix, if it has one.
func (x *index) name(e int32) string { return x.names[x.elems[e].name] }

// first returns the first child, or none.
func (x *index) first(e int32) int32 {
	if c := e + 1; c < x.elems[e].after {
		return c
	}
	return none
}

// next returns the next sibling, or none.
func (x *index) next(e int32) int32 {
	n, p := x.elems[e].after, x.elems[e].parent
	if p != none && n < x.elems[p].after {
		return n
	}
	return none
}

// children ranges over the child elements.
func (x *index) children(e int32) func(yield func(int32) bool) {
	return func(yield func(int32) bool) {
		for c := x.first(e); c != none; c = x.next(c) {
			if !yield(c) {
				return
			}
		}
	}
}

// child returns the first child of that name, or none.
func (x *index) child(e int32, name string) int32 {
	for c := x.first(e); c != none; c = x.next(c) {
		if x.name(c) == name {
			return c
		}
	}
	return none
}

// attr returns the value of an attribute and whether it is there.
func (x *index) attr(e int32, name string) (string, bool) {
	r := &x.elems[e]
	for _, a := range x.attrs[r.attrs : r.attrs+int32(r.nattrs)] {
		if a.name == name {
			return a.value, true
		}
	}
	return "", false
}

// attrOr returns the value of an attribute, "" if it is not there.
func (x *index) attrOr(e int32, name string) string {
	v, _ := x.attr(e, name)
	return v
}

// content returns the text of an element without child elements, references
// and CDATA resolved, white space trimmed. Of an element with children it
// returns "".
func (x *index) content(e int32) string {
	r := &x.elems[e]
	if r.after != e+1 {
		return ""
	}
	raw := x.text[r.open:r.shut]
	if bytes.IndexByte(raw, '&') < 0 && bytes.IndexByte(raw, '<') < 0 {
		return string(bytes.TrimSpace(raw))
	}
	var b strings.Builder
	dec := xml.NewDecoder(bytes.NewReader(raw))
	for {
		tok, err := dec.RawToken()
		if err != nil {
			return strings.TrimSpace(b.String())
		}
		if cd, ok := tok.(xml.CharData); ok {
			b.Write(cd)
		}
	}
}

// childContent returns the content of the first child of that name, "" if
// there is none.
func (x *index) childContent(e int32, name string) string {
	if c := x.child(e, name); c != none {
		return x.content(c)
	}
	return ""
}

// A lineTable finds line and column of many offsets.
type lineTable struct{ starts []int32 }

func newLineTable(text []byte) lineTable {
	starts := make([]int32, 1, bytes.Count(text, []byte("\n"))+1)
	for i := 0; ; {
		n := bytes.IndexByte(text[i:], '\n')
		if n < 0 {
			return lineTable{starts}
		}
		i += n + 1
		starts = append(starts, int32(i))
	}
}

func (t lineTable) pos(file string, offset int) score.Pos {
	lo, hi := 0, len(t.starts)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; int(t.starts[mid]) <= offset {
			lo = mid
		} else {
			hi = mid
		}
	}
	return score.Pos{File: file, Offset: offset, Line: lo + 1, Col: offset - int(t.starts[lo]) + 1}
}
