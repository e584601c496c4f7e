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

// mirror turns a pitch over at a step: so many steps above it become as many
// below, and what is raised as much lowered. Twice gives the pitch back where
// every pitch has one rung, as in scales of seven letters.
func (l *ladder) mirror(p theory.Pitch, step int) theory.Pitch {
	r := l.at(p)
	return l.pitch(rung{2*step - r.step, -r.off})
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

// A moving is how notes are moved: what is heard of each by to. Bends and trills
// go over as many steps of the scale from where they came to.
type moving struct {
	to func(theory.Pitch) theory.Pitch
	// along says that to goes along the scale. Then a bend out of the scale from
	// a note of it is moved by that note, and goes to the scale.
	along bool
	// back says that doing the same again is to come back to what was.
	back bool
	// stays is the key to which a bend goes that is not moved; 0 for none.
	stays int
}

// width returns how far a note lies from another, in semitones, that is to it
// what a note by semitones away is to a first one. Between notes of the scale it
// is so many steps, so that neither leaves it. Else the distance is kept where it
// leads into the scale, or down; what leads up out of it goes to the nearest of its
// notes, of two the nearer to where it starts.
func (l *ladder) width(from, by int, to theory.Pitch) int {
	key, dir := to.MIDI(), sign(by)
	switch {
	case by == 0 || max(by, -by) > 12 || (key-from)%12 == 0:
		return by
	case l.has(from) && l.has(from+by):
		r := rung{step: l.at(to).step + l.nearest(from+by).step - l.nearest(from).step}
		if far := l.pitch(r).MIDI() - key; far*dir > 0 {
			return far
		}
		return by
	case by < 0 || l.has(key+by): // below a target a finger may stand anywhere
		return by
	}
	for d := 1; d < 12; d++ {
		for _, far := range [...]int{by - d*dir, by + d*dir} {
			if far*dir > 0 && l.has(key+far) {
				return far
			}
		}
	}
	return by
}

// moveNote moves what is heard of a note and takes its techniques along: a bend
// goes to the new target over as many steps, a harmonic sounds at the new pitch, a
// trill alternates with the note that lies to the new one as the old lay to the
// old. Places and fingers are left behind.
func (l *ladder) moveNote(n *score.Note, key theory.Key, m moving) {
	if n.Unpitched || n.Has(score.Dead) && !n.Place.IsZero() && n.Place.Fret == 0 {
		return
	}
	was := n.Pitch
	heard, bend := anchor(n, key)
	far := func(from, by int, to theory.Pitch) score.Quarters {
		if m.back {
			return score.Q(int64(l.like(from, by, to.MIDI())), 1)
		}
		return score.Q(int64(l.width(from, by, to)), 1)
	}
	switch {
	case bend >= 0:
		b := n.Techniques[bend].(score.Bend)
		by := int(b.Amount.Num())
		switch {
		case m.stays > 0 && heard.MIDI() == m.stays:
		case m.along && !l.has(heard.MIDI()) && l.has(was.MIDI()):
			n.Pitch = m.to(was)
			b.Amount = far(was.MIDI(), by, n.Pitch)
		default:
			now := m.to(heard)
			b.Amount = far(heard.MIDI(), -by, now).Neg()
			n.Pitch = theory.SpellIn(key, now.MIDI()-int(b.Amount.Num()))
		}
		n.Techniques[bend] = b
	case heard != was: // a harmonic
		n.Pitch = m.to(heard).Transpose(heard.To(was))
	default:
		n.Pitch = m.to(heard)
	}
	for i, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			if t.Release && t.Amount.Den() == 1 {
				t.Amount = far(was.MIDI(), int(t.Amount.Num()), n.Pitch)
				if t.ReleaseTo.Den() == 1 {
					t.ReleaseTo = far(was.MIDI(), int(t.ReleaseTo.Num()), n.Pitch)
					if less := t.Amount.Sub(score.Q(1, 1)); !m.back && less.Less(t.ReleaseTo) {
						t.ReleaseTo = less
					}
				}
				n.Techniques[i] = t
			}
		case score.Trill:
			n.Techniques[i] = score.Trill{To: int(far(was.MIDI(), t.To, n.Pitch).Num())}
		}
	}
	n.Place, n.Finger = noPlace, score.NoFinger
}
