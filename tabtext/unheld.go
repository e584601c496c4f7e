package tabtext

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// Unheld reports what the text has and the score has not, so that a writer of
// another format cannot know of it: the prose around the tab, and remarks behind its
// rows, under them and among chord symbols. There is one
// warning at the first line of it, or none.
func (d *Document) Unheld() score.Diagnostics {
	lines := d.proseLines()
	if len(lines) == 0 {
		return nil
	}
	what := fmt.Sprintf("%d lines of text around the tab, from this one on, are", len(lines))
	if len(lines) == 1 {
		what = "this line of text is"
	}
	return score.Diagnostics{{Severity: score.Warning, Code: "tab-prose", Pos: d.origin.built.lay.src.pos(lines[0].line, 0),
		Msg:  what + " not carried over",
		Hint: "write Title: and Composer: before what is a title or a name"}}
}

// Prose returns the text around the tab in paragraphs, each as one line: what
// [Document.Unheld] reports, for writers that have a place for it.
func (d *Document) Prose() []string {
	var out []string
	last := -2
	for _, l := range d.proseLines() {
		if l.line == last+1 {
			out[len(out)-1] += " " + l.text
		} else {
			out = append(out, l.text)
		}
		last = l.line
	}
	return out
}

func isTimes(word string) bool {
	_, ok := parseTail(word)
	return ok
}

// A proseLine is a line of the source that is neither tab nor a setting, or what
// stands behind a row.
type proseLine struct {
	line int // from 0
	text string
}

// remark is what a line beside a system says that is no music: a line of words under
// it that is not sung, and words among chord symbols.
func (a *attached) remark(html bool) string {
	if a.kind == lyricLine && !a.sung {
		return strings.TrimSpace(a.cells.show(skipQuote(a.cells.ch), len(a.cells.ch), html))
	}
	var words []string
	for _, w := range a.foreign {
		words = append(words, w.text)
	}
	return strings.Join(words, " ")
}

func (d *Document) proseLines() []proseLine {
	lay := d.origin.built.lay
	held := make([]bool, len(lay.src.lines))
	remarks := map[int]string{} // behind the rows of a system
	for _, s := range lay.systems {
		for i := range s.rows {
			if r := &s.rows[i]; r.tail.line == 0 && r.end < len(r.cells.ch) {
				text := strings.TrimSpace(r.cells.show(r.end, len(r.cells.ch), lay.src.html))
				if word, _, _ := strings.Cut(text, " "); word != text || !isTimes(word) {
					remarks[r.line] = text
				}
			}
		}
		for l := s.first; l < s.last; l++ {
			held[l] = true
		}
		for _, a := range slices.Concat(s.above, s.below) {
			if text := a.remark(lay.src.html); text != "" {
				remarks[a.line] = text
			}
		}
	}
	for _, i := range lay.explained {
		held[i] = true
	}
	for _, h := range lay.headers {
		held[h.line] = held[h.line] || !h.prose || h.kind == headPart
	}
	var out []proseLine
	for i := range held {
		c := lay.src.columns(i)
		text := strings.TrimSpace(c.show(skipQuote(c.ch), len(c.ch), lay.src.html))
		if held[i] {
			text = remarks[i]
		}
		if strings.Trim(text, "-=_*#~ ") != "" {
			out = append(out, proseLine{i, text})
		}
	}
	return out
}
