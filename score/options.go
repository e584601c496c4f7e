package score

import (
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// ReadOptions say what an input leaves out, and where to report to. They are
// the same for all readers. The zero value says nothing and reports nowhere.
type ReadOptions struct {
	Tuning *fretboard.Tuning // open strings; nil for what the input says, else standard
	Capo   *int              // fret of the capo; nil for what the input says, else none
	Frets  int               // frets of the neck from the nut; 0 for fretboard.DefaultFrets
	Key    *theory.Key       // key at the beginning; nil for what the input says
	// TonicOnly tells that Key is a tonic whose mode nobody said. A reader of
	// music that says its mode by itself keeps that.
	TonicOnly bool
	Time      string  // metre at the beginning, "4/4" or "6/8"; "" for what the input says
	Tempo     float64 // quarter notes per minute at the beginning; 0 for what the input says

	// PitchWins makes a reader follow the pitch where pitch and fret of a
	// note contradict each other; by default it follows the fret.
	PitchWins bool

	// Report is told everything short of a failure: what was inferred, what
	// is doubtful, what was not understood. It may be nil.
	Report func(Diagnostic)
}

// WriteOptions say how a new file is laid out, and where to report to.
type WriteOptions struct {
	Width int // columns of text formats; 0 for the format's default
	Sound Sound

	// Report is told what the format cannot hold. It may be nil.
	Report func(Diagnostic)
}

// Sound says how music is played where it is to be heard. The zero value plays
// it once, as it is written.
type Sound struct {
	// Tempo is how many quarter notes per minute it begins with, whatever the
	// music says; later changes keep their ratio to the first. 0 for as written.
	Tempo   float64
	Loop    int      // how often it is played in all; 0 or 1 for once
	CountIn int      // bars of clicks before it
	Click   bool     // clicks along with it
	Chords  bool     // its chord symbols as held chords
	Swing   Quarters // where the second half of a quarter begins, above 1/2 and below 3/4; 0 for straight
}

// FretCount returns the number of frets that the options ask for.
func (o ReadOptions) FretCount() int {
	if o.Frets > 0 {
		return o.Frets
	}
	return fretboard.DefaultFrets
}
