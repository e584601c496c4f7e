package degrees

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
)

// A lostThing is what a kind of thing is reported by: once, with a number.
type lostThing struct {
	at    score.Handle
	count int
	sev   score.Severity
	what  string
	hint  string
}

// lose notes that something cannot be written. Things of one code are
// reported once for a part.
func (c *composer) lose(sev score.Severity, code string, at score.Handle, what, hint string) {
	if l := c.lost[code]; l != nil {
		l.count++
		return
	}
	c.lost[code] = &lostThing{at, 1, sev, what, hint}
}

// loses is lose for a warning without a hint, the most usual case.
func (c *composer) loses(code string, at score.Handle, what string) {
	c.lose(score.Warning, "degrees-lost-"+code, at, what, "")
}

func (c *composer) sayLost() {
	if c.report == nil {
		return
	}
	codes := make([]string, 0, len(c.lost))
	for code := range c.lost {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		l := c.lost[code]
		msg := l.what
		if l.count > 1 {
			msg += fmt.Sprintf(" (%d in all)", l.count)
		}
		if len(c.score.Parts) > 1 && c.part.Name != "" {
			msg = c.part.Name + ": " + msg
		}
		c.report(score.Diagnostic{Severity: l.sev, Code: code, Pos: c.score.PosOf(l.at), Msg: msg, Hint: l.hint})
	}
}
