package transform

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// spell gives the sounds of each bar one letter each: that of the new scale if
// it has the sound, else the one that most of the bar's notes have, with few
// accidentals.
func (lm *lineMap) spell() {
	byBar := map[int][]int{}
	for i, x := range lm.notes {
		byBar[x.measure] = append(byBar[x.measure], i)
	}
	for _, members := range byBar {
		lm.spellBar(members)
	}
}

func (lm *lineMap) spellBar(members []int) {
	var names [12][]theory.NoteName
	var fixed [12]bool
	for _, i := range members {
		x := &lm.notes[i]
		n := x.note.Pitch.NoteName
		c := n.Class()
		if !x.mapped { // what was not touched stays, and the others follow it
			names[c], fixed[c] = []theory.NoteName{n}, true
		} else if !fixed[c] {
			names[c] = append(names[c], n)
		}
	}
	for _, i := range members {
		x := &lm.notes[i]
		if !x.mapped {
			continue
		}
		c := x.note.Pitch.Class()
		if len(names[c]) > 1 {
			m := lm.r.at(lm.part, x.measure, x.chord.Onset)
			names[c] = []theory.NoteName{oneName(names[c], m)}
		}
		x.note.Pitch = named(x.note.Pitch, names[c][0])
		x.note.InferredSpelling = false // the scale or the chord that was asked for has the letter
	}
}

// oneName chooses among names of one sound.
func oneName(names []theory.NoteName, m *toneMap) theory.NoteName {
	for _, t := range m.to.tones {
		if n := t.degree.Name(m.to.tonic); n.Class() == names[0].Class() {
			return n
		}
	}
	count := map[theory.NoteName]int{}
	for _, n := range names {
		count[n]++
	}
	return slices.MinFunc(names, func(a, b theory.NoteName) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a.Alter*a.Alter, b.Alter*b.Alter))
	})
}

// named returns a pitch under another name of its sound.
func named(p theory.Pitch, n theory.NoteName) theory.Pitch {
	q := theory.Pitch{NoteName: n, Octave: p.Octave}
	q.Octave += (p.MIDI() - q.MIDI()) / 12
	return q
}

// staleLabels takes off labels that say what the old notes were.
func (lm *lineMap) staleLabels() {
	count, first := 0, score.Handle(0)
	for _, x := range lm.notes {
		if !x.mapped {
			continue
		}
		before := len(x.note.Annotations)
		x.note.Annotations = slices.DeleteFunc(x.note.Annotations, func(a score.Annotation) bool { return a.Kind != "name" })
		if gone := before - len(x.note.Annotations); gone > 0 {
			if count == 0 {
				first = x.note.Src
			}
			count += gone
		}
	}
	if count > 0 {
		lm.rep.add(score.Warning, CodeRemapLabel, first, lm.rep.inPart()+countOf(count, "label")+" taken off, which named what the old notes were",
			"annotate the result")
	}
}
