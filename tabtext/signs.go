package tabtext

import (
	"strings"

	"example.org/lickwright/score"
)

// A span is a range of logical columns, half open. The zero value is none.
type span struct{ from, to int }

func (s span) empty() bool { return s.to <= s.from }

// A sign is one note of a row with all signs that belong to it.
type sign struct {
	row  int
	lead int // first column of the signs before the number
	col  int // column of the number: where the note begins
	end  int // column after its last sign, a connector included

	fret     int
	fretSpan span
	dead     bool
	paren    bool // (7)
	grace    bool
	tap      bool
	slap     byte // 'S' or 'P' before the number
	harmonic byte // '<' natural, '[' artificial, 't' touched: 5<17>, '*' pinched
	touch    *aim // the node of a touched harmonic; nil for none
	bend     *bendSign
	vibrato  bool
	wide     bool
	trill    bool
	trillTo  *aim // nil if not said
	tremolo  bool
	dip      bool
	stroke   byte // signDown or signUp
	edgeIn   byte // '/' or '\\'
	edgeOut  byte
	conn     byte // h p s S / \\ to the next note of the row
	connAt   span
	hammered bool // h before the number, from nowhere
	note     *score.Note
}

// An aim is a second fret of a sign, with the columns of its number. Few signs
// have one.
type aim struct {
	fret int
	at   span
}

// A rowScanner reads the signs of one row between two bar lines.
type rowScanner struct {
	r      *row
	index  int // of the row
	ch     []byte
	base   int // logical column of ch[0]
	i      int
	top    int // highest fret that a number may name
	legend *legend
	again  bool   // % was seen
	out    []sign // of the bar; those of the row begin at first
	first  int
	groups []group                                                     // of the bar
	odds   []oddSign                                                   // unknown signs of the bar
	odd    func(col int, sign string)                                  // an unknown sign
	doubt  func(sev score.Severity, code string, col int, what string) // a sign that may mean something else
}

// scanRow adds a bar's signs on one row to those of the rows before it.
func (sc *rowScanner) scanRow(s *system, index int, b bar) {
	r := &s.rows[index]
	sc.r, sc.index = r, index
	from, to := max(b.from+r.shift, r.start), min(b.to+r.shift, r.end)
	if sc.first = len(sc.out); from >= to {
		return
	}
	sc.ch, sc.base, sc.i = sc.legend.translate(r.cells.ch[from:to]), from-r.shift, 0
	sc.ch = sc.lettersO(r.cells.ch[from:to])
	for sc.i < len(sc.ch) {
		sc.step()
	}
	sc.farSlides()
}

// lettersO reads a letter O that stands where a number may as 0, unless a legend says
// what it is: 1O, --O--.
func (sc *rowScanner) lettersO(raw []byte) []byte {
	out := sc.ch
	for i := 1; i+1 < len(out); i++ {
		if b := out[i]; b != 'O' && b != 'o' {
			continue
		}
		before, after := out[i-1], out[i+1]
		if raw[i] != out[i] || before != '-' && !isDigit(before) || after != '-' && after != ' ' && strings.IndexByte(`hp/\b~s`, after) < 0 {
			continue
		}
		if &out[0] == &raw[0] {
			out = append([]byte{}, out...)
		}
		out[i] = '0'
		sc.doubt(score.Info, "tab-letter-o", sc.base+i, "a letter O on a row is read as the open string")
	}
	return out
}

func (sc *rowScanner) peek(k int) byte {
	if sc.i+k < len(sc.ch) {
		return sc.ch[sc.i+k]
	}
	return 0
}

func (sc *rowScanner) last() *sign {
	if len(sc.out) == sc.first {
		return nil
	}
	return &sc.out[len(sc.out)-1]
}

