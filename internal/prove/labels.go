package prove

import (
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// degrees proves the labels that count from a tonic.
func (pr *prover) degrees(tonic string) {
	home, _, ok := cutNote(tonic)
	for _, n := range pr.notes {
		for _, a := range n.n.Annotations {
			if a.Kind != score.LabelDegree {
				continue
			}
			if d, known := degree(a.Text); !ok || !known || ((n.key-home-d)%12+12)%12 != 0 {
				pr.fault(Label, n, "%s is labelled %s over %s", where(n.n), a.Text, tonic)
			}
		}
	}
}

// overChords proves the labels of a kind that count from the root of the chord
// whose symbol is in force; of guide tones, that they are thirds and sevenths or
// what stands for them.
func (pr *prover) overChords(kind string, guides bool) {
	root := -1
	symbols := map[[2]any]int{}
	for i := pr.sec.from; i < pr.sec.to; i++ {
		for _, e := range pr.s.Parts[0].Measures[i].Events {
			if h, ok := e.(*score.Harmony); ok && !h.Chord.NoChord {
				symbols[[2]any{i, h.Onset}] = letters[h.Chord.Root.Step] + h.Chord.Root.Alter + 24 // of C flat too it is above 0
			}
		}
	}
	for _, n := range pr.notes {
		if r, ok := symbols[[2]any{n.m.bar, n.m.chord.Onset}]; ok {
			root = r
		}
		for _, a := range n.n.Annotations {
			if a.Kind != kind {
				continue
			}
			text := strings.Trim(a.Text, "()")
			if text == "R" {
				text = "1"
			}
			d, known := degree(text)
			if root < 0 || !known || ((n.key-root-d)%12+12)%12 != 0 {
				pr.fault(Label, n, "%s is labelled %s, which it is not over the chord", where(n.n), a.Text)
			}
			if guides && !slices.Contains([]string{"2", "b3", "3", "4", "6", "bb7", "b7", "7"}, text) {
				pr.fault(Order, n, "%s (%s) is no guide tone", where(n.n), a.Text)
			}
		}
	}
}
