package tabtext

import (
	"strings"
)

func isCountWord(s string) bool {
	_, _, ok := parseCount(s)
	return ok || s == "|" || s == "." || s == "-"
}

// sparseCounts tells a row in which only every second or third beat is counted:
// 1 4 7 10. They rise by one step from 1 on, to 4 at least: 1 3 1 3 may be fingers.
func sparseCounts(words []word) bool {
	step, before, highest := 0, 0, 0
	for _, w := range words {
		c, _, ok := parseCount(w.text)
		switch {
		case !ok:
			continue
		case c.num == 0 || !c.frac.IsZero() || before == 0 && c.num != 1:
			return false
		case c.num == 1:
		case step == 0:
			step = c.num - before
		}
		if c.num != 1 && (c.num != before+step || step < 2) {
			return false
		}
		before, highest = c.num, max(highest, c.num)
	}
	return highest >= 4
}

// countsRise tells counts from fingerings and other numbers: they go up by
// one or begin again from one, or hold a part of a beat.
func countsRise(words []word, below bool) bool {
	before, parts, numbers := 0, 0, 0
	sparse := sparseCounts(words)
	for _, w := range words {
		c, _, ok := parseCount(w.text)
		if !ok {
			continue
		}
		if !c.frac.IsZero() {
			parts++
		}
		if c.num == 0 {
			continue
		}
		numbers++
		if parts == 0 && before != 0 && c.num != before+1 && c.num != 1 && c.num != before && !sparse {
			return false
		}
		before = c.num
	}
	if parts == 0 && numbers > 1 && words[0].text != "1" && sameWords(words, words[0].text) { // 3   3   3: numbers of tuplets
		return false
	}
	return numbers > 0 && (parts > 0 || numbers > 1 || below || words[0].text == "1" || strings.ContainsAny(words[0].text, "~("))
}
