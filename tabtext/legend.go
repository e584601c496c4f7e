package tabtext

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// A legend is what a file says of its own signs: each sign is read as
// another, that of this package for the meaning.
type legend struct {
	as   [256]byte // 0 where the file says nothing
	long []longSign
	in   bool // whether anything differs from the usual reading

	unmet []legendEntry // signs that are read as usual though the file says otherwise
}

// A longSign is a sign of several characters: ho, NH. It is read as the first
// columns of it; what is left over has no meaning of its own.
type longSign struct{ text, as string }

// Signs that only a legend can give to a number.
const (
	signDown    = 1 // a down-stroke
	signUp      = 2
	signSlap    = 3 // before or after the number
	signPop     = 4
	signNatural = 5 // a natural harmonic, before or after the number
	signPinch   = 6 // a pinch harmonic, likewise
	signMade    = 7 // an artificial harmonic, likewise
	signFill    = 8 // what is left over of a sign of several characters
)

// legendWords are what a legend calls a sign, and the sign that is read for
// it; the first that is found wins. Source: common practice.
var legendWords = []struct {
	words []string // all must be there
	sign  byte
}{
	{[]string{"pinch"}, '*'}, {[]string{"artificial", "harm"}, 0}, {[]string{"tapped", "harm"}, 0}, {[]string{"harmonic"}, signNatural},
	{[]string{"palm"}, 0},
	{[]string{"hammer"}, 'h'}, {[]string{"pull"}, 'p'},
	{[]string{"slide", "down"}, '\\'}, {[]string{"slide", "up"}, '/'}, {[]string{"slide"}, 's'},
	{[]string{"pre", "bend"}, 0}, {[]string{"release", "bend"}, 0}, {[]string{"bend"}, 'b'}, {[]string{"release"}, 'r'},
	{[]string{"vibrato"}, '~'}, {[]string{"dead"}, 'x'}, {[]string{"muted"}, 'x'}, {[]string{"mute"}, 'x'},
	{[]string{"slap"}, signSlap}, {[]string{"pop"}, signPop}, {[]string{"trill"}, 0}, {[]string{"tremolo"}, 0},
	{[]string{"tap"}, 't'}, {[]string{"down", "stroke"}, signDown}, {[]string{"downstroke"}, signDown}, {[]string{"down", "pick"}, signDown},
	{[]string{"up", "stroke"}, signUp}, {[]string{"upstroke"}, signUp}, {[]string{"up", "pick"}, signUp},
	{[]string{"grace"}, 'g'},
}

// read takes what a line of prose explains: "v = down-stroke", "(s) slap",
// "^ - bend", several on a line: "x = dead note, ~ = vibrato".
func (l *legend) read(line string) {
	for _, e := range legendEntries(line) {
		if e.long != "" {
			l.readLong(e.long, strings.ToLower(e.meaning))
			continue
		}
		if as := meaningOf(e.sign, strings.ToLower(e.meaning)); as != 0 {
			l.as[e.sign] = as
			l.in = true
		} else if e.by == "=" && e.meaning != "" && usuallyRead(e.sign) && !usualMeaning(e.sign, strings.ToLower(e.meaning)) {
			if !slices.ContainsFunc(l.unmet, func(u legendEntry) bool { return u.sign == e.sign }) {
				l.unmet = append(l.unmet, e)
			}
		}
	}
}

// usuallyRead tells the signs that this package reads on a row.
func usuallyRead(sign byte) bool { return strings.IndexByte("hHpPbrx~vVwWt+gS^*/\\", sign) >= 0 }

// usualMeaning tells whether a meaning in lower case is the one with which a sign is read
// anyway.
func usualMeaning(sign byte, low string) bool {
	for _, w := range legendWords {
		all := true
		for _, word := range w.words {
			all = all && strings.Contains(low, word)
		}
		if all && (w.sign == sign || w.sign != 0 && sameMeaning(w.sign, sign)) {
			return true
		}
	}
	return false
}

