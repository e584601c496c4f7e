package diagram

import (
	"bytes"
	"encoding/xml"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/theory/fretboard"
)

// A box is where something lies in a picture.
type box struct{ x1, y1, x2, y2 float64 }

func (b box) middle() (x, y float64) { return (b.x1 + b.x2) / 2, (b.y1 + b.y2) / 2 }

func (b box) union(c box) box {
	return box{math.Min(b.x1, c.x1), math.Min(b.y1, c.y1), math.Max(b.x2, c.x2), math.Max(b.y2, c.y2)}
}

// overlaps tells whether boxes share more than a hair.
func (b box) overlaps(c box) bool {
	const hair = .05
	return b.x1+hair < c.x2 && c.x1+hair < b.x2 && b.y1+hair < c.y2 && c.y1+hair < b.y2
}

// An element is a node of an SVG file that was read back.
type element struct {
	XMLName xml.Name
	Attrs   []xml.Attr `xml:",any,attr"`
	Nodes   []element  `xml:",any"`
	Text    string     `xml:",chardata"`
}

func (e element) attr(name string) string {
	for _, a := range e.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (e element) num(name string) float64 {
	f, _ := strconv.ParseFloat(e.attr(name), 64)
	return f
}

// A read picture.
type seen struct {
	width, height float64
	title, desc   string
	necks         []seenNeck
	all           []item // everything that is drawn
}

type item struct {
	class string
	text  string
	kind  string // element
	box   box
	trace [][2]float64 // points along a path
}

type seenNeck struct {
	wires, strings []box
	nut            bool // the first wire is the nut
	frets          []item
	notes          []seenNote
	links          []seenLink
	moves          []seenLink
	spans          []string
	silent         []box
}

type seenNote struct {
	class  string
	data   map[string]string
	shape  item
	label  string
	below  string
	texts  []item
	reach  []item
	belows []item
	titled string
}

type seenLink struct {
	parts []item
	class string
	data  map[string]string
	box   box
	text  string // the letter of a slur
}

// readSVG reads a picture back, with nothing of this package but its class
// names.
func readSVG(t testing.TB, p Picture) seen {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, p.WriteSVG(&buf))
	var root element
	require.NoError(t, xml.Unmarshal(buf.Bytes(), &root))
	vb := strings.Fields(root.attr("viewBox"))
	require.Len(t, vb, 4)
	s := seen{}
	s.width, _ = strconv.ParseFloat(vb[2], 64)
	s.height, _ = strconv.ParseFloat(vb[3], 64)
	for _, n := range root.Nodes {
		switch n.XMLName.Local {
		case "title":
			s.title = n.Text
		case "desc":
			s.desc = n.Text
		default:
			s.walk(t, n, 0, 0, 1, nil)
		}
	}
	return s
}

func (s *seen) walk(t testing.TB, e element, dx, dy, scale float64, neck *seenNeck) {
	class := e.attr("class")
	if e.XMLName.Local != "g" {
		if it, ok := draw(t, e, dx, dy, scale); ok {
			s.all = append(s.all, it)
			if neck != nil {
				neck.take(it)
			}
		}
		return
	}
	if tr := e.attr("transform"); tr != "" {
		x, y, k := transformOf(t, tr)
		dx, dy, scale = dx+x*scale, dy+y*scale, scale*k
	}
	first := strings.Fields(class + " -")[0]
	switch first {
	case "neck":
		s.necks = append(s.necks, seenNeck{})
		n := &s.necks[len(s.necks)-1]
		for _, c := range e.Nodes {
			s.walk(t, c, dx, dy, scale, n)
		}
		return
	case "note", "link", "move", "span", "silent", "barre":
		from := len(s.all)
		for _, c := range e.Nodes {
			s.walk(t, c, dx, dy, scale, nil)
		}
		if neck != nil {
			neck.group(first, class, e, s.all[from:])
		}
		return
	}
	for _, c := range e.Nodes {
		s.walk(t, c, dx, dy, scale, neck)
	}
}

func transformOf(t testing.TB, tr string) (x, y, k float64) {
	k = 1
	for part := range strings.SplitSeq(tr, ")") {
		name, args, ok := strings.Cut(strings.TrimSpace(part), "(")
		if !ok {
			continue
		}
		var nums []float64
		for f := range strings.FieldsSeq(args) {
			v, err := strconv.ParseFloat(f, 64)
			require.NoError(t, err)
			nums = append(nums, v)
		}
		switch name {
		case "translate":
			x, y = nums[0], nums[1]
		case "scale":
			k = nums[0]
		default:
			t.Fatalf("transform %s", tr)
		}
	}
	return x, y, k
}

