package tabtext

import (
	"strings"

	"example.org/lickwright/score"
)

// Headings. Where a section begins (the first bar, a bar with a rehearsal
// mark, a bar after a double or final bar line), what is written over its
// first beat becomes a heading between the systems: a rehearsal mark between
// equals signs, words as lines of text, each in a paragraph of its own. A
// reader of tab takes both for prose. Elsewhere tab has no room for words.

// heading takes words as part of the bar's heading. ok is false if they do
// not stand where a section begins, or if a reader would take them for more
// than words: a tuning, a capo, a row of tab.
func (c *composer) heading(index int, m *score.Measure, w *score.Words, bar *composed) (ok bool) {
	if !w.Onset.IsZero() || w.Kind != "words" && w.Kind != "rehearsal" || !c.sectionBegins(index, m) {
		return false
	}
	lines := headingLines(w)
	if len(lines) == 0 || !inert(lines) {
		return false
	}
	if len(bar.heading) > 0 {
		bar.heading = append(bar.heading, "")
	}
	bar.heading = append(bar.heading, lines...)
	return true
}

func (c *composer) sectionBegins(index int, m *score.Measure) bool {
	for _, e := range m.Events {
		if w, ok := e.(*score.Words); ok && w.Kind == "rehearsal" && w.Onset.IsZero() {
			return true
		}
	}
	if index == 0 {
		return false // "Andante" is no heading
	}
	before := c.part.Measures[index-1]
	for _, e := range before.Events {
		if b, ok := e.(*score.Barline); ok && b.Onset == before.Length && (b.Style == "light-light" || b.Style == "light-heavy") {
			return true
		}
	}
	return false
}

func headingLines(w *score.Words) []string {
	if w.Kind == "rehearsal" {
		text := oneLine(w.Text)
		if text == "" {
			return nil
		}
		return []string{"== " + text + " =="}
	}
	var lines []string
	for l := range strings.Lines(w.Text) {
		lines = append(lines, wrapLine(strings.TrimRight(l, " \t\r\n"), DefaultWidth)...)
	}
	for len(lines) > 0 && lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return lines
}

// wrapLine breaks a line of words at spaces. A line that begins with a space
// or has a gap in it is laid out by its writer and stays.
func wrapLine(s string, width int) []string {
	if len([]rune(s)) <= width || strings.HasPrefix(s, " ") || strings.Contains(s, "  ") {
		return []string{s}
	}
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// inert tells whether a reader takes lines for nothing but prose.
func inert(lines []string) bool {
	src := newSource("", []byte(strings.Join(lines, "\n")+"\n"))
	for i := range src.lines {
		if len(readHeaders(src, i)) > 0 {
			return false
		}
	}
	return !hasTab(src)
}
