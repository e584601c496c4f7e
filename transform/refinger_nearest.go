package transform

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/lickwright/transform/fingering"
)

// nearest names the nearest thing that could be played instead of a note that
// was left without a place: the note in another octave, beside the others as
// they are held, or else held otherwise; or the reach that the chord takes.
func (f *fingered) nearest(way *fingering.Fingering, b fingering.Break, note int, n *neckNote) string {
	if !strings.HasPrefix(b.Reason, "no hand") {
		return f.nearestOctave(n)
	}
	rest := "the rest of the chord is played; "
	for _, held := range [...]bool{true, false} {
		for _, octave := range [...]int{1, -1, 2, -2} {
			p := f.chordOf(way, b.Group, note, octave, held)
			if len(p.Groups[0].Notes) < 2 {
				continue
			}
			try, err := fingering.Solve(p, f.opt.weights())
			if err != nil || len(try.Breaks) > 0 {
				continue
			}
			at := try.Stops[0][len(try.Stops[0])-1].Place
			if at.Fret == 0 {
				return rest + fmt.Sprintf("%s the note lies in reach, on the open string %d", octaveWords(octave), at.String)
			}
			return rest + fmt.Sprintf("%s the note lies in reach, on string %d, fret %d", octaveWords(octave), at.String, at.Fret)
		}
	}
	all := f.chordOf(way, b.Group, note, 0, false)
	all.Hand = fingering.HandOfSpan(widestHand)
	if mm, err := fingering.LeastStretch(all); err == nil && !math.IsInf(mm, 0) {
		if try, err := fingering.Solve(all, f.opt.weights()); err == nil && len(try.Breaks) == 0 {
			return rest + fmt.Sprintf("a hand would have to reach %.0f mm for all of it", mm)
		}
	}
	return rest + "give the note to another voice or leave it out"
}

// widestHand is a reach, in millimetres, that no hand has.
const widestHand = 400

// chordOf returns a group as a problem of its own, with the lost note last and
// moved by octaves, and without what else was left out. held keeps the other
// notes where they are.
func (f *fingered) chordOf(way *fingering.Fingering, group, note, octave int, held bool) *fingering.Problem {
	p := *f.problem
	p.Prefer = nil
	g := f.problem.Groups[group]
	g.Notes = nil
	sounds := f.problem.Groups[group].Notes[note].Pitch + 12*octave
	for i, x := range f.problem.Groups[group].Notes {
		s := way.Stops[group][i]
		x.Join = fingering.NotJoined
		switch {
		case i == note || s.Place.IsZero():
			continue
		case x.Pitch == sounds:
			p.Groups = []fingering.Group{g} // it would only double another
			p.Groups[0].Notes = nil
			return &p
		case held:
			x.Strings, x.Fret = 1<<s.Place.String, s.Place.Fret+1
		}
		g.Notes = append(g.Notes, x)
	}
	lost := f.problem.Groups[group].Notes[note]
	lost.Join, lost.Pitch = fingering.NotJoined, sounds
	g.Notes = append(slices.Clip(g.Notes), lost)
	p.Groups = []fingering.Group{g}
	return &p
}

// nearestOctave says in which octave the neck has the note.
func (f *fingered) nearestOctave(n *neckNote) string {
	for _, octave := range []int{1, -1, 2, -2, 3, -3} {
		for _, p := range f.problem.Neck.Places(n.note.Pitch.MIDI() + 12*octave) {
			if p.Fret >= n.lo && p.Fret <= n.hi {
				return fmt.Sprintf("%s it lies on string %d, fret %d", octaveWords(octave), p.String, p.Fret)
			}
		}
	}
	return "another tuning would hold it"
}
