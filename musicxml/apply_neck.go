package musicxml

import (
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// attributesOrder is the order of the children of <attributes> in the MusicXML
// 4.0 schema.
var attributesOrder = []string{"footnote", "level", "divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details",
	"transpose", "for-part", "directive", "measure-style"}

// takeNecks writes the tuning of parts whose notes had no strings and frets
// and have them now. A guitar in standard tuning is what readers take for
// granted, so that is left alone.
func (ap *applier) takeNecks(s *score.Score) {
	for _, p := range s.Parts {
		if m, n := assumedNeck(p); n != nil && ap.gainsPlaces(p) && !usualNeck(n.Neck) {
			ap.bar = m.Number
			ap.writeNeck(p, m, n)
		}
	}
}

// assumedNeck returns the first neck of a part if the file does not state it.
func assumedNeck(p *score.Part) (*score.Measure, *score.NeckChange) {
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if n, ok := e.(*score.NeckChange); ok {
				if n.Inferred {
					return m, n
				}
				return nil, nil
			}
		}
	}
	return nil, nil
}

// gainsPlaces tells whether notes of a part got places, and had none.
func (ap *applier) gainsPlaces(p *score.Part) bool {
	gains := false
	for n := range score.Notes(p) {
		if n.Src == 0 || int(n.Src) >= len(ap.node) {
			continue
		}
		was, ok := ap.node[n.Src].(*score.Note)
		switch {
		case !ok:
		case !was.Place.IsZero():
			return false
		case !n.Place.IsZero():
			gains = true
		}
	}
	return gains
}

func usualNeck(n fretboard.Neck) bool {
	return n.Capo == 0 && n.Tuning.Sounds(fretboard.Standard())
}

func (ap *applier) writeNeck(p *score.Part, m *score.Measure, change *score.NeckChange) {
	n := change.Neck
	attributes := int32(none)
	if m.Src != 0 && ap.refs[m.Src].elem != none {
		attributes = ap.x.child(ap.refs[m.Src].elem, "attributes")
	}
	if attributes == none || ap.x.first(attributes) == none {
		if ap.report != nil {
			ap.report(score.Diagnostic{Severity: score.Warning, Code: "xml-neck", Pos: ap.Locate(p.Src),
				Msg: "the tuning of the new strings and frets cannot be written: " + n.Tuning.String(), Hint: "say it with --tuning when the file is read"})
		}
		return
	}
	var b strings.Builder
	strs := n.Tuning.Len()
	for line := 1; line <= strs; line++ {
		o := n.Tuning.Open(strs + 1 - line)
		b.WriteString(`<staff-tuning line="` + strconv.Itoa(line) + `"><tuning-step>` + o.Step.String() + `</tuning-step>`)
		if o.Alter != 0 {
			b.WriteString(`<tuning-alter>` + strconv.Itoa(o.Alter) + `</tuning-alter>`)
		}
		b.WriteString(`<tuning-octave>` + strconv.Itoa(o.Octave) + `</tuning-octave></staff-tuning>`)
	}
	if n.Capo > 0 {
		b.WriteString(`<capo>` + strconv.Itoa(n.Capo) + `</capo>`)
	}
	details := wrapped("staff-details", b.String())
	if p.Staves > 1 {
		details.CreateAttr("number", strconv.Itoa(max(change.Staff, 1)))
	}
	ap.ed.insertChild(attributes, "staff-details", ap.ed.pretty(details, ap.x.first(attributes)), attributesOrder)
}
