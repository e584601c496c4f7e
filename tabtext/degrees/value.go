package degrees

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// letters are the rhythm letters in order of length, from the whole note: the
// trade's W H Q E S T, and X for a sixty-fourth.
const letters = "WHQESTX"

// maxLetters is how many letters the writer joins by + before it writes a
// length as a number of quarter notes.
const maxLetters = 3

// writeLength writes a length: "Q", "E.", "H+E", "Q*5/7".
func writeLength(q score.Quarters) string {
	if v := score.ValueOf(q); v.Known && v.Log >= 0 && int(v.Log) < len(letters) {
		return letters[v.Log:v.Log+1] + strings.Repeat(".", int(v.Dots))
	}
	var parts []string
	rest := q
	for i := 0; i < len(letters) && rest.Sign() > 0; i++ {
		v := letterLength(i)
		for !rest.Less(v) && len(parts) <= maxLetters {
			parts = append(parts, letters[i:i+1])
			rest = rest.Sub(v)
		}
	}
	if rest.IsZero() && len(parts) > 0 && len(parts) <= maxLetters {
		return strings.Join(parts, "+")
	}
	return "Q*" + q.String()
}

func letterLength(i int) score.Quarters {
	return score.NoteValue{Log: int8(i), Known: true}.Quarters()
}

// letterAt tells whether a rhythm letter stands at the beginning of s.
func letterAt(s string) bool { return s != "" && strings.IndexByte(letters, s[0]) >= 0 }

// scanLength reads a length at the beginning of s and returns what follows it.
func scanLength(s string) (q score.Quarters, rest string, err error) {
	for {
		if !letterAt(s) {
			return q, s, fmt.Errorf("a rhythm letter is missing")
		}
		v := score.NoteValue{Log: int8(strings.IndexByte(letters, s[0])), Known: true}
		for s = s[1:]; strings.HasPrefix(s, ".") && v.Dots < 3; s = s[1:] {
			v.Dots++
		}
		length := v.Quarters()
		if strings.HasPrefix(s, "*") {
			factor, after, ok := scanNumber(s[1:])
			if !ok || factor.Sign() < 0 {
				return q, s, fmt.Errorf("no number follows *")
			}
			length, s = length.Mul(factor), after
		}
		if q = q.Add(length); q.Invalid() {
			return q, s, fmt.Errorf("the length cannot be counted")
		}
		if !strings.HasPrefix(s, "+") || !letterAt(s[1:]) {
			return q, s, nil
		}
		s = s[1:]
	}
}

// scanNumber reads a whole number or a fraction, with or without a sign.
func scanNumber(s string) (q score.Quarters, rest string, ok bool) {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	digits := func() string {
		from := i
		for i < len(s) && '0' <= s[i] && s[i] <= '9' && i-from < 18 {
			i++
		}
		return s[from:i]
	}
	sign := s[:i]
	num := digits()
	den := "1"
	if num != "" && i+1 < len(s) && s[i] == '/' && '1' <= s[i+1] && s[i+1] <= '9' {
		i++
		den = digits()
	}
	n, err1 := strconv.ParseInt(strings.TrimPrefix(sign, "+")+num, 10, 64)
	d, err2 := strconv.ParseInt(den, 10, 64)
	if err1 != nil || err2 != nil {
		return q, s, false
	}
	return score.Q(n, d), s[i:], true
}
