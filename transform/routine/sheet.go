package routine

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A Sheet is a practice sheet in one key.
type Sheet struct {
	Title string // "C major, chord shapes"
	Neck  fretboard.Neck
	Pages []Page
	// Said is what is to be known about the sheet beside what its pages say:
	// wide stretches and what could not be done.
	Said score.Diagnostics

	time   *score.TimeSignature
	value  score.Quarters
	ladder Ladder
}

// A Page is what is practised in one position.
type Page struct {
	Title  string           // "C major, E shape"
	Layout fretboard.Layout // of the scale
	// Mode is the scale whose notes the page holds, on the note with which
	// it begins: "D dorian" for three notes per string from the 2 of C major.
	Mode      string
	Key       *theory.Key // nil where no signature suits the scale
	Low, High int         // frets of the scale, from the capo
	Facts     []string    // position, frets and mode, and what else is to be known
	Caution   string      // "" where no stretch is wide
	Exercises []Exercise
}

// An Exercise is something to play under a heading.
type Exercise struct {
	Kind  Kind
	Title string
	Words []string // said under the title, a line each
	Lines []Line   // none where Words say why there is nothing to play
}

// A Line is notes that follow each other, from a bar line on.
type Line []Moment

// A Moment is what is struck at one time.
type Moment struct {
	Notes  []Note
	Length score.Quarters // 0 for the note value of the sheet
	Chord  *theory.Chord  // symbol over it; nil for none
}

// A Note is a note at its place with what the hands do.
type Note struct {
	fretboard.Spot
	Finger score.Finger
	Marks  []score.Mark
	// OverChord labels the note as a tone of the chord that it is played
	// over: R for its root.
	OverChord bool
	// Slid marks a note that the finger of the moment before slides to; it is
	// struck.
	Slid bool
}

// line makes a line of spots, one after the other.
func line(spots []fretboard.Spot, hand fingers) Line {
	l := make(Line, len(spots))
	for i, s := range spots {
		l[i] = Moment{Notes: []Note{hand.note(s)}}
	}
	return l
}

// under puts a chord symbol over the first moment of a line.
func (l Line) under(c theory.Chord) Line {
	if len(l) > 0 {
		l[0].Chord = &c
	}
	return l
}
