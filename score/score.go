package score

import (
	"slices"
	"strings"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A Handle ties a node to the place in the source that it was read from. Only
// the reader that gave it can resolve it ([Score.Locator] does). 0 means that
// the node was made, not read. A handle is unique within a score.
type Handle int32

// A Locator resolves handles to source positions. Readers provide it.
type Locator interface {
	// Locate returns the position of the node, the zero Pos if unknown.
	Locate(Handle) Pos
}

// A Score is a whole piece.
type Score struct {
	Title    string
	Subtitle string
	Composer string
	Parts    []*Part
	// Legend explains the annotations, in lines of the form "KIND: text"; see
	// [LegendKind]. It is nil where there are none to explain.
	Legend  []string
	Locator Locator // nil for a score that was made, not read
	Src     Handle
}

// PosOf returns where a handle points in the source, the zero Pos if it
// points nowhere.
func (s *Score) PosOf(h Handle) Pos {
	if s.Locator == nil || h == 0 {
		return Pos{}
	}
	return s.Locator.Locate(h)
}

// A Part is the music of one player. A staff pair that shows one music twice,
// as notation and as tab, is one staff here.
type Part struct {
	ID           string
	Name         string
	Abbreviation string
	Staves       int // 1 or more
	Measures     []*Measure
	Src          Handle
}

// Fretted tells whether the part has a neck anywhere.
func (p *Part) Fretted() bool {
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if _, ok := e.(*NeckChange); ok {
				return true
			}
		}
	}
	return false
}

// A Measure is one bar.
type Measure struct {
	Number   string   // as printed; "" if the page has none
	Implicit bool     // a pickup or split bar that is not counted
	Length   Quarters // as long as its music really is
	Nominal  Quarters // as long as the time signature says; 0 without metre
	// Events are sorted by onset; those with the same onset stand in the
	// order of the source, in which a grace note precedes its main note.
	Events []Event
	Route  Route // where to go on from it
	Src    Handle
}

// An Event is something that happens at a time in a measure: [*Chord],
// [*Harmony], [*KeySignature], [*TimeSignature], [*Tempo], [*NeckChange],
// [*PageTranspose], [*Clef], [*Barline] or [*Words]. The set is closed.
type Event interface {
	Node
	// At returns the onset, counted from the start of the measure.
	At() Quarters
	// OnStaff returns the staff, 1 being the first; 0 means all of the part.
	OnStaff() int
	// Source returns the source handle, 0 if made.
	Source() Handle
	// Shared returns what all events have, to be read or changed.
	Shared() *Common
	event()
}

// Common is what all events have.
type Common struct {
	Onset Quarters // from the start of the measure
	Staff int      // 1 is the first; 0 means every staff of the part
	Src   Handle
}

// At returns the onset, counted from the start of the measure.
func (c *Common) At() Quarters { return c.Onset }

// OnStaff returns the staff, 0 meaning every staff of the part.
func (c *Common) OnStaff() int { return c.Staff }

// Source returns the source handle, 0 if made.
func (c *Common) Source() Handle { return c.Src }

// Shared returns what all events have, to be read or changed.
func (c *Common) Shared() *Common { return c }

func (c *Common) event() {}
func (c *Common) node()  {}

// A Chord is what one voice plays or rests at a time: one note or several
// struck together, or none, which is a rest.
type Chord struct {
	Common
	Duration Quarters // sounding; 0 for grace notes
	Voice    int      // 1 is the first
	Notes    []*Note  // empty for a rest; in the order of the source
	Grace    Grace
	Cue      bool      // small notes that are not played
	Value    NoteValue // how the page writes the duration; zero if the source did not say
	Tuplets  []Tuplet  // that hold it, outermost first
	Tremolo  int       // strokes of a single-note tremolo, 0 for none
	// WholeMeasure marks a rest that fills its measure, whatever its length.
	WholeMeasure bool
	// InferredTime marks onset and duration as inferred from layout.
	InferredTime bool
}

// IsRest tells whether nothing sounds.
func (c *Chord) IsRest() bool { return len(c.Notes) == 0 }

// End returns the time at which the chord ends in its measure.
func (c *Chord) End() Quarters { return c.Onset.Add(c.Duration) }

// Grace tells whether and how a chord is a grace note.
type Grace int8

// Slashed is an acciaccatura, Unslashed an appoggiatura-style small note.
const (
	NotGrace Grace = iota
	Slashed
	Unslashed
)

// A NoteValue is how a duration is written: a type and dots. The zero value
// is unknown.
type NoteValue struct {
	// Log is the power of two of the value: 0 whole, 1 half, 2 quarter, 3
	// eighth, … 10; -1 breve, -2 long, -3 maxima.
	Log   int8
	Dots  int8
	Known bool
}

// Quarters returns the length of the value without tuplets.
func (v NoteValue) Quarters() Quarters {
	if !v.Known || v.Log > 40 || v.Log < -10 {
		return Quarters{}
	}
	q := Q(4, 1)
	for i := int8(0); i < v.Log; i++ {
		q = q.Mul(Q(1, 2))
	}
	for i := v.Log; i < 0; i++ {
		q = q.Mul(Q(2, 1))
	}
	add := q
	for range v.Dots {
		add = add.Mul(Q(1, 2))
		q = q.Add(add)
	}
	return q
}

// A Tuplet says that Actual notes take the time of Normal ones. All chords of
// one tuplet share its ID, which is unique in the part.
type Tuplet struct {
	ID             int
	Actual, Normal int
}

