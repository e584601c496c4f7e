package theory

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

const chordHint = "write root, quality and bass, as in Am7, F#m7b5, Bb7(b9,#11), C6/9, Gsus4/D, N.C."

// maxChordDegree is the highest degree number that a symbol may name.
const maxChordDegree = 15

// maxChordSymbol is the length in bytes up to which a symbol is looked at.
const maxChordSymbol = 400

// ParseChord reads a chord symbol as lead sheets write it: "Am7", "F#ø7",
// "Bb7(b9,#11)", "C6/9", "Gsus4/D", "E7alt", "A-7", "CΔ9", "N.C.". The
// quality is kept as it is written, so [Chord.String] gives the same text but
// for the signs of root and bass. Errors are of type [*ParseError] and point
// to the place in the symbol.
//
// Where symbols are ambiguous, the rules are:
//   - Accidentals after the root belong to it: "Eb9" is E♭ and a ninth, and
//     "Cb5" a C♭ power chord. A flat fifth on C is "C(b5)".
//   - "-" is minor after the root ("A-7", "C-9") and flat after a number or in
//     parentheses ("C7-9"); "+" is augmented after the root ("C+7") and sharp
//     before a number that follows one ("C7+9"). "C-5" and "C+5" alter the
//     fifth.
//   - "M" is major and "m" minor; Δ alone is a major seventh; dim and ° alone
//     are triads, ø alone a seventh chord.
//   - "C7" has a minor seventh; "add7" too, as in MusicXML. "C2" is add2, "C4"
//     and "sus" are sus4.
//   - A number in parentheses after a complete chord is an added one: "C7(13)".
//   - "C6/9", "C7/13" and "C/9" add; a slash before a note gives the bass.
func ParseChord(s string) (Chord, error) {
	text := strings.TrimSpace(s)
	start := strings.Index(s, text)
	if isNoChord(text) {
		return Chord{Quality: text, NoChord: true}, nil
	}
	if text == "" {
		return Chord{}, parseError("chord", s, 0, "nothing there", chordHint)
	}
	if len(text) > maxChordSymbol {
		return Chord{}, parseError("chord", s[:maxChordSymbol], 0, "longer than any chord symbol", chordHint)
	}
	if text[0] < 'A' || text[0] > 'G' {
		hint := chordHint
		if 'a' <= text[0] && text[0] <= 'g' {
			hint = "roots are capital letters: " + strings.ToUpper(text[:1]) + text[1:]
		}
		return Chord{}, parseError("chord", s, start, "it does not begin with a root from A to G", hint)
	}
	root, rest, err := scanNoteName(text)
	if err != nil {
		return Chord{}, parseError("chord", s, start+1, "more accidentals than any music has", chordHint)
	}
	c := Chord{Root: root, Quality: rest}
	if i := bassSlash(rest); i >= 0 {
		c.Quality = rest[:i]
		c.Bass, _ = ParseNoteName(rest[i+1:]) // bassSlash made sure
		c.HasBass = true
	}
	if _, err := parseQuality(c.Quality, s, start+len(text)-len(rest)); err != nil {
		return Chord{}, err
	}
	return c, nil
}

// Check tells what is wrong with the quality, nil if it is understood. Errors
// are of type [*ParseError].
func (c Chord) Check() error {
	if c.NoChord {
		return nil
	}
	if _, err := parseQuality(c.Quality, c.Quality, 0); err != nil {
		return err
	}
	return nil
}

func isNoChord(s string) bool {
	switch strings.ToLower(s) {
	case "n.c.", "nc", "n.c", "nc.", "no chord", "n. c.":
		return true
	}
	return false
}

// bassSlash finds the slash before the bass note, -1 if there is none.
func bassSlash(s string) int {
	i := strings.LastIndexByte(s, '/')
	if i < 0 || i+1 >= len(s) || s[i+1] < 'A' || s[i+1] > 'G' {
		return -1
	}
	if _, err := ParseNoteName(s[i+1:]); err != nil {
		return -1
	}
	return i
}

