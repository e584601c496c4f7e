package tabtext

import (
	"strings"

	"example.org/lickwright/theory"
)

// A row is one string's line in a system.
type row struct {
	line   int // in source.lines
	cells  cells
	label  label
	start  int    // column of the first bar line or sign of the string
	end    int    // column after the last
	shift  int    // physical column minus logical column
	str    int    // string, 1 being the first
	gained []span // columns that it has got and the text has not
	tail   tail   // where the rest of a wrapped row stands
}

// A label is what stands left of a row.
type label struct {
	text   string
	col    int
	name   theory.NoteName
	named  bool
	octave int // -100 if not said
	number int // string number; 0 if not said
}

const noOctave = -100

// at returns the sign at a logical column, a hyphen beyond the ends.
func (r *row) at(col int) byte {
	p := col + r.shift
	if p < r.start || p >= r.end {
		return '-'
	}
	return r.cells.ch[p]
}

// parseRow tells whether a line is a row of tab, and where its parts are.
// weak rows have few signs of being one; they count only beside strong ones.
func parseRow(c cells) (r row, strong, ok bool) {
	ch := c.ch
	if len(ch) < 3 {
		return r, false, false
	}
	i := skipQuote(ch)
	r = row{cells: c}
	r.label, i = scanLabel(c, i)
	r.start = i
	r.end = bodyEnd(ch, i)
	body := ch[r.start:r.end]
	if len(body) < 2 || !bodyFirst(body[0]) {
		return r, false, false
	}
	if r.label.text == "" && isExtent(strings.TrimSpace(string(body))) {
		return r, false, false
	}
	var dashes, digits, bars, letters, run, longest int
	for _, b := range body {
		isLetter := b|0x20 >= 'a' && b|0x20 <= 'z'
		switch {
		case b == '-' || b == '=' || b == '_':
			dashes++
		case b >= '0' && b <= '9':
			digits++
		case b == '|':
			bars++
		case isLetter || b == foreign:
			letters++
		}
		if isLetter && b|0x20 != 'x' {
			run++
			longest = max(longest, run)
		} else {
			run = 0
		}
	}
	if longest > 4 || letters > dashes+digits || dashes == 0 {
		return r, false, false
	}
	if dashes < 4 && r.label.named && readsAsChords(&c) {
		return r, false, false
	}
	share := (dashes + digits + bars) * 10
	hasEdge := r.label.text != "" || body[0] == '|'
	switch {
	case dashes >= 4 && share >= 5*len(body) && (hasEdge || dashes*3 >= len(body)):
		strong = true
	case r.label.text != "" && body[0] == '|' && body[len(body)-1] == '|' && len(body) >= 4 && letters == 0:
		strong = true
	case hasEdge && dashes+digits >= 2 && share >= 5*len(body):
	default:
		return r, false, false
	}
	return r, strong, true
}

// skipQuote passes the marks of a quoted mail ("> > "), which begin in the
// first column, and spaces.
func skipQuote(ch []byte) int {
	i := 0
	quoted := len(ch) > 0 && ch[0] == '>'
	for i < len(ch) && (ch[i] == ' ' || quoted && ch[i] == '>') {
		i++
	}
	return i
}

func bodyFirst(b byte) bool {
	switch b {
	case '-', '|', ':', '(', '<', '[', '/', '\\', 'x', 'X', 'h', 'p', 't', '=', '_':
		return true
	}
	return b >= '0' && b <= '9'
}

