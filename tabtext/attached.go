package tabtext

import (
	"slices"
	"sort"
	"strings"

	"example.org/lickwright/score"
)

// A lineKind is what a line beside the tab says.
type lineKind int8

const (
	textLine      lineKind = iota // prose, nothing to do with columns
	chordLine                     // Am7   D7
	countLine                     // 1 & 2 &
	letterLine                    // Q E E H.
	tupletLine                    // |-3-|
	markLine                      // time:3/4  x3  [1.    ]
	extentLine                    // PM----|  let ring---|
	strokeLine                    // v ^ v ^
	slapLine                      // S P S P
	namedLine                     // b3 5 R (degree): the name in brackets at the end says what it is
	lyricLine                     // words that stand under their notes
	barNumberLine                 // 1    2    3, numbers of bars: kept with their columns
	numberLine                    // 3   3   3, numbers of tuplets without brackets
)

// A word is a run of signs without a gap, at its column.
type word struct {
	col  int // logical
	text string
}

// An attached line belongs to the columns of a system.
type attached struct {
	line  int
	cells cells
	kind  lineKind
	name  string // of a namedLine
	words []word

	foreign []word // words among chord symbols that mean nothing here
	printed bool   // it has the signs ♯ or ♭
	mixed   bool   // an extentLine in which tuplet brackets stand too
	sung    bool   // its words are lyrics and in the music
	doubt   bool   // chord symbols stand in what is taken for prose
}

// wordsFrom returns the words from a column on, as a part of words that are in
// order of column.
func wordsFrom(words []word, col int) []word {
	return words[sort.Search(len(words), func(i int) bool { return words[i].col >= col }):]
}

// splitWords cuts a line at gaps; col is the physical column.
func splitWords(c *cells, isHTML bool) []word {
	var words []word
	i := skipQuote(c.ch)
	whole := ""
	if c.off == nil { // one string for all words of the line
		whole = string(c.ch)
	}
	for i < len(c.ch) {
		if c.ch[i] == ' ' {
			i++
			continue
		}
		j := i
		for j < len(c.ch) && c.ch[j] != ' ' {
			j++
		}
		text := ""
		if c.off == nil {
			text = whole[i:j]
		} else {
			text = c.show(i, j, isHTML)
		}
		for _, end := range []string{"]>", "]"} { // an ending that touches the next one
			if rest, found := strings.CutPrefix(text, end+"["); found {
				words = append(words, word{i, end})
				i, text = i+len(end), "["+rest
				break
			}
		}
		words = append(words, word{i, text})
		i = j
	}
	return words
}

// annotationKinds are the names of rows that a label in brackets at the end
// of the line may give; the kinds of annotations are taken as they come.
const (
	namedFingers = "fingers"
	namedPluck   = "pluck"
	namedSigns   = "signs"
	namedWords   = "words"
)

func isNamed(name string) bool {
	switch name {
	case namedFingers, namedPluck, namedSigns, namedWords, "degree", "chord-tone", "role", "name", "interval", "degrees", "chord tones", "roles", "names", "intervals":
		return true
	}
	return false
}

// isNamedRow tells a line that ends in its name in brackets.
func isNamedRow(c *cells, isHTML bool) bool {
	if len(c.ch) == 0 || c.ch[len(c.ch)-1] != ')' {
		return false
	}
	text := c.show(0, len(c.ch), isHTML)
	i := strings.LastIndexByte(text, ' ')
	return i > 0 && strings.HasSuffix(text, ")") && text[i+1] == '(' && isNamed(text[i+2:len(text)-1])
}

