package musicxml

import (
	"maps"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A habit is what the notes of one staff of a document carry, so that new ones
// are written in the same way.
type habit struct {
	stems                  map[string]int // texts of <stem>
	short                  int            // notes that may have beams
	beams, accidentals     int
	strings                int // notes that say their string
	tuplets, hiddenTuplets int
	rests, hiddenRests     int
	gaps                   int // rests of the notation where the tab has none
	apart                  bool
	// of tab: how far it is written from the stopped pitch
	off map[theory.Interval]int
	// of tab that leaves out what is tied to from before
	untied    bool
	leavesOut map[*score.Note]bool
}

func newHabit() *habit { return &habit{stems: map[string]int{}, off: map[theory.Interval]int{}} }

// commonest returns the entry that was counted most often, the least of equals.
func commonest[K comparable](counts map[K]int, less func(a, b K) int) (most K) {
	best := 0
	for _, k := range slices.SortedFunc(maps.Keys(counts), less) {
		if counts[k] > best {
			most, best = k, counts[k]
		}
	}
	return most
}

// hidesRests tells whether new rests are not to be printed.
func (h *habit) hidesRests() bool { return 2*h.hiddenRests > h.rests || h.rests == 0 && !h.apart }

// writesRests tells whether new rests of the notation are written in the tab.
func (h *habit) writesRests() bool {
	return h.rests > 0 && h.rests >= h.gaps || h.rests == 0 && h.gaps == 0 && h.apart
}

// hasStems tells whether notes have stems that point somewhere.
func (h *habit) hasStems() bool { return h.stems["up"]+h.stems["down"] > 0 }

// hasBeams tells whether beams are written.
func (h *habit) hasBeams(tab bool) bool { return h.beams > 0 || !tab && h.short == 0 }

// learn counts what a note element carries. p is the pitch that it is written
// from.
func (ap *applier) learn(h *habit, e int32, c *score.Chord, stopped *theory.Pitch) {
	stem := ""
	chord := false
	for ch := range ap.x.children(e) {
		switch ap.x.name(ch) {
		case "chord":
			chord = true
		case "stem":
			stem = ap.x.content(ch)
		case "beam":
			h.beams++
		case "accidental":
			h.accidentals++
		case "notations":
			for t := range ap.x.children(ch) {
				switch ap.x.name(t) {
				case "tuplet":
					if ap.x.attrOr(t, "type") == "stop" {
						continue
					}
					h.tuplets++
					if ap.x.attrOr(t, "bracket") == "no" && ap.x.attrOr(t, "show-number") == "none" {
						h.hiddenTuplets++
					}
				case "technical":
					if ap.x.child(t, "string") != none {
						h.strings++
					}
				}
			}
		}
	}
	if !chord {
		h.stems[stem]++
		if c.Grace == score.NotGrace && c.Duration.Sign() > 0 && c.Duration.Less(score.Q(1, 1)) {
			h.short++
		}
	}
	if stopped == nil {
		return
	}
	if p, _, ok := ap.written(e); ok {
		h.off[stopped.To(p)]++
	}
}

// learnRest counts a rest element.
func (ap *applier) learnRest(h *habit, e int32) {
	h.rests++
	if ap.x.attrOr(e, "print-object") == "no" {
		h.hiddenRests++
	}
}
