package diagram

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A Diagram is a stretch of a neck with notes on it.
type Diagram struct {
	Title    string // "E shape"; "" for none
	Subtitle string // a line under it; "" for none
	Neck     fretboard.Neck
	From, To int // frets that are shown, both included; 0 shows the open strings
	Dots     []Dot
	Links    []Link
	Spans    []Span
	Moves    []Move
	Silent   []int // strings that are not played
	// Show is what stands in the dots and below them if [Options] do not say;
	// nil for degrees.
	Show []Label
	// Home is what the degrees count from; nil if there is nothing.
	Home *theory.NoteName
	// Over is the chord whose tones are marked; nil for none or several.
	Over *theory.Chord
	// Index is the fret of the index finger where the hand stands in one
	// place, else -1. Its number is marked. Hands are the frets of several
	// positions, lowest first, in pictures that show them together.
	Index int
	Hands []int
	Notes []string // lines under the picture: what is worth knowing
	// Explain is what the labels of the music mean, in lines as in the Legend of
	// a [score.Score].
	Explain []string
	// Caution is said once below all diagrams of a page that have the same.
	Caution string
	// Held marks a chord: it is drawn upright whatever the options say, and one
	// finger on several strings as a bar.
	Held bool
	// Turned draws it upright whatever the options say, as what stands beside a
	// chord.
	Turned bool
	// row marks one of several pictures of one neck that stand one below the
	// other; see [OfRows].
	row bool
	// step marks a step of a phrase: Step is what is said of it over the neck,
	// "note 4: bend full", in place of an order below the dots.
	step bool
	Step string
	// chordal names what is over a chord by its place in it, step by step.
	chordal bool
}

// upright tells whether a diagram is drawn with the nut on top.
func (d Diagram) upright(o Options) bool { return o.Upright || d.Held || d.Turned }

// A Role is what a note is to the chord.
type Role int8

// The roles.
const (
	Other     Role = iota // in no chord, or no tone of it
	ChordTone             // third, fifth, seventh, …
	Root
)

var roleNames = [...]string{Other: "other", ChordTone: "chord tone", Root: "root"}

// String returns "root", "chord tone" or "other".
func (r Role) String() string { return roleNames[r] }

// A Dot is a note at its place.
type Dot struct {
	Place    fretboard.Place
	Pitch    theory.Pitch   // what sounds when the place is stopped
	Degree   theory.Degree  // zero if there is nothing to count from
	Function string         // in the chord: "R", "♭3", "9"; "" without chord
	Fingers  []score.Finger // of the hand on the neck; several if they take turns
	Role     Role
	Reach    float64 // millimetres that a finger reaches out for it; 0 under the hand
	Back     bool    // the reach goes towards the nut
	Repeated bool    // sounds like a note before it in the run
	Dead     bool    // struck without a pitch
	Steps    []Step  // when it is played, in order
	// Faint draws it as a mark without a label: it is on the neck but not what
	// the picture is about.
	Faint bool
	When  When
	// Again marks what is played now and is the next to be played as well.
	Again bool
}

// When is when a dot is played in a picture of one step.
type When int8

// The times: what is played now is drawn in full, what was played just before
// it thinly, what comes next in dashes.
const (
	Now When = iota
	Before
	Next
)

// A Step is one time at which a place is played.
type Step struct {
	Number int     // in the phrase, which may go on from the picture before
	Bend   Bending // zero for none
	// Sign is how it is played besides, in signs of tab: "°" is a harmonic, "T"
	// tapped, "~" vibrato. "" is plainly.
	Sign string
	// Labels are what the music calls the note at that time.
	Labels []score.Annotation
	// Role is what the note is to the chord of that time, Chord the chord's
	// symbol, "" for none. The dot has what holds for the whole picture.
	Role     Role
	Function string // in that chord: "R", "♭3", "9"; "" without one
	Chord    string
}

// A Link leads from one dot to another.
type Link struct {
	From, To fretboard.Place
	Kind     LinkKind
	Joins    []Join // the times that it is played, in order
}

// A Join is the numbers of the two steps that a link joins.
type Join struct{ From, To int }

// A LinkKind is how one note leads to another.
type LinkKind int8

