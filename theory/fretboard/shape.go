package fretboard

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/theory"
)

// A Shape is a movable chord shape: the string on which its root lies and the
// finger that stands on it. All else follows from where that puts the hand.
type Shape struct {
	String int // 1 is the first string
	Finger Finger
}

// Shapes returns the chord-shape positions of a tuning: the root under the
// index finger on each of the three lowest strings, and under the little
// finger on each of the two lowest. On a guitar in standard tuning these are
// the E, A, D, G and C shapes. Lowest means lowest in pitch, so that the
// rule holds for re-entrant tunings.
//
// Source: the five shapes of common practice; the rule is computed from them.
func Shapes(t Tuning) []Shape {
	order := byPitch(t)
	return []Shape{
		{order[0], Index}, {order[1], Index}, {order[2], Index}, {order[0], Little}, {order[1], Little},
	}
}

// byPitch returns the numbers of the strings from the lowest pitch to the
// highest; of strings that sound alike, the last first.
func byPitch(t Tuning) []int {
	order := make([]int, t.Len())
	for i := range order {
		order[i] = t.Len() - i
	}
	slices.SortStableFunc(order, func(a, b int) int { return t.Open(a).MIDI() - t.Open(b).MIDI() })
	return order
}

// Letter returns the name of the open chord from which the shape comes: its
// root when the index finger stands at the nut. That means something only
// where the strings from the shape's root up are those of a guitar in
// standard tuning, at any pitch; else ok is false.
func (s Shape) Letter(t Tuning) (letter string, ok bool) {
	std := Standard()
	if s.String < 1 || s.String > min(t.Len(), std.Len()) || s.Finger != Index && s.Finger != Little {
		return "", false
	}
	apart := t.Open(1).MIDI() - std.Open(1).MIDI()
	for i := 1; i <= s.String; i++ {
		if t.Open(i).MIDI()-std.Open(i).MIDI() != apart {
			return "", false
		}
	}
	class := std.Open(s.String).MIDI() + int(s.Finger)
	for _, five := range Shapes(std) {
		if five == s {
			return theory.SpellIn(theory.Key{}, class).NoteName.String(), true
		}
	}
	return "", false
}

// Name returns what players call the shape in a tuning: "E shape", or by the
// string and the finger of its root where the letters of the open chords mean
// nothing: "root on string 5, index finger".
func (s Shape) Name(t Tuning) string {
	if letter, ok := s.Letter(t); ok {
		return letter + " shape"
	}
	return s.rootName()
}

func (s Shape) rootName() string {
	return fmt.Sprintf("root on string %d, %s finger", s.String, s.Finger)
}

// ParseShape reads a shape: the letter of an open chord ("E", "E shape")
// where the tuning has it, or string and finger of the root in either order
// ("string 6 index", "little 5"). Errors are of type [*theory.ParseError].
func ParseShape(t Tuning, text string) (Shape, error) {
	fail := func(msg string) (Shape, error) {
		hint := "the shapes of this tuning: "
		for i, s := range Shapes(t) {
			if i > 0 {
				hint += ", "
			}
			if letter, ok := s.Letter(t); ok {
				hint += letter
			} else {
				hint += fmt.Sprintf("%d %s", s.String, s.Finger)
			}
		}
		return Shape{}, &theory.ParseError{What: "chord shape", Input: text, Msg: msg, Hint: hint}
	}
	words := shapeWords(text)
	if len(words) == 1 && len(words[0]) == 1 && words[0] >= "a" && words[0] <= "z" {
		std := Standard()
		known := false
		for _, s := range Shapes(std) {
			letter, _ := s.Letter(std)
			if !strings.EqualFold(letter, words[0]) {
				continue
			}
			known = true
			if _, ok := s.Letter(t); ok {
				return s, nil
			}
		}
		if known {
			return fail("the open chord of that letter has not this form in the tuning " + t.String())
		}
		return fail("the five shapes come from the open chords C, A, G, E and D")
	}
	s, err := parseRoot(text)
	switch {
	case err != nil:
		return fail(err.(*theory.ParseError).Msg)
	case s.String > t.Len():
		return fail(fmt.Sprintf("the tuning has %d strings", t.Len()))
	}
	return s, nil
}

// shapeWords cuts a shape into the words that say something.
func shapeWords(text string) []string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == '-' })
	return slices.DeleteFunc(words, func(w string) bool {
		return w == "shape" || w == "string" || w == "finger" || w == "root" || w == "on" || w == "form" || w == "the"
	})
}

// parseRoot reads string and finger of a root in either order. Errors are of
// type [*theory.ParseError].
func parseRoot(text string) (Shape, error) {
	fail := func(msg string) (Shape, error) {
		return Shape{}, &theory.ParseError{What: "place of a root", Input: text, Msg: msg,
			Hint: "write its string and finger, as in: string 5, little"}
	}
	s := Shape{Finger: -1}
	for _, w := range shapeWords(text) {
		if n, err := strconv.Atoi(w); err == nil && s.String == 0 && 1 <= n && n <= MaxStrings {
			s.String = n
			continue
		}
		f := slices.Index(fingerNames[:], w)
		if f < 0 || s.Finger >= 0 {
			return fail(fmt.Sprintf("%q is neither a string nor a finger", w))
		}
		s.Finger = Finger(f)
	}
	if s.String == 0 || s.Finger < 0 {
		return fail("it takes the string and the finger of the root")
	}
	return s, nil
}

