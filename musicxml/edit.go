package musicxml

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"fmt"
	"slices"
	"strings"
)

// An edit replaces text[start:end) by new.
type edit struct {
	start, end int32
	new        string
	rank       int // order of what is put in at one place
}

// An editor collects edits to a document. All of them are about the text as
// it was read; splice makes them at once.
type editor struct {
	x     *index
	edits []edit
}

func (ed *editor) replace(start, end int32, new string) {
	if string(ed.x.text[start:end]) != new {
		ed.edits = append(ed.edits, edit{start: start, end: end, new: new})
	}
}

// setContent replaces the text of an element without children, keeping the
// white space around it.
func (ed *editor) setContent(e int32, content string) {
	r := &ed.x.elems[e]
	escaped := escape(content)
	if r.open == r.end { // <empty/>
		tag := string(ed.x.text[r.start:r.open])
		tag = strings.TrimRight(strings.TrimSuffix(tag, "/>"), " \t\r\n")
		ed.replace(r.start, r.end, tag+">"+escaped+"</"+ed.x.name(e)+">")
		return
	}
	raw := ed.x.text[r.open:r.shut]
	lead := len(raw) - len(bytes.TrimLeft(raw, " \t\r\n"))
	if lead == len(raw) {
		lead = 0
		ed.replace(r.open, r.shut, escaped)
		return
	}
	body := bytes.TrimSpace(raw)
	ed.replace(r.open+int32(lead), r.open+int32(lead+len(body)), escaped)
}

func escape(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder does not fail
	return b.String()
}

// lead returns the start of the white space before an offset.
func (ed *editor) lead(offset int32) int32 {
	return int32(len(bytes.TrimRight(ed.x.text[:offset], " \t\r\n")))
}

// remove takes an element out, with the white space before it.
func (ed *editor) remove(e int32) {
	r := &ed.x.elems[e]
	ed.replace(ed.lead(r.start), r.end, "")
}

// insertAfter puts a new element behind a sibling, indented like it.
func (ed *editor) insertAfter(sibling int32, fragment string) {
	r := &ed.x.elems[sibling]
	indent := string(ed.x.text[ed.lead(r.start):r.start])
	ed.edits = append(ed.edits, edit{start: r.end, end: r.end, new: indent + fragment})
}

// insertFirst puts a new element before the first child of a parent that has
// children, indented like it.
func (ed *editor) insertFirst(parent int32, fragment string) {
	first := ed.x.first(parent)
	r := &ed.x.elems[first]
	indent := string(ed.x.text[ed.lead(r.start):r.start])
	ed.edits = append(ed.edits, edit{start: r.start, end: r.start, new: fragment + indent})
}

// insertChild puts a new element into a parent that has children, where the
// schema's order wants it: behind the last child whose name comes at or
// before its own in order.
func (ed *editor) insertChild(parent int32, name, fragment string, order []string) {
	rank := slices.Index(order, name)
	after := int32(none)
	for c := range ed.x.children(parent) {
		if i := slices.Index(order, ed.x.name(c)); i >= 0 && i <= rank {
			after = c
		}
	}
	if after == none {
		ed.insertFirst(parent, fragment)
		return
	}
	ed.insertAfter(after, fragment)
	ed.edits[len(ed.edits)-1].rank = 1 + rank
}

// removeAttr takes an attribute out of a start tag, with the space before it.
func (ed *editor) removeAttr(e int32, name string) {
	if start, end, ok := ed.findAttr(e, name); ok {
		ed.replace(ed.lead(start), end, "")
	}
}

// setAttr gives an attribute of a start tag another value, or puts it in.
func (ed *editor) setAttr(e int32, name, value string) {
	text := name + `="` + escape(value) + `"`
	if start, end, ok := ed.findAttr(e, name); ok {
		ed.replace(start, end, text)
		return
	}
	at := ed.x.elems[e].start + 1 + int32(len(ed.x.name(e)))
	ed.edits = append(ed.edits, edit{start: at, end: at, new: " " + text})
}

// findAttr finds name="value" in the text of a start tag. The tag is known to
// be well-formed.
func (ed *editor) findAttr(e int32, name string) (start, end int32, ok bool) {
	r := &ed.x.elems[e]
	tag := ed.x.text[r.start:r.open]
	i := 1 + len(ed.x.name(e))
	for i < len(tag) {
		for i < len(tag) && isSpace(tag[i]) {
			i++
		}
		from := i
		for i < len(tag) && tag[i] != '=' && !isSpace(tag[i]) && tag[i] != '>' && tag[i] != '/' {
			i++
		}
		key := string(tag[from:i])
		for i < len(tag) && (isSpace(tag[i]) || tag[i] == '=') {
			i++
		}
		if i >= len(tag) || tag[i] != '"' && tag[i] != '\'' {
			return 0, 0, false
		}
		n := bytes.IndexByte(tag[i+1:], tag[i])
		if n < 0 {
			return 0, 0, false
		}
		i += n + 2
		if key == name {
			return r.start + int32(from), r.start + int32(i), true
		}
	}
	return 0, 0, false
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\r' || c == '\n' }

// sort puts the edits into the order of the text, keeping the order of those
// at one place.
func (ed *editor) sort() {
	slices.SortStableFunc(ed.edits, func(a, b edit) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.end, b.end), cmp.Compare(a.rank, b.rank))
	})
}

// extract returns a stretch of the text with the edits inside of it. The
// edits must be sorted.
func (ed *editor) extract(start, end int32) string {
	first, _ := slices.BinarySearchFunc(ed.edits, start, func(e edit, at int32) int { return cmp.Compare(e.start, at) })
	var out strings.Builder
	at := start
	for _, e := range ed.edits[first:] {
		if e.start >= end {
			break
		}
		if e.end > end || e.start < at || e.start == e.end && e.start == start || e.start == start && e.end == end && e.new == "" {
			continue // of what is around, not inside
		}
		out.Write(ed.x.text[at:e.start])
		out.WriteString(e.new)
		at = e.end
	}
	out.Write(ed.x.text[at:end])
	return out.String()
}

// dropInside takes off the edits inside of the stretches, which are sorted
// and do not overlap. Those of no length hold none.
func (ed *editor) dropInside(stretches []edit) {
	stretches = slices.DeleteFunc(slices.Clone(stretches), func(s edit) bool { return s.start == s.end })
	ed.edits = slices.DeleteFunc(ed.edits, func(e edit) bool {
		i, found := slices.BinarySearchFunc(stretches, e.start, func(s edit, at int32) int { return cmp.Compare(s.start, at) })
		if !found {
			i--
		}
		return i >= 0 && e.start >= stretches[i].start && e.end <= stretches[i].end
	})
}

// splice makes all edits. Edits must not overlap; several insertions at one
// place are made in the order in which they were asked for.
func (ed *editor) splice() ([]byte, error) {
	ed.sort()
	grow := 0
	for _, e := range ed.edits {
		grow += len(e.new) - int(e.end-e.start)
	}
	out := make([]byte, 0, len(ed.x.text)+grow)
	var at int32
	for _, e := range ed.edits {
		if e.start < at {
			return nil, fmt.Errorf("two edits overlap at offset %d", e.start)
		}
		out = append(out, ed.x.text[at:e.start]...)
		out = append(out, e.new...)
		at = e.end
	}
	return append(out, ed.x.text[at:]...), nil
}
