package tabtext

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// Phones make one long dash of two hyphens. A row then has as many columns less as it
// has such dashes, and the rows of a system no longer stand under each other.
const longDash = "—"

// findLongDashes marks the lines whose long dashes are two columns each: blocks of lines
// that are as long as each other only so.
func (s *source) findLongDashes() {
	if s.enc == bytewise && !bytes.Contains(s.data, []byte(longDash)) {
		return
	}
	from := -1
	for i := 0; i <= len(s.lines); i++ {
		has := i < len(s.lines) && s.hasLongDash(i)
		if has && from < 0 {
			from = i
		}
		if has || from < 0 {
			continue
		}
		if i-from >= 3 && s.longOnly(from, i) {
			if s.wideDash == nil {
				s.wideDash = map[int]bool{}
			}
			for k := from; k < i; k++ {
				s.wideDash[k] = true
			}
		}
		from = -1
	}
}

func (s *source) hasLongDash(i int) bool {
	if s.enc == bytewise {
		return bytes.Contains(s.data[s.lines[i].start:s.lines[i].end], []byte(longDash))
	}
	return strings.Contains(s.text(i), longDash)
}

// longOnly tells whether lines are of one length if long dashes are two columns, and
// are not if they are one.
func (s *source) longOnly(from, to int) bool {
	var one, two []int
	for i := from; i < to; i++ {
		text := strings.TrimRight(s.text(i), " ")
		n := utf8.RuneCountInString(text)
		one = append(one, n)
		two = append(two, n+strings.Count(text, longDash))
	}
	return !allSame(one) && allSame(two)
}

func allSame(list []int) bool {
	for _, n := range list {
		if n != list[0] {
			return false
		}
	}
	return true
}
