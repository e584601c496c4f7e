package musicxml

import (
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// A codaSign is a <coda/> on the page of which nothing says whether it is
// where to leave or where to go.
type codaSign struct {
	measure *score.Measure
	leave   bool // words beside it say "to"
}

// route takes what an element says about the order of measures in its
// attributes: <sound>, and <barline> in which they mean the same. A sign at the
// end of a measure belongs to the next one. Source: the documentation of both
// types in the MusicXML 4.0 schema.
func (p *partReader) route(e int32) {
	r := &p.m.Route
	set := func(to *string, attr string) {
		if v := strings.TrimSpace(p.x.attrOr(e, attr)); v != "" {
			*to = v
		}
	}
	mark := routeMark{at: p.cursor}
	if p.x.name(e) == "barline" && p.x.attrOr(e, "location") == "left" {
		mark.at = score.Quarters{}
	}
	set(&mark.segno, "segno")
	set(&mark.coda, "coda")
	if mark.segno != "" || mark.coda != "" {
		p.marks = append(p.marks, mark)
	}
	set(&r.DalSegno, "dalsegno")
	set(&r.ToCoda, "tocoda")
	r.DaCapo = r.DaCapo || p.x.attrOr(e, "dacapo") == "yes"
	r.ForwardRepeat = r.ForwardRepeat || p.x.attrOr(e, "forward-repeat") == "yes"
	if fine := strings.TrimSpace(p.x.attrOr(e, "fine")); fine != "" && fine != "no" {
		r.Fine = true
	}
}

// A routeMark is a sign to be jumped to, at a time of its measure.
type routeMark struct {
	segno, coda string
	at          score.Quarters
}

// settleMarks gives signs to the measure that begins at them: one behind all
// notes leads to the next measure.
func (p *partReader) settleMarks() {
	var next []routeMark
	for _, mark := range p.marks {
		if mark.at.Sign() > 0 && mark.at.Cmp(p.m.Length) >= 0 {
			mark.at = score.Quarters{}
			next = append(next, mark)
			continue
		}
		if mark.segno != "" {
			p.m.Route.Segno = mark.segno
		}
		if mark.coda != "" {
			p.m.Route.Coda = mark.coda
		}
	}
	p.marks = next
}

// signs takes the signs of a direction that no <sound> explains: a segno is
// where to go back to; what a coda is, only the whole part tells.
func (p *partReader) signs(direction int32) {
	segno, coda, leave, explained := false, false, false, false
	for c := range p.x.children(direction) {
		switch p.x.name(c) {
		case "sound":
			for _, attr := range []string{"segno", "coda", "tocoda", "dalsegno", "dacapo", "fine"} {
				explained = explained || p.x.attrOr(c, attr) != ""
			}
		case "direction-type":
			for t := range p.x.children(c) {
				switch p.x.name(t) {
				case "segno":
					segno = true
				case "coda":
					coda = true
				case "words":
					leave = leave || strings.HasPrefix(strings.ToLower(strings.TrimSpace(p.x.content(t))), "to")
				}
			}
		}
	}
	switch {
	case explained:
	case segno:
		p.marks = append(p.marks, routeMark{segno: "segno", at: p.cursor})
	case coda:
		p.codas = append(p.codas, codaSign{p.m, leave})
	}
}

// resolveCodas decides what the coda signs are that nothing explains: where
// there are two, the first is where to leave. Source: common practice.
func (p *partReader) resolveCodas() {
	for i, c := range p.codas {
		if c.leave || i == 0 && len(p.codas) > 1 && !p.codas[1].leave {
			c.measure.Route.ToCoda = "coda"
		} else {
			c.measure.Route.Coda = "coda"
		}
	}
}

// routeMarks writes where a measure can be jumped to, and routeJumps where it
// leads on.
func (w *measureWriter) routeMarks() {
	r := w.m.Route
	for _, sign := range []struct{ kind, name string }{{"segno", r.Segno}, {"coda", r.Coda}} {
		if sign.name != "" {
			w.direction(score.Quarters{}, 0, etree.NewElement(sign.kind)).CreateElement("sound").CreateAttr(sign.kind, sign.name)
		}
	}
	if r.ForwardRepeat {
		w.el.CreateElement("sound").CreateAttr("forward-repeat", "yes")
	}
}

func (w *measureWriter) routeJumps() {
	r := w.m.Route
	if !r.DaCapo && !r.Fine && r.DalSegno == "" && r.ToCoda == "" {
		return
	}
	el := w.el.CreateElement("sound")
	for _, a := range []struct {
		name, value string
		on          bool
	}{{"dacapo", "yes", r.DaCapo}, {"dalsegno", r.DalSegno, r.DalSegno != ""}, {"tocoda", r.ToCoda, r.ToCoda != ""}, {"fine", "yes", r.Fine}} {
		if a.on {
			el.CreateAttr(a.name, a.value)
		}
	}
}
