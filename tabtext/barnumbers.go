package tabtext

import (
	"strconv"
	"strings"
)

// barNumber reads the number of a bar: "5", "5.", "(5)", "[5]", "m.5", "#5",
// "5:". plain tells that nothing but the number says so.
func barNumber(s string) (n int, plain, ok bool) {
	t := strings.TrimRight(strings.Trim(s, "()[]"), ".:")
	for _, head := range []string{"bar", "m.", "mm.", "m", "b.", "#", "no."} {
		if rest, found := strings.CutPrefix(strings.ToLower(t), head); found {
			t = rest
			break
		}
	}
	if t == "" || len(t) > 3 || strings.Trim(t, "0123456789") != "" {
		return 0, false, false
	}
	n, _ = strconv.Atoi(t)
	return n, t == s, n > 0
}

// asBarNumbers tells a line that can be nothing but numbers of bars: "m.5",
// "bar 5   bar 6", "#5   #6", or one number that is no count alone over the tab.
// Others, as 1  2  3 or (1)  (2), may be counts, and 1.  2. endings; there the
// bars under them tell (see barNumbers).
func asBarNumbers(words []word, below bool) bool {
	before, said, numbers := 0, false, 0
	for _, w := range words {
		low := strings.ToLower(w.text)
		if low == "bar" || low == "measure" || low == "m." {
			said = true
			continue
		}
		n, _, ok := barNumber(w.text)
		if !ok || numbers > 0 && n <= before {
			return false
		}
		_, _, count := parseCount(w.text)
		_, _, ending := parseEnding(w.text)
		said = said || !count && !ending
		before = n
		numbers++
	}
	return numbers > 0 && (said || numbers == 1 && !below && len(words) == 1 && before > 9 && words[0].text == strconv.Itoa(before))
}

// barNumbers finds a row of numbers that rise by one from bar to bar, or by as
// many as there are bars between them: not counts, though a bar has more notes
// than one could time, and not endings, since nothing repeats. The row it finds
// is numbers of bars from then on.
func (s *system) barNumbers(bars []*barMusic) *attached {
	most := 0
	for _, m := range bars {
		most = max(most, len(m.onsets()))
	}
	repeats := false
	for _, cl := range s.clusters {
		repeats = repeats || cl.backward
	}
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			a := &list[i]
			if a.kind != countLine && a.kind != markLine && a.kind != numberLine || a.kind == markLine && (repeats || !pointed(a.words)) || most < 3 || !numbered(a.words, bars) {
				continue
			}
			a.kind = barNumberLine
			return a
		}
	}
	return nil
}

// numbered tells whether words number bars: not more than one to a bar, two at
// least unless the first bar is all there is, each as far from the one before as
// its bar.
func numbered(words []word, bars []*barMusic) bool {
	if len(words) < 2 && len(bars) > 1 || len(words) > len(bars) {
		return false
	}
	at, first := 0, 0
	for k, w := range words {
		n, _, ok := barNumber(w.text)
		if !ok {
			return false
		}
		from := at
		for at < len(bars) && w.col >= bars[at].to-1 {
			at++
		}
		if at == len(bars) || k > 0 && at == from && w.col < bars[at].to-1 && sameBar(words[k-1], bars[at]) {
			return false
		}
		if k == 0 {
			first = n - at
		} else if n-at != first {
			return false
		}
	}
	return true
}

// pointed tells whether all words are a number with a point and nothing else: an
// ending mostly has a bracket too.
func pointed(words []word) bool {
	for _, w := range words {
		if n := strings.TrimSuffix(w.text, "."); n == w.text || n == "" || strings.Trim(n, "0123456789") != "" {
			return false
		}
	}
	return true
}

// spacedNumbers tells numbers over the tab that rise and stand so far apart that
// they are nothing but numbers of bars: 1     3     5.
func spacedNumbers(words []word) bool {
	before, col := 0, -farApart
	for _, w := range words {
		n, _, ok := barNumber(w.text)
		if !ok || n <= before || w.col-col < farApart {
			return false
		}
		before, col = n, w.col
	}
	return len(words) > 1
}

// farApart is how many columns a bar has, at least, to be numbered so.
const farApart = 8

func sameBar(w word, m *barMusic) bool { return w.col >= m.from-maxLead && w.col < m.to-1 }
