package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// Where the elements of a technique stand inside a <note>.
const (
	inTechnical     = "technical"
	inArticulations = "articulations"
	inOrnaments     = "ornaments"
	inNotations     = "notations"
)

// A techniqueElement is how a technique is written: elements and the child
// of <notations> (or <notations> itself) that holds them.
type techniqueElement struct {
	container string
	elems     []*etree.Element
}

// inNote tells whether a technique is not a notation but stands in the note
// itself: a notehead or a way of playing.
func inNote(t score.Technique) bool {
	return t == score.Dead || t == score.Ghost || t == score.PalmMuted
}

// elementOf returns how a technique is written. A span's number tells spans
// of one kind apart while they overlap. Techniques that stand in the note
// itself, and those that the format cannot hold, are not ok.
func elementOf(t score.Technique, number int) (te techniqueElement, ok bool) {
	one := func(container, name string) (techniqueElement, bool) {
		return techniqueElement{container, []*etree.Element{etree.NewElement(name)}}, true
	}
	switch t := t.(type) {
	case score.Mark:
		return markElement(t)
	case score.Bend:
		return techniqueElement{inTechnical, bendElements(t)}, true
	case score.Harmonic:
		te, ok = one(inTechnical, "harmonic")
		switch t.Kind {
		case score.NaturalHarmonic:
			te.elems[0].CreateElement("natural")
			te.elems[0].CreateElement("touching-pitch")
		case score.ArtificialHarmonic, score.PinchHarmonic, score.TappedHarmonic:
			te.elems[0].CreateElement("artificial")
			te.elems[0].CreateElement("base-pitch")
		}
		return te, ok
	case score.SlideEdge:
		for name, edge := range slideEdges {
			if edge == t {
				return one(inArticulations, name)
			}
		}
	case score.Trill:
		return one(inOrnaments, "trill-mark")
	case score.Span:
		return spanElement(t, number)
	}
	return te, false
}

func markElement(m score.Mark) (te techniqueElement, ok bool) {
	one := func(container, name string) (techniqueElement, bool) {
		return techniqueElement{container, []*etree.Element{etree.NewElement(name)}}, true
	}
	if name, found := keyOf(technicalMarks, m); found {
		return one(inTechnical, name)
	}
	if name, found := keyOf(articulationMarks, m); found {
		return one(inArticulations, name)
	}
	if name, found := keyOf(otherMarks, m); found {
		te, ok = one(inTechnical, "other-technical")
		te.elems[0].SetText(name)
		return te, ok
	}
	switch m {
	case score.Tap:
		return one(inTechnical, "tap")
	case score.Fermata:
		return one(inNotations, "fermata")
	case score.ArpeggioUp:
		return one(inNotations, "arpeggiate")
	case score.ArpeggioDown:
		te, ok = one(inNotations, "arpeggiate")
		te.elems[0].CreateAttr("direction", "down")
		return te, ok
	case score.LetRing:
		te, ok = one(inNotations, "tied")
		te.elems[0].CreateAttr("type", "let-ring")
		return te, ok
	case score.Vibrato:
		te = techniqueElement{container: inOrnaments}
		for _, typ := range []string{"start", "stop"} {
			e := etree.NewElement("wavy-line")
			e.CreateAttr("type", typ)
			te.elems = append(te.elems, e)
		}
		return te, true
	}
	return te, false
}

func keyOf(m map[string]score.Mark, want score.Mark) (string, bool) {
	for name, mark := range m {
		if mark == want {
			return name, true
		}
	}
	return "", false
}

// bendElements writes a bend, and its release as a second element. A release
// is counted from the fretted pitch.
func bendElements(b score.Bend) []*etree.Element {
	up := etree.NewElement("bend")
	up.CreateElement("bend-alter").SetText(decimal(b.Amount))
	if b.PreBend {
		up.CreateElement("pre-bend")
	}
	if b.WithBar {
		up.CreateElement("with-bar")
	}
	if !b.Release {
		return []*etree.Element{up}
	}
	down := etree.NewElement("bend")
	down.CreateElement("bend-alter").SetText(decimal(b.ReleaseTo))
	down.CreateElement("release")
	if b.WithBar {
		down.CreateElement("with-bar")
	}
	return []*etree.Element{up, down}
}

// spanElement writes one end of a span. PalmMute and LetRingSpan have no
// element of the standard; they are written note by note.
func spanElement(s score.Span, number int) (te techniqueElement, ok bool) {
	name, container := "", inNotations
	switch s.Kind {
	case score.HammerOn:
		name, container = "hammer-on", inTechnical
	case score.PullOff:
		name, container = "pull-off", inTechnical
	case score.LegatoSlide, score.ShiftSlide:
		name = "slide"
	case score.Glissando:
		name = "glissando"
	case score.Slur:
		name = "slur"
	case score.VibratoSpan:
		name, container = "wavy-line", inOrnaments
	default:
		return te, false
	}
	e := etree.NewElement(name)
	typ := "start"
	if s.End == score.Stop {
		typ = "stop"
	}
	e.CreateAttr("type", typ)
	e.CreateAttr("number", strconv.Itoa(number))
	switch {
	case s.Kind == score.HammerOn && s.End == score.Start:
		e.SetText("H")
	case s.Kind == score.PullOff && s.End == score.Start:
		e.SetText("P")
	}
	return techniqueElement{container, []*etree.Element{e}}, true
}

// decimal writes a rational as a decimal number, as the format wants it.
func decimal(q score.Quarters) string {
	if q.Den() == 1 {
		return strconv.FormatInt(q.Num(), 10)
	}
	return strconv.FormatFloat(q.Float(), 'f', -1, 64)
}
