package musicxml

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Apply returns the document with the music of s in it, which is a changed
// clone of the score that was read. Only what differs is edited, in place;
// every other byte stays. It always starts from what was read, so applying
// twice is applying the second.
//
// Values (pitch, place, technique, key, chord symbol) are edited where they
// stand. Where notes, chords, rests or other entries were added, taken out or
// moved in time, the bar is put together anew from the elements it had and
// new ones (see restructure.go), in the tab as in the notation, be they staves
// of one part or two parts of the file. Bars may be added and taken out too;
// parts may not. What cannot be applied is an error, of type
// [score.Diagnostics], and nothing is done then. s is not to be changed
// afterwards.
//
// All parts of a file have the same bars. So a bar that was added to one part of
// the score is a bar of rest in the others, and one that was taken out of one
// part is a bar of rest in it or, where nothing sounds in it, is taken out of
// all (see rows.go). [Document.Score] of the result has these bars.
//
// Layout that a move makes wrong is put right by this list, and nothing
// outside it:
//
//   - <accidental>: shown where the bar's state wants it, as it was before;
//     courtesy accidentals stay
//   - <stem>: turned where the note or its beam crosses the middle line, if
//     it stood by that rule and the staff has one voice in the bar
//   - default-y and relative-y of <note> and <stem>: taken off where the note
//     has changed its place on the staff
//   - text of <root-step> and <bass-step>: taken off where the name changed
//   - <key-octave>: taken off where the signature changed
//   - <frame>, its <first-fret> and fingering: moved with the chord, or taken
//     out and reported where no hand could hold it
//   - <lyric> lines named "lickwright …", the colour of <notehead> beside them and
//     <credit> of the type "lickwright legend": put on and taken off with labels
//   - <beam>, <backup> and <forward>, and <stem> under one beam: made anew in bars whose rhythm changed
func (d *Document) Apply(s *score.Score) (*Document, error) {
	ap := &applier{Document: d, ed: editor{x: d.x}, seen: make([]bool, len(d.refs)),
		moved: map[int32]theory.Pitch{}, signed: map[int32]keyChange{}, before: map[[2]any]int{}, parts: map[*score.Part]struct{}{},
		dropped: map[int32]bool{}, filled: map[int32]bool{}, held: map[*score.Part]map[*score.Note]fretboard.Place{},
		headed: map[int32]bool{}, anew: map[*score.Measure]bool{}, built: map[*score.Measure]bool{}, changed: map[score.Handle]bool{}, signs: map[*score.Note]string{}, spans: map[*score.Part]*partSpans{}}
	s = ap.evened(s)
	ap.walk(s)
	ap.takeNecks(s)
	ap.applyLegend(s)
	ap.applyChosen(s)
	if len(ap.errs) > 0 {
		ap.errs.Sort()
		return nil, ap.errs
	}
	ap.accidentals(s)
	ap.restructure(s)
	ap.stems(s)
	ap.flushDrops()
	ap.rebuild()
	if len(ap.errs) > 0 {
		ap.errs.Sort()
		return nil, ap.errs
	}
	ap.reportLabels()
	out := *d
	out.current = s
	if len(ap.ed.edits) == 0 {
		out.out = d.original()
		return &out, nil
	}
	text, err := ap.ed.splice()
	if err != nil {
		return nil, d.src.fail("xml-edit", err.Error(), "this is a fault of the program; please report it with the file")
	}
	raw, err := d.src.encode(text)
	if err != nil {
		return nil, err
	}
	if d.box != nil {
		if raw, err = d.box.repack(raw); err != nil {
			return nil, d.src.fail("mxl", "the compressed file cannot be written: "+err.Error(), "")
		}
	}
	out.out = raw
	return &out, nil
}

// original returns the bytes that were read.
func (d *Document) original() []byte {
	if d.box != nil {
		return d.box.raw
	}
	return d.src.raw
}

// An applier turns the differences of a score into edits.
type applier struct {
	*Document
	ed   editor
	seen []bool // by handle: the node is still there
	errs score.Diagnostics

	moved  map[int32]theory.Pitch // elements of <note> whose pitch changes, and the new written pitch
	signed map[int32]keyChange    // elements of <key> that change
	before map[[2]any]int         // by part and staff: how far the last signature moved
	bar    string                 // number of the measure, for messages

	headed   map[int32]bool          // measures of which the start tag was edited
	anew     map[*score.Measure]bool // to be put together anew
	changed  map[score.Handle]bool   // measures, as read, that lost something
	built    map[*score.Measure]bool // put together anew
	signs    map[*score.Note]string  // accidentals of notes that are new
	spans    map[*score.Part]*partSpans
	modelled map[int32]bool // elements that events stand for; made when needed
	bars     []rebuilt

	dropped map[int32]bool                                  // elements in <notations> to be removed
	filled  map[int32]bool                                  // containers that get something new
	held    map[*score.Part]map[*score.Note]fretboard.Place // made when needed; see heldPlace

	ownColors  int                      // notes that keep a colour of their own
	unlabelled int                      // chords in bars that the page does not write out
	parts      map[*score.Part]struct{} // parts in which pitches or keys change
}

