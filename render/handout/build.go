package handout

import (
	"fmt"
	"html/template"
	"math"
	"regexp"
	"slices"
	"strings"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/score"
)

// Widths of a system in CSS pixels: the text of a page of A4 (210 mm less two
// margins of 15 mm), and that of a small phone.
const (
	printWidth = 680
	phoneWidth = 336
)

// wholeHeight is the height of music, in CSS pixels, up to which a section is
// kept on one page: with its heading and a picture of the neck it takes about
// half of one.
const wholeHeight = 330

// paragraph is the length from which words over the music are prose, in bytes.
const paragraph = 80

// A builder makes the sections of a sheet.
type builder struct {
	sheet  Sheet
	report func(score.Diagnostic)
	common []fact
	works  []work   // of a worksheet, by section
	shared []string // remarks that all sections have
	signs  []string
	looks  *looks
	// neckSigns are those of the pictures of the neck.
	neckSigns []sign
	explained []sign
}

func newBuilder(s Sheet, report func(score.Diagnostic)) *builder {
	b := &builder{looks: newLooks(), sheet: s, report: report, common: commonFacts(s.Sections), shared: sharedRemarks(s.Sections)}
	if s.Worksheet {
		for i, sec := range s.Sections {
			var w work
			if sec.Score != nil {
				music, _ := withoutHeading(sec)
				w = workOf(music, i, s.asks)
			}
			b.works = append(b.works, w)
		}
	}
	return b
}

// sheets returns the sheet and, of a worksheet, its answers.
func (b *builder) sheets() []sheetData {
	if !b.sheet.Worksheet {
		return []sheetData{b.all("", "section", false)}
	}
	var out []sheetData
	if b.sheet.Answers != AnswersOnly {
		out = append(out, b.all("", "section", false))
		b.report = nil // it is the same music again
	}
	if b.sheet.Answers != AnswersLeftOut {
		out = append(out, b.all("Answers", "answers", true))
	}
	return out
}

func (b *builder) all(heading, id string, answers bool) sheetData {
	d := sheetData{Heading: heading, ID: id}
	for i := range b.sheet.Sections {
		d.Sections = append(d.Sections, b.section(i, fmt.Sprintf("%s-%d", id, i+1), answers))
	}
	d.Signs = b.signList()
	return d
}

func (b *builder) section(i int, id string, answers bool) sectionData {
	sec := b.sheet.Sections[i]
	d := sectionData{ID: id, Heading: sec.Heading, Remarks: sec.Remarks, Cautions: cautionsOf(sec), Answers: answers}
	for _, f := range factsOf(sec.Score) {
		if !slices.Contains(b.common, f) && !strings.Contains(sec.Heading, f.Value) {
			d.Facts = append(d.Facts, f)
		}
	}
	s, remarks := withoutHeading(sec)
	d.Remarks = append(slices.Clone(d.Remarks), remarks...)
	d.Remarks = slices.DeleteFunc(d.Remarks, func(r string) bool { return slices.Contains(b.shared, r) })
	opt := engrave.Options{Width: printWidth, Report: b.report}
	if b.works != nil {
		w := b.works[i]
		s = w.score
		d.Tasks = slices.Clone(w.tasks)
		if answers {
			opt.Ring = func(n *score.Note) bool { return w.ring[n] }
			if len(w.blank) > 0 {
				opt.Filled = func(n *score.Note, kind string) bool { return kind == w.kind && w.blank[n] }
			}
		} else {
			opt.Blank = func(n *score.Note, kind string) bool { return kind == w.kind && w.blank[n] }
			if s != nil && len(w.blank) == 0 {
				s = withoutLabels(s) // they would say what is to be found
			}
		}
	}
	b.necks(&d, sec, answers)
	if s == nil {
		d.Whole = true
		b.nothing(d, sec)
		return d
	}
	d.Legend = s.Legend
	wide := engrave.Engrave(s, opt)
	narrow := slices.ContainsFunc(wide.Systems, func(sys engrave.System) bool { return sys.Used > phoneWidth })
	var ids []string
	d.Systems, ids = b.systems(id, s, wide, narrow)
	b.nothing(d, sec)
	opt.Width, opt.Report = phoneWidth, nil
	d.phone = d.height
	if narrow {
		var height float64
		d.Narrow, height = b.narrow(ids, engrave.Engrave(s, opt))
		d.phone += height
	}
	for _, name := range wide.Signs {
		if !slices.Contains(b.signs, name) {
			b.signs = append(b.signs, name)
		}
	}
	height := 0.0
	for _, sys := range wide.Systems {
		height += sys.Height
	}
	d.Whole = height <= wholeHeight
	d.height += height
	if !narrow {
		d.phone = d.height
	}
	return d
}

