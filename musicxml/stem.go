package musicxml

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// stems turns the stems of notes that crossed the middle line. A stem is
// turned only if it stood by the rule (away from the middle line as the note
// farthest from it, or the beamed group's, wants; down on the line itself)
// and its staff has one voice in the bar, since in two voices stems tell the
// voices apart.
// Source: Gould, Behind Bars (2011), on stem direction; from memory.
func (ap *applier) stems(s *score.Score) {
	if len(ap.moved) == 0 {
		return
	}
	for _, part := range s.Parts {
		if _, ok := ap.parts[part]; !ok {
			continue
		}
		middle := make([]int, part.Staves+1)
		for i := range middle {
			middle[i] = noMiddle
		}
		for _, m := range part.Measures {
			ap.stemsOf(m, middle)
		}
	}
}

// noMiddle is the middle line of a staff without a clef that shows pitch.
const noMiddle = -1 << 20

// middleLine returns the diatonic number of the middle line under a clef.
func middleLine(c *score.Clef) int {
	line, note := c.Line, theory.Pitch{}
	switch c.Sign {
	case "G":
		note = theory.P(theory.G, 0, 4)
		if line == 0 {
			line = 2
		}
	case "F":
		note = theory.P(theory.F, 0, 3)
		if line == 0 {
			line = 4
		}
	case "C":
		note = theory.P(theory.C, 0, 4)
		if line == 0 {
			line = 3
		}
	default:
		return noMiddle
	}
	return note.Diatonic() + 2*(3-line) + 7*c.OctaveChange
}

// A stemGroup is a chord, or the chords of one beam, with one stem direction.
type stemGroup struct {
	stems    []int32 // <stem> elements
	was, now int     // farthest from the middle line, below it negative
	turned   bool    // a stem that goes against the others
	dir      string
}

func (ap *applier) stemsOf(m *score.Measure, middle []int) {
	voices := map[int]map[int]bool{}
	for c := range m.Chords() {
		if voices[c.Staff] == nil {
			voices[c.Staff] = map[int]bool{}
		}
		voices[c.Staff][c.Voice] = true
	}
	open := map[int]*stemGroup{} // by staff
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Clef:
			middle[e.Staff] = middleLine(e)
		case *score.Chord:
			if e.IsRest() || len(voices[e.Staff]) != 1 || middle[e.Staff] == noMiddle {
				continue
			}
			g := open[e.Staff]
			if g == nil {
				g = &stemGroup{}
			}
			goesOn := ap.stemChord(g, e, middle[e.Staff])
			if goesOn {
				open[e.Staff] = g
				continue
			}
			delete(open, e.Staff)
			ap.turn(g)
		}
	}
	for _, g := range open {
		ap.turn(g)
	}
}

// stemChord adds a chord to a group; it tells whether the beam goes on.
func (ap *applier) stemChord(g *stemGroup, c *score.Chord, middle int) (goesOn bool) {
	for _, n := range c.Notes {
		e := ap.refs[n.Src].elem
		if e == none {
			continue
		}
		old, _, ok := ap.written(e)
		if !ok {
			continue
		}
		p, moved := ap.moved[e]
		if !moved {
			p = old
		}
		g.was = farther(g.was, old.Diatonic()-middle)
		g.now = farther(g.now, p.Diatonic()-middle)
		for ch := range ap.x.children(e) {
			switch ap.x.name(ch) {
			case "stem":
				dir := ap.x.content(ch)
				g.turned = g.turned || g.dir != "" && g.dir != dir
				g.dir = dir
				g.stems = append(g.stems, ch)
			case "beam":
				if num := ap.x.attrOr(ch, "number"); num == "" || num == "1" {
					goesOn = ap.x.content(ch) == "begin" || ap.x.content(ch) == "continue"
				}
			}
		}
	}
	return goesOn
}

// farther returns the position that is farther from the middle; of equal
// distances the one above, which wants the stem down.
func farther(a, b int) int {
	if abs(b) > abs(a) || abs(b) == abs(a) && b > a {
		return b
	}
	return a
}

func abs(n int) int { return max(n, -n) }

func stemDirection(position int) string {
	if position >= 0 {
		return "down"
	}
	return "up"
}

func (ap *applier) turn(g *stemGroup) {
	was, now := stemDirection(g.was), stemDirection(g.now)
	if g.turned || g.dir != was || was == now {
		return
	}
	for _, s := range g.stems {
		ap.ed.setContent(s, now)
	}
}
