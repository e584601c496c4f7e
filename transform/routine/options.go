package routine

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// A Kind is a sort of exercise.
type Kind int8

// The kinds, in the order in which a page has them: from the chord to the
// scale, on to what is made of the scale, and to the next position.
const (
	ChordHeld    Kind = iota // the chord on the tonic, and its seventh chord, as they are held
	Arpeggio                 // triad and seventh chord, note by note
	Pentatonic               // the pentatonic between arpeggio and scale, where one fits
	Scale                    // the whole scale
	Neighbours               // the scales that differ in one note, among the modes of the same scale
	Sweeps                   // the triads and seventh chords of the scale, for sweep picking
	Sequences                // melodic sequences up and down the scale
	Formula                  // one formula over each chord of a progression
	GuideTones               // the lines of thirds and sevenths through a progression
	Views                    // the same notes as chord shape, as notes per string, as degrees
	JoinPosition             // how to get to the next position
)

var kindNames = [...]string{
	ChordHeld: "chord", Arpeggio: "arpeggio", Pentatonic: "pentatonic", Scale: "scale", Neighbours: "neighbours", Sweeps: "sweeps",
	Sequences: "sequences", Formula: "formula", GuideTones: "guide-tones", Views: "views", JoinPosition: "joins",
}

// String returns the name of the kind as it is typed.
func (k Kind) String() string { return kindNames[k] }

// KindNames lists the names of all kinds in the order of a page.
func KindNames() []string { return slices.Clone(kindNames[:]) }

// ParseKind finds a kind by its name. Errors are of type [*theory.ParseError].
func ParseKind(s string) (Kind, error) {
	if i := slices.Index(kindNames[:], strings.ToLower(strings.TrimSpace(s))); i >= 0 {
		return Kind(i), nil
	}
	return 0, &theory.ParseError{What: "kind of exercise", Input: s, Msg: "unknown", Hint: "there are " + strings.Join(kindNames[:], ", ")}
}

// A Ladder is tempi to practise at, in quarter notes per minute: from Start
// in steps up to Goal. The zero value says nothing.
type Ladder struct{ Start, Step, Goal float64 }

// Steps returns the tempi from Start to Goal, both included.
func (l Ladder) Steps() []float64 {
	if l.Start <= 0 {
		return nil
	}
	steps := []float64{l.Start}
	if l.Step <= 0 {
		return steps
	}
	for v := l.Start + l.Step; v < l.Goal; v += l.Step {
		steps = append(steps, v)
	}
	if l.Goal > l.Start {
		steps = append(steps, l.Goal)
	}
	return steps
}

// maxSteps is how many tempi a ladder may have: more fit on no sheet.
const maxSteps = 60

func (l Ladder) check() error {
	switch {
	case l.Start == 0 && l.Step == 0 && l.Goal == 0:
		return nil
	case !(l.Start > 0 && l.Start < 10000):
		return fmt.Errorf("a ladder of tempi begins above 0, not at %v", l.Start)
	case l.Goal != 0 && !(l.Goal >= l.Start && l.Goal < 10000):
		return fmt.Errorf("the goal of %v lies below the tempo of %v at which it begins", l.Goal, l.Start)
	case l.Goal != 0 && !(l.Step > 0):
		return fmt.Errorf("from %v to %v it takes a step above 0", l.Start, l.Goal)
	case l.Step != 0 && l.Goal == 0:
		return fmt.Errorf("a ladder in steps of %v needs a goal", l.Step)
	case l.Step > 0 && (l.Goal-l.Start)/l.Step > maxSteps:
		return fmt.Errorf("steps of %v from %v to %v are more than %d", l.Step, l.Start, l.Goal, maxSteps)
	}
	return nil
}

// Options say what is practised. Tonic, Scale, Neck and Scheme are needed.
type Options struct {
	Tonic  theory.NoteName
	Scale  theory.Scale
	Neck   fretboard.Neck
	Scheme fretboard.Scheme
	// Everywhere has the positions that the scheme has several times, an
	// octave apart, as often as the neck has them; else each where it lies
	// nearest to the nut.
	Everywhere  bool
	ScaleLength float64 // of the open string in millimetres; 0 for [fretboard.ScaleLength]

	Show []Kind              // nil for what suits the scheme, see [DefaultShow]
	Run  transform.Direction // of arpeggios, scales and sequences
	// Octaves ends runs so many octaves above the lowest tonic of the
	// position and begins them there; 0 for all notes of the position.
	Octaves int
	Home    *theory.NoteName // what degrees count from; nil for Tonic

	Time   *score.TimeSignature // nil for 4/4
	Value  score.Quarters       // length of the notes of a run; 0 for eighths
	Ladder Ladder

	Over    theory.Progression // for Formula and GuideTones
	Formula []theory.Degree    // counted from the root of each chord
}

// DefaultShow returns the kinds that suit a scheme: the chain from chord to
// scale where a hand stands in one place, modes and sweeps for patterns of
// notes per string, and how the positions join.
func DefaultShow(pattern bool) []Kind {
	if pattern {
		return []Kind{Scale, Neighbours, Sweeps, JoinPosition}
	}
	return []Kind{ChordHeld, Arpeggio, Pentatonic, Scale, JoinPosition}
}

func (o *Options) defaults() error {
	if o.ScaleLength == 0 {
		o.ScaleLength = fretboard.ScaleLength
	}
	if o.Time == nil {
		o.Time, _ = score.ParseMetre("4/4")
	}
	if o.Value.IsZero() {
		o.Value = score.Q(1, 2)
	}
	if o.Scale.Len() == 0 {
		return fmt.Errorf("there is no scale to practise")
	}
	if o.Octaves < 0 {
		return fmt.Errorf("%d octaves are no number of octaves", o.Octaves)
	}
	if err := o.Ladder.check(); err != nil {
		return err
	}
	if err := checkTime(o.Time, o.Value); err != nil {
		return err
	}
	for _, k := range o.Show {
		if (k == Formula || k == GuideTones) && len(o.Over) == 0 {
			return fmt.Errorf("%s are for a progression, and there is none", k)
		}
		if k == Formula && len(o.Formula) == 0 {
			return fmt.Errorf("there is no formula to play over the progression")
		}
	}
	return nil
}

// tones are the notes of the scale with the degrees that are asked for.
func (o *Options) tones() fretboard.ToneSet {
	t := fretboard.ScaleTones(o.Tonic, o.Scale)
	if o.Home != nil {
		t = t.Against(*o.Home)
	}
	return t
}