// scanLabel reads a string's name ("e", "Bb", "D#3"), its number ("1") or
// nothing, and what parts it from the string.
func scanLabel(c cells, i int) (label, int) {
	ch := c.ch
	l := label{col: i, octave: noOctave}
	j := i
	if j >= len(ch) {
		return l, i
	}
	words := labelWords(ch[j:], wordsBefore)
	j += words
	if j >= len(ch) {
		return l, i
	}
	if step, ok := theory.StepOf(ch[j]); ok {
		l.name.Step = step
		j++
		for j < len(ch) && (ch[j] == '#' || ch[j] == 'b') && j < i+3 {
			if ch[j] == '#' {
				l.name.Alter++
			} else {
				l.name.Alter--
			}
			j++
		}
		if j < len(ch) && isDigit(ch[j]) && j+1 < len(ch) && (ch[j+1] == '|' || ch[j+1] == ':' || ch[j+1] == ' ') {
			l.octave = int(ch[j] - '0')
			j++
		}
		l.named = true
	} else if isDigit(ch[j]) {
		k := j
		for k < len(ch) && isDigit(ch[k]) && k < j+2 {
			k++
		}
		if k < len(ch) && (ch[k] == '|' || ch[k] == ')' || ch[k] == ':' || words > 0 && ch[k] == ' ') {
			for ; j < k; j++ {
				l.number = l.number*10 + int(ch[j]-'0')
			}
		}
	}
	if j == i+words {
		return label{col: i, octave: noOctave}, i
	}
	text := string(ch[i+words : j])
	if words > 0 && l.named && ch[i]|0x20 == 'h' { // high e
		text = strings.ToLower(text[:1]) + text[1:]
	}
	after := labelWords(ch[j:], wordsAfter)
	j += after
	words += after
	k := j
	for k < len(ch) && k < j+tabStop && (ch[k] == ' ' || ch[k] == ')' || ch[k] == '.') {
		k++
	}
	if k+1 < len(ch) && ch[k] == ':' && ch[k+1] != '|' {
		k++
		for k < len(ch) && ch[k] == ' ' {
			k++
		}
	}
	if k >= len(ch) || ch[k] != '|' && ch[k] != '-' && ch[k] != ':' && ch[k] != '[' && k == j && !isDigit(ch[k]) {
		return label{col: i, octave: noOctave}, i
	}
	if words > 0 && ch[k] != '|' && (ch[k] != '-' || k+1 == len(ch) || ch[k+1] != '-') { // prose
		return label{col: i, octave: noOctave}, i
	}
	l.text = text
	return l, k
}

// wordsBefore and wordsAfter are what people write around the name of a string.
// Source: common practice.
const (
	wordsBefore = "high hi low lo top bottom thin thick string"
	wordsAfter  = "string str"
)

// labelWords gives the length of such a word with the blanks beside it, 0 for none.
func labelWords(ch []byte, list string) int {
	from := 0
	for from < len(ch) && (ch[from] == ' ' || ch[from] == '-') && from < 2 && list == wordsAfter {
		from++
	}
	to := from
	for to < len(ch) && to < from+len("bottom") && (ch[to]|0x20 >= 'a' && ch[to]|0x20 <= 'z') {
		to++
	}
	if to-from < 2 || to == len(ch) || list == wordsAfter && from == 0 || list == wordsBefore && ch[to] != ' ' && ch[to] != '-' {
		return 0
	}
	word := strings.ToLower(string(ch[from:to]))
	for _, w := range strings.Fields(list) {
		if w == word {
			if list == wordsBefore {
				for to < len(ch) && (ch[to] == ' ' || ch[to] == '-') && to < len("bottom")+2 {
					to++
				}
			}
			return to
		}
	}
	return 0
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// bodyEnd finds where a row ends: before spaces that no more tab follows.
func bodyEnd(ch []byte, i int) int {
	i0, end := i, i
	for i < len(ch) {
		if ch[i] != ' ' {
			i++
			end = i
			continue
		}
		j := i
		for j < len(ch) && ch[j] == ' ' {
			j++
		}
		if j == len(ch) || !tabAhead(ch[j:]) {
			return beforeTimes(ch, i0, end)
		}
		i = j
	}
	return beforeTimes(ch, i0, end)
}

// beforeTimes gives the end of a string's row without how often it is played,
// where that stands right behind the last bar line: "|x4", "||2x", "|(x3)".
func beforeTimes(ch []byte, from, end int) int {
	i := end
	for i > from && ch[i-1] != '|' {
		i--
	}
	if i > from && i < end {
		if _, ok := parseTail(string(ch[i:end])); ok {
			return i
		}
	}
	return end
}

// parseTail reads how often a section is played where it stands behind a row:
// x3, (3x), *3.
func parseTail(s string) (int, bool) { return parseTimes(strings.ReplaceAll(s, "*", "x")) }

// tabAhead tells whether the text after a gap still belongs to the string.
func tabAhead(ch []byte) bool {
	switch {
	case ch[0] == '-' || ch[0] == '|':
		return true
	case isDigit(ch[0]) || ch[0] == 'x':
		for i := 1; i < len(ch) && i < 4; i++ {
			if ch[i] == '-' || ch[i] == '|' {
				return true
			}
			if !isDigit(ch[i]) && ch[i] != 'x' {
				return false
			}
		}
	}
	return false
}