// A keyChange is how far a signature moves, in fifths.
type keyChange struct{ fifths int }

func (ap *applier) fail(h score.Handle, format string, args ...any) {
	pos := ap.Locate(h)
	if !pos.IsValid() {
		pos.File = ap.src.name
	}
	ap.errs = append(ap.errs, score.Diagnostic{Severity: score.Error, Code: "xml-apply", Pos: pos,
		Msg:  fmt.Sprintf("measure %s: ", ap.bar) + fmt.Sprintf(format, args...),
		Hint: "this change cannot be made in the file in place"})
}

// A rebuilt is a bar that was put together anew: what stands between its
// tags, made when all edits inside of it are known.
type rebuilt struct {
	start, end int32
	text       func() string
}

// rebuild replaces the bars that were put together anew. All texts are made
// first, since a note may have moved from one bar to another; what is left of
// the edits inside of a bar concerns what was taken out.
func (ap *applier) rebuild() {
	if len(ap.bars) == 0 {
		return
	}
	ap.ed.sort()
	slices.SortStableFunc(ap.bars, func(a, b rebuilt) int { return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.end, b.end)) })
	whole := make([]edit, len(ap.bars))
	for i, b := range ap.bars {
		whole[i] = edit{start: b.start, end: b.end, new: b.text()}
	}
	ap.ed.dropInside(whole)
	ap.ed.edits = append(ap.ed.edits, whole...)
}

// walk compares the score with the one that was read, node by node.
func (ap *applier) walk(s *score.Score) {
	var part *score.Part
	var measure *score.Measure
	for n := range score.Preorder(s) {
		switch n := n.(type) {
		case *score.Part:
			part, measure = n, nil
		case *score.Measure:
			measure, ap.bar = n, n.Number
		}
		h := handleOf(n)
		if h == 0 {
			ap.added(part, measure, n)
			continue
		}
		if h < 0 || int(h) >= len(ap.node) || reflect.TypeOf(ap.node[h]) != reflect.TypeOf(n) {
			ap.fail(0, "%s carries the handle of something else", nodeName(n))
			continue
		}
		if ap.seen[h] {
			ap.fail(h, "%s is there twice", nodeName(n))
		}
		ap.seen[h] = true
		switch n := n.(type) {
		case *score.Measure:
			ap.measure(h, ap.node[h].(*score.Measure), n)
		case *score.Note:
			if home := ap.home[h]; measure.Src != home {
				ap.changed[home] = true
				ap.restructured(part, measure)
			}
			ap.note(part, h, ap.node[h].(*score.Note), n)
		case score.Event:
			was := ap.node[h].(score.Event).Shared()
			if home := ap.home[h]; measure.Src != home || was.Onset != n.At() || was.Staff != n.OnStaff() {
				ap.changed[home] = true
				ap.restructured(part, measure)
			}
			ap.event(part, measure, h, ap.node[h].(score.Event), n)
		}
	}
	for n := range score.Preorder(ap.base) {
		if h := handleOf(n); !ap.seen[h] {
			ap.gone(h, n)
		}
	}
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			if m.Src != 0 && ap.changed[m.Src] {
				ap.restructured(p, m)
			}
		}
	}
}

// added takes note of something that the file does not have.
func (ap *applier) added(part *score.Part, measure *score.Measure, n score.Node) {
	switch n := n.(type) {
	case *score.Part, *score.Score:
		ap.fail(0, "a part was added")
	case *score.NeckChange:
		if !n.Inferred { // else it is written where notes get places
			ap.restructured(part, measure)
		}
	default:
		ap.restructured(part, measure)
	}
}

// restructured takes note of a measure that has to be put together anew.
func (ap *applier) restructured(part *score.Part, m *score.Measure) {
	ap.parts[part] = struct{}{}
	ap.anew[m] = true
}

// gone takes note of something that was taken out.
func (ap *applier) gone(h score.Handle, n score.Node) {
	switch n := n.(type) {
	case *score.Part, *score.Score:
		ap.fail(h, "%s was taken out", nodeName(n))
	case *score.Measure:
	case *score.Words:
		ap.changed[ap.home[h]] = true
		if e := ap.refs[h].elem; n.Kind == "lyric" && e != none {
			ap.ed.remove(e)
		}
	default:
		ap.changed[ap.home[h]] = true
	}
}

