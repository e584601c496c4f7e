package handout

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// The word of caution where playing could hurt. Common practice; it defers to
// those who know.
const strain = "Warm up first, stop if it hurts or tingles, rest, and see a teacher or a clinician if it persists."

// withoutStrain returns a remark without the sentence that says the same, for
// pages that have it already.
func withoutStrain(remark string) string {
	i := strings.Index(strings.ToLower(remark), strings.ToLower(strings.TrimSuffix(strain, ".")))
	if i < 0 {
		return remark
	}
	before := strings.LastIndex(remark[:i], ". ") + 1 // with its full stop
	return remark[:before] + strings.TrimPrefix(remark[i+len(strain)-1:], ".")
}

// cautionsOf names the stretches of a section that lie beyond a comfortable
// span: of a position, or of notes that are fretted together. A guitar's
// scale length is taken.
func cautionsOf(sec Section) []string {
	var out []string
	for _, l := range sec.Layouts {
		if mm, from, to := l.Stretch(fretboard.ScaleLength); mm > fretboard.ComfortableSpan {
			out = append(out, fmt.Sprintf("Wide stretch in the %s: fret %d to fret %d on string %d.", l.Region.Name, from.Fret, to.Fret, from.String))
		}
	}
	if sec.Score == nil || len(out) > 0 {
		return out
	}
	for _, p := range sec.Score.Parts {
		var neck *fretboard.Neck
		for i, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					neck = &e.Neck
				case *score.Chord:
					if low, high, wide := stretchOf(e, neck); wide {
						return []string{fmt.Sprintf("Wide stretch in bar %s: fret %d to fret %d at once.", p.BarName(i), low, high)}
					}
				}
			}
		}
	}
	return nil
}

// stretchOf tells whether the frets of a chord lie further apart than is
// comfortable. Open strings, tapped notes and natural harmonics hold no finger.
func stretchOf(c *score.Chord, neck *fretboard.Neck) (low, high int, wide bool) {
	if neck == nil {
		return 0, 0, false
	}
	for _, n := range c.Notes {
		h, harmonic := n.Harmonic()
		if n.Place.IsZero() || n.Place.Fret == 0 || n.Has(score.Tap) || harmonic && h.Kind == score.NaturalHarmonic {
			continue
		}
		if low == 0 || n.Place.Fret < low {
			low = n.Place.Fret
		}
		high = max(high, n.Place.Fret)
	}
	return low, high, low > 0 && neck.Reach(low, high, fretboard.ScaleLength) > fretboard.ComfortableSpan
}
