package musicxml

import (
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/theory"
)

// harmonyAnew writes what a chord symbol says anew: root, kind, bass and
// degrees. Its offset, staff and attributes stay; a frame showed the old chord
// and is taken out.
func (ap *applier) harmonyAnew(e int32, now theory.Chord) bool {
	var old []int32
	kinds := 0
	for c := range ap.x.children(e) {
		switch ap.x.name(c) {
		case "kind":
			kinds++
			old = append(old, c)
		case "root", "numeral", "function", "inversion", "bass", "degree":
			old = append(old, c)
		}
	}
	if kinds != 1 { // a stack of chords in one element
		return false
	}
	el := etree.NewElement("harmony")
	chordElements(el, now)
	start := ap.x.elems[old[0]].start
	indent := string(ap.x.text[ap.ed.lead(start):start])
	var b strings.Builder
	for i, c := range el.ChildElements() {
		if i > 0 {
			b.WriteString(indent)
		}
		b.WriteString(fragment(c))
	}
	ap.ed.replace(start, ap.x.elems[old[len(old)-1]].end, b.String())
	for _, f := range ap.childrenNamed(e, "frame") {
		ap.ed.remove(f)
	}
	return true
}

// keyMode edits the mode of a key signature.
func (ap *applier) keyMode(e int32, mode theory.Mode) {
	if m := ap.x.child(e, "mode"); m != none {
		ap.ed.setContent(m, mode.String())
	} else if f := ap.x.child(e, "fifths"); f != none {
		ap.ed.insertAfter(f, "<mode>"+mode.String()+"</mode>")
	}
}
