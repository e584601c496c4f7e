package theory

// SpellIn gives a letter to a sound (a MIDI key number) that came without
// one, in a key. Notes of the key keep their letters; the rest take the names
// that books print over that tonic: ♭2 ♭3 ♯4 ♭6 ♭7 and the major degrees.
// It looks at one note at a time, so it knows nothing of the line; the key
// is the caller's to know.
//
// Source: the chromatic scale of common practice as a window of twelve
// neighbouring places on the line of fifths, from five below the tonic to six
// above it.
func SpellIn(k Key, midi int) Pitch {
	_, class := floorDiv(midi, 12)
	sig := k.Fifths()
	// The key's own seven names come first: they are fifths sig-1 to sig+5.
	for f := sig - 1; f <= sig+5; f++ {
		if n := NameAtFifths(f); n.Class() == class {
			return pitchAt(n, midi)
		}
	}
	tonic := k.Tonic.Fifths()
	for f := tonic - 5; f <= tonic+6; f++ {
		if n := NameAtFifths(f); n.Class() == class {
			return pitchAt(n, midi)
		}
	}
	panic("theory: twelve neighbouring fifths hold every pitch class")
}

// pitchAt puts a name into the octave in which it sounds as the key number.
func pitchAt(n NoteName, midi int) Pitch {
	p := Pitch{NoteName: n}
	p.Octave, _ = floorDiv(midi-p.MIDI(), 12)
	return p
}

// Simplest returns the pitch with the fewest accidentals that sounds the
// same, keeping the pitch itself when no other has fewer. Between a sharp and
// a flat it keeps to the side the pitch is on.
func (p Pitch) Simplest() Pitch {
	best := p
	for f := (NoteName{F, -1}).Fifths(); f <= (NoteName{B, 1}).Fifths(); f++ {
		n := NameAtFifths(f)
		if n.Class() != p.Class() || abs(n.Alter) > abs(best.Alter) {
			continue
		}
		if abs(n.Alter) < abs(best.Alter) || best != p && n.Alter*p.Alter > 0 {
			best = pitchAt(n, p.MIDI())
		}
	}
	return best
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
