package musicxml

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// note compares a note with the one that was read and edits its elements.
func (ap *applier) note(part *score.Part, h score.Handle, was, now *score.Note) {
	r := ap.refs[h]
	if r.elem == none {
		return // of a bar that repeats another: it follows that one
	}
	if was.Pitch != now.Pitch || harmonicOver(was) != harmonicOver(now) {
		ap.parts[part] = struct{}{}
		ap.pitch(r.elem, r.sounding, was, now)
		ap.pitch(r.twin, r.twinSounding, was, now)
	}
	if was.Detune != now.Detune || was.Unpitched != now.Unpitched {
		ap.fail(h, "a note's microtone or kind has changed")
	}
	ap.tie(r, "start", was.TieStart, now.TieStart)
	ap.tie(r, "stop", was.TieStop, now.TieStop)
	// Of a held note the page says no place, and need not as long as it is
	// that of the note before.
	if r.held && ap.heldPlace(part, now) != now.Place || !r.held && was.Place != now.Place {
		ap.place(r, was, now)
	}
	if was.Finger != now.Finger {
		ap.finger(r, was, now)
	}
	if was.Pluck != now.Pluck {
		ap.fail(h, "the plucking finger has changed")
	}
	if !slices.Equal(was.Techniques, now.Techniques) {
		same := *now
		same.Techniques = ap.named(part, now.Techniques)
		ap.techniques(part, h, was, &same)
	}
}

// harmonicOver returns how far a note sounds above its stopped pitch as a
// harmonic, 0 if it is none.
func harmonicOver(n *score.Note) int {
	h, _ := n.Harmonic()
	return h.Over
}

// written reads the pitch of a <note> as the page writes it.
func (d *Document) written(note int32) (p theory.Pitch, rest score.Quarters, ok bool) {
	if note == none {
		return p, rest, false
	}
	e := d.x.child(note, "pitch")
	if e == none {
		return p, rest, false
	}
	step := d.x.childContent(e, "step")
	if len(step) != 1 {
		return p, rest, false
	}
	s, ok := theory.StepOf(step[0])
	if !ok {
		return p, rest, false
	}
	p.Step = s
	p.Alter, rest = splitAlter(d.x.childContent(e, "alter"))
	p.Octave, _ = strconv.Atoi(d.x.childContent(e, "octave"))
	return p, rest, true
}

// The octaves that a pitch may have. Source: MusicXML 4.0, type octave.
const (
	lowestOctave  = 0
	highestOctave = 9
)

// outOfOctaves says that a pitch cannot be written, if so.
func outOfOctaves(p theory.Pitch) (score.Diagnostic, bool) {
	if lowestOctave <= p.Octave && p.Octave <= highestOctave {
		return score.Diagnostic{}, false
	}
	return score.Diagnostic{Severity: score.Error, Code: "xml-octave-range",
		Msg:  fmt.Sprintf("%s cannot be written: MusicXML has octaves %d to %d only", p.Pretty(), lowestOctave, highestOctave),
		Hint: "move it by fewer octaves"}, true
}

// pitch moves the written pitch of an element by as much as the note moves:
// by its stopped pitch, or by its sound where the element gives that.
func (ap *applier) pitch(e int32, sounding bool, was, now *score.Note) {
	if e == none {
		return
	}
	from, to := was.Pitch, now.Pitch
	if sounding {
		from, to = from.Transpose(overtone(harmonicOver(was))), to.Transpose(overtone(harmonicOver(now)))
	}
	old, rest, ok := ap.written(e)
	if !ok || from == to {
		return
	}
	p := old.Transpose(from.To(to))
	if d, bad := outOfOctaves(p); bad {
		d.Pos = ap.Locate(now.Src)
		d.Msg = "measure " + ap.bar + ": " + d.Msg
		ap.errs = append(ap.errs, d)
	}
	ap.moved[e] = p
	elem := ap.x.child(e, "pitch")
	step := ap.x.child(elem, "step")
	ap.ed.setContent(step, p.Step.String())
	// The alteration moves by whole semitones from what the text says, so
	// that a microtone keeps all its digits.
	ap.alter(step, ap.x.child(elem, "alter"), "alter", decimal(rest.Add(score.Q(int64(p.Alter), 1))))
	if oct := ap.x.child(elem, "octave"); oct != none {
		ap.ed.setContent(oct, strconv.Itoa(p.Octave))
	}
	if p.Diatonic() != old.Diatonic() {
		for _, a := range []string{"default-y", "relative-y"} {
			ap.ed.removeAttr(e, a)
		}
		if stem := ap.x.child(e, "stem"); stem != none {
			for _, a := range []string{"default-y", "relative-y"} {
				ap.ed.removeAttr(stem, a)
			}
		}
	}
}