// The kinds. A Slide takes the finger along the string, a StruckSlide strikes
// the note that it leads to as well, a Glissando lets the frets between be heard. A
// Slur is a hammer-on or pull-off.
const (
	Slide LinkKind = iota
	StruckSlide
	Glissando
	Slur
	linkKinds
)

var linkNames = [linkKinds]string{Slide: "slide", StruckSlide: "struck-slide", Glissando: "glissando", Slur: "slur"}

// arched tells whether a curve says that the end is not struck.
func (k LinkKind) arched() bool { return k == Slide || k == Slur }

// A Move takes the hand from one position to the next. There is one for each
// two that follow each other, whatever the number of strings on which it may
// be made.
type Move struct {
	From, To int    // frets of the index finger
	Label    string // "E shape to D shape"
	Ways     []Way  // a string each, the last string first
}

// A Way is a string on which a move may be made: from the last note of the one
// position to the next note that only the other has.
type Way struct{ String, From, To int } // frets

// A Span marks frets along the neck: a position or a pattern.
type Span struct {
	Name     string
	From, To int // frets, both included
	// Before and Beyond say that it goes on before the first fret that is shown,
	// or beyond the last.
	Before, Beyond bool
	// Index is the fret of the index finger, which may lie beyond the picture; 0
	// for none.
	Index int
}

// sized returns the diagram with the frets that it shows: at least four, and
// from the first where little is left before it.
func (d Diagram) sized() Diagram {
	low, high := -1, 0
	for _, dot := range d.Dots {
		if f := dot.Place.Fret; f > 0 {
			if low < 0 || f < low {
				low = f
			}
			high = max(high, f)
		}
	}
	open := slices.ContainsFunc(d.Dots, func(dot Dot) bool { return dot.Place.Fret == 0 })
	switch {
	case low < 0:
		low, high = 1, 4
	case open && low <= 5, low <= 2:
		low = 1
	}
	d.From, d.To = low, min(max(high, low+3), max(d.Neck.TopFret(), high))
	d.From = max(min(d.From, d.To-3), 1)
	if open {
		d.From = 0
	}
	return d
}

// firstStep is the number of the first step.
func (d Diagram) firstStep() int {
	first := 0
	for _, dot := range d.Dots {
		for _, s := range dot.Steps {
			if first == 0 || s.Number < first {
				first = s.Number
			}
		}
	}
	return first
}

// at returns the dot at a place, nil if there is none.
func (d Diagram) at(p fretboard.Place) *Dot {
	for i := range d.Dots {
		if d.Dots[i].Place == p {
			return &d.Dots[i]
		}
	}
	return nil
}

// marks tells whether the index finger stands at a fret.
func (d Diagram) marks(fret int) bool {
	return d.Index >= 0 && fret == fingerFret(d.Index) || slices.Contains(d.Hands, fret)
}

// WithFingers returns the diagram with fingers on the dots that have none yet.
func (d Diagram) WithFingers(fingers map[fretboard.Place][]score.Finger) Diagram {
	d.Dots = slices.Clone(d.Dots)
	for i := range d.Dots {
		if f, ok := fingers[d.Dots[i].Place]; ok && len(d.Dots[i].Fingers) == 0 {
			d.Dots[i].Fingers = f
		}
	}
	return d
}

// barres returns the places that one finger holds across neighbouring
// strings, lowest string number first, each as its first and last string.
func (d Diagram) barres() []barre {
	if !d.Held {
		return nil
	}
	var all []barre
	for _, dot := range d.Dots {
		if len(dot.Fingers) != 1 || dot.Place.Fret == 0 || dot.Faint {
			continue
		}
		finger := dot.Fingers[0]
		if finger < score.Index || finger > score.Little {
			continue
		}
		i := slices.IndexFunc(all, func(b barre) bool { return b.finger == finger && b.fret == dot.Place.Fret })
		if i < 0 {
			all = append(all, barre{finger, dot.Place.Fret, dot.Place.String, dot.Place.String})
			continue
		}
		all[i].first, all[i].last = min(all[i].first, dot.Place.String), max(all[i].last, dot.Place.String)
	}
	return slices.DeleteFunc(all, func(b barre) bool { return b.first == b.last })
}

type barre struct {
	finger      score.Finger
	fret        int
	first, last int // strings
}