// unmetLegend says which signs on the rows are not read as the file's own legend says.
func (b *builder) unmetLegend() {
	for _, e := range b.lay.legend.unmet {
		s, row, at, used := b.lay.place(string(rune(e.sign)))
		if !used {
			continue
		}
		b.reportOnce(score.Warning, "tab-legend", string(rune(e.sign)), b.lay.src.at(s.rows[row].line, at),
			"the file says that "+string(rune(e.sign))+" is "+strconv.Quote(e.meaning)+", which is no meaning that is known for a sign: it is read as usual",
			"say it in other words, as in x = dead note, or take another sign")
	}
}

// A legendEntry is a sign and what a line says that it means.
type legendEntry struct {
	sign    byte
	long    string // a sign of several characters
	meaning string
	by      string // what parts the sign from its meaning
}

// legendEntries cuts a line into its explanations. One at the beginning of
// the line may be parted from its meaning by any of = : - or "means"; later
// ones only by = or by what parts the first, so that prose is not taken apart.
func legendEntries(line string) []legendEntry {
	line = strings.TrimSpace(line)
	if len(line) > maxHeaderLine {
		return nil
	}
	if sign, _, _ := legendEntryAt(line, 0); sign == 0 { // a bullet or a frame is before it
		line = strings.TrimLeft(line, "|*> ")
	}
	var out []legendEntry
	var parted string // what parts the first entry
	last := 0         // where the meaning of the last entry begins
	finish := func(end int) {
		if n := len(out); n > 0 {
			text, _, _ := strings.Cut(line[last:end], ";")
			text, _, _ = strings.Cut(text, ", ")
			if len(text) > maxMeaning {
				text = ""
			}
			out[n-1].meaning = strings.TrimSpace(text)
		}
	}
	for i := 0; i < len(line); i++ {
		if i > 0 && !strings.ContainsRune(" ,;(|", rune(line[i-1])) {
			continue
		}
		sign, from, by := legendEntryAt(line, i)
		long := ""
		if sign == 0 {
			if long, from, by = longEntryAt(line, i); long != "" {
				sign = long[0]
			}
		}
		if sign == 0 || by != "=" && i > 0 && (parted == "" || by != parted) {
			continue
		}
		finish(i)
		if parted == "" && i == 0 {
			parted = by
		}
		out = append(out, legendEntry{sign: sign, long: long, by: by})
		last = from
		i = from - 1
	}
	finish(len(line))
	return out
}

// maxMeaning is the longest meaning, in bytes, that a legend gives a sign.
const maxMeaning = 56

// legendEntryAt reads a sign and what parts it from its meaning.
func legendEntryAt(line string, i int) (sign byte, from int, by string) {
	rest := line[i:]
	if len(rest) < 4 {
		return 0, 0, ""
	}
	sign = rest[0]
	n := 1
	bracketed := sign == '(' && rest[2] == ')'
	if bracketed {
		sign, n = rest[1], 3
	}
	if isDigit(sign) || sign == '-' || sign == '|' || sign == ' ' || sign == ',' || sign >= 0x80 {
		return 0, 0, ""
	}
	for n < len(rest) && rest[n] == ' ' {
		n++
	}
	for _, by := range []string{"=", ":", "-", "means "} {
		if !strings.HasPrefix(rest[n:], by) || by == "-" && n == 1 {
			continue
		}
		n += len(by)
		for n < len(rest) && strings.IndexByte("=:- >", rest[n]) >= 0 {
			n++
		}
		return sign, i + n, by
	}
	if bracketed && n < len(rest) {
		return sign, i + n, "()"
	}
	return 0, 0, ""
}

// meaningOf gives the sign as which one is to be read that means what is said
// in lower case, 0 if it is read so anyway or the meaning is none of a sign.
func meaningOf(sign byte, low string) byte {
	var first []string
	as := byte(0)
	for _, w := range legendWords {
		all := true
		for _, word := range w.words {
			all = all && strings.Contains(low, word)
		}
		switch {
		case !all:
		case first == nil:
			first, as = w.words, w.sign
		case w.sign == sign && !slices.ContainsFunc(w.words, func(s string) bool { return slices.Contains(first, s) }):
			return 0 // "hammer-on / pull-off" said of p: its own meaning is among them
		}
	}
	if as == sign || as != 0 && sameMeaning(as, sign) || as == signNatural && strings.IndexByte("<>[]()", sign) >= 0 {
		return 0
	}
	return as
}

