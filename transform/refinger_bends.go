package transform

import (
	"fmt"

	"example.org/lickwright/score"
)

// CodeRefingerBend is a bend that came to lie where it is hard.
const CodeRefingerBend = "refinger-bend"

// reportBends says which bends are more than is easy where they lie now, by
// the rule of [easyBend], unless they were no easier where they were.
func (f *fingered) reportBends() {
	if f.opt.habits != nil {
		return // a variation does without such bends, see [unbend]
	}
	before := &habit{}
	for i := range f.np.notes {
		if n := &f.np.notes[i]; n.neck == f.neck && n.from.Fret > 0 {
			if by := bendBy(n.note); by > 0 {
				before.bends = append(before.bends, bent{by, kindOf(n.neck, n.from.String), n.from.Fret})
			}
		}
	}
	count, first := 0, -1
	for i := range f.np.notes {
		n := &f.np.notes[i]
		by := bendBy(n.note)
		if n.neck != f.neck || by == 0 || n.note.Place.IsZero() || n.muted() || before.bendable(n.neck, n.note.Place, by) {
			continue
		}
		if count++; first < 0 {
			first = i
		}
	}
	if first < 0 {
		return
	}
	n := &f.np.notes[first]
	f.np.rep.add(score.Warning, CodeRefingerBend, n.note.Src,
		fmt.Sprintf("%s: %s is more than is easy to bend on string %d at fret %d (%s of the kind in all)",
			f.np.whereIs(first), semitoneWords(bendBy(n.note)), n.note.Place.String, n.note.Place.Fret, countOf(count, "bend")),
		"slide to the note instead, or take another position for this phrase")
}
