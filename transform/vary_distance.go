package transform

import (
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A PhraseShape is what two phrases are compared by: where the line of the
// first voice lies at each moment, when notes are struck, what degree sounds on
// each strong beat, and where on the neck each note is played.
type PhraseShape struct {
	// Line has the sound at each change, in semitones above the first note,
	// and where it is played.
	Line []ShapeStep
	// Onsets are the times at which something is struck, rising. All times are
	// quarter notes from the first whole bar; those of a pickup are negative.
	Onsets []score.Quarters
	// Strong has the pitch class above the tonic that sounds on each strong
	// beat, in order of time; −1 for silence.
	Strong     []StrongDegree
	Begin, End score.Quarters
}

// A ShapeStep is what holds from a time until the next step.
type ShapeStep struct {
	At    score.Quarters
	Rest  bool
	Above int             // semitones above the first note
	Place fretboard.Place // zero if the note is on no neck
}

// A StrongDegree is what sounds on a strong beat.
type StrongDegree struct {
	At    score.Quarters
	Class int // 0 to 11 above the tonic, −1 for silence
}

// The weights of the four parts of a distance, and what each is measured in. A
// difference in pitch or place counts no more once it is this large.
const (
	contourWeight, rhythmWeight, degreeWeight, placeWeight = 0.35, 0.25, 0.2, 0.2

	contourCap  = 12.0 // semitones
	fretCap     = 12.0 // frets
	stringCap   = 6.0  // strings
	placeUnlike = 1.0  // between a place and none
)

// Distance returns how different two phrases are, between 0 for the same shape
// and about 1. It is the weighted sum of four distances, each a metric (never
// negative, the same both ways, and no further than over a third phrase), so
// it is a metric too, for any one length by which it is measured, in quarter
// notes:
//
//   - contour, 0.35: how far apart the lines lie, each above its first note, an
//     octave at most, silence being an octave from any sound; the mean over the
//     length.
//   - rhythm, 0.25: of the times at which either strikes a note, the share at
//     which only one does (the distance of Jaccard, which Marczewski and
//     Steinhaus, Colloquium Mathematicum 6, 1958, proved to be a metric).
//   - degrees, 0.2: the strong beats on which different degrees sound, for each
//     half note of the length.
//   - place, 0.2: how far apart the notes lie on the neck, in twelfths of an
//     octave of frets and sixths of a width of strings, one at most; the mean
//     over the length.
func (a *PhraseShape) Distance(b *PhraseShape, length score.Quarters) float64 {
	return a.distance(b, length, nil)
}

// distance is that of Distance, with another distance of places if apart is not
// nil.
func (a *PhraseShape) distance(b *PhraseShape, length score.Quarters, apart func(x, y ShapeStep) float64) float64 {
	if apart == nil {
		apart = placeBetween
	}
	contour, place := a.along(b, apart)
	unit := length.Float()
	return contourWeight*contour/unit + placeWeight*place/unit + rhythmWeight*a.rhythm(b) + degreeWeight*float64(a.degrees(b))/(unit/2)
}

// along returns how far apart line and places lie, over all of time.
func (a *PhraseShape) along(b *PhraseShape, apart func(x, y ShapeStep) float64) (contour, place float64) {
	i, j := -1, -1
	t := a.Begin
	if b.Begin.Less(t) {
		t = b.Begin
	}
	for {
		// What holds at t, and when it changes next.
		for i+1 < len(a.Line) && !t.Less(a.Line[i+1].At) {
			i++
		}
		for j+1 < len(b.Line) && !t.Less(b.Line[j+1].At) {
			j++
		}
		next, more := a.changeAfter(i, t)
		if other, ok := b.changeAfter(j, t); ok && (!more || other.Less(next)) {
			next, more = other, true
		}
		if !more {
			return contour, place
		}
		d := next.Sub(t).Float()
		x, y := a.stepAt(i, t), b.stepAt(j, t)
		contour += d * contourBetween(x, y)
		place += d * apart(x, y)
		t = next
	}
}

// changeAfter returns when something changes next after a time at which a step
// holds.
func (a *PhraseShape) changeAfter(i int, t score.Quarters) (score.Quarters, bool) {
	if i+1 < len(a.Line) && a.Line[i+1].At.Less(a.End) {
		return a.Line[i+1].At, true
	}
	return a.End, t.Less(a.End)
}

// stepAt returns a step of the line, silence before the first and after the
// end.
func (a *PhraseShape) stepAt(i int, t score.Quarters) ShapeStep {
	if i < 0 || !t.Less(a.End) {
		return ShapeStep{Rest: true}
	}
	return a.Line[i]
}

func contourBetween(x, y ShapeStep) float64 {
	switch {
	case x.Rest && y.Rest:
		return 0
	case x.Rest || y.Rest:
		return 1
	}
	return min(1, math.Abs(float64(x.Above-y.Above))/contourCap)
}

func placeBetween(x, y ShapeStep) float64 {
	none := func(s ShapeStep) bool { return s.Rest || s.Place.IsZero() }
	switch {
	case none(x) && none(y):
		return 0
	case none(x) || none(y):
		return placeUnlike
	}
	frets := math.Abs(float64(x.Place.Fret-y.Place.Fret)) / fretCap
	strings := math.Abs(float64(x.Place.String-y.Place.String)) / stringCap
	return min(1, frets+strings)
}

// rhythm returns the share of onsets that only one of the two has.
func (a *PhraseShape) rhythm(b *PhraseShape) float64 {
	both := 0
	for _, t := range a.Onsets {
		if _, ok := slices.BinarySearchFunc(b.Onsets, t, score.Quarters.Cmp); ok {
			both++
		}
	}
	either := len(a.Onsets) + len(b.Onsets) - both
	if either == 0 {
		return 0
	}
	return float64(either-both) / float64(either)
}

// degrees counts the strong beats on which different things sound. Where one
// of the two has no beat there is silence.
func (a *PhraseShape) degrees(b *PhraseShape) int {
	of := func(list []StrongDegree, at score.Quarters) int {
		if i, ok := slices.BinarySearchFunc(list, at, func(s StrongDegree, t score.Quarters) int { return s.At.Cmp(t) }); ok {
			return list[i].Class
		}
		return -1
	}
	count := 0
	for _, s := range a.Strong {
		if of(b.Strong, s.At) != s.Class {
			count++
		}
	}
	for _, s := range b.Strong {
		if _, ok := slices.BinarySearchFunc(a.Strong, s.At, func(s StrongDegree, t score.Quarters) int { return s.At.Cmp(t) }); !ok && s.Class != -1 {
			count++
		}
	}
	return count
}

// ShapeOf returns the shape of a part, by its first voice; of chords the
// highest note counts. Grace notes have no time and count not.
func ShapeOf(s *score.Score, part int) *PhraseShape { return phraseShapeOf(lookAt(s, part, nil)) }

// phraseShapeOf returns the shape of what is read as lines.
func phraseShapeOf(v *varied) *PhraseShape {
	p := v.part
	origin := v.origin()
	shape := &PhraseShape{Begin: origin.Neg(), End: v.total().Sub(origin)}
	if len(v.lines) == 0 {
		return shape
	}
	line := v.lines[0]
	first := 0
	now := shape.Begin
	for i, t := range line.tones {
		at := t.at.Sub(origin)
		if now.Less(at) {
			shape.Line = append(shape.Line, ShapeStep{At: now, Rest: true})
		}
		if i == 0 {
			first = t.top()
		}
		top := t.topNote()
		shape.Line = append(shape.Line, ShapeStep{At: at, Above: top.Sounding() - first, Place: top.Place})
		shape.Onsets = append(shape.Onsets, at)
		now = at.Add(t.length)
	}
	if now.Less(shape.End) {
		shape.Line = append(shape.Line, ShapeStep{At: now, Rest: true})
	}
	all, begins := pulses(p), starts(p)
	k := 0
	for i, m := range p.Measures {
		for _, at := range all[i].strongTimes(shortBy(p, i), m.Length) {
			t := begins[i].Add(at)
			for k < len(line.tones) && !t.Less(line.tones[k].end()) {
				k++
			}
			class := -1
			if k < len(line.tones) && !t.Less(line.tones[k].at) {
				_, class = floorDiv(line.tones[k].top()-v.key.Tonic.Class(), 12)
			}
			shape.Strong = append(shape.Strong, StrongDegree{t.Sub(origin), class})
		}
	}
	return shape
}
