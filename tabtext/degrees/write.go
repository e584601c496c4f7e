package degrees

import (
	"io"
	"strings"

	"example.org/lickwright/score"
)

// DefaultWidth is how many columns a line of new text has at most, if nothing
// else is asked for.
const DefaultWidth = 80

// Write writes a score as a new text of degrees, counted from the tonic of its
// key signature. What the text cannot hold goes to opt.Report. It fails if the
// score has no key, with [score.Diagnostics], or if w does.
func Write(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	parts, err := compose(s, &writing{report: opt.Report})
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, layOut(parts, opt.Width, "\n"))
	return err
}

// layOut puts parts into lines.
func layOut(parts []*partText, width int, eol string) string {
	var b strings.Builder
	for i, p := range parts {
		if i > 0 {
			b.WriteString(eol)
		}
		for _, h := range p.heads {
			b.WriteString(h.line() + eol)
		}
		b.WriteString(eol)
		for _, l := range lines(p.bars, width) {
			b.WriteString(l + eol)
		}
	}
	return b.String()
}

func (h headText) line() string { return strings.TrimRight(h.name+": "+h.value, " ") }

// lines lays bars out in lines that end with a bar line where they can.
func lines(bars []*barText, width int) []string {
	if width <= 0 {
		width = DefaultWidth
	}
	var list []string
	var now strings.Builder
	flush := func() {
		if now.Len() > 0 {
			list = append(list, now.String())
			now.Reset()
		}
	}
	put := func(token string) {
		switch {
		case now.Len() == 0:
		case now.Len()+1+len(token) > width:
			flush()
		default:
			now.WriteByte(' ')
		}
		now.WriteString(token)
	}
	for i, bar := range bars {
		if need := len(bar.text()) + 5; now.Len() > 0 && now.Len()+need > width {
			flush()
		}
		if bar.open && (i == 0 || !strings.HasSuffix(bars[i-1].joined(bars, i-1), "||:") || now.Len() == 0) {
			put("||:")
		}
		for _, t := range bar.tokens {
			put(t)
		}
		put(bar.joined(bars, i))
	}
	flush()
	return list
}

// joined returns the bar line between a bar and the next, in which the
// beginning of a repeat may be merged.
func (b *barText) joined(bars []*barText, i int) string {
	if i+1 >= len(bars) || !bars[i+1].open {
		return b.close
	}
	switch b.close {
	case "|":
		return "||:"
	case ":||":
		return ":||:"
	}
	return b.close
}
