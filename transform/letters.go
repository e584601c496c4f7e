package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// Tab has no letters: its sounds get them from what they stand in. One rule
// does it for labels, for inspection and for formats that write letters, so
// that a note has one name wherever it is shown. The first of these that says
// something counts:
//
//  1. A note of the scale or key has its letter there.
//  2. A tone of the chord has its letter there.
//  3. A tritone, above the root of the chord or else above the tonic, is ♯4
//     where a semitone leads up from it, and ♭5 where one leads down, by a
//     release too. Else it is ♭5 over a minor third, as in the scale of the
//     blues, and ♯4 (♯11 of a chord) without one.
//  4. Over a major tonic ♯1 and ♯5 are what a semitone leads up from.
//  5. Any other sound has the name that handbooks print over the tonic: ♭2 ♭3
//     ♭6 ♭7 and the major degrees; see [theory.SpellIn].
//
// What repeats a note goes where that goes, and a note that sounds on into
// another chord keeps its letter. Source: common practice; the songs of
// TestChosenLettersAgreeWithEditors bear it out.

// ChooseLetters returns the score with letters chosen anew for the notes that
// have [score.Note.InferredSpelling], by the key that is said or that the notes
// speak for, by the chords, and by where the line goes. Letters that the source
// gave stay, and so does every sound; of a note that is bent it is the stopped
// pitch that gets a letter. The score that is passed in is not changed; it is
// what comes back if it has no such notes.
func ChooseLetters(s *score.Score) *score.Score {
	if !anyInferred(s) {
		return s
	}
	out := s.Clone()
	for _, p := range out.Parts {
		rep := &reporter{score: out, parts: len(out.Parts)}
		rep.enter(p)
		a := newAnnotator(p, rep, AnnotateOptions{})
		if len(p.Measures) == 0 || onlyUnpitched(p) || !a.findKeys() {
			continue
		}
		chosen := a.chosenLetters()
		for _, tied := range [...]bool{false, true} { // what is tied follows what was struck
			a.writeLetters(chosen, tied)
		}
	}
	return out
}

// CodeLetters is the code of what [LettersLost] reports.
const CodeLetters = "letters-lost"

// LettersLost says which notes will have another name once their letters are
// gone, as in tab, and are chosen by the rule of [ChooseLetters].
func LettersLost(s *score.Score) score.Diagnostics {
	bare := s.Clone()
	for n := range score.Notes(bare) {
		n.InferredSpelling = !n.Unpitched
	}
	bare = ChooseLetters(bare)
	rep := &reporter{score: s, parts: len(s.Parts)}
	for i, p := range s.Parts {
		rep.enter(p)
		count, first, said := 0, score.Handle(0), ""
		for j, m := range p.Measures {
			now := chordsOf(bare.Parts[i].Measures[j])
			for k, c := range chordsOf(m) {
				for l, n := range c.Notes {
					name := now[k].Notes[l].Pitch.NoteName
					if n.InferredSpelling || n.Unpitched || n.Has(score.Dead) || n.TieStop || name == n.Pitch.NoteName {
						continue
					}
					if count++; count == 1 {
						first, said = n.Src, rep.where(j, c.Onset)+": "+n.Pitch.NoteName.Pretty()+" will be called "+name.Pretty()
					}
				}
			}
		}
		switch {
		case count > 1:
			said += fmt.Sprintf(", and %d more notes get other names", count-1)
			fallthrough
		case count == 1:
			rep.add(score.Info, CodeLetters, first, said+": tab has no letters", "")
		}
	}
	return rep.list
}

func chordsOf(m *score.Measure) []*score.Chord { return slices.Collect(m.Chords()) }

func anyInferred(s *score.Score) bool {
	for n := range score.Notes(s) {
		if n.InferredSpelling {
			return true
		}
	}
	return false
}

// chosenLetters returns the heard pitches of the struck notes for which the
// source has no letter. The keys must be found.
func (a *annotator) chosenLetters() map[*score.Note]theory.Pitch {
	a.layChords()
	a.collect()
	a.letters()
	chosen := map[*score.Note]theory.Pitch{}
	for _, t := range a.tones {
		if t.note != nil && t.of == nil && !t.lettered {
			chosen[t.note] = t.pitch
		}
	}
	return chosen
}

