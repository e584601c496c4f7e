package degrees

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A noteText is a note as it is typed: ~b3^4:vib
type noteText struct {
	at     int // byte offset
	grace  score.Grace
	tied   bool
	joined score.SpanKind // by a sign before it; 0 for not
	falls  bool           // a slide comes down to it; / and \ mean the same
	dead   bool           // x, on a string
	tone   tone
	bends  []bendText
	str    int // string it is to lie on; 0 for any
	marks  []score.Technique
	ends   []spanEnd
	pluck  string
}

// A bendText is a bend as it is typed: the degree that it goes to, or how many
// semitones.
type bendText struct {
	bend          score.Bend // amounts, where they are typed
	to            theory.Degree
	release       theory.Degree
	byDegree      bool
	releaseDegree bool
}

// A stackText is what is struck together: 1&3&5::acc
type stackText struct {
	notes   []noteText
	marks   []score.Technique // on all notes
	tremolo int
	cue     bool
}

// A slip is what is wrong with a text, at a byte offset.
type slip struct {
	at   int
	msg  string
	hint string
}

func slipped(at int, hint, format string, args ...any) *slip {
	return &slip{at, fmt.Sprintf(format, args...), hint}
}

const noteHint = "a note is a degree such as 5, b3, #4, with + for each octave up and - for each down: +1, -b7"

// A cursor reads a word from left to right.
type cursor struct {
	s  string
	at int
}

func (c *cursor) skip(n int) { c.s, c.at = c.s[n:], c.at+n }

func (c *cursor) take(prefix string) bool {
	if strings.HasPrefix(c.s, prefix) {
		c.skip(len(prefix))
		return true
	}
	return false
}

// to moves on to where rest begins.
func (c *cursor) to(rest string) { c.skip(len(c.s) - len(rest)) }

// parseStack reads all of a word as notes struck together.
func parseStack(word string, at int) (st stackText, err *slip) {
	c := &cursor{word, at}
	for {
		n, err := parseNote(c)
		if err != nil {
			return st, err
		}
		st.notes = append(st.notes, n)
		if !c.take("&") {
			break
		}
	}
	if c.take("::") {
		for w := range strings.SplitSeq(c.s, ",") {
			if err := st.word(w, c.at); err != nil {
				return st, err
			}
			c.at += len(w) + 1
		}
		c.s = ""
	}
	if c.s != "" {
		return st, slipped(c.at, noteHint, "%q does not belong to a note", c.s)
	}
	return st, nil
}

// word reads a word behind ::, which is about all notes.
func (st *stackText) word(w string, at int) *slip {
	if n, ok := strings.CutPrefix(w, "strokes"); ok {
		k, err := strconv.Atoi(n)
		if err != nil || k < 1 || k > 8 {
			return slipped(at, "write how many: strokes3", "%q is no number of strokes", n)
		}
		st.tremolo = k
		return nil
	}
	if w == "cue" {
		st.cue = true
		return nil
	}
	t, ok := parseTechnique(w)
	if !ok {
		return slipped(at, nearWord(w), "there is no word %q", w)
	}
	st.marks = append(st.marks, t)
	return nil
}

// parseNote reads one note.
func parseNote(c *cursor) (n noteText, err *slip) {
	n.at = c.at
	if err := n.prefixes(c); err != nil {
		return n, err
	}
	if n.dead = c.take("x"); !n.dead {
		t, rest, ok := scanTone(c.s)
		if !ok {
			return n, slipped(c.at, noteHint, "%q is no degree", head(c.s))
		}
		n.tone = t
		c.to(rest)
	}
	for {
		b, ok, err := parseBend(c)
		if err != nil {
			return n, err
		}
		if !ok {
			break
		}
		n.bends = append(n.bends, b)
	}
	if c.take("@") {
		i := 0
		for i < len(c.s) && i < 2 && '0' <= c.s[i] && c.s[i] <= '9' {
			i++
		}
		if n.str, _ = strconv.Atoi(c.s[:i]); n.str < 1 {
			return n, slipped(c.at, "write the number of the string, 1 being the thinnest: 5@2", "%q is no string", head(c.s))
		}
		c.skip(i)
	}
	if n.dead && n.str == 0 {
		return n, slipped(n.at, "a dead note has no pitch; say its string: x@3", "it is not said on which string x lies")
	}
	if strings.HasPrefix(c.s, ":") && !strings.HasPrefix(c.s, "::") {
		c.skip(1)
		end := strings.IndexAny(c.s, "&:")
		if end < 0 {
			end = len(c.s)
		}
		at := c.at
		for w := range strings.SplitSeq(c.s[:end], ",") {
			if err := n.word(w, at); err != nil {
				return n, err
			}
			at += len(w) + 1
		}
		c.skip(end)
	}
	return n, nil
}