// classify tells what a line beside the tab is. Where signs are ambiguous
// the first of these that fits all words of the line wins: a name in
// brackets, marks, extents, tuplets, counts, rhythm letters, strokes, slaps,
// chords, lyrics.
func classify(c cells, line int, isHTML, below bool) attached {
	a := attached{line: line, cells: c}
	a.words = splitWords(&c, isHTML)
	if len(a.words) == 0 {
		return a
	}
	if last := a.words[len(a.words)-1].text; len(last) > 2 && last[0] == '(' && last[len(last)-1] == ')' && isNamed(last[1:len(last)-1]) {
		a.name = last[1 : len(last)-1]
		a.words = a.words[:len(a.words)-1]
		a.kind = namedLine
		return a
	}
	if n := len(a.words) - 1; n > 0 && a.words[n].text == chordsName {
		if named := (attached{line: line, cells: c, words: a.words[:n]}); named.asChords() {
			return named
		}
	}
	all := func(ok func(string) bool) bool {
		for _, w := range a.words {
			if !ok(w.text) {
				return false
			}
		}
		return true
	}
	line0 := strings.TrimSpace(c.show(skipQuote(c.ch), len(c.ch), isHTML))
	switch {
	case asBarNumbers(a.words, below):
		a.kind = barNumberLine
	case below && all(isCountWord) && countsRise(a.words, below): // 4+7/8 may be a metre above
		a.kind = countLine
	case all(isMark):
		a.kind = markLine
	case isExtent(line0):
		a.kind = extentLine
	case a.isMixed():
		a.kind, a.mixed = extentLine, true
	case isTupletLine(line0):
		a.kind = tupletLine
	case all(isCountWord) && countsRise(a.words, below):
		a.kind = countLine
	case !below && spacedNumbers(a.words):
		a.kind = barNumberLine
	case all(func(s string) bool { return s == "T" || s == "t" }):
		a.kind = slapLine
	case all(isLetterWord) && lettersNotChords(a.words):
		a.kind = letterLine
	case all(isStroke) && !sameWords(a.words, "D"): // D alone is a chord
		a.kind = strokeLine
	case all(isSlap) && len(a.words) > 1:
		a.kind = slapLine
	case sameWords(a.words, a.words[0].text) && len(a.words[0].text) == 1 && strings.Contains("35679", a.words[0].text):
		a.kind = numberLine
	case a.asChords():
	case below && hasColumns(c.ch):
		a.kind = lyricLine
	}
	return a
}

func sameWords(words []word, text string) bool {
	return !slices.ContainsFunc(words, func(w word) bool { return w.text != text })
}

func isLetterWord(s string) bool {
	_, _, ok := parseLetters(s)
	return ok || s == "|"
}

// chordsName behind a row says that it is chord symbols. It is written where
// a row of E alone would be taken for eighth notes.
const chordsName = "(chords)"

// lettersNotChords tells a row of E for eighths from chords of E: other
// letters than E stand in it, or dots, or there are more than two.
func lettersNotChords(words []word) bool {
	n := 0
	for _, w := range words {
		if w.text == "|" {
			continue
		}
		if w.text != "E" {
			return true
		}
		n++
	}
	return n > 2
}

func isStroke(s string) bool {
	switch s {
	case "v", "V", "^", "n", "D", "U", "d", "u", "↓", "↑":
		return true
	}
	return false
}

func isSlap(s string) bool { return s == "S" || s == "P" || s == "T" }

// taps tells a row of T alone, taps, from one in which it is the thumb beside
// slaps and pops.
func (a *attached) taps() bool {
	for _, w := range a.words {
		if w.text != "T" && w.text != "t" {
			return false
		}
	}
	return true
}

// asChords makes the line a row of chord symbols if it is one.
func (a *attached) asChords() bool {
	is, doubt, foreign := chordRow(a)
	if a.doubt = doubt; is {
		a.kind, a.foreign = chordLine, foreign
		a.printed = strings.ContainsAny(a.cells.text, "♯♭")
	}
	return is
}

// isMark tells what may stand in a row of marks: times, tempo, key and other
// directives, how often to repeat, endings.
func isMark(s string) bool {
	if head, rest, found := strings.Cut(s, ";"); found {
		return isMark(head) && isMark(rest)
	}
	if key, value, found := strings.Cut(s, ":"); found && value != "" {
		switch key {
		case "time", "key", "tempo", "capo", "tuning", "frets":
			return true
		}
	}
	if _, ok := parseTimes(s); ok {
		return true
	}
	if _, _, ok := parseEnding(s); ok {
		return true
	}
	if t, ok := score.ParseMetre(s); ok && t != nil && strings.Contains(s, "/") {
		return true
	}
	return s == "]" || s == "]>"
}

// parseTimes reads how often a section is played: x3, (3x).
func parseTimes(s string) (int, bool) {
	t := strings.Trim(s, "()")
	if len(t) < 2 || len(t) > 3 {
		return 0, false
	}
	if t[0] == 'x' || t[0] == 'X' {
		t = t[1:]
	} else if t[len(t)-1] == 'x' || t[len(t)-1] == 'X' {
		t = t[:len(t)-1]
	} else {
		return 0, false
	}
	n := 0
	for i := range len(t) {
		if !isDigit(t[i]) {
			return 0, false
		}
		n = 10*n + int(t[i]-'0')
	}
	return n, n > 0
}

// parseEnding reads the beginning of an ending: "[1.", "|1.___|", "1.----".
// closed tells whether it ends in the same word.
func parseEnding(s string) (numbers string, closed, ok bool) {
	t := strings.TrimLeft(s, "[|")
	open := len(t) < len(s)
	i := 0
	for i < len(t) && (isDigit(t[i]) || t[i] == ',' || t[i] == '.') {
		i++
	}
	head, tail := t[:i], t[i:]
	if i == 0 || !isDigit(head[0]) || !strings.HasSuffix(head, ".") {
		return "", false, false
	}
	rest := strings.Trim(tail, "-_")
	closed = rest == "|" || rest == "]"
	if rest != "" && !closed || !open && tail == "" && !strings.HasSuffix(head, ".") {
		return "", false, false
	}
	numbers = strings.TrimSuffix(strings.ReplaceAll(strings.ReplaceAll(head, ".", ""), ",", ", "), ", ")
	return numbers, closed, true
}