// qualityParser gathers what a quality says before it is clear which kind of
// chord it is: "7" and "sus4" may come in either order.
type qualityParser struct {
	text   string // the quality
	pos    int    // in text
	input  string // the whole symbol, for messages
	offset int    // of text in input
	depth  int    // open parentheses

	third    chordWord // wordMajor, wordMinor or wordNone
	fifth    chordWord // wordDim, wordHalfDim, wordAug or wordNone
	major    bool      // maj, M or a triangle was said, which makes the seventh major
	triangle bool      // by a triangle, which means a seventh by itself
	number   int       // 2, 4, 5, 6, 7, 9, 11 or 13; 0 for none
	sus2     bool
	sus4     bool
	alt      bool
	dominant bool // "dom", which means a seventh by itself
	flatFive bool // b5 straight after m7
	changes  []change
}

// change is an added, altered or omitted degree, as written.
type change struct {
	op     chordWord // wordAdd, wordNo, or wordNone for a plain alteration
	degree Degree    // counted as the op counts
}

// parseQuality reads a quality. input is the whole text that messages quote
// and offset where the quality stands in it.
func parseQuality(text, input string, offset int) (quality, error) {
	for i, k := range kinds {
		if k.text == text && k.name != "none" {
			return quality{kind: i}, nil
		}
	}
	p := &qualityParser{text: text, input: input, offset: offset}
	name, n := p.functional()
	p.pos = n
	if err := p.run(); err != nil {
		return quality{}, err
	}
	if n == 0 {
		return p.quality()
	}
	if p.third != wordNone || p.fifth != wordNone || p.dominant || p.number != 0 || p.sus2 || p.sus4 || p.alt || p.major {
		return quality{}, p.fail(n, "only added, altered or omitted degrees can follow "+text[:n])
	}
	q := ofKind(name)
	p.apply(&q)
	return q, nil
}

// functional finds a quality that is a word of its own at the start.
func (p *qualityParser) functional() (name string, length int) {
	for _, k := range kinds {
		switch k.name {
		case "Neapolitan", "Italian", "French", "German", "pedal", "Tristan", "other":
			if strings.HasPrefix(p.text, k.text) {
				return k.name, len(k.text)
			}
		}
	}
	return "", 0
}

func (p *qualityParser) rest() string { return p.text[p.pos:] }

func (p *qualityParser) fail(pos int, msg string) *ParseError {
	return parseError("chord", p.input, p.offset+pos, msg, chordHint)
}

// run reads all tokens.
func (p *qualityParser) run() error {
	last := wordNone // what a bare number after a comma goes on with
	for p.pos < len(p.text) {
		start := p.pos
		switch ch := p.text[p.pos]; {
		case ch == '(' || ch == '[':
			p.depth++
			p.pos++
			continue
		case ch == ')' || ch == ']':
			if p.depth == 0 {
				return p.fail(start, "a parenthesis closes that was not opened")
			}
			p.depth--
			p.pos++
			last = wordNone
			continue
		case ch == ',' || ch == ' ':
			p.pos++
			continue
		case ch == '/':
			// "6/9", "m/maj7", "(b9/#11)": a slash between parts.
			p.pos++
			if p.pos == len(p.text) {
				return p.fail(start, "a note must follow the slash")
			}
			if _, err := ParseNoteName(p.rest()); err == nil && p.rest()[0] <= 'G' {
				return p.fail(start, "the symbol has two bass notes")
			}
			if 'A' <= p.text[p.pos] && p.text[p.pos] <= 'G' {
				return p.fail(start, fmt.Sprintf("only a note can follow the slash, and %q is none", p.rest()))
			}
			continue
		case '1' <= ch && ch <= '9':
			if err := p.bareNumber(last); err != nil {
				return err
			}
			continue
		}
		if alter, n, ok := p.alteration(); ok {
			p.pos += n
			number, err := p.degreeNumber()
			if err != nil {
				return err
			}
			d := Degree{number, alter}
			if number == 7 && alter == 1 && p.number == 0 {
				d.Alter = 0 // "m(#7)": the minor seventh raised
			}
			if d == (Degree{5, -1}) && p.depth == 0 && p.third == wordMinor && p.number == 7 && !p.major && len(p.changes) == 0 {
				p.flatFive = true
				continue
			}
			p.changes = append(p.changes, change{wordNone, d})
			last = wordNone
			continue
		}
		word, n := scanChordWord(p.rest())
		if n == 0 && strings.ContainsRune("+-−–", firstRune(p.rest())) {
			word, n = p.sign()
		}
		if n == 0 {
			return p.unknown(start)
		}
		p.pos += n
		var err error
		if last, err = p.word(word, start); err != nil {
			return err
		}
	}
	if p.depth > 0 {
		return p.fail(len(p.text), "a parenthesis is not closed")
	}
	return nil
}

