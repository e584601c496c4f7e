package musicxml

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// Apply returns the document with the music of s in it, which is a changed
// clone of the score that was read. Only what differs is edited, in place;
// every other byte stays. It always starts from what was read, so applying
// twice is applying the second.
//
// What can be applied: pitches, keys, chord symbols, places, fingers and
// techniques. Notes added or removed, and changes of time, of metre or of
// tuning cannot; they are errors, of type [score.Diagnostics], and nothing is
// done then. s is not to be changed afterwards.
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
func (d *Document) Apply(s *score.Score) (*Document, error) {
	ap := &applier{Document: d, ed: editor{x: d.x}, seen: make([]bool, len(d.refs)),
		moved: map[int32]theory.Pitch{}, signed: map[int32]keyChange{}, parts: map[*score.Part]struct{}{},
		dropped: map[int32]bool{}, filled: map[int32]bool{}}
	ap.walk(s)
	if len(ap.errs) > 0 {
		ap.errs.Sort()
		return nil, ap.errs
	}
	ap.flushDrops()
	ap.accidentals(s)
	ap.stems(s)
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
	bar    string                 // number of the measure, for messages

	dropped map[int32]bool           // elements in <notations> to be removed
	filled  map[int32]bool           // containers that get something new
	parts   map[*score.Part]struct{} // parts in which pitches or keys change
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

// walk compares the score with the one that was read, node by node.
func (ap *applier) walk(s *score.Score) {
	var part *score.Part
	for n := range score.Preorder(s) {
		h := handleOf(n)
		if h <= 0 || int(h) >= len(ap.node) || reflect.TypeOf(ap.node[h]) != reflect.TypeOf(n) {
			ap.fail(0, "something was added that the file does not have (%s)", nodeName(n))
			continue
		}
		if ap.seen[h] {
			ap.fail(h, "%s is there twice", nodeName(n))
		}
		ap.seen[h] = true
		switch n := n.(type) {
		case *score.Part:
			part = n
		case *score.Measure:
			ap.bar = n.Number
		case *score.Note:
			ap.note(part, h, ap.node[h].(*score.Note), n)
		case score.Event:
			if was := commonOf(ap.node[h].(score.Event)); was.Onset != n.At() || was.Staff != n.OnStaff() {
				ap.fail(h, "%s has moved in time or to another staff", nodeName(n))
			}
			ap.event(part, h, ap.node[h].(score.Event), n)
		}
	}
	for n := range score.Preorder(ap.base) {
		if h := handleOf(n); !ap.seen[h] {
			ap.fail(h, "%s was taken out", nodeName(n))
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
func (ap *applier) event(part *score.Part, h score.Handle, was, now score.Event) {
	switch now := now.(type) {
	case *score.Harmony:
		ap.harmony(h, was.(*score.Harmony).Chord, now.Chord)
	case *score.KeySignature:
		ap.key(part, h, was.(*score.KeySignature), now)
	case *score.Chord:
		w := was.(*score.Chord)
		if w.Duration != now.Duration || w.Voice != now.Voice || w.Grace != now.Grace || len(w.Notes) != len(now.Notes) ||
			!slices.EqualFunc(w.Notes, now.Notes, func(a, b *score.Note) bool { return a.Src == b.Src }) {
			ap.fail(h, "a chord's notes, voice or duration have changed")
		}
	case *score.NeckChange:
		w := was.(*score.NeckChange)
		if ap.refs[h].elem != none && (!w.Neck.Tuning.Sounds(now.Neck.Tuning) || w.Neck.Capo != now.Neck.Capo) {
			ap.fail(h, "the tuning or capo has changed")
		}
	default:
		if !reflect.DeepEqual(was, now) {
			ap.fail(h, "%s has changed", nodeName(now))
		}
	}
}

// key edits a key signature by how far it moves on the circle of fifths.
func (ap *applier) key(part *score.Part, h score.Handle, was, now *score.KeySignature) {
	if was.Free != now.Free || was.Key.Mode != now.Key.Mode {
		ap.fail(h, "a key signature has changed its kind")
		return
	}
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
		f := ap.x.child(e, "fifths")
		if f == none {
			continue
		}
		if n, err := strconv.Atoi(ap.x.content(f)); err == nil {
			ap.ed.setContent(f, strconv.Itoa(n+delta))
		}
	}
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

// harmony edits root and bass of a chord symbol.
func (ap *applier) harmony(h score.Handle, was, now theory.Chord) {
	if was == now {
		return
	}
	if was.Quality != now.Quality || was.NoChord != now.NoChord || was.HasBass != now.HasBass {
		ap.fail(h, "chord symbol %s became %s: only root and bass can change", was, now)
		return
	}
	for _, e := range []int32{ap.refs[h].elem, ap.refs[h].twin} {
		if e == none {
			continue
		}
		if was.Root != now.Root {
			ap.chordName(ap.x.child(e, "root"), "root", now.Root)
			ap.frame(e, was, now)
		}
		if was.Bass != now.Bass {
			ap.chordName(ap.x.child(e, "bass"), "bass", now.Bass)
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
