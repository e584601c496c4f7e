package routine

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// joins leads from a position to the next one up the neck: on each string
// where to shift and with which finger.
func (b *builder) joins(l fretboard.Layout, hand fingers) []Exercise {
	next, ok := b.next(l)
	if !ok {
		return []Exercise{{Kind: JoinPosition, Title: "To the next position", Words: []string{"No further position lies up this neck."}}}
	}
	e := Exercise{Kind: JoinPosition, Title: "To the next position: " + next.Region.Name}
	other := fingersOf(next)
	found := fretboard.Joins(l, next, b.ScaleLength)
	if len(found) == 0 {
		e.Words = []string{"The next position has no note further up on any string."}
		return []Exercise{e}
	}
	moves := count(next.Region.IndexFret()-l.Region.IndexFret(), "fret")
	e.Words = append(e.Words, fmt.Sprintf("The hand moves up %s (%.0f mm). Play what lies here on a string, shift, and play on:", moves, found[0].Shift))
	rows, beyond := l.ByString(), next.ByString()
	for _, j := range found {
		str := j.From.Place.String
		from, to := hand[j.From.Place], other[j.To.Place]
		slide := from == to && from != 0
		text := fmt.Sprintf("  string %d  from %s to %s", str, stop(j.From.Place.Fret, from), stop(j.To.Place.Fret, to))
		if slide {
			text += ", slide"
		}
		e.Words = append(e.Words, text)
		ln := line(rows[str-1], hand)
		for _, s := range beyond[str-1] {
			if s.Place.Fret < j.To.Place.Fret {
				continue
			}
			n := other.note(s)
			n.Slid = slide && s.Place == j.To.Place
			ln = append(ln, Moment{Notes: []Note{n}})
		}
		e.Lines = append(e.Lines, ln)
	}
	return []Exercise{e}
}

// next returns the position that follows up the neck.
func (b *builder) next(l fretboard.Layout) (fretboard.Layout, bool) {
	for _, r := range fretboard.Beside(b.Scheme, l.Region, fretboard.ScaleTones(b.Tonic, b.Scale)) {
		if r.Stands() > l.Region.Stands() {
			return r.Lay(b.tones()), true
		}
	}
	return fretboard.Layout{}, false
}

// stop says where a string is stopped and by which finger.
func stop(fret int, f score.Finger) string {
	switch {
	case fret == 0:
		return "the open string"
	case f == score.NoFinger:
		return fmt.Sprintf("fret %d", fret)
	}
	return fmt.Sprintf("fret %d (%s)", fret, fingerWord(f))
}