// place edits string and fret where they stand; a note that had none gets
// them on its tab element, or on its only one.
func (ap *applier) place(r ref, was, now *score.Note) {
	done := false
	for _, e := range []int32{r.twin, r.elem} {
		if e == none {
			continue
		}
		for _, ns := range ap.childrenNamed(e, "notations") {
			for _, t := range ap.childrenNamed(ns, "technical") {
				str, fret := ap.x.child(t, "string"), ap.x.child(t, "fret")
				switch {
				case str == none && fret == none, (str == none || fret == none) && (done || now.Place.IsZero()):
					continue
				case str == none: // a number alone is no place; now it is one
					ap.ed.setContent(fret, strconv.Itoa(now.Place.Fret))
					ap.ed.insertAfter(fret, "<string>"+strconv.Itoa(now.Place.String)+"</string>")
					done = true
					continue
				case fret == none:
					ap.ed.setContent(str, strconv.Itoa(now.Place.String))
					ap.ed.insertAfter(str, "<fret>"+strconv.Itoa(now.Place.Fret)+"</fret>")
					done = true
					continue
				}
				done = true
				if now.Place.IsZero() {
					ap.drop(str)
					ap.drop(fret)
					continue
				}
				if was.Place.String != now.Place.String {
					ap.ed.setContent(str, strconv.Itoa(now.Place.String))
				}
				if was.Place.Fret != now.Place.Fret {
					ap.ed.setContent(fret, strconv.Itoa(now.Place.Fret))
				}
			}
		}
	}
	if done || now.Place.IsZero() {
		return
	}
	e := r.elem
	if r.twin != none {
		e = r.twin
	}
	var fragments []string
	for _, f := range [][2]int{{0, now.Place.String}, {1, now.Place.Fret}} {
		name := [...]string{"string", "fret"}[f[0]]
		fragments = append(fragments, fmt.Sprintf("<%s>%d</%s>", name, f[1], name))
	}
	ap.insertNotation(e, inTechnical, fragments)
}

func (ap *applier) childrenNamed(e int32, name string) []int32 {
	var out []int32
	for c := range ap.x.children(e) {
		if ap.x.name(c) == name {
			out = append(out, c)
		}
	}
	return out
}

// drop marks an element in <notations> to be removed; flushDrops does it.
func (ap *applier) drop(e int32) { ap.dropped[e] = true }

// flushDrops removes what was dropped; a container in which nothing is left
// goes as a whole, and so does a <notations>.
func (ap *applier) flushDrops() {
	for _, e := range slices.Sorted(maps.Keys(ap.dropped)) {
		for p := ap.x.elems[e].parent; ap.collapses(p); p = ap.x.elems[p].parent {
			ap.dropped[p] = true
		}
	}
	for e := range ap.dropped {
		if !ap.dropped[ap.x.elems[e].parent] {
			ap.ed.remove(e)
		}
	}
}

// collapses tells whether a container has nothing left in it.
func (ap *applier) collapses(e int32) bool {
	switch ap.x.name(e) {
	case inTechnical, inArticulations, inOrnaments, inNotations, "attributes":
		return !ap.filled[e] && ap.allDropped(e)
	}
	return false
}

func (ap *applier) allDropped(parent int32) bool {
	for c := range ap.x.children(parent) {
		if !ap.dropped[c] {
			return false
		}
	}
	return true
}

// noteOrder is the order of the children of <note> in the MusicXML 4.0
// schema.
var noteOrder = []string{"grace", "chord", "pitch", "unpitched", "rest", "cue", "duration", "tie", "instrument",
	"footnote", "level", "voice", "type", "dot", "accidental", "time-modification", "stem", "notehead", "notehead-text",
	"staff", "beam", "notations", "lyric", "play", "listen"}

