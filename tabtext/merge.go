package tabtext

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/lickwright/score"
)

// A happening is what one column of tab holds: what is struck or rests at a
// time, with the grace notes before it.
type happening struct {
	onset, dur score.Quarters
	chord      *score.Chord // nil for a rest that fills a gap
	notes      []*score.Note
	graces     []*score.Chord
	tuplets    []score.Tuplet
}

// merge lays the voices and staves of a measure over each other, since tab
// has one line of time. Where voices differ, a chord lasts until the next one
// of any voice, and that is reported.
func merge(m *score.Measure, strings int, report lost) []happening {
	var out []happening
	var graces []*score.Chord
	voices := map[[2]int]bool{}
	for c := range m.Chords() {
		if c.Cue {
			report("tab-lost-cue", "cue notes")
			continue
		}
		notes := placed(c.Notes, strings, report)
		if c.Grace != score.NotGrace {
			if len(notes) > 0 {
				if c.Grace == score.Unslashed {
					report("tab-lost-grace", "that grace notes are not slashed")
				}
				g := *c
				g.Notes = notes
				graces = append(graces, &g)
			}
			continue
		}
		if c.Duration.Sign() <= 0 {
			continue
		}
		voices[[2]int{c.Staff, c.Voice}] = true
		h := happening{onset: c.Onset, dur: c.Duration, chord: c, notes: notes, tuplets: c.Tuplets}
		if c.Tremolo > 0 {
			report("tab-lost-tremolo", "the number of strokes of a tremolo")
		}
		var late []*score.Chord
		for _, g := range graces {
			if g.Onset == c.Onset {
				h.graces = append(h.graces, g)
			} else {
				late = append(late, g)
			}
		}
		graces = late
		out = append(out, h)
	}
	if len(graces) > 0 {
		out = append(out, happening{onset: m.Length, graces: graces})
	}
	if len(voices) > 1 {
		out = flatten(out, report)
	}
	return fillGaps(out, m.Length)
}

// placed drops notes that tab cannot show.
func placed(notes []*score.Note, strings int, report lost) []*score.Note {
	var out []*score.Note
	for _, n := range notes {
		switch {
		case n.Place.IsZero() || n.Unpitched:
			report("tab-lost-note", "a note that has no place on the neck ("+n.Pitch.String()+")")
		case n.Place.String > strings || n.Place.String < 1 || n.Place.Fret < 0 || n.Place.Fret > 99:
			report("tab-lost-note", fmt.Sprintf("a note on string %d, fret %d, which the neck does not have", n.Place.String, n.Place.Fret))
		case slices.ContainsFunc(out, func(o *score.Note) bool { return o.Place.String == n.Place.String }):
			report("tab-lost-note", fmt.Sprintf("a second note on string %d at one time", n.Place.String))
		default:
			out = append(out, n)
		}
	}
	return out
}

// flatten makes one line of time of several voices.
func flatten(in []happening, report lost) []happening {
	slices.SortStableFunc(in, func(a, b happening) int { return a.onset.Cmp(b.onset) })
	var out []happening
	changed := false
	for _, h := range in {
		if len(h.notes) == 0 && len(h.graces) == 0 { // a rest while another voice plays says nothing
			if sounds(in, h.onset) {
				continue
			}
		}
		if n := len(out); n > 0 && out[n-1].onset == h.onset {
			o := &out[n-1]
			for _, note := range h.notes {
				if !slices.ContainsFunc(o.notes, func(x *score.Note) bool { return x.Place.String == note.Place.String }) {
					o.notes = append(slices.Clip(o.notes), note)
				} else {
					report("tab-lost-note", fmt.Sprintf("a second note on string %d at one time", note.Place.String))
				}
			}
			o.graces = append(o.graces, h.graces...)
			changed = changed || o.dur != h.dur
			continue
		}
		out = append(out, h)
	}
	for i := range out {
		end := out[i].onset.Add(out[i].dur)
		if i+1 < len(out) && out[i+1].onset != end {
			changed = true
			out[i].dur = out[i+1].onset.Sub(out[i].onset)
			out[i].tuplets = nil
		}
	}
	if changed {
		report("tab-lost-voices", "how long notes of one voice last beyond those of another")
	}
	return out
}

// sounds tells whether some notes begin at a time or last over it.
func sounds(in []happening, at score.Quarters) bool {
	for _, h := range in {
		if len(h.notes) > 0 && !at.Less(h.onset) && at.Less(h.onset.Add(h.dur)) {
			return true
		}
	}
	return false
}

// fillGaps puts rests where nothing is said, and cuts what overlaps.
func fillGaps(in []happening, length score.Quarters) []happening {
	slices.SortStableFunc(in, func(a, b happening) int { return cmp.Or(a.onset.Cmp(b.onset), b2i(a.dur.IsZero())-b2i(b.dur.IsZero())) })
	var out []happening
	now := score.Quarters{}
	for _, h := range in {
		if now.Less(h.onset) {
			out = append(out, happening{onset: now, dur: h.onset.Sub(now)})
		}
		if n := len(out); n > 0 && h.onset.Less(now) {
			out[n-1].dur = h.onset.Sub(out[n-1].onset)
		}
		out = append(out, h)
		now = h.onset.Add(h.dur)
	}
	if now.Less(length) {
		out = append(out, happening{onset: now, dur: length.Sub(now)})
	}
	return out
}