// nothing reports a section that has neither music nor a picture on the page.
func (b *builder) nothing(d sectionData, sec Section) {
	if b.report == nil || len(d.Systems)+len(d.Necks) > 0 {
		return
	}
	what := "the sheet"
	if sec.Heading != "" {
		what = fmt.Sprintf("%q on the sheet", sec.Heading)
	}
	b.report(score.Diagnostic{Severity: score.NotDone, Code: CodeEmpty, Msg: what + " is empty but for its words: there is nothing to engrave",
		Hint: "give music on strings and frets"})
}

// withoutHeading returns the music of a section without the words over its
// beginning that the page says elsewhere: what its heading says already, and
// paragraphs, which become remarks. It is nil if the section has no music.
func withoutHeading(sec Section) (s *score.Score, remarks []string) {
	if sec.Score == nil {
		return nil, nil
	}
	s = sec.Score.Clone()
	for _, p := range s.Parts {
		if len(p.Measures) == 0 {
			continue
		}
		m := p.Measures[0]
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
			w, ok := e.(*score.Words)
			switch {
			case !ok || w.Text == "" || !w.Onset.IsZero():
				return false
			case strings.Contains(sec.Heading, w.Text), w.Text == s.Title:
				return true
			case w.Kind == "words" && (strings.Contains(w.Text, "\n") || len(w.Text) > paragraph):
				for line := range strings.Lines(w.Text) {
					remarks = append(remarks, strings.TrimSpace(line))
				}
				return true
			}
			return false
		})
	}
	return s, remarks
}

// sharedRemarks returns the remarks that every one of several sections has;
// they are said once. A line that heads others stays with them.
func sharedRemarks(sections []Section) []string {
	if len(sections) < 2 {
		return nil
	}
	var shared []string
	all := make([][]string, len(sections))
	for i, sec := range sections {
		_, own := withoutHeading(sec)
		own = append(slices.Clone(sec.Remarks), own...)
		if all[i] = own; i == 0 {
			shared = slices.Clone(own)
		}
		shared = slices.DeleteFunc(shared, func(r string) bool { return !slices.Contains(own, r) })
	}
	return slices.DeleteFunc(slices.Clone(shared), func(r string) bool {
		return slices.ContainsFunc(all, func(own []string) bool {
			next := slices.Index(own, r) + 1
			return !isSentence(r) && next < len(own) && !slices.Contains(shared, own[next])
		})
	})
}

func isSentence(line string) bool {
	return line != "" && strings.ContainsAny(line[len(line)-1:], ".!?")
}

// necks adds the pictures of the neck: on a worksheet with their roots alone,
// and the task to fill in the rest.
func (b *builder) necks(d *sectionData, sec Section, answers bool) {
	for k, n := range necksOf(sec) {
		if b.works != nil && b.sheet.asks(TaskShape) {
			blank, left, ok := n.rootsOnly()
			if ok {
				d.Tasks = append(d.Tasks, n.toFill(left, len(sec.Layouts) == 0))
			}
			if ok && !answers {
				n = blank
			}
		}
		for _, s := range n.signs(len(b.sheet.Sections) == 1) {
			b.neckSign(s)
		}
		pic := n.draw(fmt.Sprintf("%s-neck-%d", d.ID, k+1))
		width := b.neckWidth(pic.Width, b.works != nil)
		d.height += pic.Height * width / pic.Width
		d.Necks = append(d.Necks, figure{template.HTML(betweenElements.ReplaceAllString(pic.Inline(), "><")), n.caption, width})
	}
}

// neckSign adds what explains a shape on the neck. A shape that sections explain
// differently has all of these meanings.
func (b *builder) neckSign(s sign) {
	for i, known := range b.neckSigns {
		if known.Sign != s.Sign {
			continue
		}
		all := strings.Split(known.Meaning, orElse)
		for m := range strings.SplitSeq(s.Meaning, orElse) {
			if !slices.Contains(all, m) {
				all = append(all, m)
			}
		}
		b.neckSigns[i].Meaning = strings.Join(all, orElse)
		return
	}
	b.neckSigns = append(b.neckSigns, s)
}

