package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// CodeOntoNeckOctave says that a part was moved by octaves to lie on its neck.
const CodeOntoNeckOctave = "onto-neck-octave"

// OntoNeck puts a phrase that came without strings and frets on a neck, such
// as degrees that were read in some key: every part of one staff in which a
// pitched note has no place. A part that names no neck gets the given one, or
// if that cannot hold its notes and a bass can, a bass. Where notes lie beyond
// the neck, all of the part moves by the octaves that leave the fewest of them
// there; moved says by how many for each part, 0 for most. Strings that notes
// have already are kept, and no part moves that has any. The fingering is that
// of [Refinger]; what has no place is reported as [score.NotDone].
func OntoNeck(s *score.Score, neck fretboard.Neck) (out *score.Score, moved []int, ds score.Diagnostics) {
	out = s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	moved = make([]int, len(out.Parts))
	for i, p := range out.Parts {
		if p.Staves != 1 || !lacksPlaces(p) || len(p.Measures) == 0 {
			continue
		}
		rep.enter(p)
		if !p.Fretted() {
			n := neckFor(p, neck)
			m := p.Measures[0]
			m.Events = slices.Insert(m.Events, 0, score.Event(&score.NeckChange{Common: score.Common{Staff: 1}, Neck: n, Inferred: true}))
			if !n.Equal(neck) {
				rep.add(score.Info, CodePutOnNeck, p.Src, rep.inPart()+"its notes are fingered for "+tuningName(n.Tuning), "another tuning: --tuning")
			}
		}
		if k, off := ontoOctave(p); k != 0 {
			MoveOctaves(p, k)
			moved[i] = k
			rep.add(score.Warning, CodeOntoNeckOctave, p.Src, fmt.Sprintf("%smoved %s: %s would lie beyond the neck", rep.inPart(), octaveWords(k), countOf(off, "note")), "")
		}
		np := collectNeck(p, rep)
		np.link()
		for _, f := range newFingered(out, p, np, RefingerOptions{KeepStrings: true}) {
			f.solve()
		}
	}
	rep.list.Sort()
	return out, moved, rep.list
}

// OffNeck takes back what [OntoNeck] did to a score to get it onto the neck, from
// what transforms made of it since: the octaves by which parts were moved, and
// natural harmonics that sound at another place by another partial. read is the
// score that OntoNeck was given; notes are known by their source. Places stay.
func OffNeck(s, read *score.Score, moved []int) *score.Score {
	out := s.Clone()
	typed := map[score.Handle]*score.Note{}
	for n := range score.Notes(read) {
		if h, ok := n.Harmonic(); ok && n.Src != 0 && h.Kind == score.NaturalHarmonic {
			typed[n.Src] = n
		}
	}
	for i, p := range out.Parts {
		if i < len(moved) && moved[i] != 0 {
			MoveOctaves(p, -moved[i])
		}
		for n := range score.Notes(p) {
			was := typed[n.Src]
			if was == nil {
				continue
			}
			before, _ := was.Harmonic()
			for k, t := range n.Techniques {
				now, ok := t.(score.Harmonic)
				if !ok {
					continue
				}
				// The sound moves as the music moved; the typed partial stays.
				from, to := was.Pitch.Transpose(plainInterval(before.Over)), n.Pitch.Transpose(plainInterval(now.Over))
				n.Pitch = was.Pitch.Transpose(from.To(to))
				n.Techniques[k] = before
				break
			}
		}
	}
	return out
}

// lacksPlaces tells whether a part has a pitched note without a place.
func lacksPlaces(p *score.Part) bool {
	for n := range score.Notes(p) {
		if n.Place.IsZero() && !n.Unpitched {
			return true
		}
	}
	return false
}

// ontoOctave returns by how many octaves a part is best moved, and how many
// notes lie beyond the neck where it is.
func ontoOctave(p *score.Part) (octaves, off int) {
	count := func(k int) (beyond int) {
		var neck fretboard.Neck
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					neck = e.Neck
				case *score.Chord:
					for _, n := range e.Notes {
						sound := n.Pitch.MIDI() + 12*k
						h, _ := n.Harmonic()
						natural := h.Kind == score.NaturalHarmonic && len(neck.HarmonicPlaces(sound+h.Over)) > 0
						if n.Place.IsZero() && !n.Unpitched && !natural && len(neck.Places(sound)) == 0 {
							beyond++
						}
					}
				}
			}
		}
		return beyond
	}
	for n := range score.Notes(p) {
		if n.Place.Fret > 0 || !n.Place.IsZero() && !n.Has(score.Dead) {
			return 0, 0
		}
	}
	off = count(0)
	fewest := off
	for _, k := range octaveTries[1:] {
		if fewest == 0 {
			break
		}
		if beyond := count(k); beyond < fewest {
			fewest, octaves = beyond, k
		}
	}
	return octaves, off
}

// MoveOctaves moves the pitches of a part by octaves, but for dead notes that
// lie on a string and no fret. It changes the part.
func MoveOctaves(p *score.Part, octaves int) {
	for n := range score.Notes(p) {
		if !n.Unpitched && !(n.Has(score.Dead) && !n.Place.IsZero() && n.Place.Fret == 0) {
			n.Pitch = n.Pitch.Transpose(theory.Octaves(octaves))
		}
	}
}
