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

// termWords are the terms for players.
var termWords = [numTerms]string{
	Open:            "open strings",
	OpenAway:        "open strings while the hand is up the neck",
	OpenThick:       "thick open strings",
	OpenLong:        "long notes on open strings",
	OpenInside:      "open strings between stopped ones",
	Height:          "how far up the neck",
	High:            "frets beyond the twelfth",
	ByIndex:         "index finger",
	ByMiddle:        "middle finger",
	ByRing:          "ring finger",
	ByLittle:        "little finger",
	ThickString:     "thick strings",
	ThickHigh:       "thick strings up the neck",
	FirstPosition:   "first position",
	ReachBack:       "index finger reaching back",
	ReachForward:    "little finger reaching forward",
	ReachInner:      "an inner finger reaching out",
	Squeeze:         "fingers drawn together",
	SqueezeLittle:   "little finger drawn in",
	Span:            "span of the hand",
	Strain:          "stretch between fingers",
	FingersDown:     "fingers down at once",
	Barre:           "barré",
	HalfBarre:       "barré by another finger",
	Crossed:         "fingers crossed",
	Gap:             "a string to be muted between",
	BendWound:       "bends on thick strings",
	BendLow:         "bends near the nut",
	BendWeak:        "bends by index or little finger",
	Preference:      "outside of what was asked for",
	StepOnString:    "a step on one string",
	StepNextString:  "a step to another string",
	StepSkipString:  "a step over a string",
	ThirdOnString:   "a third on one string",
	ThirdNextString: "a third to another string",
	ThirdSkipString: "a third over a string",
	LeapOnString:    "a leap on one string",
	LeapNextString:  "a leap to another string",
	LeapSkipString:  "a leap over a string",
	WideOnString:    "a wide leap on one string",
	WideNextString:  "a wide leap to another string",
	WideSkipString:  "a wide leap over a string",
	SkipHaste:       "skipped strings in haste",
	AgainstString:   "up by a lower string, or down by a higher",
	Restruck:        "one pitch at two places",
	OpenFretted:     "between open and stopped notes",
	Hop:             "one finger hopping",
	HopHaste:        "one finger hopping in haste",
	ChangeFinger:    "another finger for one place",
	Release:         "notes let go early",
	Anchored:        "a shift around a held note",
	Shift:           "shifts",
	ShiftHaste:      "shifts in haste",
	ShiftMM:         "length of shifts",
	ShiftMMHaste:    "length of shifts in haste",
	ShiftOpen:       "shifts on open strings",
	ShiftOpenMM:     "length of shifts on open strings",
	ShiftRest:       "shifts in rests",
	ShiftRestMM:     "length of shifts in rests",
	ShiftSlide:      "shifts on slides",
	ShiftSlideMM:    "length of shifts on slides",
	ShiftOnString:   "shifts along one string",
}

// String returns the term's name as the weights files have it.
func (t Term) String() string { return termNames[t] }

// Words returns the term as it is said to a player: "index finger reaching
// back".
func (t Term) Words() string { return termWords[t] }

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