// startsNote tells whether a note begins at an offset: signs that stand
// before a number, brackets, and then a number or x.
func (sc *rowScanner) startsNote(k int) bool {
	for n := 0; n < 4 && isPrefix(sc.peek(k)) || n > 0 && sc.peek(k) == signFill; n++ {
		k++
	}
	switch b := sc.peek(k); b {
	case 'x', 'X':
		return true
	case '(', '<', '[':
		c := sc.peek(k + 1)
		return isDigit(c) || c == 'x' || c == 'X'
	default:
		return isDigit(b)
	}
}

// isPrefix tells the signs that may stand before a number.
func isPrefix(b byte) bool {
	return b == '/' || b == '\\' || b == 'g' || b == 't' || b == 'T' || b == '+' || b >= signSlap && b < signFill
}

// step reads what stands at the scanner.
func (sc *rowScanner) step() {
	b := sc.ch[sc.i]
	switch {
	case b == '-' || b == ' ' || b == '_' || b == '=' || b == signFill:
		sc.i++
	case sc.startsNote(0):
		sc.note()
	case (b == 'S' || b == 'P') && sc.startsNote(1) && sc.freeBefore():
		sc.note()
	case b == 'h' || b == 'H' || b == 'p' || b == 'P' || b == 's' || b == 'S':
		sc.looseConnector(b)
	case b == '/' || b == '\\':
		sc.looseSlide(b)
	case b == '~' || b == 'v' || b == 'V' || b == 'w' || b == 'W':
		sc.looseVibrato(b)
	case b == 'b' || b == '^' || b == 'r':
		if l := sc.last(); l != nil {
			sc.suffixBend(l)
			l.end = sc.base + sc.i
		} else {
			sc.unknown()
		}
	case b == '%':
		sc.again = true
		sc.i++
	case b == '|':
		if at := sc.base + sc.i; at+sc.r.shift != sc.r.start { // a longer label moves the row's first bar line
			sc.doubt(score.Warning, "tab-bar-ragged", at, "a bar line that most of the rows do not have is passed over")
		}
		sc.i++
	default:
		sc.unknown()
	}
}

// harmonicSign gives the usual sign of a harmonic that a legend names.
func harmonicSign(b byte) byte {
	switch b {
	case signPinch:
		return '*'
	case signMade:
		return '['
	}
	return '<'
}

// fill passes what is left over of a sign of several characters.
func (sc *rowScanner) fill() {
	for sc.peek(0) == signFill {
		sc.i++
	}
}

func (sc *rowScanner) freeBefore() bool {
	return sc.i == 0 || sc.ch[sc.i-1] == '-' || sc.ch[sc.i-1] == ' '
}

// unknown passes a run of signs that mean nothing here and reports them.
func (sc *rowScanner) unknown() {
	from := sc.i
	sc.i++
	for sc.i < len(sc.ch) {
		b := sc.ch[sc.i]
		if b == '-' || b == ' ' || isDigit(b) || b == 'x' || b == 'X' || b == '(' || b == '<' || b == '[' {
			break
		}
		sc.i++
	}
	at := from + sc.base + sc.r.shift
	text := sc.r.cells.slice(at, at+sc.i-from)
	sc.odds = append(sc.odds, oddSign{sc.index, sc.base + from, text})
	sc.odd(sc.base+from, text)
}

// number reads digits, at most two that name a fret, and returns their
// columns.
func (sc *rowScanner) number() (int, span) { return sc.numberUpTo(sc.top) }

// target reads the number of a bend, a release, a trill or a touched harmonic,
// which may lie beyond the last fret.
func (sc *rowScanner) target() (int, span) { return sc.numberUpTo(99) }

func (sc *rowScanner) aim() *aim {
	fret, at := sc.target()
	return &aim{fret, at}
}

