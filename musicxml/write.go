package musicxml

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Write writes a score as a new MusicXML 4.0 document: partwise, UTF-8, with
// a staff of notation for every staff of the model and, below it, a tab staff
// where the music has places on a neck. What the format cannot hold goes to
// opt.Report. Pitches that the format forbids are errors, of type
// [score.Diagnostics].
//
// To write back a file that was read, use [Document.Apply], which keeps all
// of the file.
func Write(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	text, err := render(s, opt)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

// WriteCompressed is [Write] into a compressed file (.mxl).
func WriteCompressed(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	text, err := render(s, opt)
	if err != nil {
		return err
	}
	packed, err := packNew(text)
	if err != nil {
		return err
	}
	_, err = w.Write(packed)
	return err
}

func render(s *score.Score, opt score.WriteOptions) ([]byte, error) {
	doc := etree.NewDocument()
	doc.WriteSettings.CanonicalAttrVal = true // etree writes a raw newline for &#10; otherwise
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8" standalone="no"`)
	doc.CreateDirective(`DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd"`)
	root := doc.CreateElement("score-partwise")
	root.CreateAttr("version", "4.0")
	writeHeader(root, s)
	for _, line := range s.Legend {
		root.AddChild(legendElement(line, 0, 0, false))
	}
	list := root.CreateElement("part-list")
	var errs score.Diagnostics
	for i, p := range s.Parts {
		pw := newPartWriter(s, p, i, opt)
		pw.listEntry(list)
		pw.write(root.CreateElement("part"))
		errs = append(errs, pw.errs...)
	}
	if len(errs) > 0 {
		return nil, errs
	}
	doc.IndentWithSettings(&etree.IndentSettings{Spaces: 2, PreserveLeafWhitespace: true})
	var b bytes.Buffer
	_, err := doc.WriteTo(&b)
	return b.Bytes(), err
}

func writeHeader(root *etree.Element, s *score.Score) {
	if s.Title != "" {
		root.CreateElement("work").CreateElement("work-title").SetText(s.Title)
	}
	if s.Subtitle != "" {
		root.CreateElement("movement-title").SetText(s.Subtitle)
	}
	id := root.CreateElement("identification")
	if s.Composer != "" {
		c := id.CreateElement("creator")
		c.CreateAttr("type", "composer")
		c.SetText(s.Composer)
	}
	enc := id.CreateElement("encoding")
	enc.CreateElement("software").SetText("lickwright")
	for _, el := range []string{"accidental", "beam"} {
		sup := enc.CreateElement("supports")
		sup.CreateAttr("element", el)
		sup.CreateAttr("type", "yes")
	}
	if chosen := chosenLetters(s); chosen != "" {
		f := id.CreateElement("miscellaneous").CreateElement("miscellaneous-field")
		f.CreateAttr("name", chosenField)
		f.SetText(chosen)
	}
}

// A staffPlan says how one staff of the model is shown.
type staffPlan struct {
	notation int // number of the staff of notation
	tab      int // number of the tab staff, 0 for none
	// places says that the first staff is itself a tab staff and shows
	// strings and frets.
	places bool
	apart  bool // the tab is another part of the file
}

// A partWriter writes one part.
type partWriter struct {
	score *score.Score
	part  *score.Part
	opt   score.WriteOptions
	id    string
	plans []staffPlan // by staff of the model, from 1
	total int         // staves on the page

	divisions int64
	transpose []theory.Interval      // in force, by staff of the model
	lines     []staffLine            // accidentals in force, by staff of the model
	signs     map[*score.Note]string // accidentals that were found out elsewhere; nil to follow lines
	beats     []score.Quarters       // beam groups of the metre in force, as they follow each other
	numbers   map[numberKey]int      // of open spans
	muted     map[*score.Note][]score.Mark
	groups    map[*score.Chord]tupletEdge
	// span says under what number one end of a span is written to a document that
	// was read, and whether it is; nil for new documents.
	span      func(s score.Span, tab bool) (number int, ok bool)
	errs      score.Diagnostics // what the format forbids
	lost      map[string]*loss  // what could not be written, by code
	lostOrder []string
}

type loss struct {
	count int
	first score.Handle
	msg   string
}

// lose notes down something that the format cannot hold.
func (w *partWriter) lose(code, msg string, h score.Handle) {
	if w.lost[code] == nil {
		w.lost[code] = &loss{0, h, msg}
		w.lostOrder = append(w.lostOrder, code)
	}
	w.lost[code].count++
}

func newPartWriter(s *score.Score, p *score.Part, i int, opt score.WriteOptions) *partWriter {
	w := &partWriter{score: s, part: p, opt: opt, id: p.ID, numbers: map[numberKey]int{}, lost: map[string]*loss{}}
	if !validID(w.id) || slices.IndexFunc(s.Parts, func(q *score.Part) bool { return q.ID == p.ID }) != i {
		w.id = fmt.Sprintf("P%d", i+1)
		for slices.ContainsFunc(s.Parts, func(q *score.Part) bool { return q != p && q.ID == w.id }) {
			w.id += "a"
		}
	}
	placed := make([]bool, p.Staves+1)
	for _, m := range p.Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				if c.Staff < len(placed) && !n.Place.IsZero() {
					placed[c.Staff] = true
				}
			}
		}
	}
	w.plans = make([]staffPlan, p.Staves+1)
	for st := 1; st <= p.Staves; st++ {
		w.total++
		w.plans[st].notation = w.total
		if placed[st] {
			w.total++
			w.plans[st].tab = w.total
		}
	}
	w.transpose = make([]theory.Interval, p.Staves+1)
	w.lines = make([]staffLine, p.Staves+1)
	w.muted = muteSpans(p)
	w.groups = tupletGroups(p)
	return w
}

