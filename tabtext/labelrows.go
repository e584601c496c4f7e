package tabtext

import (
	"bytes"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// Labels of notes stand in rows under their system, one word for each chord at
// its column; a word that has no room in the first row of its kind stands in
// the next one, so that the tab itself never changes. Lines that explain the
// labels follow the last system after an empty line:
//
//	Labels: role: p passing, n neighbour
const labelsPrefix = "Labels: "

// early is by how many columns a label begins before its chord: one where it
// begins with a bracket, an accent or a minus, so that what matters stands under the
// number, unless it would be taken for the label of the chord before.
func (e *editor) early(ed *systemEdit, w word) int {
	if strings.IndexByte("(>-", w.text[0]) < 0 {
		return 0
	}
	for _, m := range e.o.built.music[ed.index] {
		for _, g := range m.groups {
			if g.col < w.col && g.end > w.col-2 {
				return 0
			}
		}
	}
	return 1
}

// stacked puts the words of a kind into as many rows as they need. They come in
// order of column.
func stacked(words []word) [][]word {
	var rows [][]word
	for _, w := range words {
		i := slices.IndexFunc(rows, func(row []word) bool {
			last := row[len(row)-1]
			return last.col+width(last.text) < w.col
		})
		if i < 0 {
			rows = append(rows, nil)
			i = len(rows) - 1
		}
		rows[i] = append(rows[i], w)
	}
	return rows
}

// compareLabels notes down the kinds of labels in which a chord differs.
func (ed *systemEdit) compareLabels(were, are map[string]string) {
	if ed.relabel == nil {
		ed.relabel = map[string]bool{}
	}
	for kind, text := range are {
		ed.relabel[kind] = ed.relabel[kind] || were[kind] != text
	}
	for kind, text := range were {
		ed.relabel[kind] = ed.relabel[kind] || are[kind] != text
	}
}

// relabelled tells whether any row of labels is written anew.
func (ed *systemEdit) relabelled() bool {
	for _, changed := range ed.relabel {
		if changed {
			return true
		}
	}
	return false
}

// labelKinds returns the kinds whose rows are written anew, in their order:
// those that the model names, then others by name.
func (ed *systemEdit) labelKinds() []string {
	var kinds, others []string
	for _, kind := range score.LabelKinds() {
		if ed.relabel[kind] {
			kinds = append(kinds, kind)
		}
	}
	for kind, changed := range ed.relabel {
		if changed && !slices.Contains(kinds, kind) {
			others = append(others, kind)
		}
	}
	slices.Sort(others)
	return append(kinds, others...)
}

// labelsSeen returns the score with the labels that the text can show: a bar
// that is written as % has those of the bar before it. It says where others are
// lost.
func (o *origin) labelsSeen(s *score.Score) (*score.Score, score.Diagnostics) {
	var said score.Diagnostics
	copied := false
	for i, p := range o.built.sc.Parts {
		if len(s.Parts[i].Measures) != len(p.Measures) {
			continue
		}
		for k, m := range p.Measures {
			if k == 0 || s.Parts[i].Measures[k].Src != m.Src {
				continue
			}
			if held := heldLabelled(m, s.Parts[i].Measures[k]); held >= 0 {
				if !copied {
					s, copied = s.Clone(), true
				}
				for _, n := range s.Parts[i].Measures[k].Events[held].(*score.Chord).Notes {
					n.Annotations = nil
				}
				said = append(said, score.Diagnostic{Severity: score.Warning, Code: "tab-lost-label", Pos: o.Locate(m.Src),
					Msg: "bar " + p.BarName(k) + " begins with a note that is held over the cut, at no column of its own, so that it gets no label", Hint: "draw the bar line and write the note in brackets after it"})
			}
			if !repeated(m) {
				continue
			}
			was, now := notesOf(s.Parts[i].Measures[k-1]), notesOf(s.Parts[i].Measures[k])
			if len(was) != len(now) || slices.EqualFunc(was, now, sameLabels) {
				continue
			}
			if !copied {
				s, copied = s.Clone(), true
				was, now = notesOf(s.Parts[i].Measures[k-1]), notesOf(s.Parts[i].Measures[k])
			}
			for j, n := range now {
				n.Annotations = slices.Clone(was[j].Annotations)
			}
			said = append(said, score.Diagnostic{Severity: score.Warning, Code: "tab-lost-label", Pos: o.Locate(m.Src),
				Msg: "bar " + p.BarName(k) + " is written as %, so that its labels are those of the bar before, although they would differ", Hint: "write the bar out"})
		}
	}
	return s, said
}

// colorsLost says that tab has no colours, if the labels of a score have any.
func colorsLost(s *score.Score) score.Diagnostics {
	for n := range score.Notes(s) {
		if slices.ContainsFunc(n.Annotations, func(a score.Annotation) bool { return a.Color != "" }) {
			return score.Diagnostics{{Severity: score.Warning, Code: "tab-lost-colour", Pos: s.PosOf(s.Parts[0].Src),
				Msg: "tab has no colours for notes; their labels say the same"}}
		}
	}
	return nil
}

func notesOf(m *score.Measure) []*score.Note { return slices.Collect(score.Notes(m)) }

func sameLabels(a, b *score.Note) bool {
	return slices.EqualFunc(a.Annotations, b.Annotations, func(x, y score.Annotation) bool { return x.Kind == y.Kind && x.Text == y.Text })
}

// repeated tells whether a measure was read from a bar of %.
func repeated(m *score.Measure) bool {
	for c := range m.Chords() {
		if c.Src == 0 && !heldOver(c) {
			return true
		}
	}
	return false
}

// heldOver tells whether a chord stands nowhere in the text because it is held
// over a cut.
func heldOver(c *score.Chord) bool { return c.Src == 0 && len(c.Notes) > 0 && c.Notes[0].TieStop }

// heldLabelled gives the index of the event that was read as held over a cut and now
// has labels, -1 for none.
func heldLabelled(was, now *score.Measure) int {
	k := slices.IndexFunc(was.Events, func(e score.Event) bool { c, ok := e.(*score.Chord); return ok && heldOver(c) })
	if k < 0 || k >= len(now.Events) {
		return -1
	}
	c, ok := now.Events[k].(*score.Chord)
	if !ok || !heldOver(c) || !slices.ContainsFunc(c.Notes, func(n *score.Note) bool { return len(n.Annotations) > 0 }) {
		return -1
	}
	return k
}

// labelRank is the place of a row by its name: labels in the order of the
// model, then others.
func labelRank(name string) int {
	if i := slices.Index(score.LabelKinds(), name); i >= 0 {
		return i
	}
	return len(score.LabelKinds())
}

// legendLine returns what a line explains about labels, if it does.
func (s *source) legendLine(line int) (string, bool) {
	c := s.columns(line)
	text := strings.TrimSpace(c.show(skipQuote(c.ch), len(c.ch), s.html))
	text, ok := strings.CutPrefix(text, labelsPrefix)
	return text, ok && score.LegendKind(text) != ""
}

// labelLegend returns the lines that explain labels.
func (l *layout) labelLegend() []string {
	var lines []string
	for _, i := range l.explained {
		text, _ := l.src.legendLine(i)
		lines = append(lines, text)
	}
	return lines
}

// tabLegend returns the lines of a legend that tab can use: it has no colours.
func tabLegend(lines []string) []string {
	var out []string
	for _, line := range lines {
		if line = oneLine(line); score.LegendKind(line) != score.LabelColor {
			out = append(out, line)
		}
	}
	return out
}

// legendEdits replaces the lines that explain labels, if they differ. It comes
// after all other edits, since lines are added to what the last system became.
func (e *editor) legendEdits() {
	lay := e.o.built.lay
	lines := tabLegend(e.s.Legend)
	if slices.Equal(lines, lay.labelLegend()) {
		return
	}
	for k, i := range lay.explained {
		e.setLine(i)
		if c := lay.src.columns(max(i-1, 0)); k == 0 && i > 0 && len(bytes.Trim(c.ch[skipQuote(c.ch):], " ")) == 0 {
			e.setLine(i - 1)
		}
	}
	if len(lines) == 0 {
		return
	}
	last := lay.systems[len(lay.systems)-1]
	at := last.last - 1
	text, touched := e.lines[at]
	if !touched {
		text = []string{lay.src.text(at)}
	}
	prefix := ""
	if r := &last.rows[0]; strings.Contains(string(r.cells.ch[:min(r.label.col, r.start)]), ">") {
		prefix = string(r.cells.ch[:min(r.label.col, r.start)])
	}
	text = append(slices.Clone(text), strings.TrimRight(prefix, " "))
	for _, line := range lines {
		text = append(text, prefix+labelsPrefix+line)
	}
	e.setLine(at, text...)
}
