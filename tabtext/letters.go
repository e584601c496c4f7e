package tabtext

import (
	"strings"

	"example.org/lickwright/score"
)

// A letterSign is one sign of a row of rhythm letters: "Q", "E.", "(H)" for a
// rest, "~Q" for a tie, "Q+S" for a sum.
type letterSign struct {
	length score.Quarters
	value  score.NoteValue // if it is a single value
	rest   bool
	tied   bool
}

// rhythmLetters are the values in order of length, from the whole note. The
// trade's W H Q E S T; X for a sixty-fourth is ours.
const rhythmLetters = "WHQESTX"

// parseLetters reads one sign of a rhythm row.
func parseLetters(s string) (l letterSign, shift int, ok bool) {
	if strings.HasPrefix(s, "~") {
		l.tied = true
		s, shift = s[1:], 1
	}
	if strings.HasPrefix(s, "(") && strings.HasSuffix(s, ")") && len(s) > 2 {
		l.rest = true
		s, shift = s[1:len(s)-1], shift+1
	}
	if s == "" {
		return l, 0, false
	}
	parts := strings.Split(s, "+")
	for _, p := range parts {
		v, good := parseValue(p)
		if !good {
			return l, 0, false
		}
		l.length = l.length.Add(v.Quarters())
		if len(parts) == 1 {
			l.value = v
		}
	}
	return l, shift, true
}

func parseValue(s string) (v score.NoteValue, ok bool) {
	if s == "" {
		return v, false
	}
	i := strings.IndexByte(rhythmLetters, s[0]&^0x20)
	dots := len(s) - 1
	if i < 0 || dots > 3 || strings.Trim(s[1:], ".") != "" {
		return v, false
	}
	return score.NoteValue{Log: int8(i), Dots: int8(dots), Known: true}, true
}

// writeLetters writes a length as letters, several joined by + where no
// single value has it. ok is false if no sum of a few does.
func writeLetters(q score.Quarters) (string, bool) {
	if v := score.ValueOf(q); v.Known && v.Log >= 0 && int(v.Log) < len(rhythmLetters) {
		return rhythmLetters[v.Log:v.Log+1] + strings.Repeat(".", int(v.Dots)), true
	}
	var parts []string
	for i := 0; i < len(rhythmLetters) && q.Sign() > 0; i++ {
		v := score.NoteValue{Log: int8(i), Known: true}.Quarters()
		for !q.Less(v) && len(parts) < 8 {
			parts = append(parts, rhythmLetters[i:i+1])
			q = q.Sub(v)
		}
	}
	return strings.Join(parts, "+"), q.IsZero() && len(parts) > 0
}