// betweenElements is what a browser would keep as a text of its own and never
// show.
var betweenElements = regexp.MustCompile(`>\s+<`)

// neckWidth returns how wide a picture of the neck is shown, in CSS pixels: as
// small as it can be read, so that three positions share a page, and larger
// where notes are written in, as far as the page is wide: in the answers too, so
// that one can be laid over the other.
func (b *builder) neckWidth(width float64, toFill bool) float64 {
	scale := diagram.SmallScale
	if toFill {
		scale = math.Max(scale, math.Min(1.25*scale, (printWidth-1)/width))
	}
	return math.Ceil(width * scale)
}

// toFill is the task to fill in the places that a neck leaves out.
func (n neckPicture) toFill(left int, music bool) task {
	of, what := "the shape", "degree"
	if music {
		of = "the music"
	}
	if n.label() == diagram.Names {
		what = "name"
	}
	t := task{
		Prompt: fmt.Sprintf("Fill in the other notes of %s on the neck: their %ss, no shapes. %s, %s missing.", of, what, upperFirst(n.given()), areOthers(left)),
		Topic:  "The neck", Answer: "see there.",
	}
	if n.bent() {
		t.Prompt += " Here a bent note is named by its fret."
	}
	if text := n.nowAndThenText(); text != "" {
		t.Answer += " " + text
	}
	return t
}

func areOthers(n int) string {
	if n == 1 {
		return "1 other is"
	}
	return fmt.Sprintf("%d others are", n)
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// systems draws the systems of an engraving, each with its words, and returns
// the ids of these words too.
func (b *builder) systems(id string, s *score.Score, e engrave.Engraving, wide bool) (out []template.HTML, ids []string) {
	class := "system"
	if wide {
		class = "system wide"
	}
	for i, sys := range e.Systems {
		p := picture{class: class, width: sys.Width, height: sys.Height, scenes: []placed{{sys.Scene, 0}}}
		p.title, p.desc = "Tab, "+barsOf(s, sys), describe(s, sys.First, sys.Last)
		nth := fmt.Sprintf("%s-%d", id, i+1)
		p.labelled = []string{nth + "-title", nth + "-desc"}
		ids = append(ids, p.labelled...)
		out = append(out, b.looks.svg(p))
	}
	return out, ids
}

// systemGap is the distance of two systems on narrow screens, in CSS pixels.
const systemGap = 12.0

// narrow draws the systems of an engraving as one picture, since a screen has
// no pages at which it would have to be cut. What it shows is said where the
// music stands for wide screens, whose words are read though they are not seen.
// Source: Accessible Name and Description Computation 1.2, 2A and 2B.
func (b *builder) narrow(ids []string, e engrave.Engraving) (template.HTML, float64) {
	p := picture{class: "system narrow", labelled: ids}
	for i, sys := range e.Systems {
		if i > 0 {
			p.height += systemGap
		}
		p.scenes = append(p.scenes, placed{sys.Scene, p.height})
		p.width, p.height = max(p.width, sys.Width), p.height+sys.Height
	}
	return b.looks.svg(p), p.height
}

func barsOf(s *score.Score, sys engrave.System) string {
	for _, p := range s.Parts {
		if sys.Last < len(p.Measures) {
			switch first, last := barName(p, sys.First, "bar "), p.BarName(sys.Last); {
			case sys.First == sys.Last:
				return first
			case first == "pickup":
				return first + " to bar " + last
			default:
				return barName(p, sys.First, "bars ") + " to " + last
			}
		}
	}
	return "music"
}

// signList explains the signs that were used since it was asked before, each
// once: what is explained beside the tasks is not explained again beside the
// answers.
func (b *builder) signList() []sign {
	var out []sign
	add := func(s sign) {
		if s.Sign != "" && !slices.Contains(b.explained, s) {
			b.explained = append(b.explained, s)
			out = append(out, s)
		}
	}
	for _, name := range b.signs {
		look, meaning := engrave.SignMeaning(name)
		add(sign{look, meaning})
	}
	for _, s := range b.neckSigns {
		add(s)
	}
	return out
}
