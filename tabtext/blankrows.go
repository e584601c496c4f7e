package tabtext

import (
	"bytes"
	"slices"
	"strings"

	"example.org/lickwright/theory/fretboard"
)

// Some people write blanks or dots where others write hyphens:
//
//	e|        3   5   |
//	B|  3 5           |
//
// So do tables. Rows like these are tab only together, all with the names of
// strings that make a usual tuning, or of strings of a guitar next to each
// other, and with bar lines at both ends.

// blankRows reads such rows from a line on; none if there are no such rows.
func blankRows(src *source, from int) []row {
	var rows []row
	digits := 0
	for i := from; i < len(src.lines) && len(rows) <= fretboard.MaxStrings; i++ {
		r, n, ok := blankRow(src.columns(i))
		if !ok || len(rows) > 0 && abs(r.start-rows[0].start) > maxShort {
			break
		}
		r.line = i
		digits += n
		rows = append(rows, r)
	}
	if len(rows) < fretboard.MinStrings || digits == 0 {
		return nil
	}
	if period := labelPeriod(rows); period > 0 {
		rows = rows[:period]
	}
	if len(rows) > fretboard.MaxStrings || !usualLabels(rows) {
		return nil
	}
	return rows
}

// usualLabels tells whether labels are those of a tuning that has a name, or of
// strings of a guitar next to each other.
func usualLabels(rows []row) bool {
	s := &system{rows: rows}
	if t, _, ok := s.labelTuning(); ok && t.Name != "" {
		return true
	}
	at := placeLabels(rows, guitarRows().rows)
	return at != nil && at[len(at)-1]-at[0] == len(at)-1
}

// blankRow reads one row. n is how many digits it has.
func blankRow(c cells) (r row, n int, ok bool) {
	start := skipQuote(c.ch)
	r = row{cells: c}
	r.label, r.start = scanLabel(c, start)
	if !r.label.named || r.start >= len(c.ch) || c.ch[r.start] != '|' {
		return r, 0, false
	}
	last := bytes.LastIndexByte(c.ch, '|')
	if tail := strings.TrimSpace(string(c.ch[last+1:])); tail != "" {
		if _, times := parseTail(tail); !times {
			return r, 0, false
		}
	}
	body := c.ch[r.start : last+1]
	if len(body) < 6 {
		return r, 0, false
	}
	blanks, letters := 0, 0
	for i, b := range body {
		switch {
		case b == ' ' || b == '.':
			blanks++
			letters = 0
		case isDigit(b):
			n++
			letters = 0
			if i > 2 && isDigit(body[i-1]) && isDigit(body[i-2]) { // 128: an amount
				return r, 0, false
			}
		case strings.IndexByte("|xX/\\~^()<>[]*:-=_", b) >= 0:
			letters = 0
		case b|0x20 >= 'a' && b|0x20 <= 'z':
			if letters++; letters > 2 || strings.IndexByte("hHpPbrtTsSvwfgP", b) < 0 {
				return r, 0, false
			}
		default:
			return r, 0, false
		}
	}
	if blanks*2 < len(body)-2 {
		return r, 0, false
	}
	r.cells = c.hyphened(r.start, last+1)
	r.end = last + 1
	return r, n, true
}

// hyphened gives the cells with hyphens where blanks or dots are in columns
// [from, to); the text keeps what it has there.
func (c cells) hyphened(from, to int) cells {
	if c.off == nil {
		c.text, c.raw = string(c.ch), int32(len(c.ch))
		c.off = make([]int32, len(c.ch)+1)
		for i := range c.off {
			c.off[i] = int32(i)
		}
	}
	c.ch = slices.Clone(c.ch)
	for i := from; i < to; i++ {
		if c.ch[i] == ' ' || c.ch[i] == '.' {
			c.ch[i] = '-'
		}
	}
	return c
}
