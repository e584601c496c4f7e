package tabtext

import (
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// An oddSign is a sign of a bar that is not known.
type oddSign struct {
	row, col int // logical column
	text     string
}

// oddSigns puts the unknown signs of a system that is written anew behind the
// notes behind which they stood, so that they are not lost. Signs of bars that are
// no more go with them.
func (e *editor) oddSigns(c *composer, old, p *score.Part, r run) {
	b := e.o.built
	for bar, m := range b.music[r.sys] {
		for _, odd := range m.odd {
			var before *sign
			group := -1
			for k, g := range m.groups {
				for _, i := range g.signs {
					if sg := &m.signs[i]; sg.row == odd.row && sg.col < odd.col && !sg.grace {
						before, group = sg, k
					}
				}
			}
			onset, src := score.Quarters{}, score.Handle(0)
			for _, k := range r.old {
				om := old.Measures[k]
				if om.Src != 0 && int(b.nodes[om.Src-1].bar) == bar {
					src = om.Src
				}
				for chord := range om.Chords() {
					if chord.Src == 0 || group < 0 {
						continue
					}
					if ref := b.nodes[chord.Src-1]; int(ref.bar) == bar && int(ref.sign) == group && ref.kind == nodeChord {
						onset = chord.Onset
					}
				}
			}
			for _, k := range r.new {
				if src == 0 || p.Measures[k].Src != src || len(c.bars[k].points) == 0 {
					continue
				}
				pt := &c.bars[k].points[max(c.bars[k].pointAt(onset), 0)]
				t := track{kind: stringLine, row: b.lay.systems[r.sys].rows[odd.row].str - 1}
				pc, has := pt.pieces[t]
				if has && before != nil && before.end < odd.col {
					pc.body += strings.Repeat("-", min(odd.col-before.end, 3))
				}
				pc.body += odd.text
				pc.tight = false
				pt.pieces[t] = pc
			}
		}
	}
}

// oddLost says that unknown signs are left out of a system.
func (e *editor) oddLost(r run) {
	b := e.o.built
	for _, m := range b.music[r.sys] {
		for _, odd := range m.odd {
			e.said = append(e.said, score.Diagnostic{Severity: score.Warning, Code: "tab-lost-sign", Pos: b.sysPos(b.lay.systems[r.sys], odd.row, odd.col),
				Msg: "the system is written anew, and the unknown sign " + strconv.Quote(odd.text) + " is left out of it"})
		}
	}
}

// dropCounts takes the counts out of bars that are to be read by their spacing.
func (w *partWriter) dropCounts(of func(*composed) bool) {
	for _, bar := range w.bars {
		if !of(bar) {
			continue
		}
		bar.spaced = true
		bar.endCount = ""
		for i := range bar.points {
			delete(bar.points[i].pieces, track{kind: countLine})
		}
	}
}
