package musicxml

import (
	"reflect"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// sameButPlace compares two events of a kind, wherever they stand.
func sameButPlace(a, b score.Event) bool {
	x, y := score.CopyEvent(a), score.CopyEvent(b)
	*x.Shared(), *y.Shared() = score.Common{}, score.Common{}
	return reflect.DeepEqual(x, y)
}

// neck edits tuning and capo of a staff. The number of strings cannot change,
// since the lines of the staff would.
func (ap *applier) neck(h score.Handle, was, now *score.NeckChange) {
	if ap.refs[h].elem == none || was.Neck.Tuning.Sounds(now.Neck.Tuning) && was.Neck.Capo == now.Neck.Capo {
		return
	}
	if now.Neck.Tuning.Len() != was.Neck.Tuning.Len() {
		ap.fail(h, "the number of strings has changed")
		return
	}
	for _, e := range ap.elements(h) {
		ap.neckOf(e, was, now)
	}
}

// neckOf edits one <staff-details>.
func (ap *applier) neckOf(e int32, was, now *score.NeckChange) {
	n := now.Neck.Tuning.Len()
	for _, t := range ap.childrenNamed(e, "staff-tuning") {
		line, err := strconv.Atoi(ap.x.attrOr(t, "line"))
		if err != nil || line < 1 || line > n {
			continue
		}
		p := now.Neck.Tuning.Open(n + 1 - line)
		if p.MIDI() == was.Neck.Tuning.Open(n+1-line).MIDI() {
			continue
		}
		step := ap.x.child(t, "tuning-step")
		ap.ed.setContent(step, p.Step.String())
		ap.alter(step, ap.x.child(t, "tuning-alter"), "tuning-alter", strconv.Itoa(p.Alter))
		ap.ed.setContent(ap.x.child(t, "tuning-octave"), strconv.Itoa(p.Octave))
	}
	capo := ap.x.child(e, "capo")
	switch {
	case was.Neck.Capo == now.Neck.Capo:
	case capo == none:
		ap.ed.insertChild(e, "capo", "<capo>"+strconv.Itoa(now.Neck.Capo)+"</capo>", []string{"staff-type", "staff-lines", "line-detail", "staff-tuning", "capo", "staff-size"})
	case now.Neck.Capo == 0:
		ap.ed.remove(capo)
	default:
		ap.ed.setContent(capo, strconv.Itoa(now.Neck.Capo))
	}
}

// tempo edits a tempo where it stands: the attribute of a <sound> and the
// number of a metronome mark beside it.
func (ap *applier) tempo(h score.Handle, now *score.Tempo) {
	for _, e := range ap.elements(h) {
		ap.tempoOf(e, now)
	}
}

func (ap *applier) tempoOf(e int32, now *score.Tempo) {
	bpm := strconv.FormatFloat(now.QuartersPerMinute, 'f', -1, 64)
	if ap.x.name(e) == "sound" {
		if start, end, ok := ap.ed.findAttr(e, "tempo"); ok {
			ap.ed.replace(start, end, `tempo="`+bpm+`"`)
		}
		if parent := ap.x.elems[e].parent; ap.x.name(parent) == "direction" {
			for _, dt := range ap.childrenNamed(parent, "direction-type") {
				for _, m := range ap.childrenNamed(dt, "metronome") {
					ap.metronome(m, now)
				}
			}
		}
		return
	}
	ap.metronome(e, now)
}

// metronome edits the number of a mark in its own beat unit.
func (ap *applier) metronome(e int32, now *score.Tempo) {
	v := noteValue(ap.x.childContent(e, "beat-unit"))
	v.Dots = int8(min(len(ap.childrenNamed(e, "beat-unit-dot")), 9))
	if pm := ap.x.child(e, "per-minute"); pm != none && v.Known {
		ap.ed.setContent(pm, perMinute(now.QuartersPerMinute, v.Quarters()))
	}
}

// time writes a time signature anew in place of the one that is there.
func (ap *applier) time(h score.Handle, now *score.TimeSignature) {
	for _, e := range ap.elements(h) {
		t := timeElement(now)
		if n, ok := ap.x.attr(e, "number"); ok {
			t.CreateAttr("number", n)
		}
		r := &ap.x.elems[e]
		ap.ed.replace(r.start, r.end, ap.ed.pretty(t, e))
	}
}

// pretty writes a new element in the indentation of the one that it stands
// beside, if the document is indented.
func (ed *editor) pretty(e *etree.Element, beside int32) string {
	doc := etree.NewDocument()
	doc.WriteSettings.CanonicalAttrVal = true
	doc.SetRoot(e.Copy())
	r := &ed.x.elems[beside]
	lead := string(ed.x.text[ed.lead(r.start):r.start])
	_, indent, indented := strings.Cut(lead, "\n")
	if i := strings.LastIndexByte(lead, '\n'); i >= 0 {
		indent = lead[i+1:]
	}
	if !indented {
		s, _ := doc.WriteToString() // a string builder does not fail
		return s
	}
	unit := indent
	if r.parent != none {
		p := &ed.x.elems[r.parent]
		outer := string(ed.x.text[ed.lead(p.start):p.start])
		unit = strings.TrimPrefix(indent, outer[strings.LastIndexByte(outer, '\n')+1:])
	}
	settings := &etree.IndentSettings{Spaces: len(unit), SuppressTrailingWhitespace: true, PreserveLeafWhitespace: true}
	if strings.HasPrefix(unit, "\t") {
		settings.UseTabs = true
	}
	doc.IndentWithSettings(settings)
	s, _ := doc.WriteToString()
	newline := "\n"
	if strings.Contains(lead, "\r\n") {
		newline = "\r\n"
	}
	return strings.ReplaceAll(strings.TrimSpace(s), "\n", newline+indent)
}