// sameMeaning tells signs that this package reads alike anyway.
func sameMeaning(a, b byte) bool {
	return a > ' ' && a|0x20 == b|0x20 || a == 's' && (b == '/' || b == '\\') ||
		a == 'b' && b == '^' || a == '~' && b == 'v' || a == 't' && (b == '+' || b == 'T')
}

// maxLong is the longest sign, in bytes, that a legend may explain.
const maxLong = 4

// longEntryAt reads a sign of two to four letters or signs and what parts it
// from its meaning: "ho = hammer-on", "NH: natural harmonic".
func longEntryAt(line string, i int) (sign string, from int, by string) {
	n := i
	for n < len(line) && n-i <= maxLong && line[n] > ' ' && line[n] < 0x7f && strings.IndexByte("=:-|,;()", line[n]) < 0 && !isDigit(line[n]) {
		n++
	}
	if n-i < 2 || n-i > maxLong {
		return "", 0, ""
	}
	k := n
	for k < len(line) && line[k] == ' ' {
		k++
	}
	for _, by := range []string{"=", ":", "- "} {
		if !strings.HasPrefix(line[k:], by) || by == "- " && k == n {
			continue
		}
		for k += len(by); k < len(line) && strings.IndexByte("=:- >", line[k]) >= 0; k++ {
		}
		return line[i:n], k, by
	}
	return "", 0, ""
}

// readLong takes the meaning of a sign of several characters. Signs that are
// read so anyway (tr, TP, pb) and rows of their own (PM) stay as they are.
func (l *legend) readLong(text, low string) {
	as := ""
	switch sign := meaningOf(0, low); sign {
	case 0:
		switch {
		case strings.Contains(low, "artificial") && strings.Contains(low, "harm"):
			as = string(rune(signMade))
		case strings.Contains(low, "pre") && strings.Contains(low, "bend"):
			as = "pb"
		}
	case 'b':
		switch as = "b"; {
		case strings.Contains(low, "half") || strings.Contains(low, "semitone"):
			as = "bh"
		case strings.Contains(low, "full") || strings.Contains(low, "whole"):
			as = "bf"
		}
	case '*':
		as = string(rune(signPinch))
	default:
		as = string(rune(sign))
	}
	known := slices.ContainsFunc(l.long, func(s longSign) bool { return s.text == text })
	if known || as == "" || as == text || strings.EqualFold(text, "pm") {
		return
	}
	l.long = append(l.long, longSign{text, as + strings.Repeat(string(rune(signFill)), len(text)-len(as))})
	slices.SortStableFunc(l.long, func(a, b longSign) int { return len(b.text) - len(a.text) })
	l.in = true
}

// translate gives the signs of a row as they are to be read. The bytes are
// shared with the source where the legend changes nothing.
func (l *legend) translate(ch []byte) []byte {
	if !l.in {
		return ch
	}
	var out []byte
	put := func(i int, as string) {
		if out == nil {
			out = append([]byte{}, ch...)
		}
		copy(out[i:], as)
	}
next:
	for i := 0; i < len(ch); i++ {
		for _, s := range l.long {
			if bytes.HasPrefix(ch[i:], []byte(s.text)) {
				put(i, s.as)
				i += len(s.text) - 1
				continue next
			}
		}
		b := ch[i]
		if l.as[b] == 0 || l.as[b] == signNatural && b == 'h' && i+1 < len(ch) && isDigit(ch[i+1]) { // 5h7 stays a hammer-on
			continue
		}
		put(i, string([]byte{l.as[b]}))
	}
	if out == nil {
		return ch
	}
	return out
}
