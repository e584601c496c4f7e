package musicxml

import (
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// applyGiven fills in what the caller says and the file leaves out, and the
// octave of guitar parts that leave that out.
func (r *reader) applyGiven(s *score.Score) {
	for _, part := range s.Parts {
		if len(part.Measures) == 0 {
			continue
		}
		first := part.Measures[0]
		r.assumeGuitarOctave(part)
		if r.opt.Key != nil {
			r.giveKey(first, *r.opt.Key)
		}
		if r.opt.Time != "" && !hasEvent[*score.TimeSignature](first) {
			if t, ok := score.ParseMetre(r.opt.Time); ok && !t.Length.IsZero() {
				r.assume(first, t)
				for _, m := range part.Measures {
					if hasEvent[*score.TimeSignature](m) && m != first {
						break
					}
					m.Nominal = t.Length
				}
			}
		}
		if r.opt.Tempo > 0 && !hasEvent[*score.Tempo](first) {
			r.assume(first, &score.Tempo{QuartersPerMinute: r.opt.Tempo})
		}
		if (r.opt.Tuning != nil || r.opt.Capo != nil) && !part.Fretted() {
			neck := fretboard.Guitar()
			if r.opt.Tuning != nil {
				neck.Tuning = *r.opt.Tuning
			}
			if r.opt.Capo != nil {
				neck.Capo = *r.opt.Capo
			}
			neck.Frets = max(r.opt.FretCount(), neck.Capo+1)
			staff := neckStaff(part)
			if staff == 0 {
				r.say(score.Info, "xml-neck-staff", none, "give the music for the neck a part of its own", "part %s has %d staves and none of them is tab: the tuning is left to other parts", part.ID, part.Staves)
				continue
			}
			if part.Staves > 1 {
				r.say(score.Info, "xml-neck-staff", none, "", "part %s: the tuning is taken for staff %d, the tab", part.ID, staff)
			}
			r.assume(first, &score.NeckChange{Common: score.Common{Staff: staff}, Neck: neck, Inferred: true})
		}
	}
}

// neckStaff returns the staff of a part that a tuning is for: the one that is
// tab, or the only one; 0 where several could be meant.
func neckStaff(part *score.Part) int {
	if part.Staves < 2 {
		return 1
	}
	staff := 0
	for _, m := range part.Measures {
		for _, e := range m.Events {
			if c, ok := e.(*score.Clef); ok && strings.EqualFold(c.Sign, "TAB") && c.Staff != staff {
				if staff != 0 {
					return 0
				}
				staff = c.Staff
			}
		}
	}
	return staff
}

func hasEvent[T score.Event](m *score.Measure) bool {
	for _, e := range m.Events {
		if _, ok := e.(T); ok && e.At().IsZero() {
			return true
		}
	}
	return false
}

// giveKey makes the given key the one at the start. Where the file says a
// mode or another signature, the caller is told.
func (r *reader) giveKey(first *score.Measure, key theory.Key) {
	found := false
	for _, e := range first.Events {
		k, ok := e.(*score.KeySignature)
		if !ok || !k.Onset.IsZero() || k.Free {
			continue
		}
		found = true
		if k.Key.Fifths() != key.Fifths() || k.ModeSaid && k.Key != key {
			r.say(score.Warning, "xml-key", r.refs[k.Src].elem, "", "the file begins in %s; %s was said and is taken", k.Key.Pretty(), key.Pretty())
		}
		k.Key, k.ModeSaid, k.NoKey = key, true, false
	}
	if !found {
		r.assume(first, &score.KeySignature{Key: key, ModeSaid: true})
	}
}

// lowestWritten is E3, which a guitar in standard tuning writes for its open
// low string.
var lowestWritten = theory.P(theory.E, 0, 3).MIDI()

// assumeGuitarOctave reads a guitar's plain treble clef an octave down, where
// the file says no transposition, the clef no octave, and no tab shows which:
// guitar is written an octave above its sound. Notes below the open low string
// as written show that the file means sounding pitch after all.
func (r *reader) assumeGuitarOctave(part *score.Part) {
	if !r.guitars[part.ID] || part.Staves != 1 || part.Fretted() {
		return
	}
	for _, m := range part.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.PageTranspose:
				return
			case *score.Clef:
				if e.Sign != "G" || e.OctaveChange != 0 {
					return
				}
			case *score.Chord:
				for _, n := range e.Notes {
					if n.Unpitched || n.Pitch.MIDI() < lowestWritten {
						return
					}
				}
			}
		}
	}
	down := theory.Octaves(-1)
	for n := range score.Notes(part) {
		n.Pitch = n.Pitch.Transpose(down)
	}
	r.assume(part.Measures[0], &score.PageTranspose{Interval: down})
	r.say(score.Info, "xml-octave", none, "", "part %s is a guitar in a plain treble clef; read an octave below, as guitars sound", part.ID)
}
