package degrees

import (
	"strings"
	"unicode/utf8"
)

type tokenKind int8

const (
	barToken   tokenKind = iota + 1 // | || ||| ||: :|| :||: :||x3
	openToken                       // [3:2
	closeToken                      // ]
	voiceToken                      // ;
	chordToken                      // {ii7}, text without the braces
	wordToken                       // all else
)

// A token is a piece of the music, at a byte offset of the source.
type token struct {
	kind tokenKind
	text string
	at   int
	open bool // of a chord: its brace is not closed; of a word: its quote is not
}

// lex cuts a line of music into tokens. at is where the line begins.
func lex(line string, at int) []token {
	var list []token
	for i := 0; i < len(line); {
		rest := line[i:]
		switch c := rest[0]; {
		case c == ' ' || c == '\t' || c == '\r':
			i++
		case barLine(rest) > 0:
			n := barLine(rest)
			list = append(list, token{kind: barToken, text: rest[:n], at: at + i})
			i += n
		case c == '[':
			n := 1
			for n < len(rest) && strings.IndexByte("0123456789:", rest[n]) >= 0 {
				n++
			}
			list = append(list, token{kind: openToken, text: rest[:n], at: at + i})
			i += n
		case c == ']':
			list = append(list, token{kind: closeToken, text: "]", at: at + i})
			i++
		case c == ';':
			list = append(list, token{kind: voiceToken, text: ";", at: at + i})
			i++
		case c == '{':
			n := strings.IndexByte(rest, '}')
			t := token{kind: chordToken, at: at + i, open: n < 0}
			if n < 0 {
				n = len(rest) - 1
			}
			t.text = strings.Trim(rest[1:n+1], "}")
			list = append(list, t)
			i += n + 1
		default:
			n, open := wordEnd(rest)
			list = append(list, token{kind: wordToken, text: rest[:n], at: at + i, open: open})
			i += n
		}
	}
	return list
}

// wordEnd returns how long the word at the beginning of s is: up to a space or
// a sign of structure that is not in quotes. open tells of a quote that is
// not closed.
func wordEnd(s string) (n int, open bool) {
	quoted := false
	for n < len(s) {
		switch c := s[n]; {
		case quoted && c == '\\' && n+1 < len(s):
			n++
		case c == '"':
			quoted = !quoted
		case quoted:
		case strings.IndexByte(" \t\r|[];{}", c) >= 0, c == ':' && barLine(s[n:]) > 0:
			return max(n, 1), false
		}
		_, size := utf8.DecodeRuneInString(s[n:])
		n += size
	}
	return n, quoted
}

// barLine returns how long the bar line at the beginning of s is, 0 for none.
func barLine(s string) int {
	for _, sign := range [...]string{":||:", ":||", "||:", "|||", "||", "|"} {
		if !strings.HasPrefix(s, sign) {
			continue
		}
		n := len(sign)
		if sign == ":||" && n+1 < len(s) && s[n] == 'x' {
			for k := n + 1; k < len(s) && '0' <= s[k] && s[k] <= '9'; k++ {
				n = k + 1
			}
		}
		return n
	}
	return 0
}

// quote writes a text in quotes, on one line.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ", "\r", "").Replace(s) + `"`
}

// unquote reads what quote wrote; ok is false if it is not all in quotes.
func unquote(s string) (string, bool) {
	if len(s) < 2 || s[0] != '"' || s[len(s)-1] != '"' {
		return "", false
	}
	var b strings.Builder
	for i := 1; i < len(s)-1; i++ {
		if s[i] == '\\' && i+1 < len(s)-1 {
			i++
		} else if s[i] == '"' {
			return "", false
		}
		b.WriteByte(s[i])
	}
	return b.String(), true
}
