package theory

import (
	"fmt"
	"strconv"
	"strings"
)

// A Progression is a row of bars with chords.
type Progression []ProgressionBar

// A ProgressionBar is a bar that is divided into equal parts.
type ProgressionBar struct {
	Chords []BarChord
	Parts  int  // sum of the chords' parts
	Simile bool // it was written as %, the same as the bar before
}

// A BarChord is a chord for some of the parts of its bar.
type BarChord struct {
	Chord Chord
	Parts int // 1 or more
}

const progressionHint = "write chords with bar lines between them, as in Am7 | D7 G7 | %"

// maxRepeats is how often a repeated section may be asked for.
const maxRepeats = 64

// ParseProgression reads chords as players write them down: "Am7 | D7 G7 | %".
// Bars are divided by | or a new line, and the chords of a bar share it
// equally; a / holds the chord before it for another share ("C / / G7"), and
// % alone repeats the bar before. Sections between |: and :| are written out
// twice, or as often as an x after them says (":| x3"). If key is not nil,
// Roman numerals are understood as well. Errors are of type [*ParseError].
func ParseProgression(s string, key *Key) (Progression, error) {
	var p Progression
	repeatFrom := 0 // where a section between repeat signs begins
	for _, bar := range splitBars(s) {
		if bar.repeats > 0 {
			section := p[repeatFrom:]
			for range bar.repeats - 1 {
				again := len(p)
				p = append(p, section...)
				if again < len(p) {
					p[again].Simile = false // another bar stands before it now
				}
			}
			repeatFrom = len(p)
			continue
		}
		if bar.begin {
			repeatFrom = len(p)
			continue
		}
		b, err := parseBar(s, bar, key)
		if err != nil {
			return nil, err
		}
		if b.Simile {
			if len(p) == 0 {
				return nil, parseError("progression", s, bar.at, "there is no bar before to repeat", progressionHint)
			}
			b.Chords, b.Parts = p[len(p)-1].Chords, p[len(p)-1].Parts
		}
		p = append(p, b)
	}
	if len(p) == 0 {
		return nil, parseError("progression", s, 0, "it has no chords", progressionHint)
	}
	return p, nil
}

// barText is a bar as it is written, or a repeat sign.
type barText struct {
	text    string
	at      int  // byte offset
	begin   bool // |:
	repeats int  // :| with how often the section is played; 0 for none
}

// splitBars cuts at bar lines, drops what is empty between double bars, and
// finds repeat signs.
func splitBars(s string) []barText {
	var bars []barText
	start := 0
	for i := 0; i <= len(s); i++ {
		if i < len(s) && s[i] != '|' && s[i] != '\n' {
			continue
		}
		text, at := s[start:i], start
		if trimmed, found := strings.CutPrefix(text, ":"); found && start > 0 && s[start-1] == '|' {
			bars = append(bars, barText{at: at, begin: true})
			text, at = trimmed, at+1
		}
		if n, rest := repeatCount(text); n > 0 && len(bars) > 0 && bars[len(bars)-1].repeats > 0 {
			bars[len(bars)-1].repeats = n
			at += len(text) - len(rest)
			text = rest
		}
		body, ends := strings.CutSuffix(text, ":")
		if strings.TrimSpace(body) != "" {
			bars = append(bars, barText{text: body, at: at})
		}
		if ends && i < len(s) && s[i] == '|' {
			bars = append(bars, barText{at: i - 1, repeats: 2})
		}
		start = i + 1
	}
	return bars
}

// repeatCount reads "x3" at the start of a text.
func repeatCount(s string) (n int, rest string) {
	t := strings.TrimLeft(s, " ")
	if !strings.HasPrefix(t, "x") {
		return 0, s
	}
	digits := len(t) - 1 - len(strings.TrimLeft(t[1:], "0123456789"))
	n, err := strconv.Atoi(t[1 : 1+digits])
	if err != nil || n < 1 || n > maxRepeats {
		return 0, s
	}
	return n, t[1+digits:]
}

