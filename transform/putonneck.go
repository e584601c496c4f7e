package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// CodePutOnNeck says that a part without strings and frets was given them.
const CodePutOnNeck = "put-on-neck"

// PutOnNeck gives strings and frets to the parts that have none, such as
// notation that is to be written as tab: every part of one staff in which no
// note has a place. A part that names no neck gets the given one, or if that
// cannot hold its notes and a bass can, a bass. The fingering is that of
// [Refinger]; what has no place is reported as [score.NotDone]. Parts of
// several staves (a piano) stay as they are.
func PutOnNeck(s *score.Score, neck fretboard.Neck) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	for _, p := range out.Parts {
		if p.Staves != 1 || !wantsPlaces(p) {
			continue
		}
		rep.enter(p)
		giveNeck(p, neck, rep)
		np := collectNeck(p, rep)
		np.link()
		for _, f := range newFingered(out, p, np, RefingerOptions{}) {
			f.solve()
		}
	}
	rep.list.Sort()
	return out, rep.list
}

// GiveNeck says on what neck those parts are played that name none: every part
// of one staff that has pitches and no places. A part whose notes the given
// neck cannot hold gets a bass, if that can. The notes stay as they are.
func GiveNeck(s *score.Score, neck fretboard.Neck) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	for _, p := range out.Parts {
		if p.Staves == 1 && wantsPlaces(p) {
			rep.enter(p)
			giveNeck(p, neck, rep)
		}
	}
	return out, rep.list
}

func giveNeck(p *score.Part, neck fretboard.Neck, rep *reporter) {
	if p.Fretted() {
		return
	}
	n := neckFor(p, neck)
	m := p.Measures[0]
	m.Events = slices.Insert(m.Events, 0, score.Event(&score.NeckChange{Common: score.Common{Staff: 1}, Neck: n, Inferred: true}))
	rep.add(score.Info, CodePutOnNeck, p.Src, fmt.Sprintf("part %q has no strings and frets; it is fingered for %s", nameOf(p), tuningName(n.Tuning)),
		"another tuning: --tuning")
}

func tuningName(t fretboard.Tuning) string {
	if t.Name != "" {
		return t.Name + " tuning"
	}
	return t.String()
}

func nameOf(p *score.Part) string {
	if name := p.SpokenName(); name != "" {
		return name
	}
	return p.ID
}

// wantsPlaces tells whether a part has pitches and no place for any.
func wantsPlaces(p *score.Part) bool {
	pitched := false
	for n := range score.Notes(p) {
		if !n.Place.IsZero() {
			return false
		}
		pitched = pitched || !n.Unpitched
	}
	return pitched && len(p.Measures) > 0
}

// neckFor returns the neck, or a bass of as many frets if only that holds all
// notes of the part.
func neckFor(p *score.Part, neck fretboard.Neck) fretboard.Neck {
	bass := neck
	if preset, ok := fretboard.PresetByName("bass"); ok {
		bass.Tuning = preset.Tuning
	}
	onNeck, onBass := true, true
	for n := range score.Notes(p) {
		if !n.Unpitched {
			onNeck = onNeck && len(neck.Places(n.Pitch.MIDI())) > 0
			onBass = onBass && len(bass.Places(n.Pitch.MIDI())) > 0
		}
	}
	if !onNeck && onBass {
		return bass
	}
	return neck
}
