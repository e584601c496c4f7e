package musicxml

import (
	"slices"

	"example.org/lickwright/score"
)

// beams returns, for each chord of a voice in a measure, what its beams do:
// "begin", "continue", "end", "forward hook" or "backward hook" from the
// first beam to the last. Beams join neighbouring notes shorter than a
// quarter within one group of the metre, and do not cross the edge of a tuplet.
func (w *partWriter) beams(chords []*score.Chord) [][]string {
	out := make([][]string, len(chords))
	flags := make([]int, len(chords))
	for i, c := range chords {
		if c.IsRest() || c.Grace != score.NotGrace {
			continue
		}
		a, n := ratio(w.groups[c].ratios)
		if vs, ok := w.values(c, a, n); ok && len(vs) == 1 && vs[0].Log > 2 {
			flags[i] = int(vs[0].Log) - 2
		}
	}
	for i := 0; i < len(chords); {
		j := i + 1
		if flags[i] > 0 {
			group := w.groupOf(chords[i].Onset)
			for j < len(chords) && flags[j] > 0 && chords[j].Onset == chords[j-1].End() &&
				w.groupOf(chords[j].Onset) == group && slices.Equal(w.groups[chords[j]].ratios, w.groups[chords[i]].ratios) {
				j++
			}
			if j-i > 1 {
				beamRun(flags[i:j], out[i:j])
			}
		}
		i = j
	}
	return out
}

// groupOf returns the number of the beam group in which a time lies.
func (w *partWriter) groupOf(t score.Quarters) int {
	groups := w.beats
	if len(groups) == 0 {
		groups = []score.Quarters{score.Q(1, 1)}
	}
	end := score.Quarters{}
	for i := 0; i < 1<<16; i++ {
		end = end.Add(groups[i%len(groups)])
		if t.Less(end) {
			return i
		}
	}
	return -1
}

func beamRun(flags []int, out [][]string) {
	deepest := 0
	for _, f := range flags {
		deepest = max(deepest, f)
	}
	for level := 1; level <= deepest; level++ {
		for i, f := range flags {
			if f < level {
				continue
			}
			before := i > 0 && flags[i-1] >= level
			after := i+1 < len(flags) && flags[i+1] >= level
			what := "forward hook"
			switch {
			case before && after:
				what = "continue"
			case before:
				what = "end"
			case after:
				what = "begin"
			case i == len(flags)-1:
				what = "backward hook"
			}
			out[i] = append(out[i], what)
		}
	}
}
