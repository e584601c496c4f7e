package fingering

import "math"

// A Term is one of the things that a fingering costs.
type Term uint8

// The terms. Those of a state come first, then those of a step from one group
// to the next. Distances are along the neck. "Haste" is 0 where there is all
// the time in the world and 1 where there is none.
const (
	Open            Term = iota // an open string struck
	OpenAway                    // … while the hand stands up the neck, per 100 mm
	OpenThick                   // … times the thickness of the string
	OpenLong                    // … by a long note
	OpenInside                  // … while fingers are down
	Height                      // a fretted note, per 100 mm from nut or capo
	High                        // per fret beyond the twelfth
	ByIndex                     // a note struck with this finger
	ByMiddle                    //
	ByRing                      //
	ByLittle                    //
	ThickString                 // a fretted note on a thick string: 0 on the first, 1 on the last
	ThickHigh                   // … per 100 mm up the neck
	FirstPosition               // the hand at the first fret
	ReachBack                   // index finger behind its fret, per 10 mm
	ReachForward                // little finger before its fret, per 10 mm
	ReachInner                  // another finger apart from its fret, away from the hand's middle, per 10 mm
	Squeeze                     // a finger drawn in from its fret, per 10 mm
	SqueezeLittle               // the little finger drawn in, per 10 mm
	Span                        // lowest to highest fret held, per 10 mm
	Strain                      // beyond comfort between neighbouring fingers, per 10 mm
	FingersDown                 // each finger down beyond the first
	Barre                       // the index finger across strings
	HalfBarre                   // another finger across strings
	Crossed                     // at one fret the lower finger on the thinner string
	Gap                         // a string between those struck that has to be silent
	BendWound                   // a bend on a thick string: semitones × thickness
	BendLow                     // a bend near the nut: semitones × (1 - frets/12)
	BendWeak                    // a bend by index or little finger
	Preference                  // what the scheme asks for; its weight is 1
	StepOnString                // a step of 1 or 2 semitones on one string
	StepNextString              // … to another string
	StepSkipString              // … per string skipped
	ThirdOnString               // the same for 3 and 4 semitones
	ThirdNextString             //
	ThirdSkipString             //
	LeapOnString                // for 5 to 9 semitones
	LeapNextString              //
	LeapSkipString              //
	WideOnString                // and for 10 and more
	WideNextString              //
	WideSkipString              //
	SkipHaste                   // per string skipped, times haste
	AgainstString               // up in pitch by a lower string, or the reverse
	Restruck                    // the same pitch at another place
	OpenFretted                 // between an open string and a fretted note
	Hop                         // the same finger for another place, hand at rest
	HopHaste                    // … times haste
	ChangeFinger                // another finger for the same place, hand at rest
	Release                     // a note let go before its time
	Anchored                    // the hand moves while a finger stays
	Shift                       // the hand moves
	ShiftHaste                  // … times haste
	ShiftMM                     // per 100 mm
	ShiftMMHaste                // … times haste
	ShiftOpen                   // the hand moves before or after an open string
	ShiftOpenMM                 // per 100 mm
	ShiftRest                   // the hand moves in a rest
	ShiftRestMM                 // per 100 mm
	ShiftSlide                  // the hand moves with a slide
	ShiftSlideMM                // per 100 mm
	ShiftOnString               // the hand moves along the string that is played on
	numTerms
)

var termNames = [numTerms]string{
	"open-string", "open-string-away", "open-string-thick", "open-string-long", "open-string-inside", "height", "high-fret", "index", "middle", "ring", "little",
	"thick-string", "thick-string-high", "first-position", "reach-back", "reach-forward", "reach-inner", "squeeze", "squeeze-little", "span", "strain",
	"fingers-down", "barre", "half-barre", "crossed-fingers", "silent-string", "bend-thick-string", "bend-low-fret", "bend-weak-finger", "preference",
	"step-same-string", "step-next-string", "step-skipped-string", "third-same-string", "third-next-string", "third-skipped-string",
	"leap-same-string", "leap-next-string", "leap-skipped-string", "wide-same-string", "wide-next-string", "wide-skipped-string",
	"skipped-string-haste", "against-strings", "repeated-elsewhere", "open-to-fretted",
	"finger-hop", "finger-hop-haste", "finger-changed", "released-early", "shift-anchored",
	"shift", "shift-haste", "shift-mm", "shift-mm-haste", "shift-open", "shift-open-mm", "shift-rest", "shift-rest-mm",
	"shift-slide", "shift-slide-mm", "shift-on-string",
}

// String returns the term's name as the weights files have it.
func (t Term) String() string { return termNames[t] }

// hasty tells whether the term is multiplied by haste.
func (t Term) hasty() bool {
	return t == SkipHaste || t == HopHaste || t == ShiftHaste || t == ShiftMMHaste
}

// Weights are the prices of the terms.
type Weights [numTerms]float64

// an amount is so much of a term.
type amount struct {
	term Term
	n    float64
}

// price returns what some amounts cost, apart from haste and per haste.
func (w *Weights) price(list []amount) (fixed, perHaste float64) {
	for _, a := range list {
		if a.term.hasty() {
			perHaste += w[a.term] * a.n
		} else {
			fixed += w[a.term] * a.n
		}
	}
	return fixed, perHaste
}

// hasteTime is the time at which haste is a half, in seconds: about a
// sixteenth note at 75 quarter notes per minute.
const hasteTime = 0.2

// haste of a step that has so many seconds.
func haste(seconds float64) float64 { return hasteTime / (hasteTime + math.Max(seconds, 0)) }

// longTime is how long a note must be to count as long, in seconds.
const longTime = 0.6

// restTime is how long a silence must be for the hand to be lifted in it, in
// seconds.
const restTime = 0.2