// validID tells whether a part's ID may be an XML ID.
func validID(id string) bool {
	for i, c := range id {
		letter := c == '_' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z'
		if !letter && (i == 0 || c != '-' && c != '.' && (c < '0' || c > '9')) {
			return false
		}
	}
	return id != ""
}

func (w *partWriter) listEntry(list *etree.Element) {
	sp := list.CreateElement("score-part")
	sp.CreateAttr("id", w.id)
	name := w.part.Name
	if name == "" && w.part.Fretted() {
		name = "Guitar"
	}
	sp.CreateElement("part-name").SetText(name)
	if w.part.Abbreviation != "" {
		sp.CreateElement("part-abbreviation").SetText(w.part.Abbreviation)
	}
	if w.part.Fretted() {
		in := sp.CreateElement("score-instrument")
		in.CreateAttr("id", w.id+"-I1")
		in.CreateElement("instrument-name").SetText(name)
		in.CreateElement("instrument-sound").SetText("pluck.guitar")
	}
}

func (w *partWriter) write(el *etree.Element) {
	el.CreateAttr("id", w.id)
	w.divisions = commonDivisions(w.part.Measures, 1)
	for i, m := range w.part.Measures {
		w.measure(el.CreateElement("measure"), m, i)
	}
	if len(w.part.Measures) == 0 {
		// The schema wants a measure in every part.
		me := el.CreateElement("measure")
		me.CreateAttr("number", "1")
	}
	w.reportLost()
}

// reportLost tells the caller what could not be written.
func (w *partWriter) reportLost() {
	if w.opt.Report == nil {
		return
	}
	for _, code := range w.lostOrder {
		l := w.lost[code]
		msg := l.msg
		if l.count > 1 {
			msg += fmt.Sprintf(" (%d times)", l.count)
		}
		w.opt.Report(score.Diagnostic{Severity: score.Warning, Code: code, Pos: w.score.PosOf(l.first), Msg: msg})
	}
}

// maxDivisions bounds the divisions of a quarter note; the standard sets no
// limit, but programs do.
const maxDivisions = 1 << 24

// commonDivisions returns the least multiple of base in which all times of
// the measures are whole, or as good as maxDivisions allows.
func commonDivisions(measures []*score.Measure, base int64) int64 {
	d := base
	add := func(q score.Quarters) {
		if den := q.Den(); den > 0 && d%den != 0 {
			if l := score.Q(den, d).Num() * d; l > 0 && l <= maxDivisions { // lcm = den/gcd · d
				d = l
			}
		}
	}
	for _, m := range measures {
		add(m.Length)
		for _, e := range m.Events {
			add(e.At())
			if c, ok := e.(*score.Chord); ok {
				add(c.Duration)
				add(c.End())
			}
		}
	}
	return d
}