func (sc *rowScanner) numberUpTo(top int) (int, span) {
	from := sc.i
	run := 0
	for isDigit(sc.peek(run)) {
		run++
	}
	take := min(run, 2)
	value := 0
	for k := range take {
		value = 10*value + int(sc.peek(k)-'0')
	}
	if take == 2 && (value > top || sc.peek(0) == '0' || run == 3 && oddSplit(sc.ch[sc.i:sc.i+3], top)) {
		take, value = 1, int(sc.peek(0)-'0')
		sc.doubt(score.Warning, "tab-digits-split", sc.base+from, "digits without a gap are read as single frets")
	} else if run > 2 {
		sc.doubt(score.Warning, "tab-digits-split", sc.base+from, "digits without a gap are read as frets of two digits where they can be")
	}
	sc.i += take
	return value, span{sc.base + from, sc.base + from + take}
}

// oddSplit tells whether three digits are rather one and two ("512" is 5 and
// 12) than two and one.
func oddSplit(d []byte, top int) bool {
	head, tail := int(d[0]-'0')*10+int(d[1]-'0'), int(d[1]-'0')*10+int(d[2]-'0')
	return head > top && tail <= top
}

// note reads one note with what belongs to it.
func (sc *rowScanner) note() {
	s := sign{row: sc.index, lead: sc.base + sc.i}
prefix:
	for {
		switch b := sc.peek(0); {
		case b == '/' || b == '\\':
			s.edgeIn = b
		case b == 'g':
			s.grace = true
		case b == 't' || b == 'T' || b == '+':
			s.tap = true
		case b == 'S' || b == signSlap:
			s.slap = 'S'
		case b == 'P' || b == signPop:
			s.slap = 'P'
		case b == signNatural || b == signPinch || b == signMade:
			s.harmonic = harmonicSign(b)
		case b == signFill:
		default:
			break prefix
		}
		sc.i++
	}
	var closing byte
	switch sc.peek(0) {
	case '(':
		s.paren, closing = true, ')'
		sc.i++
	case '<':
		s.harmonic, closing = '<', '>'
		sc.i++
	case '[':
		s.harmonic, closing = '[', ']'
		sc.i++
	}
	s.col = sc.base + sc.i
	if b := sc.peek(0); b == 'x' || b == 'X' {
		s.dead = true
		s.fretSpan = span{s.col, s.col + 1}
		sc.i++
	} else {
		s.fret, s.fretSpan = sc.number()
	}
	if closing != 0 {
		if sc.peek(0) != closing {
			sc.suffixes(&s) // (7b9)
		}
		if sc.peek(0) == closing {
			sc.i++
		} else {
			sc.doubt(score.Warning, "tab-bracket-open", s.lead, "a bracket is opened and not closed")
		}
	}
	sc.suffixes(&s)
	sc.connector(&s)
	s.end = sc.base + sc.i
	sc.out = append(sc.out, s)
}

// suffixes reads the signs after a number.
func (sc *rowScanner) suffixes(s *sign) {
	for {
		switch b := sc.peek(0); {
		case b == 'b' || b == '^' && s.bend == nil || b == 'r' || b == 'p' && sc.peek(1) == 'b':
			if !sc.suffixBend(s) {
				return
			}
		case b == '~' || b == 'v':
			s.vibrato = true
			sc.i++
		case b == 'w' || b == 'W' || b == 'V':
			s.wide = true
			sc.i++
		case b == 't' && sc.peek(1) == 'r':
			sc.i += 2
			s.trill = true
			sc.trillTarget(s)
		case b == 'T' && sc.peek(1) == 'P':
			sc.i += 2
			s.tremolo = true
		case b == signDown || b == signUp:
			s.stroke = b
			sc.i++
		case b == '*':
			s.harmonic = '*'
			sc.i++
		case (b == signNatural || b == signPinch || b == signMade) && (b == signNatural || !sc.startsNote(0)):
			s.harmonic = harmonicSign(b)
			sc.i++
		case b == signFill:
			sc.i++
		case (b == signSlap || b == signPop) && !sc.startsNote(1):
			if s.slap = 'S'; b == signPop {
				s.slap = 'P'
			}
			sc.i++
		case b == '\\' && sc.peek(1) == '/':
			s.dip = true
			sc.i += 2
		case b == '<' && isDigit(sc.peek(1)) && s.harmonic == 0:
			sc.i++
			s.harmonic = 't'
			s.touch = sc.aim()
			if sc.peek(0) == '>' {
				sc.i++
			}
		default:
			return
		}
	}
}