// insertNotation puts fragments into a container in the note's <notations>,
// making both if they are not there.
func (ap *applier) insertNotation(note int32, container string, fragments []string) {
	all := ""
	for _, f := range fragments {
		all += f
	}
	for _, ns := range ap.childrenNamed(note, "notations") {
		if container == inNotations {
			if last := ap.lastChild(ns); last != none {
				ap.filled[ns] = true
				for _, f := range fragments {
					ap.ed.insertAfter(last, f)
				}
				return
			}
			continue
		}
		for _, c := range ap.childrenNamed(ns, container) {
			if last := ap.lastChild(c); last != none {
				ap.filled[c], ap.filled[ns] = true, true
				for _, f := range fragments {
					ap.ed.insertAfter(last, f)
				}
				return
			}
		}
		if last := ap.lastChild(ns); last != none {
			ap.filled[ns] = true
			ap.ed.insertAfter(last, ap.ed.pretty(wrapped(container, all), last))
			return
		}
	}
	if container != inNotations {
		all = "<" + container + ">" + all + "</" + container + ">"
	}
	ap.ed.insertChild(note, "notations", ap.ed.pretty(wrapped("notations", all), ap.x.first(note)), noteOrder)
}

// wrapped makes an element of a name around fragments.
func wrapped(name, fragments string) *etree.Element {
	doc := etree.NewDocument()
	if err := doc.ReadFromString("<" + name + ">" + fragments + "</" + name + ">"); err != nil {
		panic("musicxml: our own fragments are well-formed: " + err.Error())
	}
	return doc.Root()
}

func (ap *applier) lastChild(e int32) int32 {
	last := int32(none)
	for c := range ap.x.children(e) {
		last = c
	}
	return last
}

// finger edits the printed finger of the fretting hand.
func (ap *applier) finger(r ref, was, now *score.Note) {
	text := fingerText(now.Finger)
	done := false
	for _, e := range []int32{r.elem, r.twin} {
		if e == none {
			continue
		}
		for _, ns := range ap.childrenNamed(e, "notations") {
			for _, t := range ap.childrenNamed(ns, "technical") {
				f := ap.x.child(t, "fingering")
				switch {
				case f == none || fingerOf(ap.x.content(f)) != was.Finger:
				case text == "":
					ap.drop(f)
					done = true
				default:
					ap.ed.setContent(f, text)
					done = true
				}
			}
		}
	}
	if !done && text != "" {
		ap.insertNotation(r.elem, inTechnical, []string{"<fingering>" + text + "</fingering>"})
	}
}

func fingerText(f score.Finger) string {
	return [...]string{"", "1", "2", "3", "4", "T", "0"}[f]
}

// techniques takes off the techniques that are gone and puts on the new ones.
func (ap *applier) techniques(part *score.Part, h score.Handle, was, now *score.Note) {
	r := ap.refs[h]
	for i, t := range was.Techniques {
		if !now.Has(t) && !(isHarmonic(t) && sameHarmonicKind(was, now)) {
			ap.takeOff(h, r, was, i)
		}
	}
	for _, t := range now.Techniques {
		if was.Has(t) || isHarmonic(t) && sameHarmonicKind(was, now) {
			continue
		}
		number := 1
		te, ok := elementOf(t, number)
		if !ok {
			ap.fail(h, "technique %v cannot be added", t)
			continue
		}
		if s, ok := t.(score.Span); ok {
			ap.addSpan(part, r, s)
			continue
		}
		var fragments []string
		for _, e := range te.elems {
			fragments = append(fragments, fragment(e))
		}
		e := r.elem
		if r.twin != none && te.container == inTechnical {
			e = r.twin
		}
		ap.insertNotation(e, te.container, fragments)
	}
}

// addSpan puts one end of a span on the elements of a note.
func (ap *applier) addSpan(part *score.Part, r ref, s score.Span) {
	for i, e := range []int32{r.elem, r.twin} {
		number, there := ap.placeSpan(part, s, i == 1)
		if e == none || !there {
			continue
		}
		te, _ := elementOf(s, number)
		ap.insertNotation(e, te.container, []string{fragment(te.elems[0])})
		if s.Kind == score.LegatoSlide {
			slur, _ := elementOf(score.Span{Kind: score.Slur, ID: s.ID, End: s.End}, slideSlur(number))
			ap.insertNotation(e, slur.container, []string{fragment(slur.elems[0])})
		}
	}
}