// draw returns where an element lies, without its stroke.
func draw(t testing.TB, e element, dx, dy, scale float64) (item, bool) {
	it := item{class: e.attr("class"), kind: e.XMLName.Local}
	switch e.XMLName.Local {
	case "rect":
		it.box = box{e.num("x"), e.num("y"), e.num("x") + e.num("width"), e.num("y") + e.num("height")}
	case "circle":
		x, y, r := e.num("cx"), e.num("cy"), e.num("r")
		it.box = box{x - r, y - r, x + r, y + r}
	case "line":
		it.box = box{math.Min(e.num("x1"), e.num("x2")), math.Min(e.num("y1"), e.num("y2")), math.Max(e.num("x1"), e.num("x2")), math.Max(e.num("y1"), e.num("y2"))}
	case "path":
		it.trace = traceOf(t, e.attr("d"))
		nums := strings.FieldsFunc(e.attr("d"), func(r rune) bool { return strings.ContainsRune("MLCZ ", r) })
		for i := 0; i+1 < len(nums); i += 2 {
			x, err1 := strconv.ParseFloat(nums[i], 64)
			y, err2 := strconv.ParseFloat(nums[i+1], 64)
			require.NoError(t, err1)
			require.NoError(t, err2)
			if i == 0 {
				it.box = box{x, y, x, y}
			}
			it.box = it.box.union(box{x, y, x, y})
		}
	case "text":
		it.text = e.Text
		size := e.num("font-size")
		text := ink.Text{Text: e.Text, Size: size, Bold: e.attr("font-weight") == "700"}
		w := text.Width()
		if said := e.attr("textLength"); said != "" {
			w = e.num("textLength")
		}
		x := e.num("x")
		switch e.attr("text-anchor") {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		it.box = box{x, e.num("y") - size*ink.CapHeight, x + w, e.num("y")}
	case "title":
		return it, false
	default:
		t.Fatalf("unexpected element %s", e.XMLName.Local)
	}
	it.box = box{it.box.x1*scale + dx, it.box.y1*scale + dy, it.box.x2*scale + dx, it.box.y2*scale + dy}
	for i, p := range it.trace {
		it.trace[i] = [2]float64{p[0]*scale + dx, p[1]*scale + dy}
	}
	return it, true
}

// traceOf follows a path from point to point.
func traceOf(t testing.TB, d string) [][2]float64 {
	t.Helper()
	var trace [][2]float64
	var at [2]float64
	for len(d) > 0 {
		op := d[0]
		rest := d[1:]
		end := strings.IndexAny(rest, "MLCZ")
		if end < 0 {
			end = len(rest)
		}
		var n []float64
		for f := range strings.FieldsSeq(rest[:end]) {
			v, err := strconv.ParseFloat(f, 64)
			require.NoError(t, err)
			n = append(n, v)
		}
		d = rest[end:]
		if len(n) < 2 {
			continue
		}
		to := [2]float64{n[len(n)-2], n[len(n)-1]}
		points := [][2]float64{at, at, to, to}
		if op == 'C' {
			points = [][2]float64{at, {n[0], n[1]}, {n[2], n[3]}, to}
		}
		for i := 1; op != 'M' && i <= 40; i++ {
			s := float64(i) / 40
			var p [2]float64
			for k := range p {
				p[k] = (1-s)*(1-s)*(1-s)*points[0][k] + 3*(1-s)*(1-s)*s*points[1][k] + 3*(1-s)*s*s*points[2][k] + s*s*s*points[3][k]
			}
			trace = append(trace, p)
		}
		at = to
	}
	return trace
}

func (n *seenNeck) take(it item) {
	switch strings.Fields(it.class + " -")[0] {
	case "wire":
		if len(n.wires) == 0 {
			n.nut = it.class != "wire"
		}
		n.wires = append(n.wires, it.box)
	case "string":
		n.strings = append(n.strings, it.box)
	case "fret":
		n.frets = append(n.frets, it)
	}
}

func (n *seenNeck) group(kind, class string, e element, parts []item) {
	data := map[string]string{}
	for _, a := range e.Attrs {
		if name, ok := strings.CutPrefix(a.Name.Local, "data-"); ok {
			data[name] = a.Value
		}
	}
	whole := box{}
	for i, p := range parts {
		if i == 0 {
			whole = p.box
		}
		whole = whole.union(p.box)
	}
	switch kind {
	case "note":
		note := seenNote{class: class, data: data}
		for _, c := range e.Nodes {
			if c.XMLName.Local == "title" {
				note.titled = c.Text
			}
		}
		var below []string
		for _, p := range parts {
			switch p.class {
			case "house", "tile", "disc", "speck":
				note.shape = p
			case "label":
				note.label = p.text
				note.texts = append(note.texts, p)
			case "below":
				below = append(below, p.text)
				note.belows = append(note.belows, p)
				note.texts = append(note.texts, p)
			case "reach", "start":
				note.reach = append(note.reach, p)
			}
		}
		note.below = strings.Join(below, " ")
		if len(note.reach) > 0 && len(below) > 1 && note.reach[0].class == "start" {
			// The first number stands by itself.
			k := slices.IndexFunc(note.belows, func(it item) bool {
				x, _ := it.box.middle()
				return x > note.reach[0].box.x1 && x < note.reach[0].box.x2 && it.box.y1 > note.reach[0].box.y1 && it.box.y2 < note.reach[0].box.y2
			})
			if k+1 < len(below) && note.belows[k].box.y2 == note.belows[k+1].box.y2 {
				between := ", "
				if below[k+1] == "," {
					between = ""
				} else if strings.ContainsAny(below[k+1][:1], "abcdefghijklmnopqrstuvwxyz") {
					between = ": "
				}
				note.below = strings.Join(append(slices.Clone(below[:k]), below[k]+between+strings.Join(below[k+1:], " ")), " ")
			}
		}
		n.notes = append(n.notes, note)
	case "link":
		link := seenLink{parts, class, data, whole, ""}
		for _, p := range parts {
			link.text = strings.TrimSpace(link.text + " " + p.text)
		}
		n.links = append(n.links, link)
	case "move":
		n.moves = append(n.moves, seenLink{parts, class, data, whole, ""})
	case "span":
		n.spans = append(n.spans, data["name"])
	case "silent":
		n.silent = append(n.silent, whole)
	}
}

// middleOf returns the middle of a shape. That of a house is the middle of
// its walls and roof as it is drawn on the string: the ridge stands higher.
func (n seenNote) middleOf() (x, y float64) {
	x, y = n.shape.box.middle()
	if n.shape.class == "house" {
		h := n.shape.box.y2 - n.shape.box.y1
		y = n.shape.box.y2 - h*.95/(.95+roof)
	}
	return x, y
}

// placeOf finds string and fret by looking: which line the middle lies on, and
// which number stands across from it; before the nut it is an open string.
func (n *seenNeck) placeOf(t testing.TB, note seenNote, upright, left bool, slip float64) fretboard.Place {
	t.Helper()
	x, y := note.middleOf()
	along := func(b box) float64 { mx, my := b.middle(); return pick(upright, my, mx) }
	across := func(b box) float64 { mx, my := b.middle(); return pick(upright, mx, my) }
	u, v := pick(upright, y, x), pick(upright, x, y)
	lines := slices.Clone(n.strings)
	// Level, the first string is on top. Upright, it is at the right, for
	// left-handed players at the left.
	slices.SortFunc(lines, func(a, b box) int {
		d := across(a) - across(b)
		if upright && !left {
			d = -d
		}
		return int(math.Copysign(1, d))
	})
	str := slices.IndexFunc(lines, func(b box) bool { return math.Abs(across(b)-v) < .6 })
	require.GreaterOrEqual(t, str, 0, "the note %v lies on no string", note.data)
	wires := make([]float64, len(n.wires))
	for i, w := range n.wires {
		wires[i] = along(w)
	}
	slices.Sort(wires)
	reversed := left && !upright
	first := wires[0]
	if reversed {
		first = wires[len(wires)-1]
	}
	if before := pick(reversed, u-first, first-u); before > 0 {
		require.True(t, n.nut, "only a nut has open strings before it")
		return fretboard.Place{String: str + 1}
	}
	cell := slices.IndexFunc(wires[1:], func(w float64) bool { return u < w })
	require.GreaterOrEqual(t, cell, 0, "the note %v lies beyond the last wire", note.data)
	// The number of the fret is the one that stands between the same wires.
	for _, f := range n.frets {
		if at := along(f.box); wires[cell] < at && at < wires[cell+1] {
			fret, err := strconv.Atoi(f.text)
			require.NoError(t, err)
			require.InDelta(t, (wires[cell]+wires[cell+1])/2, u, slip, "in the middle of its fret")
			return fretboard.Place{String: str + 1, Fret: fret}
		}
	}
	t.Fatalf("no number stands across from %v", note.data)
	return fretboard.Place{}
}

func pick(first bool, a, b float64) float64 {
	if first {
		return a
	}
	return b
}
