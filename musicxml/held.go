package musicxml

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A tiedTo is a note and the one before that it is tied to.
type tiedTo struct{ from, to *score.Note }

// tiesOf lists the ties of a part that have both ends, in order of time. Notes
// are of one pitch if midi says the same of them; of several that begin
// together the first is tied to the first.
func tiesOf(part *score.Part, midi func(*score.Note) int) []tiedTo {
	type line struct{ staff, midi int }
	type struck struct {
		chord *score.Chord
		notes []*score.Note
	}
	var ties []tiedTo
	open := map[line]struck{}
	for _, m := range part.Measures {
		for c := range m.Chords() {
			stops := map[line]int{}
			was := map[line]struck{}
			for _, n := range c.Notes {
				k := line{c.Staff, midi(n)}
				before, ok := was[k]
				if !ok {
					before = open[k]
					was[k] = before
				}
				if n.TieStop {
					if i := stops[k]; i < len(before.notes) {
						ties = append(ties, tiedTo{before.notes[i], n})
					}
					stops[k]++
				}
				if !n.TieStart {
					continue
				}
				now := open[k]
				if now.chord != c {
					now = struck{chord: c}
				}
				now.notes = append(now.notes, n)
				open[k] = now
			}
		}
	}
	return ties
}

// holdPlaces gives the notes of a part that are tied to from before, and of
// which the page says no string and fret, the place of the note that they are
// tied to: tab shows the number of a held note once.
func (r *reader) holdPlaces(part *score.Part) {
	page := func(n *score.Note) int {
		if said, ok := r.said[n.Src]; ok {
			return said
		}
		return n.Pitch.MIDI()
	}
	for _, t := range tiesOf(part, page) {
		if t.from.Place.IsZero() || !t.to.Place.IsZero() || t.to.Unpitched {
			continue
		}
		t.to.Place, t.to.Pitch = t.from.Place, t.from.Pitch
		if said, ok := r.said[t.from.Src]; ok {
			r.said[t.to.Src] = said
		}
		r.refs[t.to.Src].held = true
	}
}

// heldPlace returns the place that a reader will take for a note whose element
// says none, from the one that it is tied to.
func (ap *applier) heldPlace(part *score.Part, n *score.Note) fretboard.Place {
	if ap.held[part] == nil {
		ap.held[part] = map[*score.Note]fretboard.Place{}
		for _, t := range tiesOf(part, func(n *score.Note) int { return n.Pitch.MIDI() }) {
			ap.held[part][t.to] = t.from.Place
		}
	}
	return ap.held[part][n]
}