// A Note is one notehead or one number on a string.
type Note struct {
	// Pitch is the stopped pitch, spelled, at the octave that sounds: what
	// the string would give at Place, plucked plainly. Where there is no
	// place it is the pitch that is written, transposed to sounding. For
	// harmonics and bends see [Note.Sounding]. Of a dead note on the neck it
	// is the pitch of its place.
	Pitch theory.Pitch
	// Detune is a microtonal offset from Pitch in semitones, above −1/2 and
	// up to 1/2. It is 0 but for microtonal music; transposing leaves it.
	Detune Quarters
	// Unpitched marks percussion and the like, which is never transposed.
	Unpitched bool
	// Inferred marks a pitch whose letter was chosen by the reader because
	// the source had none, as in tab.
	InferredSpelling bool
	Place            fretboard.Place // zero if the note is on no neck or has no place yet
	TieStart         bool
	TieStop          bool
	Finger           Finger // of the hand on the neck
	Pluck            string // of the other hand: p i m a c, as printed; "" if not said
	Techniques       []Technique
	Annotations      []Annotation
	Src              Handle
}

// A Finger is a finger of the hand on the neck.
type Finger int8

// The fingers. Thumb is the thumb over the edge of the neck; FingerOpen is a
// printed 0.
const (
	NoFinger Finger = iota
	Index
	Middle
	Ring
	Little
	Thumb
	FingerOpen
)

// An Annotation is a label that was put on a note.
type Annotation struct {
	Kind string // one of the Label kinds
	Text string
	// Color is the colour that the notehead gets, "#RRGGBB"; "" for none. It
	// repeats what the text says, for writers that have colours.
	Color string
}

// The kinds of annotations.
const (
	LabelDegree    = "degree"     // against the tonic: b3
	LabelChordTone = "chord-tone" // against the chord: R, 3, (9)
	LabelRole      = "role"       // what a note that is no chord tone does: p, >n
	LabelName      = "name"       // F#
	LabelInterval  = "interval"   // from the note before: m3, -P4
)

// LabelColor is the kind of the legend's line about colours.
const LabelColor = "colour"

// LegendKind returns what a line of a legend explains: a kind of annotations,
// or [LabelColor]; "" if it is no such line.
func LegendKind(line string) string {
	kind, _, _ := strings.Cut(line, ": ")
	if kind == LabelColor || slices.Contains(LabelKinds(), kind) {
		return kind
	}
	return ""
}

// LabelKinds returns the kinds of annotations in the order in which they are
// shown below the music.
func LabelKinds() []string {
	return []string{LabelDegree, LabelChordTone, LabelRole, LabelName, LabelInterval}
}

// A Harmony is a chord symbol.
type Harmony struct {
	Common
	Chord theory.Chord
}

// A KeySignature begins a key, at sounding pitch.
type KeySignature struct {
	Common
	Key theory.Key
	// ModeSaid tells whether the source said the mode; if not, Key is major
	// by default.
	ModeSaid bool
	// Free marks a signature that is not of the circle of fifths; Alters says
	// what it alters then, and Key means nothing.
	Free   bool
	Alters []KeyAlter
	// NoKey marks music that says it has no key (atonal).
	NoKey bool
}

// A KeyAlter is one accidental of a signature that is not of the circle of
// fifths.
type KeyAlter struct {
	Name   theory.NoteName
	Detune Quarters // semitones beyond Name, as in [Note.Detune]
}

// A TimeSignature begins a metre.
type TimeSignature struct {
	Common
	// Beats and BeatType are parallel: 4/4 is {4} {4}, 3/8+2/4 is {3, 2}
	// {8, 4}. Grouped beats are kept as written: 3+2 over 8 is "3+2".
	Beats     []string
	BeatTypes []int
	Symbol    string   // "common", "cut", "single-number", …; "" for numbers
	Length    Quarters // of a measure; 0 for senza misura
}

// A Tempo sets the speed from here.
type Tempo struct {
	Common
	QuartersPerMinute float64
	Text              string // as printed, if words
}

// A NeckChange says on what neck a staff is played from here.
type NeckChange struct {
	Common
	Neck fretboard.Neck
	// Inferred marks a neck that the source did not state.
	Inferred bool
}

// A PageTranspose says how far sounding pitches lie from the pitches that the
// page writes, from here: a perfect octave down for a guitar in a plain
// treble clef. The page is written at sounding pitch minus Interval.
type PageTranspose struct {
	Common
	Interval theory.Interval
}

// A Clef begins a clef.
type Clef struct {
	Common
	Sign         string // "G", "F", "C", "percussion", "TAB", "jianpu", "none"
	Line         int    // 0 for the sign's usual line
	OctaveChange int
}

// A Barline is a bar line that is more than plain, at the start, the end or
// inside of a measure.
type Barline struct {
	Common
	Style  string // "light-light", "light-heavy", …; "" for regular
	Repeat Repeat
	Times  int    // how often a backward repeat is played in all; 0 for not said
	Ending string // numbers of an ending that starts or stops here: "1", "1, 2"
	// EndingType is "start", "stop" or "discontinue"; "" where there is none.
	EndingType string
}

// Repeat is a repeat sign.
type Repeat int8

// The repeat signs: Forward begins a repeated section, Backward ends it.
const (
	NoRepeat Repeat = iota
	Forward
	Backward
)

// Words is text at a time that is none of the other events: a heading over
// the bar, a direction, a dynamic mark in letters.
type Words struct {
	Common
	Kind string // "words", "rehearsal", "dynamics", "lyric"
	Text string
}