// ChordShape is the scheme of the positions that come from movable chord
// shapes. Up the neck of a guitar they follow each other as C A G E D, round
// and round.
//
// The shape's first fret is that of the root, or as many frets below it as the
// finger that is on the root. The little finger's root on the second lowest
// string becomes the ring finger's where there is a minor and no major third.
// To the shape belong that fret, the next three and the one before or, at the
// nut, the fourth. The index finger stands at the first fret or one before it,
// where it has to reach out for fewer notes; if it is all the same, at the
// first. A sound that lies both under the hand and in reach is taken under the
// hand.
//
// The zero value has all shapes of the tuning, see [Shapes].
type ChordShape struct {
	Shapes []Shape
}

// String names the scheme.
func (c ChordShape) String() string {
	if len(c.Shapes) == 1 {
		return "chord shape with the " + c.Shapes[0].rootName()
	}
	return "chord shapes"
}

// Regions returns the shapes at all frets where the neck has them, by the
// fret of the index finger. Two shapes that put the hand at one fret, as in
// tunings with two strings an octave apart, are one region with both names.
// A shape is cut off by the end of the neck only if the neck has it nowhere
// else.
func (c ChordShape) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	shapes := c.Shapes
	if len(shapes) == 0 {
		shapes = Shapes(n.Tuning)
	}
	at := map[int][]Shape{} // by fret of the index finger
	for _, s := range shapes {
		if s.String < 1 || s.String > n.Tuning.Len() {
			return nil, fmt.Errorf("there is no string %d in the tuning %s", s.String, n.Tuning)
		}
		for _, index := range s.standsAt(n, t) {
			at[index] = append(at[index], s)
		}
	}
	var regions []Region
	for index, shared := range at {
		r := standing(n, t, index, "")
		r.Name, r.held = r.named(t, shared)
		if index+handFrets-1 > n.TopFret() {
			r.Remarks = append(r.Remarks, fmt.Sprintf("the neck ends under the hand, at fret %d", n.TopFret()))
		}
		regions = append(regions, r)
	}
	if len(regions) == 0 {
		return nil, fmt.Errorf("no shape of %s fits on a neck of %d frets", t.Title, n.TopFret())
	}
	slices.SortFunc(regions, func(a, b Region) int {
		return cmp.Or(cmp.Compare(a.Index, b.Index), cmp.Compare(a.High, b.High), strings.Compare(a.Name, b.Name))
	})
	return regions, nil
}

// named returns the names of the shapes that stand in a region: as they are
// played in a run, and as a chord of them is held. Where the letters of the
// open chords mean nothing the name says which finger has the root, which in a
// run is not always the one of the chord: at the nut, where the open string
// stands in for the index finger, and where the hand stands a fret before the
// shape.
func (r Region) named(t ToneSet, shapes []Shape) (name, held string) {
	var names, grips []string
	for _, s := range shapes {
		grips = append(grips, s.Name(r.Neck.Tuning))
		if _, ok := s.Letter(r.Neck.Tuning); ok {
			names = append(names, grips[len(grips)-1])
			continue
		}
		names = append(names, r.rootNamed(t, s))
	}
	return strings.Join(names, " and "), strings.Join(grips, " and ")
}

// rootNamed names a shape by the finger that has its root in a run.
func (r Region) rootNamed(t ToneSet, s Shape) string {
	lay := r.Lay(t)
	fingers := lay.Fingers()
	for _, spot := range lay.Spots {
		if spot.Place.String != s.String || spot.Pitch.Class() != t.Tonic.Class() {
			continue
		}
		if spot.Place.Fret == 0 {
			return fmt.Sprintf("root on string %d, open", s.String)
		}
		if f, ok := fingers[spot.Place]; ok {
			return Shape{s.String, f}.rootName()
		}
	}
	return s.rootName()
}

// standsAt returns the frets of the index finger.
func (s Shape) standsAt(n Neck, t ToneSet) []int {
	finger := s.Finger
	second := byPitch(n.Tuning)[1]
	if _, guitar := s.Letter(n.Tuning); guitar {
		second = byPitch(Standard())[1] // whatever strings lie below a guitar's
	}
	if finger == Little && s.String == second && t.hasMinorThirdOnly() {
		finger = Ring
	}
	first := t.Tonic.Class() - n.Stopped(Place{String: s.String}) - int(finger)
	first = (first%12 + 12) % 12
	var whole, cut []int
	for index := first; index <= n.TopFret(); index += 12 {
		if index+handFrets-1 <= n.TopFret() {
			whole = append(whole, index)
		} else {
			cut = append(cut, index)
		}
	}
	if len(whole) == 0 {
		return cut
	}
	return whole
}

// standing returns the region of a shape whose root puts the index finger at a
// fret: that fret with the next three, and one fret before it or, at the nut,
// one after. The hand stands where it has to reach out for the fewest notes: at
// that fret or one before. So G major in the E shape is played from fret 2,
// though the chord is held with the index finger at its root, at fret 3.
func standing(n Neck, t ToneSet, root int, name string) Region {
	if root == 0 {
		return nutHand(n).region(name).at(0)
	}
	chord := hand{neck: n, index: root, cover: handFrets, back: 1}
	best := chord.region(name)
	before := nutHand(n)
	if root > 1 {
		before = hand{neck: n, index: root - 1, cover: handFrets, forward: 1}
	}
	if r := before.region(name).at(root - 1); r.reaches(t) < best.reaches(t) {
		r.grip, r.gripAt = chord.fit, root
		return r
	}
	return best
}

// nutHand is the hand in open position: the open strings stand in for the
// index finger, which has the first fret.
func nutHand(n Neck) hand { return hand{neck: n, index: 1, cover: handFrets, open: true} }

// at returns the region with the index finger said to be at a fret.
func (r Region) at(index int) Region {
	r.Index = index
	return r
}

// reaches counts the notes for which the hand reaches out.
func (r Region) reaches(t ToneSet) int {
	n := 0
	for _, s := range r.Lay(t).Spots {
		if s.Reach > 0 {
			n++
		}
	}
	return n
}
