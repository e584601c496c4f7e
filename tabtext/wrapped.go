package tabtext

import "example.org/lickwright/theory/fretboard"

// A tail is the rest of a row that a mail program broke off and put on a line
// of its own.
type tail struct {
	line int // in source.lines
	from int // column of the joined row at which it begins
	skip int // columns of its line before that: marks of a quoted mail
}

// where gives the line and the column in it of a column of the row.
func (r *row) where(col int) (line, at int) {
	gained := 0
	for _, g := range r.gained {
		gained += max(0, min(col-g.from, g.to-g.from))
	}
	col -= gained
	if r.tail.line > 0 && col >= r.tail.from {
		return r.tail.line, col - r.tail.from + r.tail.skip
	}
	return r.line, col
}

// lastLine is the last line that the row takes.
func (r *row) lastLine() int { return max(r.line, r.tail.line) }

// wrappedRows reads rows from a line on that were each broken into two lines:
// a labelled row, what was broken off, the next labelled row, and so on. It
// returns nothing where fewer than three strings come so.
func wrappedRows(src *source, from int) []row {
	var rows []row
	for i := from; i+1 < len(src.lines); i += 2 {
		c := src.columns(i)
		r, _, ok := parseRow(c)
		if !ok || r.label.text == "" {
			break
		}
		rest := src.columns(i + 1)
		skip := 0
		if len(c.ch) > 0 && c.ch[0] == '>' && len(rest.ch) > 0 && rest.ch[0] == '>' {
			skip = skipQuote(rest.ch)
			rest = rest.from(skip)
		}
		if !fragment(rest.ch) || len(rest.ch) >= len(c.ch) {
			break
		}
		if next, _, ok := parseRow(rest); ok && next.label.text != "" {
			break
		}
		r.cells = join(c, rest)
		r.end = len(r.cells.ch)
		r.line = i
		r.tail = tail{i + 1, len(c.ch), skip}
		rows = append(rows, r)
	}
	if len(rows) < fretboard.MinStrings {
		return nil
	}
	return rows
}

// fragment tells whether a line holds nothing but the signs of a string.
func fragment(ch []byte) bool {
	dashes := 0
	for i, b := range ch {
		switch {
		case b == '-':
			dashes++
		case isDigit(b) || b == '|' || b == ':':
		case i > 0 && (b|0x20 >= 'a' && b|0x20 <= 'z' || b == '/' || b == '\\' || b == '~' || b == '(' || b == ')' || b == '<' || b == '>'):
		default:
			return false
		}
	}
	return dashes > 0 && 2*dashes >= len(ch)/2
}

func join(a, b cells) cells {
	out := cells{ch: append(append([]byte{}, a.ch...), b.ch...)}
	if a.off == nil && b.off == nil {
		return out
	}
	for _, c := range []*cells{&a, &b} {
		if c.off == nil {
			c.text = string(c.ch)
			for i := range len(c.ch) + 1 {
				c.off = append(c.off, int32(i))
			}
		}
	}
	out.text = a.text[:a.off[len(a.ch)]] + b.text[b.off[0]:]
	out.off = append(out.off, a.off[:len(a.ch)]...)
	for _, o := range b.off {
		out.off = append(out.off, o-b.off[0]+a.off[len(a.ch)])
	}
	return out
}

// from gives the columns of a line from one on.
func (c cells) from(k int) cells {
	c.ch = c.ch[k:]
	if c.off != nil {
		c.off = c.off[k:]
	}
	return c
}