// extentNames are what a line of an extent begins with, folded.
var extentNames = []struct {
	text string
	kind score.SpanKind
}{
	{"palm mute", score.PalmMute}, {"p.m.", score.PalmMute}, {"p.m", score.PalmMute}, {"pm", score.PalmMute},
	{"let ring", score.LetRingSpan}, {"l.r.", score.LetRingSpan}, {"lr", score.LetRingSpan},
	{"vib", score.VibratoSpan}, {"~", score.VibratoSpan},
}

func isExtent(s string) bool {
	s = strings.TrimLeft(s, "-")
	s = strings.ToLower(s)
	if s == "" {
		return false
	}
	for s != "" {
		found := false
		for _, e := range extentNames {
			if strings.HasPrefix(s, e.text) {
				s, found = s[len(e.text):], true
				break
			}
		}
		if !found {
			return false
		}
		s = strings.TrimLeft(s, "-_.~=>| ")
	}
	return true
}

// isMixed tells a line in which extents and tuplet brackets stand beside each
// other: "PM----|   |-3-|".
func (a *attached) isMixed() bool {
	rest, brackets := "", 0
	for _, w := range a.words {
		if t := strings.Trim(w.text, "|-_+"); len(t) > 0 && len(t) <= 4 && strings.Trim(t, "0123456789:") == "" && isTupletLine(w.text) {
			brackets++
			continue
		}
		rest += w.text + " "
	}
	return brackets > 0 && rest != "" && isExtent(strings.TrimSpace(rest))
}

func isTupletLine(s string) bool {
	digits, edges := 0, 0
	for i := range len(s) {
		switch b := s[i]; {
		case isDigit(b):
			digits++
		case b == '|' || b == '-' || b == '_' || b == '+':
			edges++
		case b == ' ' || b == ':' || b == '(' || b == ')' || b == '\\' || b == '/':
		default:
			return false
		}
	}
	return digits > 0 && edges >= 2*digits/3 && edges >= 2 && strings.ContainsAny(s, "-_")
}

// hasColumns tells a line that is laid out under the notes from prose: it is
// set in, or has a gap of two or more columns.
func hasColumns(ch []byte) bool {
	i := skipQuote(ch)
	if i >= 2 && i < len(ch) {
		return true
	}
	gap := 0
	for ; i < len(ch); i++ {
		if ch[i] == ' ' {
			gap++
			continue
		}
		if gap >= 2 {
			return true
		}
		gap = 0
	}
	return false
}

// hasChords tells whether a row of chord symbols stands over the system.
func (s *system) hasChords() bool {
	return slices.ContainsFunc(s.above, func(a attached) bool { return a.kind == chordLine })
}

// attach finds the lines that belong to each system: those above it without
// an empty line between that are laid out in columns, and those below.
func attach(src *source, systems []*system, stop func(line int) bool) {
	floor := 0
	for i, s := range systems {
		ceiling := len(src.lines)
		if i+1 < len(systems) {
			ceiling = systems[i+1].first
		}
		for l := s.first - 1; l >= floor && !stop(l); l-- {
			a := classify(src.columns(l), l, src.html, false)
			if a.kind == textLine {
				if a.doubt {
					s.doubts = append(s.doubts, l)
				}
				break
			}
			s.above = append([]attached{a}, s.above...)
			s.first = l
		}
		floor = s.last
		for l := s.last; l < ceiling && !stop(l); l++ {
			a := classify(src.columns(l), l, src.html, true)
			if a.kind == textLine || a.kind == letterLine {
				break
			}
			if (a.kind == markLine || a.kind == chordLine) && l+1 == ceiling && i+1 < len(systems) { // the marks of the next system
				break
			}
			if a.kind == chordLine && (len(a.foreign) > 0 || s.hasChords()) {
				if !hasColumns(a.cells.ch) {
					break
				}
				a.kind = lyricLine // words that look like symbols
			}
			s.below = append(s.below, a)
			s.last = l + 1
			floor = l + 1
		}
		for _, list := range [][]attached{s.above, s.below} {
			for k := range list {
				for w := range list[k].words {
					list[k].words[w].col -= s.rows[0].shift
				}
				for w := range list[k].foreign {
					list[k].foreign[w].col -= s.rows[0].shift
				}
			}
		}
	}
}