// parseBar reads the chords of one bar.
func parseBar(whole string, bar barText, key *Key) (ProgressionBar, error) {
	var b ProgressionBar
	last := "" // the token before
	for token, at := range chordTokens(bar.text) {
		switch {
		case token == "%":
			b.Simile = true
		case token == "/" || token == ".":
			if len(b.Chords) == 0 {
				return b, parseError("progression", whole, bar.at+at, "there is no chord before to hold", progressionHint)
			}
			b.Chords[len(b.Chords)-1].Parts++
			b.Parts++
		default:
			c, err := parseProgressionChord(token, key)
			if err != nil && last != "" && (token[0] < 'A' || token[0] > 'Z') {
				// "Am add9": what a space cuts off belongs to the chord.
				if joined, joinErr := parseProgressionChord(last+" "+token, key); joinErr == nil {
					last += " " + token
					b.Chords[len(b.Chords)-1].Chord = joined
					continue
				}
			}
			if err != nil {
				perr := err.(*ParseError) // the parsers give no other
				return b, parseError("progression", whole, bar.at+at+perr.Offset, fmt.Sprintf("%q is no %s: %s", token, perr.What, perr.Msg), perr.Hint)
			}
			b.Chords = append(b.Chords, BarChord{c, 1})
			b.Parts++
			last = token
			continue
		}
		last = "" // a % or / stands between
	}
	if b.Simile && b.Parts > 0 {
		return b, parseError("progression", whole, bar.at+strings.IndexByte(bar.text, '%'), "a % stands alone in its bar", progressionHint)
	}
	b.reduce()
	return b, nil
}

// reduce divides the parts by what they have in common: "C / G /" is two
// halves.
func (b *ProgressionBar) reduce() {
	common := 0
	for _, c := range b.Chords {
		for a, r := common, c.Parts; ; a, r = r, a%r {
			if r == 0 {
				common = a
				break
			}
		}
	}
	for i := range b.Chords {
		b.Chords[i].Parts /= common
	}
	if common > 0 {
		b.Parts /= common
	}
}

// chordTokens yields what stands between spaces, with what is in parentheses
// held together and a parenthesis joined to the chord before it ("C7 (b9)").
func chordTokens(s string) func(yield func(string, int) bool) {
	return func(yield func(string, int) bool) {
		depth, start := 0, -1
		for i := 0; i <= len(s); i++ {
			space := i == len(s) || (s[i] == ' ' || s[i] == '\t' || s[i] == '\r') && depth == 0
			switch {
			case i < len(s) && s[i] == '(':
				depth++
			case i < len(s) && s[i] == ')':
				depth = max(0, depth-1)
			}
			if !space && start < 0 {
				start = i
			}
			if space && start >= 0 && !strings.HasPrefix(strings.TrimLeft(s[i:], " "), "(") {
				if !yield(s[start:i], start) {
					return
				}
				start = -1
			}
		}
	}
}

// parseProgressionChord reads a symbol, or a numeral where a key is known.
func parseProgressionChord(token string, key *Key) (Chord, error) {
	if key != nil {
		if _, number, _, _ := scanNumeral(token); number > 0 {
			return key.ParseRoman(token)
		}
	}
	return ParseChord(token)
}

// Chords returns the chords in order, without their places.
func (p Progression) Chords() []Chord {
	var all []Chord
	for _, b := range p {
		for _, c := range b.Chords {
			all = append(all, c.Chord)
		}
	}
	return all
}

// String writes the progression as it is typed; [ParseProgression] reads it
// back.
func (p Progression) String() string { return p.format(Chord.String) }

// Roman writes the progression in Roman numerals of a key.
func (p Progression) Roman(k Key) string { return p.format(k.Roman) }

func (p Progression) format(name func(Chord) string) string {
	var b strings.Builder
	for i, bar := range p {
		if i > 0 {
			b.WriteString(" | ")
		}
		if bar.Simile {
			b.WriteByte('%')
			continue
		}
		for j, c := range bar.Chords {
			if j > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(name(c.Chord))
			for range c.Parts - 1 {
				b.WriteString(" /")
			}
		}
	}
	return b.String()
}

// Transpose moves all chords by an interval, exactly.
func (p Progression) Transpose(by Interval) Progression {
	moved := make(Progression, len(p))
	for i, bar := range p {
		moved[i] = bar
		moved[i].Chords = make([]BarChord, len(bar.Chords))
		for j, c := range bar.Chords {
			moved[i].Chords[j] = BarChord{c.Chord.Transpose(by), c.Parts}
		}
	}
	return moved
}
