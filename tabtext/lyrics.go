package tabtext

import (
	"strconv"

	"example.org/lickwright/score"
)

// lyrics puts the words under a system that is written anew to the notes over
// which they stood, so that they are laid out with them. Words of bars that
// are no more go with them.
func (e *editor) lyrics(c *composer, old, p *score.Part, r run) {
	b := e.o.built
	s := b.lay.systems[r.sys]
	for i, a := range s.below {
		if a.kind != lyricLine {
			continue
		}
		for _, w := range a.words {
			m, group := nearestGroup(b.music[r.sys], w.col)
			if m < 0 {
				continue
			}
			onset, src := score.Quarters{}, score.Handle(0)
			for _, k := range r.old {
				for chord := range old.Measures[k].Chords() {
					if chord.Src == 0 {
						continue
					}
					if ref := b.nodes[chord.Src-1]; int(ref.bar) == m && int(ref.sign) == group && ref.kind == nodeChord {
						onset, src = chord.Onset, old.Measures[k].Src
					}
				}
			}
			for _, k := range r.new {
				if src == 0 || p.Measures[k].Src != src || c.bars[k].points == nil {
					continue
				}
				at := max(c.bars[k].pointAt(onset), 0)
				t := track{kind: lyricLine, row: i, name: strconv.Itoa(i)}
				if before, taken := c.bars[k].points[at].pieces[t]; taken {
					w.text = before.body + " " + w.text
				}
				c.bars[k].points[at].pieces[t] = piece{body: w.text}
			}
		}
	}
}

// nearestGroup finds the bar and the group in it that stands nearest to a
// column, -1 where there is none.
func nearestGroup(music []*barMusic, col int) (bar, group int) {
	bar, group = -1, -1
	best := 0
	for i, m := range music {
		for k, g := range m.groups {
			if d := abs(g.col - col); !g.grace && (bar < 0 || d < best) {
				bar, group, best = i, k, d
			}
		}
	}
	return bar, group
}
