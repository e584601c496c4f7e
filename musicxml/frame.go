package musicxml

import (
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// frameReach is the widest reach of a moved chord diagram in millimetres,
// that of frets 1 to 5 on a neck of the usual length.
var frameReach = fretboard.FretDistance(5, fretboard.ScaleLength) - fretboard.FretDistance(1, fretboard.ScaleLength)

// A frameShape is what a chord diagram shows. Frets count from the nut.
type frameShape struct {
	frets  []int   // of the dots
	elems  []int32 // their <fret> elements
	first  int32   // <first-fret>, or none
	height int     // frets that the diagram is high
	open   bool    // a string is played open
}

func (d *Document) frameShape(frame int32) frameShape {
	s := frameShape{first: d.x.child(frame, "first-fret"), height: 4}
	if n, err := strconv.Atoi(d.x.childContent(frame, "frame-frets")); err == nil && n > 0 {
		s.height = n
	}
	for fn := range d.x.children(frame) {
		if d.x.name(fn) != "frame-note" {
			continue
		}
		if e := d.x.child(fn, "fret"); e != none {
			n, err := strconv.Atoi(d.x.content(e))
			if err != nil {
				continue
			}
			s.frets, s.elems = append(s.frets, n), append(s.elems, e)
			s.open = s.open || n == 0
		}
	}
	return s
}

// shift returns by how many frets the shape moves to sound so many semitones
// higher, in any octave: to the lowest place on the neck where a hand can
// hold it. Open strings then lie under the first finger, so the shape must
// have a finger to spare and stay within reach.
func (s frameShape) shift(semitones int) (frets int, ok bool) {
	low, high, fretted := 100, 0, 0
	for _, f := range s.frets {
		low, high = min(low, f), max(high, f)
		if f > 0 {
			fretted++
		}
	}
	if len(s.frets) == 0 {
		return 0, false
	}
	for frets = semitones - 12; frets <= semitones; frets += 12 {
		if low+frets < 1 || high+frets > fretboard.DefaultFrets {
			continue
		}
		reach := fretboard.FretDistance(high+frets, fretboard.ScaleLength) - fretboard.FretDistance(low+frets, fretboard.ScaleLength)
		if s.open && (fretted > 3 || reach > frameReach) {
			return 0, false
		}
		return frets, true
	}
	return 0, false
}

// frame moves the chord diagram of a chord symbol with its root. A shape that
// cannot move is taken out and reported.
func (ap *applier) frame(harmony int32, was, now theory.Chord) {
	frame := ap.x.child(harmony, "frame")
	semitones := (now.Root.Class() - was.Root.Class() + 12) % 12
	if frame == none || semitones == 0 {
		return
	}
	s := ap.frameShape(frame)
	frets, ok := s.shift(semitones)
	if !ok {
		ap.ed.remove(frame)
		if ap.report != nil {
			ap.report(score.Diagnostic{Severity: score.Warning, Code: "xml-frame", Pos: ap.posOf(frame),
				Msg:  "the chord diagram of " + was.String() + " cannot be held as " + now.String() + "; it is taken out",
				Hint: "draw one that suits the new key"})
		}
		return
	}
	low, high := 100, 0
	for i, f := range s.frets {
		ap.ed.setContent(s.elems[i], strconv.Itoa(f+frets))
		low, high = min(low, f+frets), max(high, f+frets)
	}
	ap.firstFret(frame, s, low, high)
	if s.open {
		for fn := range ap.x.children(frame) {
			if f := ap.x.child(fn, "fingering"); f != none {
				ap.ed.remove(f) // other fingers now
			}
		}
	}
}

// firstFret makes the diagram begin where the shape does, if it would not fit
// from the nut.
func (ap *applier) firstFret(frame int32, s frameShape, low, high int) {
	old := 1
	if s.first != none {
		old, _ = strconv.Atoi(ap.x.content(s.first))
	}
	first := 1
	if high > s.height {
		first = low
	}
	switch {
	case first == old:
	case s.first != none && first == 1:
		ap.ed.remove(s.first)
	case s.first != none:
		ap.ed.setContent(s.first, strconv.Itoa(first))
		if text, ok := ap.x.attr(s.first, "text"); ok {
			if start, end, found := ap.ed.findAttr(s.first, "text"); found {
				ap.ed.replace(start, end, `text="`+escape(strings.Replace(text, strconv.Itoa(old), strconv.Itoa(first), 1))+`"`)
			}
		}
	default:
		ap.ed.insertAfter(ap.x.child(frame, "frame-frets"), "<first-fret>"+strconv.Itoa(first)+"</first-fret>")
	}
	if need := high - first + 1; need > s.height {
		ap.ed.setContent(ap.x.child(frame, "frame-frets"), strconv.Itoa(need))
	}
}
