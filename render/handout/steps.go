package handout

import (
	"strconv"

	"example.org/lickwright/score"
)

// stepsOf says how to practise what is on a sheet. Source: common practice of
// teaching; slowly enough to be clean, then faster in small steps.
func stepsOf(s Sheet) []string {
	var out []string
	slow := "Play it so slowly that every note is clean; then raise the tempo in small steps."
	tempo := 0.0
	chords, degrees := false, false
	for _, sec := range s.Sections {
		if sec.Score == nil {
			continue
		}
		for n := range score.Preorder(sec.Score) {
			switch n := n.(type) {
			case *score.Tempo:
				if tempo == 0 {
					tempo = n.QuartersPerMinute
				}
			case *score.Harmony:
				chords = true
			case *score.Note:
				for _, a := range n.Annotations {
					degrees = degrees || a.Kind == score.LabelDegree
				}
			}
		}
	}
	if tempo > 0 {
		slow = "Play it so slowly that every note is clean; then raise the tempo in small steps, up to " +
			strconv.FormatFloat(tempo, 'f', -1, 64) + " quarter notes a minute."
	}
	out = append(out, slow)
	if degrees && !s.Worksheet {
		out = append(out, "Say the degrees aloud as you play them.")
	}
	if chords {
		out = append(out, "Hear each chord before you play over it: strum it, or sing its root.")
	}
	if len(s.Sections) > 1 {
		out = append(out, "One heading at a time: tick it off when it is clean.")
	}
	return out
}