// prefixes reads what stands before the degree.
func (n *noteText) prefixes(c *cursor) *slip {
	for {
		switch {
		case c.take("gg"):
			n.grace = score.Unslashed
		case c.take("g"):
			n.grace = score.Slashed
		case c.take("~"):
			n.tied = true
		case c.take("\\"):
			n.joined = score.LegatoSlide
		default:
			found := false
			for _, w := range spanWords {
				if w.sign != "" && c.take(w.sign) {
					if n.joined != 0 {
						return slipped(c.at-1, "write the other one as words: slide( at the first note and slide) at the second", "one note has two signs that join it")
					}
					n.joined, found = w.kind, true
					break
				}
			}
			if !found {
				return nil
			}
		}
	}
}

// head is the beginning of a text, for messages.
func head(s string) string {
	if r := []rune(s); len(r) > 12 {
		return string(r[:12]) + "…"
	}
	return s
}

const bendHint = "write the degree that it goes to, 4^5, or semitones in brackets, 4^(1/2); p^ before it is struck, r for the release, bar^ with the bar"

// parseBend reads one bend: ^5, p^5, ^5r, ^5r4, ^(1/2), bar^(-2).
func parseBend(c *cursor) (b bendText, ok bool, err *slip) {
	before := *c
	switch {
	case c.take("p^"):
		b.bend.PreBend = true
	case c.take("barp^"):
		b.bend.PreBend, b.bend.WithBar = true, true
	case c.take("bar^"):
		b.bend.WithBar = true
	case c.take("^"):
	default:
		return b, false, nil
	}
	if b.bend.Amount, b.to, b.byDegree, ok = c.target(); !ok {
		return b, false, slipped(before.at, bendHint, "%q says no target of a bend", head(before.s))
	}
	if c.take("r") {
		b.bend.Release = true
		if c.s != "" && (c.s[0] == '(' || strings.ContainsAny(c.s[:1], "b#0123456789")) || strings.HasPrefix(c.s, "♭") || strings.HasPrefix(c.s, "♯") {
			if b.bend.ReleaseTo, b.release, b.releaseDegree, ok = c.target(); !ok {
				return b, false, slipped(c.at, bendHint, "%q says no end of a release", head(c.s))
			}
		}
	}
	return b, true, nil
}

// target reads a degree or a number in brackets.
func (c *cursor) target() (amount score.Quarters, d theory.Degree, byDegree, ok bool) {
	if c.take("(") {
		q, rest, good := scanNumber(c.s)
		c.to(rest)
		return q, d, false, good && !q.Invalid() && c.take(")") && q.Less(score.Q(100, 1)) && score.Q(-100, 1).Less(q)
	}
	d, rest, good := scanDegree(c.s)
	c.to(rest)
	return amount, d, true, good
}

// word reads a word behind the colon of a note.
func (n *noteText) word(w string, at int) *slip {
	if e, ok := parseSpanEnd(w); ok {
		n.ends = append(n.ends, e)
		return nil
	}
	if p, ok := strings.CutPrefix(w, "pluck-"); ok && isPluck(p) {
		n.pluck = p
		return nil
	}
	t, ok := parseTechnique(w)
	if !ok {
		return slipped(at, nearWord(w), "there is no word %q", w)
	}
	n.marks = append(n.marks, t)
	return nil
}

// isPluck tells whether a finger of the plucking hand can be written.
func isPluck(s string) bool {
	return s != "" && strings.Trim(strings.ToLower(s), "abcdefghijklmnopqrstuvwxyz") == ""
}

// write writes the note.
func (n *noteText) write(b *strings.Builder) {
	switch n.grace {
	case score.Slashed:
		b.WriteString("g")
	case score.Unslashed:
		b.WriteString("gg")
	}
	if n.tied {
		b.WriteByte('~')
	}
	for _, w := range spanWords {
		switch {
		case w.kind != n.joined:
		case w.kind == score.LegatoSlide && n.falls:
			b.WriteByte('\\')
		default:
			b.WriteString(w.sign)
		}
	}
	if n.dead {
		b.WriteByte('x')
	} else {
		b.WriteString(n.tone.String())
	}
	for _, e := range n.bends {
		e.write(b)
	}
	if n.str > 0 {
		fmt.Fprintf(b, "@%d", n.str)
	}
	var words []string
	for _, e := range n.ends {
		words = append(words, e.String())
	}
	for _, t := range n.marks {
		words = append(words, writeTechnique(t))
	}
	if n.pluck != "" {
		words = append(words, "pluck-"+n.pluck)
	}
	if len(words) > 0 {
		b.WriteString(":" + strings.Join(words, ","))
	}
}

func (e *bendText) write(b *strings.Builder) {
	if e.bend.WithBar {
		b.WriteString("bar")
	}
	if e.bend.PreBend {
		b.WriteByte('p')
	}
	target := func(byDegree bool, d theory.Degree, q score.Quarters) {
		if byDegree {
			b.WriteString(d.String())
		} else {
			b.WriteString("(" + q.String() + ")")
		}
	}
	b.WriteByte('^')
	target(e.byDegree, e.to, e.bend.Amount)
	if e.bend.Release {
		b.WriteByte('r')
		if e.releaseDegree || !e.bend.ReleaseTo.IsZero() {
			target(e.releaseDegree, e.release, e.bend.ReleaseTo)
		}
	}
}