// measure edits number and counting of a bar, in all parts that show it.
func (ap *applier) measure(h score.Handle, was, now *score.Measure) {
	if was.Route != now.Route {
		ap.fail(h, "the way on from it (segno, coda, D.C., fine) was changed")
	}
	if was.Number == now.Number && was.Implicit == now.Implicit {
		return
	}
	for _, e := range []int32{ap.refs[h].elem, ap.refs[h].twin} {
		if e != none && ap.rows != nil {
			e = ap.x.elems[e].parent
		}
		if e == none || ap.headed[e] {
			continue
		}
		ap.headed[e] = true
		if was.Number != now.Number {
			ap.ed.setAttr(e, "number", now.Number)
		}
		switch {
		case was.Implicit == now.Implicit:
		case now.Implicit:
			ap.ed.setAttr(e, "implicit", "yes")
		default:
			ap.ed.removeAttr(e, "implicit")
		}
	}
}

func handleOf(n score.Node) score.Handle {
	switch n := n.(type) {
	case *score.Score:
		return n.Src
	case *score.Part:
		return n.Src
	case *score.Measure:
		return n.Src
	case *score.Note:
		return n.Src
	case score.Event:
		return n.Source()
	}
	return 0
}

func nodeName(n score.Node) string {
	switch n := n.(type) {
	case *score.Part:
		return "a part"
	case *score.Measure:
		return "a measure"
	case *score.Note:
		return "note " + n.Pitch.Pretty()
	case *score.Chord:
		if n.IsRest() {
			return "a rest"
		}
		return "a note or chord"
	case *score.Harmony:
		return "chord symbol " + n.Chord.String()
	case *score.KeySignature:
		return "a key signature"
	case *score.NeckChange:
		return "a tuning"
	}
	return "an entry"
}

// event compares an event with the one that was read.
func (ap *applier) event(part *score.Part, measure *score.Measure, h score.Handle, was, now score.Event) {
	switch now := now.(type) {
	case *score.Harmony:
		ap.harmony(h, was.(*score.Harmony).Chord, now.Chord)
	case *score.KeySignature:
		ap.key(part, h, was.(*score.KeySignature), now)
	case *score.Chord:
		w := was.(*score.Chord)
		ap.applyLabels(w, now)
		if w.Duration != now.Duration || w.Voice != now.Voice || w.Grace != now.Grace || len(w.Notes) != len(now.Notes) ||
			!slices.EqualFunc(w.Notes, now.Notes, func(a, b *score.Note) bool { return a.Src == b.Src }) {
			ap.restructured(part, measure)
		}
	case *score.NeckChange:
		ap.neck(h, was.(*score.NeckChange), now)
	case *score.Tempo:
		if w := was.(*score.Tempo); w.QuartersPerMinute != now.QuartersPerMinute {
			ap.tempo(h, now)
		}
	case *score.Words:
		if w := was.(*score.Words); w.Text != now.Text && ap.refs[h].elem != none && w.Kind != "dynamics" && w.Kind != "lyric" {
			for _, e := range ap.elements(h) {
				ap.ed.setContent(e, now.Text)
			}
		} else if w.Text != now.Text || w.Kind != now.Kind {
			ap.fail(h, "%s has changed", nodeName(now))
		}
	case *score.TimeSignature:
		w := was.(*score.TimeSignature)
		if !slices.Equal(w.Beats, now.Beats) || !slices.Equal(w.BeatTypes, now.BeatTypes) || w.Symbol != now.Symbol {
			ap.time(h, now)
		}
	default:
		if !sameButPlace(was, now) {
			ap.fail(h, "%s has changed", nodeName(now))
		}
	}
}

// key edits a key signature by how far it moves on the circle of fifths.
func (ap *applier) key(part *score.Part, h score.Handle, was, now *score.KeySignature) {
	if was.Free != now.Free || was.NoKey != now.NoKey || was.ModeSaid && !now.ModeSaid {
		ap.fail(h, "a key signature has changed its kind")
		return
	}
	staff := [2]any{part, was.Staff}
	before := ap.before[staff]
	ap.before[staff] = now.Key.Fifths() - was.Key.Fifths()
	if ap.refs[h].elem == none || was.Key == now.Key && slices.Equal(was.Alters, now.Alters) {
		return
	}
	ap.parts[part] = struct{}{}
	if now.Free {
		for _, e := range []int32{ap.refs[h].elem, ap.refs[h].twin} {
			if e != none {
				ap.freeKey(e, was.Alters, now.Alters)
			}
		}
		return
	}
	delta := now.Key.Fifths() - was.Key.Fifths()
	for _, e := range []int32{ap.refs[h].elem, ap.refs[h].twin} {
		if e == none {
			continue
		}
		ap.signed[e] = keyChange{delta}
		for _, o := range ap.childrenNamed(e, "key-octave") {
			ap.ed.remove(o)
		}
		if c := ap.x.child(e, "cancel"); c != none {
			if n, err := strconv.Atoi(ap.x.content(c)); err == nil {
				ap.ed.setContent(c, strconv.Itoa(n+before))
			}
		}
		if now.ModeSaid && now.Key.Mode != was.Key.Mode {
			ap.keyMode(e, now.Key.Mode)
		}
		f := ap.x.child(e, "fifths")
		if f == none || delta == 0 {
			continue
		}
		if n, err := strconv.Atoi(ap.x.content(f)); err == nil {
			ap.ed.setContent(f, strconv.Itoa(n+delta))
		}
	}
}

