package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// A headColor says how a notehead got its colour. So that it can be taken off
// exactly, the label beside it, which has the same colour, says it too: in the
// alpha of its colour, which MusicXML writes before red, green and blue.
type headColor int8

const (
	headMade   headColor = iota // a notehead element was made for it: #RRGGBB
	headTinted                  // the colour was put on an element that was there: #FFRRGGBB
	headOwn                     // the note keeps a colour of its own: #FERRGGBB
)

var headAlphas = [...]string{headMade: "", headTinted: "FF", headOwn: "FE"}

// mark writes the colour of a label.
func (h headColor) mark(rgb string) string { return "#" + headAlphas[h] + rgb[1:] }

// parseMark reads the colour of a label.
func parseMark(mark string) (rgb string, how headColor, ok bool) {
	if !isColor(mark) {
		return "", 0, false
	}
	if len(mark) == len("#RRGGBB") {
		return mark, headMade, true
	}
	switch mark[1:3] {
	case headAlphas[headTinted]:
		how = headTinted
	case headAlphas[headOwn]:
		how = headOwn
	default:
		return "", 0, false
	}
	return "#" + mark[3:], how, true
}

// isColor tells whether a text is a colour of the MusicXML standard.
func isColor(s string) bool {
	if len(s) != len("#RRGGBB") && len(s) != len("#AARRGGBB") || s[0] != '#' {
		return false
	}
	for _, c := range []byte(s[1:]) {
		if (c < '0' || c > '9') && (c < 'A' || c > 'F') {
			return false
		}
	}
	return true
}

// colorOf returns the colour that a note's labels give it.
func colorOf(n *score.Note) string {
	for _, a := range n.Annotations {
		if a.Color != "" {
			return a.Color
		}
	}
	return ""
}

// colorHead gives the notehead of a note element a colour, or takes off the one
// that mark says was put on, and returns how the new one was put on.
func (ap *applier) colorHead(note int32, mark, color string) headColor {
	head := ap.x.child(note, "notehead")
	own, has := "", false
	if head != none {
		own, has = ap.x.attr(head, "color")
	}
	was, how, marked := parseMark(mark)
	if marked && how != headOwn && has && own == was { // it is ours
		switch {
		case color == "" && how == headMade:
			ap.ed.remove(head)
		case color == "":
			ap.ed.removeAttr(head, "color")
		default:
			start, end, _ := ap.ed.findAttr(head, "color")
			ap.ed.replace(start, end, `color="`+color+`"`)
		}
		return how
	}
	switch {
	case color == "":
	case head == none:
		e := etree.NewElement("notehead")
		e.CreateAttr("color", color)
		e.SetText("normal")
		ap.ed.insertChild(note, "notehead", ap.ed.pretty(e, ap.x.first(note)), noteOrder)
	case !has:
		at := ap.x.elems[head].start + int32(len("<notehead"))
		ap.ed.edits = append(ap.ed.edits, edit{start: at, end: at, new: ` color="` + color + `"`})
		return headTinted
	default:
		ap.ownColors++
		return headOwn
	}
	return headMade
}

// reportLabels says what could not be put on.
func (ap *applier) reportLabels() {
	say := func(count int, code, what string) {
		if count > 0 && ap.report != nil {
			ap.report(score.Diagnostic{Severity: score.Warning, Code: code, Pos: score.Pos{File: ap.src.name}, Msg: strconv.Itoa(count) + " " + what})
		}
	}
	say(ap.ownColors, "xml-own-colour", "notes have a colour of their own and keep it")
	say(ap.unlabelled, "xml-lost-label", "notes and chords stand in bars that the page does not write out, and show no labels")
}
