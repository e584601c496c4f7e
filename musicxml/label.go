package musicxml

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
)

// Labels of notes (annotations of the model) are lyric lines with a name of
// ours: "lickwright degree". They stand with the first note of a chord, since
// programs show lyrics once for a chord: first the label of the highest note,
// then that of the next below ("lickwright degree 2"), so that they read from
// top to bottom as the notes do. Lines of several kinds follow each other in
// the order in which the labels were put on. They come below what is sung.
const labelPrefix = "lickwright "

// A label is one lyric line of a chord.
type label struct {
	name  string // the lyric's
	text  string
	color string // of the notehead, "#RRGGBB"; "" for none
	note  *score.Note
}

func sameLabel(a, b label) bool { return a.name == b.name && a.text == b.text && a.color == b.color }

// fromTop lists the notes of a chord from the highest to the lowest.
func fromTop(c *score.Chord) []*score.Note {
	notes := slices.Clone(c.Notes)
	slices.SortStableFunc(notes, func(a, b *score.Note) int { return cmp.Compare(b.Pitch.MIDI(), a.Pitch.MIDI()) })
	return notes
}

// labelsOf lists the lyric lines that the labels of a chord make.
func labelsOf(c *score.Chord) []label {
	var kinds []string
	notes := fromTop(c)
	for _, n := range notes {
		for _, a := range n.Annotations {
			if !slices.Contains(kinds, a.Kind) {
				kinds = append(kinds, a.Kind)
			}
		}
	}
	var out []label
	for _, kind := range kinds {
		for i, n := range notes {
			for _, a := range n.Annotations {
				if a.Kind == kind {
					out = append(out, label{labelName(kind, i), a.Text, a.Color, n})
				}
			}
		}
	}
	return out
}

func labelName(kind string, i int) string {
	if i == 0 {
		return labelPrefix + kind
	}
	return labelPrefix + kind + " " + strconv.Itoa(i+1)
}

// parseLabelName returns kind and place from the top of a line of ours.
func parseLabelName(name string) (kind string, i int, ok bool) {
	rest, ok := strings.CutPrefix(name, labelPrefix)
	if !ok || rest == "" {
		return "", 0, false
	}
	if at := strings.LastIndexByte(rest, ' '); at > 0 {
		if n, err := strconv.Atoi(rest[at+1:]); err == nil && n >= 2 && n <= 100 {
			return rest[:at], n - 1, true
		}
	}
	return rest, 0, true
}

// lyricElement writes a line; number is its place below the others.
func (l label) lyricElement(number int, how headColor) *etree.Element {
	e := etree.NewElement("lyric")
	e.CreateAttr("number", strconv.Itoa(number))
	e.CreateAttr("name", l.name)
	if l.color != "" {
		e.CreateAttr("color", how.mark(l.color))
	}
	e.CreateElement("text").SetText(l.text)
	return e
}

// A pendingLabel is a line that was read before all notes of its chord were.
type pendingLabel struct {
	chord *score.Chord
	kind  string
	index int
	text  string
	color string
}

// putLabels gives the lines to their notes, whose pitches are known by now.
func (p *partReader) putLabels() {
	for _, l := range p.labels {
		if notes := fromTop(l.chord); l.index < len(notes) {
			n := notes[l.index]
			n.Annotations = append(n.Annotations, score.Annotation{Kind: l.kind, Text: l.text, Color: l.color})
		}
	}
}

// applyLabels takes the lines of ours off a chord and puts the new ones on,
// with the colours of the noteheads, if they differ.
func (ap *applier) applyLabels(was, now *score.Chord) {
	old, new := labelsOf(was), labelsOf(now)
	if slices.EqualFunc(old, new, sameLabel) {
		return
	}
	highest := 0
	colored := map[score.Handle]string{} // marks of the colours that were put on
	wasFromTop := fromTop(was)
	for _, n := range was.Notes {
		e := ap.refs[n.Src].elem
		if e == none { // a bar that repeats another one
			if len(new) > 0 {
				ap.unlabelled++
			}
			return
		}
		for _, l := range ap.childrenNamed(e, "lyric") {
			if _, i, ours := parseLabelName(ap.x.attrOr(l, "name")); ours {
				if mark, ok := ap.x.attr(l, "color"); ok && i < len(wasFromTop) {
					colored[wasFromTop[i].Src] = mark
				}
				ap.ed.remove(l)
				continue
			}
			number, err := strconv.Atoi(ap.x.attrOr(l, "number"))
			if err != nil {
				number = 1
			}
			highest = max(highest, number)
		}
	}
	hows := map[*score.Note]headColor{}
	for _, n := range now.Notes {
		if n.Src != 0 && ap.refs[n.Src].elem != none {
			hows[n] = ap.colorHead(ap.refs[n.Src].elem, colored[n.Src], colorOf(n))
		}
	}
	if len(now.Notes) == 0 || now.Notes[0].Src == 0 {
		return // a new note is written with its labels
	}
	e := ap.refs[now.Notes[0].Src].elem
	for i, l := range new {
		ap.ed.insertChild(e, "lyric", ap.ed.pretty(l.lyricElement(highest+i+1, hows[l.note]), ap.x.first(e)), noteOrder)
	}
}