// tie puts a tie on both elements of a note or takes it off.
func (ap *applier) tie(r ref, typ string, was, now bool) {
	if was == now {
		return
	}
	for _, e := range []int32{r.elem, r.twin} {
		if e == none {
			continue
		}
		if now {
			ap.ed.insertChild(e, "tie", `<tie type="`+typ+`"/>`, noteOrder)
			ap.insertNotation(e, inNotations, []string{`<tied type="` + typ + `"/>`})
			continue
		}
		for _, t := range ap.childrenNamed(e, "tie") {
			if ap.x.attrOr(t, "type") == typ {
				ap.ed.remove(t)
			}
		}
		for _, ns := range ap.childrenNamed(e, "notations") {
			for _, t := range ap.childrenNamed(ns, "tied") {
				if ap.x.attrOr(t, "type") == typ {
					ap.drop(t)
				}
			}
		}
	}
}

func sameHarmonicKind(a, b *score.Note) bool {
	x, ok1 := a.Harmonic()
	y, ok2 := b.Harmonic()
	return ok1 && ok2 && (x.Kind == score.NaturalHarmonic) == (y.Kind == score.NaturalHarmonic)
}

// takeOff removes the elements of the i-th technique of a note.
func (ap *applier) takeOff(h score.Handle, r ref, was *score.Note, i int) {
	t := was.Techniques[i]
	te, ok := elementOf(t, 1)
	if inNote(t) || !ok {
		ap.fail(h, "technique %v cannot be taken off", t)
		return
	}
	for _, e := range []int32{r.elem, r.twin} {
		if e == none {
			continue
		}
		for _, like := range te.elems {
			if t := ap.techniqueElement(e, te.container, like, ap.nth(was, i)); t != none {
				ap.drop(t)
			}
		}
		if s, ok := t.(score.Span); ok && s.Kind == score.LegatoSlide {
			ap.takeOffSlideSlur(e, was, s)
		}
	}
}

// takeOffSlideSlur removes the slur that told a legato slide from a shift. Slurs
// that the note has beside it come first.
func (ap *applier) takeOffSlideSlur(e int32, was *score.Note, s score.Span) {
	others := 0
	for _, t := range was.Techniques {
		if o, ok := t.(score.Span); ok && o.Kind == score.Slur && o.End == s.End {
			others++
		}
	}
	slur, _ := elementOf(score.Span{Kind: score.Slur, End: s.End}, 1)
	if t := ap.techniqueElement(e, slur.container, slur.elems[0], others); t != none {
		ap.drop(t)
	}
}

// nth counts the techniques of one name (slurs, hammer-ons) before the i-th;
// they are told apart by their order.
func (ap *applier) nth(was *score.Note, i int) (nth int) {
	span, isSpan := was.Techniques[i].(score.Span)
	for _, u := range was.Techniques[:i] {
		if s, ok := u.(score.Span); ok && isSpan && s.Kind == span.Kind && s.End == span.End && (s.ID < twinSpans) == (span.ID < twinSpans) {
			nth++
		}
	}
	return nth
}

// techniqueElement finds the nth element like one in a note, none if there are
// fewer.
func (ap *applier) techniqueElement(note int32, container string, like *etree.Element, nth int) int32 {
	for _, ns := range ap.childrenNamed(note, "notations") {
		holders := []int32{ns}
		if container != inNotations {
			holders = ap.childrenNamed(ns, container)
		}
		for _, c := range holders {
			for _, e := range ap.childrenNamed(c, like.Tag) {
				if typ := like.SelectAttrValue("type", ""); typ != "" && ap.x.attrOr(e, "type") != typ {
					continue
				}
				if nth--; nth < 0 {
					return e
				}
			}
		}
	}
	return none
}

// fragment writes an element as text.
func fragment(e *etree.Element) string {
	doc := etree.NewDocument()
	doc.SetRoot(e.Copy())
	s, _ := doc.WriteToString() // a string builder does not fail
	return s
}
