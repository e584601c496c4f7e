package tabtext

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// numberWords are numbers written out, as in "play four times".
var numberWords = map[string]int{"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}

// timesSaid finds how often something is played in a line of words: "play 4
// times", "4 times through", "repeat x3", "three times". A sentence about some
// other time ("the last 2 times") is none.
func timesSaid(line string) (int, bool) {
	words := strings.FieldsFunc(strings.ToLower(line), func(r rune) bool { return strings.ContainsRune(" ,;:.!?()[]", r) })
	for i, w := range words {
		n, ok := numberWords[w]
		if !ok {
			n, _ = strconv.Atoi(w)
		}
		if n < 2 || n > 99 || i+1 == len(words) || words[i+1] != "times" && words[i+1] != "x" {
			if k, isTimes := parseTimes(w); !isTimes || len(w) > 3 || i == 0 || words[i-1] != "repeat" && words[i-1] != "play" {
				continue
			} else {
				n = k
			}
		}
		if i > 0 && slices.Contains([]string{"last", "first", "next", "other", "about", "practice", "least", "of"}, words[i-1]) {
			continue
		}
		if next := i + 2; next < len(words) && slices.Contains([]string{"a", "per", "faster", "slower", "every", "daily"}, words[next]) {
			continue
		}
		return n, true
	}
	return 0, false
}

// timesNear is how many lines over a system words may stand that say how often
// it is played.
const timesNear = 3

// timesInWords finds how often the only repeat of a system is played where a
// line right under it or close over it says so in words; 0 if none does.
func (b *builder) timesInWords(s *system, sys int) int {
	backward := 0
	for _, cl := range s.clusters {
		backward += b2i(cl.backward)
	}
	if backward != 1 {
		return 0
	}
	say := func(line int) int {
		c := b.lay.src.columns(line)
		if len(c.ch) > maxHeaderLine {
			return 0
		}
		n, ok := timesSaid(c.show(skipQuote(c.ch), len(c.ch), b.lay.src.html))
		if !ok {
			return 0
		}
		b.report(score.Info, "tab-times-words", b.lay.src.pos(line, skipQuote(c.ch)), "words say how often the repeat near them is played; it is read as "+strconv.Itoa(n)+" times in all", "write x"+strconv.Itoa(n)+" over the repeat sign")
		return n
	}
	if s.last < len(b.lay.src.lines) && (sys+1 == len(b.lay.systems) || b.lay.systems[sys+1].first > s.last) {
		if n := say(s.last); n > 0 {
			return n
		}
	}
	floor := 0
	if sys > 0 {
		floor = b.lay.systems[sys-1].last
	}
	if floor > 0 {
		floor++ // right under a system the line belongs to that
	}
	for line := s.first - 1; line >= max(floor, s.first-timesNear); line-- {
		if n := say(line); n > 0 {
			return n
		}
	}
	return 0
}
