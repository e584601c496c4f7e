package prove

import (
	"fmt"

	"example.org/lickwright/score"
)

// A Kind is what sort of thing a fault is.
type Kind string

// The kinds of faults in lesson material.
const (
	Duration  Kind = "duration"  // a bar is too long or too short, notes overlap
	Place     Kind = "place"     // not on the neck, or its pitch is another one
	OutOfPos  Kind = "position"  // outside of the frets that are promised
	OutOfKey  Kind = "key"       // another signature than promised
	NotScale  Kind = "scale"     // no note of the scale, or one is lacking
	Technique Kind = "technique" // a technique that cannot be played as it is written
	Order     Kind = "order"     // the notes do not run as the title says
	Moved     Kind = "moved"     // not the music that it is made of
	Label     Kind = "label"     // a label that is not what the note is
	Caution   Kind = "caution"   // no word about strain
	Form      Kind = "form"      // the file itself is not well formed
	Unknown   Kind = "unknown"   // the check does not know what is promised
)

// A Fault is something that is not as it should be.
type Fault struct {
	Kind Kind
	Pos  score.Pos // where in the file; may be unknown
	Bar  string    // "" where it is not one bar's
	Beat string    // "" where it is not one beat's
	Msg  string
}

// String writes "bar 3, beat 2: what is wrong".
func (f Fault) String() string {
	switch {
	case f.Bar == "":
		return f.Msg
	case f.Beat == "":
		return fmt.Sprintf("bar %s: %s", f.Bar, f.Msg)
	}
	return fmt.Sprintf("bar %s, beat %s: %s", f.Bar, f.Beat, f.Msg)
}

// A moment is a chord of a part with where and when it stands.
type moment struct {
	part  *score.Part
	bar   int
	chord *score.Chord
	beat  score.Quarters // length of a beat in its bar
}

// moments lists all chords that sound, in order.
func moments(p *score.Part) []moment {
	beats := p.BeatLengths()
	var all []moment
	for i, m := range p.Measures {
		for c := range m.Chords() {
			if !c.IsRest() {
				all = append(all, moment{p, i, c, beats[i]})
			}
		}
	}
	return all
}

// at makes a fault at a moment.
func (m moment) at(s *score.Score, kind Kind, n *score.Note, format string, args ...any) Fault {
	f := Fault{Kind: kind, Bar: m.part.BarName(m.bar), Beat: score.BeatName(m.chord.Onset, m.beat), Msg: fmt.Sprintf(format, args...)}
	if n != nil {
		f.Pos = s.PosOf(n.Src)
	}
	if !f.Pos.IsValid() {
		f.Pos = s.PosOf(m.chord.Src)
	}
	return f
}

// where names a note as a player finds it.
func where(n *score.Note) string {
	if n.Place.String == 0 {
		return n.Pitch.String()
	}
	if n.Has(score.Dead) {
		return fmt.Sprintf("x on string %d", n.Place.String)
	}
	return fmt.Sprintf("%s (string %d, fret %d)", n.Pitch.NoteName, n.Place.String, n.Place.Fret)
}
