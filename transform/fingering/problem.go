package fingering

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A Problem is music to be put on a neck.
type Problem struct {
	Neck fretboard.Neck
	// ScaleLength is the length of the open string in millimetres; 0 for
	// [fretboard.ScaleLength].
	ScaleLength float64
	// Hand is how far fingers reach; the zero value is [NormalHand].
	Hand Hand
	// Groups are the notes struck together, in order of onset.
	Groups []Group
	// Prefer says of a place of a note what it costs on top of the terms, in
	// the unit of the total, and whether the place may be used at all: this
	// is how a position scheme makes itself felt. nil allows every place at
	// no cost.
	Prefer func(group, note int, p fretboard.Place) (cost float64, ok bool)
}

// A Group is the notes that are struck at one time.
type Group struct {
	Onset float64 // quarter notes from the beginning; rises from group to group
	Tempo float64 // quarter notes per minute from here; 0 for as before, at first 90
	Notes []Note
}

// DefaultTempo is the tempo where none is said, in quarter notes per minute.
const DefaultTempo = 90

// A Note is one note of a group. The zero value of each field but the pitch
// says nothing about the note.
type Note struct {
	Pitch    int     // MIDI key number of the stopped pitch; of the sound for a Harmonic
	Duration float64 // quarter notes for which it is written to sound

	Strings  uint16       // strings that it may lie on, bit s for string s; 0 for any
	Fret     int          // 1 + the fret prescribed; 0 for any
	Finger   score.Finger // prescribed; score.FingerOpen asks for the open string
	MinFret  int          // lowest fret at which it can be played as it is marked
	MaxFret  int          // highest; 0 for the end of the neck
	Harmonic bool         // natural: it lies at a node
	Free     bool         // it needs no finger of the fretting hand: tapped, dead on an open string
	Bend     float64      // semitones by which the string is pushed
	Ring     bool         // it must not be cut before its duration is over

	// Join ties the note to an earlier one, that must be on the same string.
	Join Join
	From Ref
}

// A Ref names a note of a problem.
type Ref struct{ Group, Note int }

// A Join is a technique that keeps its string.
type Join int8

// HammerOn must go up and PullOff down, with two fingers; Slide keeps its
// finger; SameString asks for the string alone.
const (
	NotJoined Join = iota
	HammerOn
	PullOff
	Slide
	SameString
)

// A Stop is where and how a note is stopped. The zero value is nowhere.
type Stop struct {
	Place  fretboard.Place
	Finger score.Finger // NoFinger for an open string and for what needs none
}

// A Fingering is a solution of a problem.
type Fingering struct {
	Cost  float64
	Stops [][]Stop // by group and note; the zero Stop where a note has no place
	Hand  []int    // written fret at which the index finger stands, by group
	// Breaks are where the music could not be played as it is asked for.
	Breaks []Break
	// Cut are notes that are let go before their written duration is over.
	Cut []Cut
}

// A Cut is a note that does not sound as long as it is written: at a group it
// is let go.
type Cut struct {
	Note  Ref
	Group int
}

// A Break is something in a problem that no hand can do. The fingering goes on
// without it.
type Break struct {
	Group int
	// Notes of the group that were left without a place; empty if all have
	// one and only the way there is broken: a join, or notes that should
	// have rung on.
	Notes  []int
	Reason string
}

// A Hand says how far two fingers reach along the neck, in millimetres.
// Reach[i][j] with i < j is for the fingers i and j, 1 being the index finger.
type Hand struct{ Reach [5][5]float64 }

// NormalHand reaches from fret 1 to fret 5 of a string of 648 mm with index
// and little finger. Source: common practice for the whole reach (one finger
// per fret and a stretch of a fret); the inner pairs from memory of what
// methods ask for.
func NormalHand() Hand { return handOf(1) }

// SmallHand and LargeHand reach a tenth less and an eighth more.
func SmallHand() Hand { return handOf(0.9) }

// LargeHand reaches an eighth more than [NormalHand].
func LargeHand() Hand { return handOf(1.125) }

// HandOfSpan scales the normal hand so that index and little finger reach so
// many millimetres.
func HandOfSpan(mm float64) Hand { return handOf(mm / normalSpan) }

const normalSpan = 126.2

func handOf(scale float64) Hand {
	var h Hand
	h.Reach[1] = [5]float64{2: 72, 3: 101, 4: normalSpan}
	h.Reach[2] = [5]float64{3: 54, 4: 84}
	h.Reach[3] = [5]float64{4: 54}
	for i := range h.Reach {
		for j := range h.Reach[i] {
			h.Reach[i][j] *= scale
		}
	}
	return h
}

// comfort is how far apart two fingers rest without strain: one finger per
// fret, as wide as the frets 1 and 2 are apart.
func comfort(i, j int) float64 { return 36 * float64(j-i) }
