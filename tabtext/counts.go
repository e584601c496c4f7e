package tabtext

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// A count is one sign of a count row: "1", "&", "e", "a", "trip", "let",
// "+1/5", "4&", with "~" before it for a tie and in brackets for a rest.
type count struct {
	num  int            // beat, 1 being the first; 0 if it goes on from the beat before
	frac score.Quarters // of a beat after it
	rest bool           // (2): nothing sounds from here
	tied bool           // ~2: the notes in brackets are held, not struck
}

// The parts of a beat that have a name. Common practice in teaching rhythm;
// + for any other fraction is ours.
var countNames = []struct {
	text     string
	num, den int64
}{
	{"&", 1, 2}, {"e", 1, 4}, {"a", 3, 4}, {"trip", 1, 3}, {"let", 2, 3},
	{"and", 1, 2}, {"+", 1, 2}, {"n", 1, 2}, {"E", 1, 4}, {"A", 3, 4}, {"ah", 3, 4}, {"tri", 1, 3}, {"la", 1, 3}, {"li", 2, 3}, {"ta", 3, 4}, {"ti", 1, 4},
}

// maxCount is the highest beat that a count may name.
const maxCount = 999

// parseCount reads one count. shift is how many columns its main sign stands
// right of its beginning.
func parseCount(s string) (c count, shift int, ok bool) {
	if strings.HasPrefix(s, "~") {
		c.tied = true
		s, shift = s[1:], 1
	}
	if strings.HasPrefix(s, "(") && strings.HasSuffix(s, ")") && len(s) > 2 {
		c.rest = true
		s, shift = s[1:len(s)-1], shift+1
	}
	digits := 0
	for digits < len(s) && isDigit(s[digits]) {
		digits++
	}
	if digits > 3 || c.tied && c.rest {
		return c, 0, false
	}
	if digits > 0 {
		c.num, _ = strconv.Atoi(s[:digits])
		if c.num < 1 || c.num > maxCount {
			return c, 0, false
		}
		if s = s[digits:]; s == "" {
			return c, shift, true
		}
	}
	for _, n := range countNames {
		if s == n.text {
			c.frac = score.Q(n.num, n.den)
			return c, shift, true
		}
	}
	if f, found := strings.CutPrefix(s, "+"); found {
		q, good := score.ParseQuarters(f)
		if good && strings.Contains(f, "/") && q.Sign() > 0 && q.Less(score.Q(1, 1)) {
			c.frac = q
			return c, shift, true
		}
	}
	return c, 0, false
}

// writeCount writes a time in a bar as a count; unit is the length of a beat.
// withBeat writes the number of the beat before a part of it.
func writeCount(at, unit score.Quarters, withBeat bool) string {
	beats := at.Div(unit)
	whole := beats.Num() / beats.Den()
	frac := beats.Sub(score.Q(whole, 1))
	num := strconv.FormatInt(whole+1, 10)
	if frac.IsZero() {
		return num
	}
	part := fmt.Sprintf("+%d/%d", frac.Num(), frac.Den())
	for _, n := range countNames[:5] {
		if frac == score.Q(n.num, n.den) {
			part = n.text
		}
	}
	if withBeat {
		return num + part
	}
	return part
}

// beatUnit is the length of what is counted: one beat of the metre's lower
// number, the smallest where there are several.
func beatUnit(t *score.TimeSignature) score.Quarters {
	lowest := 4
	if t != nil && len(t.BeatTypes) > 0 {
		lowest = 1
		for _, b := range t.BeatTypes {
			lowest = max(lowest, b)
		}
	}
	return score.Q(4, int64(lowest))
}
