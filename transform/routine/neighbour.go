package routine

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// neighbours plays the modes of the same scale that differ from the mode of
// the position in one note, on the same tonic and in the same place of the
// neck. The note that moves has an accent.
func (b *builder) neighbours(l fretboard.Layout, home theory.NoteName, mode theory.Scale) []Exercise {
	var all []Exercise
	here := fretboard.ScaleTones(home, mode).Title
	for _, n := range mode.Neighbours() {
		if !n.Mode {
			continue
		}
		there := fretboard.ScaleTones(home, n.Scale)
		e := Exercise{Kind: Neighbours, Title: here + " to " + there.Title}
		word := "darker"
		if n.Brighter() {
			word = "brighter"
		}
		e.Words = []string{fmt.Sprintf("One note moves, and it gets %s: %s (%s) becomes %s (%s). It has an accent.", word, n.From, n.From.Name(home), n.To, n.To.Name(home))}
		e.Words = append(e.Words, fmt.Sprintf("Its notes: %s.", namesFrom(there, there.Title)))
		other := b.beside(l, there)
		if text := noPlace(other); text != "" {
			e.Words = append(e.Words, sentence(text))
		}
		hand := fingersOf(other)
		moved := n.To.Name(home).Class()
		ln := line(other.Spots, hand)
		var where []string
		for i := range ln {
			if note := &ln[i].Notes[0]; note.Pitch.Class() == moved {
				note.Marks = append(note.Marks, score.Accent)
				where = append(where, fmt.Sprintf("string %d fret %d", note.Place.String, note.Place.Fret))
			}
		}
		if len(where) > 0 {
			e.Words = append(e.Words, "Now at "+strings.Join(where, ", ")+".")
		}
		e.Lines = []Line{ln}
		all = append(all, e)
	}
	if len(all) == 0 {
		all = []Exercise{{Kind: Neighbours, Title: "Neighbouring modes", Words: []string{fmt.Sprintf("No other mode of the same scale differs from %s in one note.", here)}}}
	}
	return all
}

// beside lays other tones out where a layout lies: in its region, or, where
// that is a pattern, in the pattern of as many notes per string that begins
// nearest to it.
func (b *builder) beside(l fretboard.Layout, t fretboard.ToneSet) fretboard.Layout {
	scheme := b.Scheme
	if w, ok := scheme.(fretboard.Within); ok {
		scheme = w.Scheme
	}
	per, ok := scheme.(fretboard.PerString)
	if !ok || !l.Region.IsPattern() || len(l.Spots) == 0 {
		return l.Region.Lay(t)
	}
	per.Degree = theory.Degree{Number: 1}
	regions, err := per.Regions(b.Neck, t)
	if err != nil || len(regions) == 0 {
		return l.Region.Lay(t)
	}
	at := l.Spots[0].Place.Fret
	best := slices.MinFunc(regions, func(x, y fretboard.Region) int {
		return distance(x.Lay(t), at) - distance(y.Lay(t), at)
	})
	return best.Lay(t)
}

func distance(l fretboard.Layout, fret int) int {
	if len(l.Spots) == 0 {
		return fretboard.MaxFrets
	}
	return max(l.Spots[0].Place.Fret-fret, fret-l.Spots[0].Place.Fret)
}
