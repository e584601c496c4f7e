package handout

import "example.org/lickwright/score"

// stepsOf says how to practise what is on a sheet. Source: common practice of
// teaching; slowly enough to be clean, then faster in small steps.
func stepsOf(s Sheet) []string {
	var out []string
	slow := "Play it so slowly that every note is clean; then raise the tempo in small steps."
	tempo := ""
	chords, degrees := false, false
	for _, sec := range s.Sections {
		if sec.Score == nil {
			continue
		}
		if tempo == "" {
			tempo = firstTempo(sec.Score)
		}
		for n := range score.Preorder(sec.Score) {
			switch n := n.(type) {
			case *score.Harmony:
				chords = true
			case *score.Note:
				for _, a := range n.Annotations {
					degrees = degrees || a.Kind == score.LabelDegree
				}
			}
		}
	}
	if tempo != "" {
		slow = "Play it so slowly that every note is clean; then raise the tempo in small steps, up to " + tempo + "."
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

// firstTempo says the first tempo of the music, "" without one.
func firstTempo(s *score.Score) string {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if t, ok := e.(*score.Tempo); ok {
					if text := tempoText(t, p.MetreAt(m)); text != "" {
						return text
					}
				}
			}
		}
	}
	return ""
}