func (sc *rowScanner) trillTarget(s *sign) {
	open := sc.peek(0) == '('
	k := 0
	if open {
		k = 1
	}
	if !isDigit(sc.peek(k)) {
		return
	}
	sc.i += k
	s.trillTo = sc.aim()
	if open && sc.peek(0) == ')' {
		sc.i++
	}
}

// connector reads what ties the note to the next one of the row, or a slide
// out of it.
func (sc *rowScanner) connector(s *sign) {
	from := sc.i
	b := sc.peek(0)
	switch {
	case b == 'h' || b == 'H' || b == 'p' || b == 'P' || b == 's' || b == 'S':
		sc.i++
		sc.fill()
		s.conn = lower(b)
	case b == '/' || b == '\\':
		k := 1
		for sc.peek(k) == b || sc.peek(k) == signFill {
			k++
		}
		sc.i += k
		if isDigit(sc.peek(0)) || sc.peek(0) == '(' && isDigit(sc.peek(1)) || sc.peek(0) == 'x' {
			s.conn = b
		} else {
			s.edgeOut = b
		}
	default:
		return
	}
	s.connAt = span{sc.base + from, sc.base + sc.i}
}

// farSlides joins a slide with the next number of the bar where hyphens are
// between them (7/--9) and the frets go the way that the sign leans. A doubled
// sign (7//-9) leads nowhere.
func (sc *rowScanner) farSlides() {
	for i := sc.first; i < len(sc.out)-1; i++ {
		s, next := &sc.out[i], &sc.out[i+1]
		if s.edgeOut == 0 || s.connAt.to-s.connAt.from > 1 || s.dead || next.dead || next.edgeIn != 0 {
			continue
		}
		if s.edgeOut == '/' && next.fret > s.fret || s.edgeOut == '\\' && next.fret < s.fret {
			s.conn, s.edgeOut = s.edgeOut, 0
			sc.doubt(score.Info, "tab-slide-far", s.connAt.from, "a slide that leans towards the next number of the bar is read as leading to it")
		}
	}
}

// lower gives the connector that a sign means; a capital S stays, since it
// is the slide that strikes again.
func lower(b byte) byte {
	if b == 'H' || b == 'P' {
		return b | 0x20
	}
	return b
}

// looseConnector reads a connector that does not touch the number before it.
func (sc *rowScanner) looseConnector(b byte) {
	from := sc.i
	if l := sc.last(); l != nil && l.conn == 0 {
		sc.i++
		sc.fill()
		l.conn = lower(b)
		l.connAt = span{sc.base + from, sc.base + sc.i}
		return
	}
	if (b == 'h' || b == 'H') && sc.last() == nil && isDigit(sc.peek(1)) {
		sc.i++
		sc.note()
		l := sc.last()
		l.lead, l.hammered = sc.base+from, true
		return
	}
	sc.unknown()
}

// looseSlide reads a slide that touches neither number.
func (sc *rowScanner) looseSlide(b byte) {
	from := sc.i
	for sc.peek(0) == b || sc.peek(0) == signFill {
		sc.i++
	}
	if l := sc.last(); l != nil && l.conn == 0 && l.edgeOut == 0 {
		l.conn = b
		l.connAt = span{sc.base + from, sc.base + sc.i}
		return
	}
	sc.i = from
	sc.unknown()
}

func (sc *rowScanner) looseVibrato(b byte) {
	l := sc.last()
	if l == nil {
		sc.unknown()
		return
	}
	for sc.peek(0) == b || sc.peek(0) == signFill {
		sc.i++
	}
	if b == '~' || b == 'v' {
		l.vibrato = true
	} else {
		l.wide = true
	}
	if l.connAt.empty() {
		l.end = sc.base + sc.i
	}
}
