package musicxml

import (
	"strings"

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
			if ap.built[m] || e.IsRest() || len(voices[e.Staff]) != 1 || middle[e.Staff] == noMiddle {
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

// stemsFor finds the stems of the chords of a stream in a bar that is put
// together anew; "" where they stay, or where the staff writes none. Chords
// under one beam have one direction. Chords that stay keep theirs, unless they
// crossed the middle line or others joined them. Where a staff has several
// voices the first points up and the second down.
func (b *barBuilder) stemsFor(chords []*score.Chord, beams [][]string, st stream) []string {
	out := make([]string, len(chords))
	h := b.habit(st.staff)
	if st.tab {
		text := commonest(h.stems, strings.Compare)
		for i := range out {
			out[i] = text
		}
		return out
	}
	if !h.hasStems() {
		return out
	}
	first := true
	for c := range b.m.Chords() {
		first = first && (c.Staff != st.model || st.voice <= c.Voice)
	}
	for i := 0; i < len(chords); {
		j := i + 1
		for ; j < len(chords) && len(beams[j]) > 0 && (beams[j][0] == "continue" || beams[j][0] == "end"); j++ {
		}
		dir := b.stemOf(chords[i:j], st)
		if dir == "" && b.manyVoices(st) {
			dir = "down"
			if first {
				dir = "up"
			}
		} else if dir == "" {
			dir = b.ruledStem(chords[i:j], st)
		}
		for k := i; k < j; k++ {
			out[k] = dir
		}
		i = j
	}
	return out
}

// stemOf returns the direction that chords of the file have and keep: if all
// have the same, and none is new. It turns where they stood by the rule and
// crossed the middle line. "" if they have none.
func (b *barBuilder) stemOf(chords []*score.Chord, st stream) (dir string) {
	was, now, middle := 0, 0, b.middle[st.model]
	for _, c := range chords {
		for _, n := range c.Notes {
			e := b.noteElem(n.Src, st.tab)
			if e == none {
				return ""
			}
			if old, _, ok := b.applier.written(e); ok {
				p, moved := b.applier.moved[e]
				if !moved {
					p = old
				}
				was, now = farther(was, old.Diatonic()-middle), farther(now, p.Diatonic()-middle)
			}
			switch s := b.x.childContent(e, "stem"); {
			case s == "" || dir == s:
			case dir == "" && (s == "up" || s == "down"):
				dir = s
			default:
				return ""
			}
		}
	}
	if dir == stemDirection(was) && middle != noMiddle && !b.manyVoices(st) {
		return stemDirection(now)
	}
	return dir
}

// manyVoices tells whether a staff has several voices in the bar.
func (b *barBuilder) manyVoices(st stream) bool {
	for c := range b.m.Chords() {
		if c.Staff == st.model && c.Voice != st.voice {
			return true
		}
	}
	return false
}

// ruledStem returns the direction by the rule; "" on a staff without pitches.
func (b *barBuilder) ruledStem(chords []*score.Chord, st stream) string {
	middle, far, found := b.middle[st.model], 0, false
	if middle == noMiddle {
		return ""
	}
	for _, c := range chords {
		for _, n := range c.Notes {
			if n.Unpitched {
				return ""
			}
			far, found = farther(far, n.Pitch.Transpose(b.w.transpose[st.model].Neg()).Diatonic()-middle), true
		}
	}
	if !found {
		return ""
	}
	return stemDirection(far)
}

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
