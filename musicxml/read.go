package musicxml

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// A reader turns the elements of a document into the model.
type reader struct {
	*Document
	opt     score.ReadOptions
	guitars map[string]bool // by part id: the instrument is a guitar
	// said is what the page says of notes whose fret says something else, as
	// sounding MIDI key numbers.
	said map[score.Handle]int
}

// say tells the caller of something about an element.
func (r *reader) say(sev score.Severity, code string, e int32, hint, format string, args ...any) {
	if r.opt.Report == nil {
		return
	}
	d := score.Diagnostic{Severity: sev, Code: code, Msg: fmt.Sprintf(format, args...), Hint: hint}
	if e != none {
		d.Pos = r.posOf(e)
		d.End = r.src.pos(int(r.x.elems[e].end))
	} else {
		d.Pos.File = r.src.name
	}
	r.opt.Report(d)
}

// readScore builds d.base.
func (d *Document) readScore(opt score.ReadOptions) error {
	r := &reader{Document: d, opt: opt, guitars: map[string]bool{}, said: map[score.Handle]int{}}
	root := int32(0)
	kind := d.x.name(root)
	if kind != "score-partwise" && kind != "score-timewise" {
		hint := "MusicXML begins with <score-partwise> or <score-timewise>"
		if kind == "opus" {
			hint = "an opus lists other files; give one of those"
		}
		return score.Diagnostics{{Severity: score.Error, Code: "not-musicxml", Pos: d.posOf(root),
			Msg: fmt.Sprintf("this is XML, but not MusicXML: the root element is <%s>", kind), Hint: hint}}
	}
	s := &score.Score{Locator: d}
	s.Src = d.handle(s, root)
	d.base = s
	d.divs, d.untied = map[int32]divisions{}, map[score.Handle]bool{}
	r.readHeader(s, root)

	infos := r.partList(root)
	r.measuresByPart(root, kind == "score-timewise")
	for _, bars := range d.pages {
		info := infos[bars.id]
		info.id = bars.id
		r.guitars[info.id] = info.guitar
		pr := newPartReader(r, info, bars.elem)
		bars.part = pr.part.Src
		for _, m := range bars.measures {
			pr.measure(m)
		}
		pr.finish()
		s.Parts = append(s.Parts, pr.part)
	}
	r.pairStaves(s)
	for _, p := range s.Parts {
		r.holdPlaces(p)
	}
	r.readChosen(s)
	r.applyGiven(s)
	d.findHomes()
	return nil
}

// readHeader takes title and names from the head of the score.
func (r *reader) readHeader(s *score.Score, root int32) {
	for c := range r.x.children(root) {
		switch r.x.name(c) {
		case "work":
			s.Title = r.x.childContent(c, "work-title")
		case "movement-title":
			if t := r.x.content(c); s.Title == "" {
				s.Title = t
			} else if t != s.Title {
				s.Subtitle = t
			}
		case "identification":
			for i := range r.x.children(c) {
				if r.x.name(i) == "creator" && r.x.attrOr(i, "type") == "composer" && s.Composer == "" {
					s.Composer = r.x.content(i)
				}
			}
		case "credit":
			if line, ok := r.legendLine(c); ok {
				s.Legend = append(s.Legend, line)
			}
		case "part", "measure":
			return
		}
	}
}

// A partInfo is what the part list says of a part.
type partInfo struct {
	id, name, abbreviation string
	guitar                 bool // the instrument is one of the guitars that are written an octave up
}

// partList reads the part list by id.
func (r *reader) partList(root int32) map[string]partInfo {
	infos := map[string]partInfo{}
	list := r.x.child(root, "part-list")
	if list == none {
		return infos
	}
	for sp := range r.x.children(list) {
		if r.x.name(sp) != "score-part" {
			continue
		}
		info := partInfo{
			name:         r.x.childContent(sp, "part-name"),
			abbreviation: r.x.childContent(sp, "part-abbreviation"),
		}
		names := info.name
		for c := range r.x.children(sp) {
			switch r.x.name(c) {
			case "score-instrument":
				names += " " + r.x.childContent(c, "instrument-name") + " " + r.x.childContent(c, "instrument-sound")
			case "midi-instrument":
				// General MIDI programs 25 to 32 are the guitars.
				if p, err := strconv.Atoi(r.x.childContent(c, "midi-program")); err == nil && 25 <= p && p <= 32 {
					info.guitar = true
				}
			}
		}
		if l := strings.ToLower(names); strings.Contains(l, "guitar") || strings.Contains(l, "gtr") {
			info.guitar = true
		}
		infos[r.x.attrOr(sp, "id")] = info
	}
	return infos
}

// A bar is one measure of one part: the element with its attributes, and the
// element that holds the music. They differ in timewise files. The row counts
// the bars of the file, which all parts share.
type bar struct {
	measure, music int32
	row            int
}

// partBars is all measures of one part of the file.
type partBars struct {
	id       string
	elem     int32 // of the part; in timewise files of its first appearance
	measures []bar
	part     score.Handle // of the model that shows it
	tab      bool         // it is the tab of a part of which the notation is another part of the file
}

// measuresByPart collects the measures of each part, in the order in which
// the parts appear.
func (r *reader) measuresByPart(root int32, timewise bool) {
	byID := map[string]*partBars{}
	partOf := func(e int32) *partBars {
		id := r.x.attrOr(e, "id")
		p := byID[id]
		if p == nil {
			p = &partBars{id: id, elem: e}
			byID[id] = p
			r.pages = append(r.pages, p)
		}
		return p
	}
	outer, inner := "part", "measure"
	if timewise {
		outer, inner = inner, outer
	}
	for o := range r.x.children(root) {
		if r.x.name(o) != outer {
			continue
		}
		if !timewise {
			// Two parts without an id, or with the same, are two parts.
			p := &partBars{id: r.x.attrOr(o, "id"), elem: o}
			r.pages = append(r.pages, p)
			for m := range r.x.children(o) {
				if r.x.name(m) == inner {
					p.measures = append(p.measures, bar{m, m, len(p.measures)})
				}
			}
			continue
		}
		r.rows = append(r.rows, o)
		for p := range r.x.children(o) {
			if r.x.name(p) == inner {
				part := partOf(p)
				part.measures = append(part.measures, bar{o, p, len(r.rows) - 1})
			}
		}
	}
}

// findHomes notes down which measure holds each node.
func (d *Document) findHomes() {
	d.home = make([]score.Handle, len(d.refs))
	var measure score.Handle
	for n := range score.Preorder(d.base) {
		if m, ok := n.(*score.Measure); ok {
			measure = m.Src
		}
		d.home[handleOf(n)] = measure
	}
}
