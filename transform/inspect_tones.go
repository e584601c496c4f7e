package transform

import (
	"cmp"
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

const (
	maxKeyGuesses = 3
	maxScales     = 8
)

// round3 rounds to what a confidence is worth, so that results stay the same
// from machine to machine.
func round3(x float64) float64 { return math.Round(x*1000) / 1000 }

// weighted gives notes with how long each sounds; grace notes count as a
// thirty-second.
func weighted(notes []heardNote) []theory.WeightedNote {
	list := make([]theory.WeightedNote, len(notes))
	for i, n := range notes {
		list[i] = theory.WeightedNote{MIDI: n.pitch.MIDI(), Weight: max(n.length.Float(), 1.0/8)}
	}
	return list
}

// tones looks at key, degrees, scales and range.
func (v *inspector) tones(pi *PartInspection) {
	pi.KeyGuesses, pi.Degrees = []GuessedKey{}, []DegreeUse{}
	pi.Scales, pi.Elsewhere = []HoldingScale{}, []HoldingScale{}
	if len(v.notes) == 0 {
		return
	}
	guesses := theory.FindKey(weighted(v.notes))
	pi.Key, pi.KeyFrom = v.key(guesses)
	if pi.Key != nil {
		v.respell()
		guesses = slices.Clone(guesses)
		for i := range guesses { // F# or Gb as the music is written
			guesses[i].Key = guesses[i].Key.SpelledLike(v.names())
		}
	}
	for _, g := range guesses[:min(maxKeyGuesses, len(guesses))] {
		pi.KeyGuesses = append(pi.KeyGuesses, GuessedKey{g.Key, round3(g.Confidence)})
	}
	if pi.Key != nil {
		pi.Degrees = v.degrees(pi.Key.Tonic)
		v.scales(pi)
	}
	low, high := v.notes[0].pitch, v.notes[0].pitch
	for _, n := range v.notes {
		if n.pitch.MIDI() < low.MIDI() {
			low = n.pitch
		}
		if n.pitch.MIDI() > high.MIDI() {
			high = n.pitch
		}
	}
	pi.Range = &Compass{low, high, high.MIDI() - low.MIDI()}
}

// key returns the key of the part and where it is known from. A signature
// without a mode is major or minor, whichever the notes speak for.
func (v *inspector) key(guesses []theory.KeyGuess) (*theory.Key, string) {
	said, modeSaid, ok := KeyAtStart(&score.Score{Parts: []*score.Part{v.part}})
	switch {
	case ok && modeSaid:
		return &said, "score"
	case ok:
		for _, g := range guesses {
			for _, mode := range [...]theory.Mode{theory.Major, theory.Minor} {
				if k := theory.KeyOf(said.Fifths(), mode); k.Mode == g.Key.Mode && k.Tonic.Class() == g.Key.Tonic.Class() {
					return &k, "signature"
				}
			}
		}
		return &said, "signature"
	case len(guesses) > 0:
		k := guesses[0].Key.SpelledLike(v.written())
		return &k, "notes"
	}
	return nil, ""
}

// respell gives letters to sounds that have none of their own: those that tab
// gave, and the targets of bends.
func (v *inspector) respell() {
	a := newAnnotator(v.part, &reporter{score: v.rep.score, parts: 1}, AnnotateOptions{})
	a.rep.enter(v.part)
	if !a.findKeys() {
		return
	}
	chosen := a.chosenLetters()
	for i := range v.notes {
		n := &v.notes[i]
		if p, ok := chosen[n.note]; ok {
			n.pitch = p
		}
	}
}

// written returns the names that the source has written, each once: of notes
// and of the roots of chord symbols.
func (v *inspector) written() []theory.NoteName {
	var list []theory.NoteName
	add := func(n theory.NoteName) {
		if !slices.Contains(list, n) {
			list = append(list, n)
		}
	}
	for _, n := range v.notes {
		if !n.note.InferredSpelling && n.pitch == n.note.Pitch {
			add(n.pitch.NoteName)
		}
	}
	for _, c := range harmonyPoints(v.part) {
		if !c.chord.NoChord {
			add(c.chord.Root)
		}
	}
	return list
}

// names returns the names that occur, each once, in order of time.
func (v *inspector) names() []theory.NoteName {
	var list []theory.NoteName
	for _, n := range v.notes {
		if !slices.Contains(list, n.pitch.NoteName) {
			list = append(list, n.pitch.NoteName)
		}
	}
	return list
}

func (v *inspector) degrees(tonic theory.NoteName) []DegreeUse {
	use := map[theory.NoteName]*DegreeUse{}
	for _, n := range v.notes {
		u := use[n.pitch.NoteName]
		if u == nil {
			u = &DegreeUse{Degree: usualDegree(theory.DegreeOf(tonic, n.pitch.NoteName)), Note: n.pitch.NoteName}
			use[n.pitch.NoteName] = u
		}
		u.Count++
		u.Quarters += n.length.Float()
	}
	list := []DegreeUse{}
	for _, u := range use {
		list = append(list, *u)
	}
	slices.SortFunc(list, func(a, b DegreeUse) int {
		return cmp.Or(cmp.Compare(a.Degree.Semitones(), b.Degree.Semitones()), cmp.Compare(a.Degree.Number, b.Degree.Number), cmp.Compare(a.Note.Fifths(), b.Note.Fifths()))
	})
	return list
}

// usualDegree gives a degree that players do not count by, as b1, #3 or a
// double flat, the name of its sound: 7, 4. Source: common practice.
func usualDegree(d theory.Degree) theory.Degree {
	odd := d.Alter < -1 || d.Alter > 1
	switch d {
	case theory.Degree{Number: 1, Alter: -1}, theory.Degree{Number: 3, Alter: 1}, theory.Degree{Number: 4, Alter: -1}, theory.Degree{Number: 7, Alter: 1}:
		odd = true
	}
	if !odd {
		return d
	}
	c := theory.NoteName{Step: theory.C}
	sound := theory.Pitch{NoteName: d.Name(c), Octave: 4}
	return theory.DegreeOf(c, sound.Simplest().NoteName)
}

// scales lists the scales that hold all notes: on the tonic, and elsewhere.
func (v *inspector) scales(pi *PartInspection) {
	names := v.names()
	for _, f := range theory.FindScales(names, &pi.Key.Tonic) {
		if len(pi.Scales) < maxScales && f.Scale.Len() < 12 {
			pi.Scales = append(pi.Scales, holding(f))
		}
	}
	all := theory.FindScales(names, nil)
	for _, f := range all {
		if f.Scale.Len() < 12 {
			pi.ScaleCount++
		}
		if f.Tonic.Class() != pi.Key.Tonic.Class() && len(pi.Elsewhere) < maxScales && f.Scale.Len() < 12 {
			pi.Elsewhere = append(pi.Elsewhere, holding(f))
		}
	}
}

func holding(f theory.FoundScale) HoldingScale {
	return HoldingScale{f.Tonic, f.Scale, append([]theory.NoteName{}, f.Extra...)}
}
