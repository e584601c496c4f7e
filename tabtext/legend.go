package tabtext

import (
	"strings"
)

// A legend is what a file says of its own signs: each sign is read as
// another, that of this package for the meaning.
type legend struct {
	as [256]byte // 0 where the file says nothing
	in bool      // whether anything differs from the usual reading
}

// Signs that only a legend can give to a number.
const (
	signDown = 1 // a down-stroke
	signUp   = 2
)

// legendWords are what a legend calls a sign, and the sign that is read for
// it; the first that is found wins. Source: common practice.
var legendWords = []struct {
	words []string // all must be there
	sign  byte
}{
	{[]string{"hammer"}, 'h'}, {[]string{"pull"}, 'p'},
	{[]string{"slide", "down"}, '\\'}, {[]string{"slide", "up"}, '/'}, {[]string{"slide"}, 's'},
	{[]string{"pre", "bend"}, 0}, {[]string{"release", "bend"}, 0}, {[]string{"bend"}, 'b'}, {[]string{"release"}, 'r'},
	{[]string{"vibrato"}, '~'}, {[]string{"dead"}, 'x'}, {[]string{"muted"}, 'x'}, {[]string{"mute"}, 'x'},
	{[]string{"slap"}, 'S'}, {[]string{"pop"}, 'P'}, {[]string{"trill"}, 0}, {[]string{"tremolo"}, 0},
	{[]string{"tap"}, 't'}, {[]string{"down", "stroke"}, signDown}, {[]string{"downstroke"}, signDown}, {[]string{"down", "pick"}, signDown},
	{[]string{"up", "stroke"}, signUp}, {[]string{"upstroke"}, signUp}, {[]string{"up", "pick"}, signUp},
	{[]string{"grace"}, 'g'},
}

// read takes a line of prose if it explains a sign: "v = down-stroke",
// "(s) slap", "^ - bend".
func (l *legend) read(line string) {
	line = strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(line), "|*>"))
	if len(line) < 5 || len(line) > 60 {
		return
	}
	sign, rest := line[0], line[1:]
	switch {
	case sign == '(' && len(line) > 3 && line[2] == ')':
		sign, rest = line[1], line[3:]
	case rest[0] != ' ' && rest[0] != '=' && rest[0] != ':':
		return
	}
	if isDigit(sign) || sign == '-' || sign == '|' || sign == ' ' || sign >= 0x80 {
		return
	}
	rest = strings.TrimSpace(rest)
	parted := strings.TrimLeft(rest, "=:- ")
	if parted == rest && line[0] != '(' && !strings.HasPrefix(rest, "means") {
		return
	}
	low := strings.ToLower(parted)
	for _, w := range legendWords {
		all := true
		for _, word := range w.words {
			all = all && strings.Contains(low, word)
		}
		if !all {
			continue
		}
		if w.sign != 0 && w.sign != sign && !sameMeaning(w.sign, sign) {
			l.as[sign] = w.sign
			l.in = true
		}
		return
	}
}

// sameMeaning tells signs that this package reads alike anyway.
func sameMeaning(a, b byte) bool {
	return a|0x20 == b|0x20 && a != 'S' && a != 'P' && b != 'S' && b != 'P' || a == 's' && (b == '/' || b == '\\') ||
		a == 'b' && b == '^' || a == '~' && b == 'v' || a == 't' && (b == '+' || b == 'T')
}

// translate gives the signs of a row as they are to be read. The bytes are
// shared with the source where the legend changes nothing.
func (l *legend) translate(ch []byte) []byte {
	if !l.in {
		return ch
	}
	var out []byte
	for i, b := range ch {
		if l.as[b] == 0 {
			continue
		}
		if out == nil {
			out = append([]byte{}, ch...)
		}
		out[i] = l.as[b]
	}
	if out == nil {
		return ch
	}
	return out
}