// ticks returns a time in divisions as text; times that are finer than the
// divisions are written as decimals.
func (w *partWriter) ticks(q score.Quarters) string { return decimal(q.Mul(score.Q(w.divisions, 1))) }

// muteSpans spreads spans that the format knows only note by note over the
// notes of that voice between their ends.
func muteSpans(p *score.Part) map[*score.Note][]score.Mark {
	marks := map[*score.Note][]score.Mark{}
	open := map[score.Span]bool{}
	kinds := map[score.SpanKind]score.Mark{score.PalmMute: score.PalmMuted, score.LetRingSpan: score.LetRing}
	for _, m := range p.Measures {
		for c := range m.Chords() {
			var ended []score.Span
			for _, n := range c.Notes {
				for _, t := range n.Techniques {
					s, ok := t.(score.Span)
					if _, spread := kinds[s.Kind]; !ok || !spread {
						continue
					}
					key := score.Span{Kind: s.Kind, ID: s.ID}
					open[key] = true
					if s.End == score.Stop {
						ended = append(ended, key)
					}
				}
			}
			for key := range open {
				for _, n := range c.Notes {
					if !n.Has(kinds[key.Kind]) && !slices.Contains(marks[n], kinds[key.Kind]) {
						marks[n] = append(marks[n], kinds[key.Kind])
					}
				}
			}
			for _, key := range ended {
				delete(open, key)
			}
		}
	}
	return marks
}

// clefFor chooses a clef for a staff that has none: for necks the clef that
// players of it read, at the octave that sounds; else by the middle of its
// notes.
func (w *partWriter) clefFor(staff int, neck *fretboard.Neck) score.Clef {
	if neck != nil && neck.Tuning.Len() > 0 {
		if neck.Tuning.Open(1).MIDI() < theory.P(theory.C, 0, 3).MIDI() {
			return score.Clef{Sign: "F", Line: 4, OctaveChange: -1}
		}
		if neck.Tuning.Open(1).MIDI() <= theory.P(theory.G, 0, 4).MIDI() {
			return score.Clef{Sign: "G", Line: 2, OctaveChange: -1}
		}
		return score.Clef{Sign: "G", Line: 2}
	}
	sum, count := 0, 0
	for _, m := range w.part.Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				if c.Staff == staff && !n.Unpitched {
					sum += n.Pitch.Transpose(w.transpose[staff].Neg()).Diatonic()
					count++
				}
			}
		}
	}
	if count > 0 && sum/count < theory.P(theory.C, 0, 4).Diatonic() {
		return score.Clef{Sign: "F", Line: 4}
	}
	return score.Clef{Sign: "G", Line: 2}
}

func intText(n int) string { return strconv.Itoa(n) }

// beamGroups returns how a metre groups its beams: one beat of a simple
// metre, three of a compound one, the groups of an additive one.
func beamGroups(t *score.TimeSignature) []score.Quarters {
	var out []score.Quarters
	for i := range t.Beats {
		unit := score.Q(4, int64(max(t.BeatTypes[i], 1)))
		groups := strings.Split(t.Beats[i], "+")
		for _, g := range groups {
			n, err := strconv.Atoi(g)
			if err != nil || n < 1 || n > 1000 {
				continue
			}
			switch {
			case len(groups) > 1 || len(t.Beats) > 1 && unit.Cmp(score.Q(1, 1)) < 0:
				out = append(out, unit.Mul(score.Q(int64(n), 1)))
			case n%3 == 0 && unit.Cmp(score.Q(1, 1)) < 0:
				for range n / 3 {
					out = append(out, unit.Mul(score.Q(3, 1)))
				}
			case unit.Cmp(score.Q(1, 1)) >= 0:
				for range n * int(unit.Num()) {
					out = append(out, score.Q(1, 1))
				}
			default: // 5/8, 7/8: pairs, and the odd one with the last pair
				for ; n > 3; n -= 2 {
					out = append(out, unit.Mul(score.Q(2, 1)))
				}
				out = append(out, unit.Mul(score.Q(int64(n), 1)))
			}
		}
	}
	return out
}
