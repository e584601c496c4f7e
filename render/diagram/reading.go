package diagram

import (
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A Reading is how notes are read: what degrees count from, and over which
// chord they are heard.
type Reading struct {
	Home  *theory.NoteName // nil for nothing to count from
	Chord *theory.Chord    // nil for none
}

// ReadingOf reads tones as they are titled: those of a chord over the chord,
// and a scale over the triad on its tonic, if it has one.
func ReadingOf(t fretboard.ToneSet) Reading {
	home := t.Tonic
	r := Reading{Home: &home}
	if c, err := theory.ParseChord(t.Title); err == nil && c.Root == home && c.Classes() == t.Set() {
		r.Chord = &c
		return r
	}
	for _, quality := range [...]string{"", "m", "dim", "+"} {
		c := theory.Chord{Root: home, Quality: quality}
		if t.Set().Holds(c.Classes()) {
			r.Chord = &c
			break
		}
	}
	return r
}

// role returns what a note is.
func (r Reading) role(n theory.NoteName) Role {
	switch {
	case r.Chord != nil && n.Class() == r.Chord.Root.Class(), r.Chord == nil && r.Home != nil && n.Class() == r.Home.Class():
		return Root
	case r.Chord != nil && r.Chord.Classes().Has(n.Class()):
		return ChordTone
	}
	return Other
}

// degree returns the degree of a note, zero without home.
func (r Reading) degree(n theory.NoteName) theory.Degree {
	if r.Home == nil {
		return theory.Degree{}
	}
	return theory.DegreeOf(*r.Home, n)
}

// function names a note over the chord: R for the root, its degree for a
// chord tone, and for other notes the extension: 9, 11, 13.
func (r Reading) function(n theory.NoteName) string {
	if r.Chord == nil || r.Chord.NoChord {
		return ""
	}
	d, in := r.Chord.DegreeOf(n)
	switch {
	case n.Class() == r.Chord.Root.Class():
		return "R"
	case !in && (d.Number == 2 || d.Number == 4 || d.Number == 6):
		d.Number += 7
	}
	return prettyDegree(d)
}

// dot makes the dot of a spot. Its degree is the layout's own.
func (r Reading) dot(s fretboard.Spot, index int) Dot {
	return Dot{
		Place: s.Place, Pitch: s.Pitch, Degree: s.Degree, Function: r.function(s.Pitch.NoteName), Role: r.role(s.Pitch.NoteName),
		Reach: s.Reach, Back: s.Reach > 0 && s.Place.Fret < index, Repeated: s.Repeated,
	}
}
