package tabtext

import (
	"bytes"
	"sort"

	"example.org/lickwright/score"
)

// A rhythm that was guessed from the spacing is not to become one that the text
// tells. Where a system is written anew its spacing carries the guess again; where
// it cannot, there are counts under it, and a line before it (ours) that says
// whose they are.
const (
	guessName  = "rhythm"
	guessValue = "guessed from the spacing"
	guessLine  = "Rhythm: " + guessValue
)

// guessLines are the lines before a system which say that its rhythm was
// guessed.
func (l *layout) guessLines(sys int) []int {
	from := -1
	if sys > 0 {
		from = l.systems[sys-1].rows[0].line
	}
	var out []int
	k := sort.Search(len(l.headers), func(i int) bool { return l.headers[i].line > from })
	for ; k < len(l.headers) && l.headers[k].line < l.systems[sys].rows[0].line; k++ {
		if l.headers[k].kind == headGuess {
			out = append(out, l.headers[k].line)
		}
	}
	return out
}

// saidGuesses marks the bars of a system whose counts or letters were guessed,
// as a line before it says.
func (b *builder) saidGuesses(s *system, index int, bars []*barMusic) {
	lines := b.lay.guessLines(index)
	if len(lines) == 0 {
		return
	}
	for _, m := range bars {
		if m.timing == bySpacing {
			continue // that is said anyway
		}
		m.guessed = true
		b.reportOnce(score.Warning, "tab-rhythm-guessed", "", b.lay.src.at(lines[0], 0),
			"the rhythm was guessed from the spacing of an earlier text, as the line says: the counts are not its author's", "take the line out when you have checked the counts")
	}
}

// guessed tells whether the rhythm of a measure is a guess. One without notes is
// like the one before it.
func (c *composer) guessed(m *score.Measure) bool {
	notes, guess := false, true
	for ch := range m.Chords() {
		if ch.IsRest() || ch.Grace != score.NotGrace {
			continue
		}
		notes = true
		guess = guess && ch.InferredTime
	}
	if !notes {
		return len(c.bars) > 0 && c.bars[len(c.bars)-1].guessed
	}
	return guess
}

// writeSpaced writes a score as new tab in which spacing carries the rhythms
// that were guessed from spacing. Bars in which that reads otherwise get counts.
func writeSpaced(s *score.Score, opt score.WriteOptions) (string, error) {
	counted := map[*score.Measure]bool{}
	told, err := write(s, opt, nil)
	if err != nil || !hasGuesses(s) {
		return told, err
	}
	want, err := read([]byte(told), "", score.ReadOptions{})
	if err != nil {
		return told, nil
	}
	for range 3 {
		text, err := write(s, score.WriteOptions{Width: opt.Width}, func(m *score.Measure) bool { return !counted[m] })
		if err != nil {
			break
		}
		got, err := read([]byte(text), "", score.ReadOptions{})
		if err != nil {
			break
		}
		if compare(want.built.sc, got.built.sc) == nil {
			return text, nil
		}
		if !differingMeasures(s, want.built.sc, got.built.sc, counted) {
			break
		}
	}
	return told, nil
}

// differingMeasures notes the measures of a score of which two readings differ. It
// tells whether there are new ones among them.
func differingMeasures(s, want, got *score.Score, out map[*score.Measure]bool) bool {
	more := false
	k := 0
	for _, p := range s.Parts {
		if _, ok := firstNeck(p); !ok || len(p.Measures) == 0 {
			continue
		}
		if k >= len(want.Parts) || k >= len(got.Parts) || len(want.Parts[k].Measures) != len(p.Measures) || len(got.Parts[k].Measures) != len(p.Measures) {
			return false
		}
		for i, m := range p.Measures {
			a, b := canonical(want.Parts[k].Measures[i], &canonIDs{loose: true}), canonical(got.Parts[k].Measures[i], &canonIDs{loose: true})
			if !bytes.Equal(a, b) && !out[m] {
				out[m], more = true, true
			}
		}
		k++
	}
	return more
}

func hasGuesses(s *score.Score) bool {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			for c := range m.Chords() {
				if c.InferredTime && !c.IsRest() {
					return true
				}
			}
		}
	}
	return false
}
