package fretboard

import (
	"slices"

	"example.org/lickwright/theory"
)

// A Tone is a note that is laid out: what it is called and which degree it is.
type Tone struct {
	Degree theory.Degree
	Name   theory.NoteName
}

// A ToneSet is the notes that a scheme lays out: a scale, a chord, an
// arpeggio. It knows no octaves. Tones rise from the tonic, and no two of
// them sound alike. The zero value holds nothing.
type ToneSet struct {
	Title string // "C major", "Am7"
	Tonic theory.NoteName
	Tones []Tone // 1 to 12
	// Bass is the name that a chord has in the bass where that is not Tonic.
	Bass *theory.NoteName
}

// ScaleTones returns the notes of a scale on a tonic.
func ScaleTones(tonic theory.NoteName, s theory.Scale) ToneSet {
	t := ToneSet{Title: tonic.String() + " " + s.Title(), Tonic: tonic}
	for i := range s.Len() {
		d := s.Degree(i)
		t.Tones = append(t.Tones, Tone{d, d.Name(tonic)})
	}
	return t
}

// ChordTones returns the notes of a chord by their degrees over its root, a
// bass that is not among them too. It is empty for N.C. and for a symbol that
// is not understood.
func ChordTones(c theory.Chord) ToneSet {
	t := ToneSet{Title: c.String(), Tonic: c.Root}
	for _, d := range c.Degrees() {
		t.add(Tone{d, d.Name(c.Root)})
	}
	if c.HasBass && len(t.Tones) > 0 {
		bass := c.Bass
		t.Bass = &bass
		t.add(Tone{theory.DegreeOf(c.Root, bass), bass})
	}
	return t
}

func (t *ToneSet) add(n Tone) {
	if _, ok := t.At(n.Name.Class()); !ok {
		t.Tones = append(t.Tones, n)
	}
}

// At returns the tone that sounds as a MIDI key number or pitch class, and
// whether there is one.
func (t ToneSet) At(midi int) (Tone, bool) {
	for _, n := range t.Tones {
		if (midi-n.Name.Class())%12 == 0 {
			return n, true
		}
	}
	return Tone{}, false
}

// Set returns the pitch classes.
func (t ToneSet) Set() theory.PitchSet {
	var set theory.PitchSet
	for _, n := range t.Tones {
		set = set.With(n.Name.Class())
	}
	return set
}

// Within tells whether every sound of t is one of u.
func (t ToneSet) Within(u ToneSet) bool { return u.Set().Holds(t.Set()) }

// Against returns the same notes with the degrees that they are over another
// tonic: a pattern of C major against D has the degrees of D dorian.
func (t ToneSet) Against(tonic theory.NoteName) ToneSet {
	t.Tonic = tonic
	t.Tones = slices.Clone(t.Tones)
	for i := range t.Tones {
		t.Tones[i].Degree = theory.DegreeOf(tonic, t.Tones[i].Name)
	}
	return t
}

// rising returns the tones by sound above the tonic, without the octaves of
// ninths and the like.
func (t ToneSet) rising() []Tone {
	tones := slices.Clone(t.Tones)
	above := func(n Tone) int { return ((n.Name.Class()-t.Tonic.Class())%12 + 12) % 12 }
	slices.SortFunc(tones, func(a, b Tone) int { return above(a) - above(b) })
	return tones
}

// hasMinorThirdOnly tells whether there is a minor and no major third.
func (t ToneSet) hasMinorThirdOnly() bool {
	_, minor := t.At(t.Tonic.Class() + 3)
	_, major := t.At(t.Tonic.Class() + 4)
	return minor && !major
}

// spell gives a name the octave in which it sounds as the key number.
func spell(n theory.NoteName, midi int) theory.Pitch {
	return theory.Pitch{NoteName: n, Octave: (midi - theory.Pitch{NoteName: n}.MIDI()) / 12}
}