// writeLetters gives notes their letters: those that are tied to a note before
// them, or the others.
func (a *annotator) writeLetters(chosen map[*score.Note]theory.Pitch, tied bool) {
	type key struct{ staff, voice, midi int }
	last := map[key]theory.NoteName{}
	for i, m := range a.part.Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				if n.Unpitched {
					continue
				}
				k := key{c.Staff, c.Voice, n.Pitch.MIDI()}
				if n.InferredSpelling && tied == (n.TieStop || n.Has(score.Held)) {
					p, ok := chosen[n]
					switch name, known := last[k]; {
					case tied && known:
						n.Pitch = named(n.Pitch, name)
					case ok && p.MIDI() == n.Pitch.MIDI():
						n.Pitch = p
					default: // bent, a harmonic, dead, small
						n.Pitch = a.usual(a.begins[i].Add(c.Onset), n.Pitch.MIDI())
					}
				}
				last[k] = n.Pitch.NoteName
			}
		}
	}
}

// letters gives letters to the tones that have none of their own.
func (a *annotator) letters() {
	for _, t := range a.tones {
		switch {
		case t.lettered:
		case t.of != nil:
			t.pitch = t.of.pitch
		default:
			t.pitch = named(t.pitch, a.letter(t))
		}
	}
}

// letter chooses the letter of a tone by the rule above.
func (a *annotator) letter(t *tone) theory.NoteName {
	k, class := a.keyAt(t.at), t.pitch.Class()
	usual := a.usual(t.at, t.midi()).NoteName
	if k.set.Has(class) {
		return usual
	}
	if t.span >= 0 {
		c := a.spans[t.span].chord
		degrees := c.Degrees()
		for _, d := range degrees {
			if n := d.Name(c.Root); n.Class() == class {
				return n
			}
		}
		if degrees != nil && (class-c.Root.Class()+12)%12 == tritone {
			return tritoneOver(c.Root, t, slices.Contains(degrees, theory.Degree{Number: 3, Alter: -1}))
		}
	}
	major := k.set.Has(k.tonic.Class() + 4)
	switch above := (class - k.tonic.Class() + 12) % 12; {
	case above == tritone:
		return tritoneOver(k.tonic, t, k.set.Has(k.tonic.Class()+3) && !major)
	case (above == 1 || above == 8) && major && t.goesBy() == 1:
		return theory.Degree{Number: above/2 + 1, Alter: 1}.Name(k.tonic) // ♯1, ♯5
	}
	return usual
}

const tritone = 6 // semitones

// tritoneOver names a tritone above a root.
func tritoneOver(root theory.NoteName, t *tone, minor bool) theory.NoteName {
	fourth, fifth := theory.Degree{Number: 4, Alter: 1}.Name(root), theory.Degree{Number: 5, Alter: -1}.Name(root)
	switch t.goesBy() {
	case 1:
		return fourth
	case -1:
		return fifth
	}
	if minor {
		return fifth
	}
	return fourth
}

// mostRepeats is how many times a note may be repeated before it is looked no
// further for where it goes.
const mostRepeats = 64

// goesBy returns by how many semitones a tone goes on to the next other sound
// of its line, 0 at the end. The release of a bend is such a sound.
func (t *tone) goesBy() int {
	for u, i := t, 0; u != nil && i <= mostRepeats; u, i = u.next, i+1 {
		if u.midi() != t.midi() {
			return u.midi() - t.midi()
		}
		if u.leaves != u.midi() {
			return u.leaves - u.midi()
		}
	}
	return 0
}

// usual gives a letter to a sound by the key alone: the one of the scale, else
// the one that handbooks print.
func (a *annotator) usual(at score.Quarters, midi int) theory.Pitch {
	k := a.keyAt(at)
	p := theory.SpellIn(k.spelling, midi)
	for _, n := range k.names {
		if n.Class() == p.Class() {
			return named(p, n)
		}
	}
	return p
}
