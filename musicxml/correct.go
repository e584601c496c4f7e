package musicxml

import (
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// correct edits what a kept <note> says of its time: whether it belongs to a
// chord, duration, type and dots, tuplet, voice and beams.
func (b *barBuilder) correct(e int32, c *score.Chord, i int, pg chordPage, part chordPart) {
	x := b.x
	if ch := x.child(e, "chord"); ch != none && i == 0 {
		b.ed.remove(ch)
	} else if ch == none && i > 0 {
		b.ed.insertChild(e, "chord", "<chord/>", noteOrder)
	}
	if d := x.child(e, "duration"); d != none {
		if old, ok := score.ParseQuarters(x.content(d)); !ok || decimal(old) != b.w.ticks(part.duration) {
			b.ed.setContent(d, b.w.ticks(part.duration))
		}
	}
	if v := x.child(e, "voice"); v != none && x.content(v) != strconv.Itoa(pg.voice) {
		b.ed.setContent(v, strconv.Itoa(pg.voice))
	}
	b.correctType(e, c, part)
	b.correctBeams(e, i, pg)
	if s := x.child(e, "stem"); s != none && !pg.tab && pg.stem != "" && (x.content(s) == "up" || x.content(s) == "down") && x.content(s) != pg.stem {
		b.ed.setContent(s, pg.stem)
	}
	was, _ := b.node[c.Src].(*score.Chord)
	if i == 0 && (was == nil || !slices.Equal(was.Tuplets, c.Tuplets)) && (len(part.edge.ratios) > 0 || was != nil && len(was.Tuplets) > 0) {
		b.correctTuplets(e, pg, part)
	}
}

// correctType edits type, dots and time modification where they differ.
func (b *barBuilder) correctType(e int32, c *score.Chord, part chordPart) {
	x := b.x
	if !part.value.Known || c.WholeMeasure {
		return
	}
	typ := x.child(e, "type")
	name := typeName(part.value)
	switch {
	case typ == none && c.IsRest():
	case typ == none:
		b.ed.insertChild(e, "type", "<type>"+name+"</type>", noteOrder)
	case x.content(typ) != name:
		b.ed.setContent(typ, name)
	}
	dots := b.childrenNamed(e, "dot")
	for n := len(dots); n > int(part.value.Dots); n-- {
		b.ed.remove(dots[n-1])
	}
	for n := len(dots); n < int(part.value.Dots) && typ != none; n++ {
		b.ed.insertChild(e, "dot", "<dot/>", noteOrder)
	}
	tm := x.child(e, "time-modification")
	actual, normal := strconv.FormatInt(part.actual, 10), strconv.FormatInt(part.normal, 10)
	switch {
	case tm == none && part.actual != part.normal:
		b.ed.insertChild(e, "time-modification", "<time-modification><actual-notes>"+actual+"</actual-notes><normal-notes>"+normal+"</normal-notes></time-modification>", noteOrder)
	case tm != none && part.actual == part.normal:
		b.ed.remove(tm)
	case tm != none:
		if a, n := x.child(tm, "actual-notes"), x.child(tm, "normal-notes"); a != none && n != none &&
			score.Q(num(x.content(a)), max(num(x.content(n)), 1)) != score.Q(part.actual, part.normal) {
			b.ed.setContent(a, actual)
			b.ed.setContent(n, normal)
		}
	}
}

func num(s string) int64 {
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}

// correctBeams makes the beams those of the new rhythm.
func (b *barBuilder) correctBeams(e int32, i int, pg chordPage) {
	old := b.childrenNamed(e, "beam")
	want := pg.beams
	if i > 0 {
		want = nil
	}
	same := len(old) == len(want)
	for k := range old {
		same = same && b.x.content(old[k]) == want[k]
	}
	if same || i > 0 && len(old) == 0 {
		return
	}
	for _, o := range old {
		b.ed.remove(o)
	}
	for k, what := range want {
		b.ed.insertChild(e, "beam", `<beam number="`+strconv.Itoa(k+1)+`">`+what+`</beam>`, noteOrder)
	}
}

// correctTuplets takes the brackets off a note and puts on those of its new
// tuplets.
func (b *barBuilder) correctTuplets(e int32, pg chordPage, part chordPart) {
	for _, ns := range b.childrenNamed(e, "notations") {
		for _, t := range b.childrenNamed(ns, "tuplet") {
			b.drop(t)
		}
	}
	if pg.tab && pg.habit.tuplets == 0 {
		return
	}
	box := etree.NewElement("box")
	b.w.tupletBrackets(box, part, pg.tab && pg.habit.hiddenTuplets > 0)
	var fragments []string
	for _, t := range box.ChildElements() {
		fragments = append(fragments, fragment(t))
	}
	if len(fragments) > 0 {
		b.insertNotation(e, inNotations, fragments)
	}
}
