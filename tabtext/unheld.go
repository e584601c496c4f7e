package tabtext

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
)

// Unheld reports what the text has and the score has not, so that a writer of
// another format cannot know of it: the prose around the tab. There is one
// warning at the first line of it, or none.
func (d *Document) Unheld() score.Diagnostics {
	lay := d.origin.built.lay
	held := make([]bool, len(lay.src.lines))
	for _, s := range lay.systems {
		for l := s.first; l < s.last; l++ {
			held[l] = true
		}
	}
	for _, h := range lay.headers {
		held[h.line] = held[h.line] || !h.prose || h.kind == headPart
	}
	n, first := 0, 0
	for i := range held {
		c := lay.src.columns(i)
		text := strings.TrimSpace(c.show(skipQuote(c.ch), len(c.ch), lay.src.html))
		if held[i] || strings.Trim(text, "-=_*#~ ") == "" {
			continue
		}
		if n++; n == 1 {
			first = i
		}
	}
	if n == 0 {
		return nil
	}
	what := fmt.Sprintf("%d lines of text around the tab, from this one on, are", n)
	if n == 1 {
		what = "this line of text is"
	}
	return score.Diagnostics{{Severity: score.Warning, Code: "tab-prose", Pos: lay.src.pos(first, 0),
		Msg:  what + " not carried over",
		Hint: "write Title: and Composer: before what is a title or a name"}}
}
