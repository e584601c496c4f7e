package tabtext

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A layout is what was found in a text before any of it is music: systems
// with their rows and attached lines, and statements in the lines between.
type layout struct {
	src     *source
	systems []*system
	headers []header // in order of line
	// explained are the lines that explain labels of notes.
	explained []int
	legend    legend
	unread    []int // lines that look like tab and are none
	naming    []int // lines of few words that name an instrument
	thick     bool  // a sentence says that the last string is on top
	players   []int // lines that name a player or a part; nil until they are asked for
}

// newLayout finds tab and headers. strings is the number of strings that the
// caller expects, 0 for none.
func newLayout(src *source, strings int) *layout {
	l := &layout{src: src}
	l.systems, l.unread = findSystems(src, strings)
	l.findAbsent()
	isTab := make([]bool, len(src.lines))
	for _, s := range l.systems {
		for _, r := range s.rows {
			isTab[r.line] = true
			isTab[r.lastLine()] = true
		}
	}
	isHeader := make([]bool, len(src.lines))
	for i := range src.lines {
		if isTab[i] {
			continue
		}
		if _, ok := src.legendLine(i); ok {
			isHeader[i] = true
			l.explained = append(l.explained, i)
			continue
		}
		c := src.columns(i)
		if len(c.ch) <= maxHeaderLine {
			text := c.show(0, len(c.ch), src.html)
			l.legend.read(text)
			l.thick = l.thick || saysThickOnTop(text)
			if namesInstrument(text) {
				l.naming = append(l.naming, i)
			}
		}
		if isNamedRow(&c, src.html) { // words of a song state nothing
			continue
		}
		hs := readHeaders(src, i)
		if len(hs) > 0 && hs[0].prose && chordsOver(src, i, isTab) {
			continue
		}
		if len(hs) > 0 {
			isHeader[i] = true
			l.headers = append(l.headers, hs...)
		}
	}
	l.partHeadings(isTab, isHeader)
	attach(src, l.systems, func(line int) bool { return isTab[line] || isHeader[line] && !l.markLine(line) })
	l.dropAttachedHeaders()
	return l
}

// chordsOver tells a row of chord symbols over tab, which may have a metre of a
// bar among them, from a heading.
func chordsOver(src *source, line int, isTab []bool) bool {
	next := line + 1
	for next < len(isTab) && next <= line+2 && !isTab[next] && !isBlank(src.columns(next).ch) {
		next++
	}
	if next >= len(isTab) || !isTab[next] {
		return false
	}
	a := attached{cells: src.columns(line)}
	a.words = splitWords(&a.cells, src.html)
	chords := 0
	for _, w := range a.words {
		if _, ok := readChordWord(w.text); ok {
			chords++
		} else if !isMark(w.text) {
			return false
		}
	}
	return chords > 0
}

// markLine tells whether a line that states something is a row of marks over
// a system rather than a header: "time:3/4" without a space after the colon
// is written so.
func (l *layout) markLine(line int) bool {
	a := classify(l.src.columns(line), line, l.src.html, false)
	return a.kind == markLine
}

// dropAttachedHeaders removes statements that turned out to be marks over a
// system.
func (l *layout) dropAttachedHeaders() {
	attachedTo := make(map[int]bool)
	for _, s := range l.systems {
		for _, list := range [][]attached{s.above, s.below} {
			for _, a := range list {
				attachedTo[a.line] = true
			}
		}
	}
	kept := l.headers[:0]
	for _, h := range l.headers {
		if !attachedTo[h.line] {
			kept = append(kept, h)
		}
	}
	l.headers = kept
}

// pos gives the position of a physical column of a line.
func (s *source) pos(line, col int) score.Pos {
	if line < 0 || line >= len(s.lines) {
		return score.Pos{File: s.name}
	}
	c := s.columns(line)
	return s.posIn(&c, line, col)
}

func (s *source) at(line, col int) func() score.Pos {
	return func() score.Pos { return s.pos(line, col) }
}

// posIn gives the position of a column of a line whose columns are known.
func (s *source) posIn(c *cells, line, col int) score.Pos {
	off := min(col, len(c.ch))
	if c.off != nil {
		n := int(c.off[min(off, len(c.off)-1)])
		if off = n; s.enc != bytewise || len(c.text) != int(c.raw) { // else text is the bytes of the line
			off = len(s.encode(c.text[:n], line))
		}
	}
	return score.Pos{File: s.name, Offset: s.lines[line].start + off, Line: line + 1, Col: off + 1}
}

// defaultTuning is the tuning of unlabelled rows: the usual instrument with
// so many strings. Source: common practice.
func defaultTuning(n int) fretboard.Tuning {
	name := ""
	switch n {
	case 4:
		name = "bass"
	case 5:
		name = "bass-5"
	case 6:
		name = "standard"
	case 7:
		name = "7-string"
	case 8:
		name = "8-string"
	}
	if p, ok := fretboard.PresetByName(name); ok {
		return p.Tuning
	}
	// Other numbers: fourths down from the eighth string, or the upper strings
	// of a guitar.
	eight, _ := fretboard.PresetByName("8-string")
	t := eight.Tuning.Strings[:min(n, 8):min(n, 8)]
	for len(t) < n {
		low := t[len(t)-1]
		low.Octave--
		t = append(t, low.Transpose(fifthUp))
	}
	out, _ := fretboard.NewTuning(t...)
	return out
}

// chordText gives the word of a chord symbol with another chord in it.
func (l *layout) chordText(ref nodeRef, c theory.Chord) string {
	s := l.systems[ref.sys]
	for _, a := range slices.Concat(s.above, s.below) {
		if a.line != int(ref.line) {
			continue
		}
		for _, w := range wordsFrom(a.words, int(ref.col)-s.rows[0].shift) {
			if w.col > int(ref.col)-s.rows[0].shift {
				break
			}
			if old, ok := readChordWord(w.text); ok && w.col+s.rows[0].shift == int(ref.col) {
				return old.with(c, a.printed)
			}
		}
	}
	return c.String()
}
