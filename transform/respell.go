package transform

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// keyState is what a staff is written in at a time.
type keyState struct {
	key   theory.Key
	known bool            // key is a key of the circle of fifths
	page  theory.Interval // sounding minus written pitch
}

// shift returns the interval, a number of diminished seconds, that brings the
// key the page shows into seven sharps or flats. What counts is the page: a
// key of five sharps is seven for an instrument that writes a tone higher.
func (k keyState) shift() theory.Interval {
	if !k.known {
		return theory.Interval{}
	}
	written := k.key.Fifths() - k.page.Fifths()
	// Twelve fifths up are a letter down at the same sound: from D♭ to C♯.
	return theory.Interval{Steps: -theory.EnharmonicShift(written)}
}

// respellPart is the separate last step of a transposition. It never changes
// what sounds. Section by section (a section begins with a key or with a
// change of the page's transposition) it moves pitches, chord symbols and the
// key itself by the enharmonic shift; and it writes single notes and chords
// that are altered more than doubly simply.
//
// Letters that a reader chose (tab has none) move with the key like all
// others. Where no key is known they were chosen as in C, and are again: a
// letter that nobody wrote is not worth a double sharp.
func respellPart(p *score.Part) {
	states := map[int]keyState{} // by staff; 0 is what is said for all staves
	for _, m := range p.Measures {
		for start := 0; start < len(m.Events); {
			end := start + 1
			for end < len(m.Events) && m.Events[end].At() == m.Events[start].At() {
				end++
			}
			respellMoment(m.Events[start:end], states)
			start = end
		}
	}
}

// respellMoment respells the events of one onset. The new state is taken
// first, since a key and the transposition that belongs to it may stand in
// either order.
func respellMoment(events []score.Event, states map[int]keyState) {
	for _, e := range events {
		switch e := e.(type) {
		case *score.KeySignature:
			setState(states, e.Staff, func(k *keyState) { k.key, k.known = e.Key, !e.Free && !e.NoKey })
		case *score.PageTranspose:
			setState(states, e.Staff, func(k *keyState) { k.page = e.Interval })
		}
	}
	for _, e := range events {
		k := stateOf(states, e.OnStaff())
		shift := k.shift()
		switch e := e.(type) {
		case *score.KeySignature:
			if !e.Free && !e.NoKey {
				e.Key = e.Key.Transpose(shift)
			}
		case *score.Harmony:
			e.Chord = e.Chord.Transpose(shift)
			e.Chord.Root = simplestName(e.Chord.Root)
			e.Chord.Bass = simplestName(e.Chord.Bass)
		case *score.Chord:
			for _, n := range e.Notes {
				if n.Unpitched {
					continue
				}
				n.Pitch = n.Pitch.Transpose(shift)
				if n.InferredSpelling && !k.known {
					n.Pitch = theory.SpellIn(theory.Key{}, n.Pitch.MIDI())
				}
				n.Pitch = simplestPitch(n.Pitch)
			}
		}
	}
}

func setState(states map[int]keyState, staff int, set func(*keyState)) {
	if staff == 0 {
		for i, k := range states {
			set(&k)
			states[i] = k
		}
		if _, ok := states[0]; ok {
			return
		}
	}
	k := stateOf(states, staff)
	set(&k)
	states[staff] = k
}

func stateOf(states map[int]keyState, staff int) keyState {
	if k, ok := states[staff]; ok {
		return k
	}
	if k, ok := states[0]; ok || staff != 0 {
		return k
	}
	return states[1] // an event for all staves follows the first
}

// mostAlter is the largest alteration that has a sign of its own in print.
const mostAlter = 2

func simplestPitch(p theory.Pitch) theory.Pitch {
	if -mostAlter <= p.Alter && p.Alter <= mostAlter {
		return p
	}
	return p.Simplest()
}

func simplestName(n theory.NoteName) theory.NoteName {
	return simplestPitch(theory.Pitch{NoteName: n, Octave: 4}).NoteName
}
