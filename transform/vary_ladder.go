package transform

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A ladder is a scale as rungs up and down without end. Every pitch stands on
// a rung or so many semitones off one, and moves as it stands there: so a
// scale tone moves to scale tones, and a chromatic note stays beside its
// neighbour.
type ladder struct {
	tonic   theory.NoteName
	degrees []theory.Degree // rising within an octave
	letters bool            // it has every letter once: a pitch belongs to the rung of its letter
	set     theory.PitchSet
}

func newLadder(s ScaleOn) *ladder {
	l := &ladder{tonic: s.Tonic, letters: s.Scale.Len() == 7}
	seen := [8]bool{}
	for _, t := range scaleRow(s).tones {
		l.degrees = append(l.degrees, t.degree)
		if t.degree.Number > 7 || seen[t.degree.Number%8] {
			l.letters = false
		} else {
			seen[t.degree.Number] = true
		}
	}
	l.set = s.Scale.Set().Transpose(s.Tonic.Class())
	return l
}

// A rung is a step of the ladder, 0 being the tonic of octave 0, and how many
// semitones a pitch is off it.
type rung struct{ step, off int }

// at returns where a pitch stands.
func (l *ladder) at(p theory.Pitch) rung {
	from := theory.Pitch{NoteName: l.tonic}
	n := len(l.degrees)
	if l.letters {
		octave, letter := floorDiv(from.To(p).Steps, 7)
		for i, d := range l.degrees {
			if d.Number == letter+1 {
				r := rung{step: octave*n + i}
				r.off = p.MIDI() - l.pitch(r).MIDI()
				return r
			}
		}
	}
	return l.nearest(p.MIDI())
}

// nearest returns the rung nearest to a MIDI key number, of two at one distance
// the lower one.
func (l *ladder) nearest(midi int) rung {
	n := len(l.degrees)
	above := midi - theory.Pitch{NoteName: l.tonic}.MIDI()
	best, off := rung{}, 1<<10
	for octave := floorOctave(above) - 1; octave <= floorOctave(above)+1; octave++ {
		for i, d := range l.degrees {
			by := above - 12*octave - d.Semitones()
			if max(by, -by) < off {
				best, off = rung{octave*n + i, by}, max(by, -by)
			}
		}
	}
	return best
}

func floorOctave(semitones int) int {
	q, _ := floorDiv(semitones, 12)
	return q
}

// pitch returns the pitch of a rung, and off it one with as few accidentals as
// its letter allows.
func (l *ladder) pitch(r rung) theory.Pitch {
	octave, i := floorDiv(r.step, len(l.degrees))
	p := theory.Pitch{NoteName: l.tonic}.Transpose(theory.Octaves(octave)).Transpose(l.degrees[i].Interval())
	if r.off == 0 {
		return p
	}
	p.Alter += r.off
	if !l.letters && (p.Alter > 1 || p.Alter < -1) {
		p = p.Simplest()
	}
	return p
}

// move takes a pitch so many steps up the ladder.
func (l *ladder) move(p theory.Pitch, steps int) theory.Pitch {
	r := l.at(p)
	r.step += steps
	return l.readable(l.pitch(r))
}

// mirror turns a pitch over at an axis: so many steps above it become as many
// below. Twice gives the pitch back.
func (l *ladder) mirror(p, axis theory.Pitch) theory.Pitch {
	r, a := l.at(p), l.at(axis)
	return l.pitch(rung{2*a.step - r.step, 2*a.off - r.off})
}

// readable takes a pitch with more than two accidentals to its enharmonic
// equal.
func (l *ladder) readable(p theory.Pitch) theory.Pitch {
	if p.Alter > 2 || p.Alter < -2 {
		return p.Simplest()
	}
	return p
}

// has tells whether a sound is of the scale.
func (l *ladder) has(midi int) bool {
	_, class := floorDiv(midi, 12)
	return l.set.Has(class)
}

// like returns how far a note lies from another, in semitones, that is to it
// what a note by semitones away is to a first one: the next tone of the scale
// but one to the next but one, the first note outside of the scale to the
// first outside. Between two notes that are both of the scale, or both not,
// it has an inverse: there and back is the same distance.
func (l *ladder) like(from, by, to int) int {
	dir := sign(by)
	if by == 0 || max(by, -by) > 12 {
		return by
	}
	in := l.has(from + by)
	rank := 0
	for d := dir; d != by+dir; d += dir {
		if l.has(from+d) == in {
			rank++
		}
	}
	for d := dir; max(d, -d) <= 24; d += dir {
		if l.has(to+d) == in {
			if rank--; rank == 0 {
				return d
			}
		}
	}
	return by
}

// anchor returns the pitch by which a note is moved: the target of a bend that
// is held, the sound of a harmonic, else the note itself. bend is the place of
// that bend among the techniques, -1 for none. A bend to no semitone, and one
// that comes back, colours its note and is no target.
func anchor(n *score.Note, key theory.Key) (heard theory.Pitch, bend int) {
	heard, bend = n.Pitch, -1
	for i, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			if bend < 0 && !t.Release && !t.WithBar && t.Amount.Den() == 1 && t.Amount.Sign() > 0 {
				bend = i
				heard = theory.SpellIn(key, n.Pitch.MIDI()+int(t.Amount.Num()))
			}
		case score.Harmonic:
			heard = n.Pitch.Transpose(plainInterval(t.Over))
		}
	}
	return heard, bend
}

// moveNote moves what is heard of a note by a function of pitches, and takes
// its techniques along: a bend goes to the new target over as many steps, a
// harmonic sounds at the new pitch, a trill alternates with the note that lies
// to the new one as the old lay to the old. Places and fingers are left behind.
func (l *ladder) moveNote(n *score.Note, key theory.Key, to func(theory.Pitch) theory.Pitch) {
	if n.Unpitched || n.Has(score.Dead) && !n.Place.IsZero() && n.Place.Fret == 0 {
		return
	}
	was := n.Pitch
	heard, bend := anchor(n, key)
	now := to(heard)
	switch {
	case bend >= 0:
		b := n.Techniques[bend].(score.Bend)
		amount := -l.like(heard.MIDI(), -int(b.Amount.Num()), now.MIDI())
		n.Pitch = theory.SpellIn(key, now.MIDI()-amount)
		b.Amount = score.Q(int64(amount), 1)
		n.Techniques[bend] = b
	case heard != was: // a harmonic
		n.Pitch = now.Transpose(heard.To(was))
	default:
		n.Pitch = now
	}
	for i, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			if t.Release && t.Amount.Den() == 1 {
				t.Amount = score.Q(int64(l.like(was.MIDI(), int(t.Amount.Num()), n.Pitch.MIDI())), 1)
				if t.ReleaseTo.Den() == 1 {
					t.ReleaseTo = score.Q(int64(l.like(was.MIDI(), int(t.ReleaseTo.Num()), n.Pitch.MIDI())), 1)
				}
				n.Techniques[i] = t
			}
		case score.Trill:
			n.Techniques[i] = score.Trill{To: l.like(was.MIDI(), t.To, n.Pitch.MIDI())}
		}
	}
	n.Place, n.Finger = noPlace, score.NoFinger
}