// elements lists the elements that a handle stands for.
func (d *Document) elements(h score.Handle) (list []int32) {
	for _, e := range []int32{d.refs[h].elem, d.refs[h].twin} {
		if e != none {
			list = append(list, e)
		}
	}
	return list
}

// freeKey writes the steps and alterations of a key anew, in place of those
// that are there. Their printed accidentals, where given, follow.
func (ap *applier) freeKey(e int32, was, now []score.KeyAlter) {
	alters := slices.Clone(now)
	if page := ap.keyAlters(e); len(page) > 0 && len(page) == len(was) {
		toPage := was[0].Name.To(page[0].Name)
		for i := range alters {
			alters[i].Name = alters[i].Name.Transpose(toPage)
		}
	}
	var old []int32
	signs := false
	for c := range ap.x.children(e) {
		switch ap.x.name(c) {
		case "key-step", "key-alter":
			old = append(old, c)
		case "key-accidental":
			old = append(old, c)
			signs = true
		}
	}
	if len(old) == 0 {
		return
	}
	start := ap.x.elems[old[0]].start
	indent := string(ap.x.text[ap.ed.lead(start):start])
	var b strings.Builder
	for i, a := range alters {
		if i > 0 {
			b.WriteString(indent)
		}
		fmt.Fprintf(&b, "<key-step>%s</key-step>%s<key-alter>%s</key-alter>", a.Name.Step, indent, decimal(a.Detune.Add(score.Q(int64(a.Name.Alter), 1))))
		if name, ok := accidentalFor("", bearing{}, bearing{a.Name.Alter, a.Detune}); ok && signs {
			fmt.Fprintf(&b, "%s<key-accidental>%s</key-accidental>", indent, name)
		}
	}
	ap.ed.replace(start, ap.x.elems[old[len(old)-1]].end, b.String())
}

// harmony edits a chord symbol: root and bass where no more has changed, so
// that everything else of it stays as it was written.
func (ap *applier) harmony(h score.Handle, was, now theory.Chord) {
	if was == now {
		return
	}
	if was.Quality != now.Quality || was.NoChord != now.NoChord || was.HasBass != now.HasBass {
		for _, e := range []int32{ap.refs[h].elem, ap.refs[h].twin} {
			if e != none && !ap.harmonyAnew(e, now) {
				ap.fail(h, "chord symbol %s became %s, and stands with others in one element", was, now)
			}
		}
		return
	}
	for _, e := range []int32{ap.refs[h].elem, ap.refs[h].twin} {
		if e == none {
			continue
		}
		ap.chordNames(e, "root", now.Root, was.Root.To(now.Root))
		ap.chordNames(e, "bass", now.Bass, was.Root.To(now.Root))
		if was.Root != now.Root {
			ap.frame(e, was, now)
		}
	}
}

// chordNames edits the roots or basses of a chord symbol. The first is the
// model's; further ones, of chords stacked in one element, move as far as the
// root does.
func (ap *applier) chordNames(e int32, what string, first theory.NoteName, by theory.Interval) {
	for i, c := range ap.childrenNamed(e, what) {
		was, ok := ap.noteName(c, what+"-step", what+"-alter")
		to := first
		if i > 0 {
			to = was.Transpose(by)
		}
		if ok && was != to {
			ap.chordName(c, what, to)
		}
	}
}

func (ap *applier) chordName(e int32, what string, n theory.NoteName) {
	step := ap.x.child(e, what+"-step")
	ap.ed.setContent(step, n.Step.String())
	ap.ed.removeAttr(step, "text")
	ap.alter(step, ap.x.child(e, what+"-alter"), what+"-alter", strconv.Itoa(n.Alter))
}

// alter sets, inserts or removes an alteration behind its step.
func (ap *applier) alter(step, alter int32, name, value string) {
	switch {
	case alter == none && value == "0":
	case alter == none:
		ap.ed.insertAfter(step, "<"+name+">"+value+"</"+name+">")
	case value == "0" && ap.x.content(alter) != "0":
		ap.ed.remove(alter)
	default:
		if q, ok := score.ParseQuarters(ap.x.content(alter)); !ok || decimal(q) != value {
			ap.ed.setContent(alter, value)
		}
	}
}