// unknown says that the rest is no part of a chord symbol.
func (p *qualityParser) unknown(start int) *ParseError {
	err := p.fail(start, fmt.Sprintf("%q means nothing in a chord symbol", p.rest()))
	if start > 0 && p.text[start-1] == '/' {
		if _, bad := ParseNoteName(p.rest()); bad == nil {
			err.Hint = "bass notes are capital letters: /" + strings.ToUpper(p.rest()[:1]) + p.rest()[1:]
		}
	}
	return err
}

func firstRune(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

// sign reads + and - as words: augmented and minor.
func (p *qualityParser) sign() (chordWord, int) {
	if r := firstRune(p.rest()); r == '+' {
		return wordAug, 1
	} else if p.pos == 0 {
		return wordMinor, utf8.RuneLen(r)
	}
	return wordNone, 0
}

// alteration reads the sign of an altered degree if there is one: an
// accidental, or a + or - in a place where it means sharp or flat.
func (p *qualityParser) alteration() (alter, n int, ok bool) {
	s := p.rest()
	if a, rest := scanAlter(s); rest != s && rest != "" && '1' <= rest[0] && rest[0] <= '9' {
		return a, len(s) - len(rest), true
	}
	r := firstRune(s)
	if !strings.ContainsRune("+-−–", r) {
		return 0, 0, false
	}
	n = utf8.RuneLen(r)
	after := s[n:]
	if after == "" || after[0] < '1' || after[0] > '9' {
		return 0, 0, false
	}
	five := strings.HasPrefix(after, "5")
	head := p.number == 0 && p.depth == 0 && !p.triangle
	if r == '+' {
		return 1, n, !head || five
	}
	return -1, n, !head || five || p.pos > 0
}

// digits reads one or two digits; "69" is left to its caller as 6.
func (p *qualityParser) digits() int {
	s := p.rest()
	n := int(s[0] - '0')
	p.pos++
	if n == 1 && len(s) > 1 && '0' <= s[1] && s[1] <= '9' {
		n = 10 + int(s[1]-'0')
		p.pos++
	}
	return n
}

// degreeNumber reads the number of an altered, added or omitted degree, with
// an ordinal ending if it has one.
func (p *qualityParser) degreeNumber() (int, error) {
	start := p.pos
	if s := p.rest(); s == "" || s[0] < '1' || s[0] > '9' {
		return 0, p.fail(start, "a degree number is missing")
	}
	n := p.digits()
	if n > maxChordDegree {
		return 0, p.fail(start, fmt.Sprintf("no chord has a degree %d", n))
	}
	for _, ending := range [...]string{"rd", "th", "nd", "st"} {
		if strings.HasPrefix(p.rest(), ending) {
			p.pos += 2
			break
		}
	}
	return n, nil
}

// bareNumber reads a number that no sign stands before: the chord's own, or
// an added degree once it has one.
func (p *qualityParser) bareNumber(last chordWord) error {
	start := p.pos
	n := p.digits()
	apart := start > 0 && strings.IndexByte("(,/ ", p.text[start-1]) >= 0
	switch {
	case (last == wordAdd || last == wordNo) && apart:
		if n > maxChordDegree {
			return p.fail(start, fmt.Sprintf("no chord has a degree %d", n))
		}
		p.changes = append(p.changes, change{last, Degree{n, 0}})
	case last == wordSus && n == 2 || n == 2 && p.sus4 && p.number == 0 && p.depth == 0:
		p.sus2 = true
		if last == wordSus && strings.HasPrefix(p.rest(), "4") {
			p.pos++
			p.sus4 = true
		}
	case last == wordSus && n == 4 || n == 4 && p.sus2 && p.number == 0 && p.depth == 0:
		p.sus4 = true
	case p.number == 0 && len(p.changes) == 0 && (p.depth == 0 || p.major || n == 7) && !p.addsAfterSlash(start):
		switch n {
		case 2, 4, 5, 6, 7, 9, 11, 13:
			p.number = n
		default:
			return p.fail(start, fmt.Sprintf("no chord is called %d", n))
		}
	case n == 1 || n == 8 || n > 13:
		return p.fail(start, fmt.Sprintf("%d cannot be added", n))
	case !apart && !(p.number == 6 && n == 9):
		return p.fail(start, fmt.Sprintf("the chord has its number already; write add%d or /%d", n, n))
	default:
		p.changes = append(p.changes, change{wordAdd, Degree{n, 0}})
	}
	return nil
}

// addsAfterSlash tells whether a number follows a slash that nothing but a
// triad precedes: "C/9" is C with an added ninth, "m/maj7" has its seventh.
func (p *qualityParser) addsAfterSlash(start int) bool {
	return start > 0 && p.text[start-1] == '/' && !p.major
}

// word takes in a word and returns what a number after it belongs to.
func (p *qualityParser) word(w chordWord, start int) (last chordWord, err error) {
	switch w {
	case wordMajor, wordTriangle:
		if p.major || w == wordMajor && p.third == wordMajor {
			return 0, p.fail(start, "major is said twice")
		}
		if p.depth > 0 && p.number != 0 && p.number != 7 && strings.HasPrefix(p.rest(), "7") {
			p.pos++ // "m9(maj7)", "m6(maj7)"
			if p.number == 6 {
				p.changes = append(p.changes, change{wordAdd, Degree{7, 1}})
			} else {
				p.major = true
			}
			return wordNone, nil
		}
		if p.number != 0 && (p.depth > 0 || p.number != 7 && p.number != 9) {
			return 0, p.fail(start, "major stands before the number")
		}
		p.major, p.triangle = true, w == wordTriangle
		if p.third == wordNone && p.fifth == wordNone {
			p.third = wordMajor
		}
	case wordMinor, wordDominant:
		if p.third != wordNone || p.number != 0 || p.fifth != wordNone {
			return 0, p.fail(start, "the chord already has its third")
		}
		if w == wordMinor {
			p.third = wordMinor
		} else {
			p.dominant = true
		}
	case wordDim, wordHalfDim, wordAug:
		if p.fifth != wordNone || w != wordAug && (p.third != wordNone || p.number != 0) {
			return 0, p.fail(start, "the chord already has its third and fifth")
		}
		p.fifth = w
	case wordSus:
		if p.fifth == wordDim || p.fifth == wordHalfDim {
			return 0, p.fail(start, "a diminished chord cannot be suspended")
		}
		if s := p.rest(); !strings.HasPrefix(s, "2") {
			p.sus4 = true
		}
		return wordSus, nil
	case wordAlt:
		p.alt = true
	case wordAdd, wordNo:
		return w, p.changed(w)
	}
	return wordNone, nil
}

// changed reads the degree after add or no.
func (p *qualityParser) changed(op chordWord) error {
	for strings.HasPrefix(p.rest(), " ") {
		p.pos++
	}
	alter := 0
	if op == wordAdd {
		if w, n := scanChordWord(p.rest()); w == wordMajor && strings.HasPrefix(p.rest()[n:], "7") {
			p.pos += n
			alter = 1 // against the minor seventh
		} else if a, n, ok := p.alteration(); ok {
			p.pos += n
			alter = a
		}
	}
	n, err := p.degreeNumber()
	if err != nil {
		return err
	}
	p.changes = append(p.changes, change{op, Degree{n, alter}})
	return nil
}

// apply adds the changes in the order in which they are written.
func (p *qualityParser) apply(q *quality) {
	for _, c := range p.changes {
		switch c.op {
		case wordAdd:
			q.add(c.degree.Number, c.degree.Alter)
		case wordNo:
			q.degrees = append(q.degrees, KindDegree{c.degree.Number, 0, DegreeSubtract})
		default:
			q.alter(c.degree)
		}
	}
}

// add adds degrees that are counted as in a dominant chord.
func (q *quality) add(value, alter int) {
	q.degrees = append(q.degrees, KindDegree{value, alter, DegreeAdd})
}
