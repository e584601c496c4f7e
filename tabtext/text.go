package tabtext

import (
	"bytes"
	"html"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// encoding is how a source is written in bytes.
type encoding int8

const (
	bytewise encoding = iota // UTF-8 or, line by line where that is broken, Windows-1252
	utf16le
	utf16be
)

// A source is the text as it came: its bytes and where its lines are. What
// is not edited is copied from data, so nothing that could not be decoded is
// lost.
type source struct {
	name  string
	data  []byte
	enc   encoding
	html  bool // entities are decoded and tags take no columns
	eol   string
	lines []line

	wideDash map[int]bool // lines whose long dashes are two columns
}

// A line is the bytes of a line in source.data: text up to end, the line end
// up to next.
type line struct{ start, end, next int }

// newSource finds encoding and lines.
func newSource(name string, data []byte) *source {
	s := &source{name: name, data: data, eol: "\n"}
	body := data
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		s.enc = utf16le
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		s.enc = utf16be
	case looksUTF16(data, 1):
		s.enc = utf16le
	case looksUTF16(data, 0):
		s.enc = utf16be
	}
	s.lines = make([]line, 0, 16+len(body)/64)
	if s.enc == bytewise {
		s.splitBytes()
	} else {
		s.splitUnits()
	}
	if n := len(s.lines); n > 0 {
		first := s.lines[0]
		if eol := s.decode(data[first.end:first.next]); eol != "" {
			s.eol = eol
		}
	}
	head := bytes.ToLower(data[:min(len(data), 1<<16)])
	s.html = s.enc == bytewise && (bytes.Contains(head, []byte("<pre")) || bytes.Contains(head, []byte("<html")))
	s.findLongDashes()
	return s
}

// looksUTF16 tells whether text without a byte order mark is UTF-16: the
// bytes at odd (or even) offsets are nearly all zero.
func looksUTF16(data []byte, zeroAt int) bool {
	n := min(len(data)&^1, 512)
	if n < 8 {
		return false
	}
	zeros := 0
	for i := 0; i < n; i += 2 {
		if data[i+zeroAt] == 0 && data[i+1-zeroAt] != 0 {
			zeros++
		}
	}
	return zeros*10 >= n/2*9
}

// splitBytes ends lines at LF, CR LF and lone CR.
func (s *source) splitBytes() {
	start := 0
	if bytes.HasPrefix(s.data, []byte("\xef\xbb\xbf")) {
		start = 3
	}
	for i := start; i < len(s.data); i++ {
		switch s.data[i] {
		case '\n':
			s.lines = append(s.lines, line{start, i, i + 1})
			start = i + 1
		case '\r':
			next := i + 1
			if next < len(s.data) && s.data[next] == '\n' {
				next++
			}
			s.lines = append(s.lines, line{start, i, next})
			i = next - 1
			start = next
		}
	}
	if start < len(s.data) {
		s.lines = append(s.lines, line{start, len(s.data), len(s.data)})
	}
}

func (s *source) unit(i int) uint16 {
	if s.enc == utf16le {
		return uint16(s.data[i]) | uint16(s.data[i+1])<<8
	}
	return uint16(s.data[i])<<8 | uint16(s.data[i+1])
}

func (s *source) splitUnits() {
	start, n := 0, len(s.data)&^1
	if n >= 2 && s.unit(0) == 0xfeff {
		start = 2
	}
	for i := start; i < n; i += 2 {
		switch s.unit(i) {
		case '\n':
			s.lines = append(s.lines, line{start, i, i + 2})
			start = i + 2
		case '\r':
			next := i + 2
			if next < n && s.unit(next) == '\n' {
				next += 2
			}
			s.lines = append(s.lines, line{start, i, next})
			i = next - 2
			start = next
		}
	}
	if start < len(s.data) {
		s.lines = append(s.lines, line{start, len(s.data), len(s.data)})
	}
}

// decode turns bytes of the source into a string.
func (s *source) decode(b []byte) string {
	if s.enc == bytewise {
		if utf8.Valid(b) {
			return string(b)
		}
		var out strings.Builder
		for _, c := range b {
			r := charmap.Windows1252.DecodeByte(c)
			if r == utf8.RuneError {
				r = rune(c)
			}
			out.WriteRune(r)
		}
		return out.String()
	}
	units := make([]uint16, 0, len(b)/2)
	for i := 0; i+1 < len(b); i += 2 {
		if s.enc == utf16le {
			units = append(units, uint16(b[i])|uint16(b[i+1])<<8)
		} else {
			units = append(units, uint16(b[i])<<8|uint16(b[i+1]))
		}
	}
	return string(utf16.Decode(units))
}

// text returns the decoded text of a line, without its end.
func (s *source) text(i int) string {
	l := s.lines[i]
	return s.decode(s.data[l.start:l.end])
}

// encode turns text into bytes for the place of a line: in the encoding of
// the source, and in Windows-1252 where that line was. Signs that the
// encoding lacks become "?"; only text that this package makes comes here,
// which is ASCII but for words out of the model.
func (s *source) encode(text string, at int) []byte {
	switch s.enc {
	case utf16le, utf16be:
		out := make([]byte, 0, 2*len(text))
		for _, u := range utf16.Encode([]rune(text)) {
			if s.enc == utf16le {
				out = append(out, byte(u), byte(u>>8))
			} else {
				out = append(out, byte(u>>8), byte(u))
			}
		}
		return out
	}
	if at < 0 || at >= len(s.lines) {
		return []byte(text)
	}
	l := s.lines[at]
	if utf8.Valid(s.data[l.start:l.end]) {
		return []byte(text)
	}
	out := make([]byte, 0, len(text))
	for _, r := range text {
		if b, ok := charmap.Windows1252.EncodeRune(r); ok {
			out = append(out, b)
		} else if r < 0x100 {
			out = append(out, byte(r))
		} else {
			out = append(out, '?')
		}
	}
	return out
}

// cells is one line as columns. The plain case, ASCII without tabs and
// entities, shares the bytes of the source.
type cells struct {
	ch   []byte  // one per column; foreign for what has no ASCII equal
	off  []int32 // offset in text of each column, and of the end; nil where they are equal
	text string  // what the offsets point into; "" in the plain case
	raw  int32   // how many bytes the line has in the source
}

// foreign stands for a character that tab rows give no meaning to.
const foreign = 0xff

const tabStop = 8

// columns lays a line out in columns: tabs reach to the next multiple of
// eight, typographic dashes and bars become plain ones, entities of HTML
// become what they mean, tags of HTML take no room.
func (s *source) columns(i int) cells {
	l := s.lines[i]
	raw := s.data[l.start:l.end]
	plain := s.enc == bytewise
	if line := letterForBar(raw); plain && line != 0 {
		return withBars(raw, line)
	}
	if plain {
		for _, c := range raw {
			if c >= 0x80 || c == '\t' || s.html && (c == '&' || c == '<') {
				plain = false
				break
			}
		}
	}
	if plain {
		return cells{ch: raw}
	}
	text := s.decode(raw)
	c := cells{text: text, raw: int32(len(raw)), ch: make([]byte, 0, len(text)), off: make([]int32, 0, len(text)+1)}
	for j := 0; j < len(text); {
		r, size := utf8.DecodeRuneInString(text[j:])
		at := int32(j)
		if s.html && r == '<' {
			if n := tagLen(text[j:]); n > 0 {
				j += n
				continue
			}
		}
		if s.html && r == '&' {
			if n := entityLen(text[j:]); n > 0 {
				if decoded := []rune(html.UnescapeString(text[j : j+n])); len(decoded) == 1 {
					r, size = decoded[0], n
				}
			}
		}
		j += size
		switch {
		case r == '\t':
			for {
				c.ch = append(c.ch, ' ')
				c.off = append(c.off, at)
				at = int32(j)
				if len(c.ch)%tabStop == 0 {
					break
				}
			}
		case zeroWidth(r):
		default:
			if r == '—' && s.wideDash[i] {
				c.ch = append(c.ch, '-')
				c.off = append(c.off, at)
				at = int32(j)
			}
			c.ch = append(c.ch, plainByte(r))
			c.off = append(c.off, at)
		}
	}
	c.off = append(c.off, int32(len(text)))
	return c
}

// slice returns the text of columns a to b as it stands in the source.
func (c *cells) slice(a, b int) string {
	if c.off == nil {
		return string(c.ch[a:b])
	}
	return c.text[c.off[a]:c.off[b]]
}

// show returns columns a to b with entities decoded, for reading words.
func (c *cells) show(a, b int, isHTML bool) string {
	a, b = min(a, len(c.ch)), min(b, len(c.ch))
	if isHTML && c.off != nil {
		return html.UnescapeString(stripTags(c.slice(a, b)))
	}
	return c.slice(a, b)
}

func stripTags(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		if s[i] == '<' {
			if n := tagLen(s[i:]); n > 0 {
				i += n
				continue
			}
		}
		b.WriteByte(s[i])
		i++
	}
	return b.String()
}

func zeroWidth(r rune) bool {
	return r == 0xfeff || r == 0x200b || r == 0x200c || r == 0x200d || 0x300 <= r && r <= 0x36f || 0xfe00 <= r && r <= 0xfe0f
}

// plainByte gives the ASCII sign that a typographic one stands for.
func plainByte(r rune) byte {
	switch r {
	case '‐', '‑', '‒', '–', '—', '―', '−', '─', '━', '┄', '┅', '┈', '┉', '╌', '╍', '═', '﹘', '﹣', '-', '­', '┼', '¯':
		return '-'
	case '│', '┃', '║', '┆', '┊', '├', '┤', '╎', '¦', '|', '╟', '╢', '┌', '┐', '└', '┘', '╠', '╣', '∣', 'ǀ':
		return '|'
	case '\u00a0', '\u2002', '\u2003', '\u2007', '\u2009', '\u202f':
		return ' '
	case '♯':
		return '#'
	case '♭':
		return 'b'
	case '×', '✕', '✗':
		return 'x'
	case '〈', '⟨', '‹':
		return '<'
	case '〉', '⟩', '›':
		return '>'
	case '∼', '～', '〜', '˜':
		return '~'
	case '’', '‘':
		return '\''
	}
	if r < 0x80 {
		return byte(r)
	}
	return foreign
}

// tagLen returns the length of an HTML tag or comment at the start of s, 0
// if there is none. A harmonic such as <12> is none.
func tagLen(s string) int {
	if len(s) < 3 {
		return 0
	}
	c := s[1]
	if c == '/' {
		c = s[2]
	}
	if c != '!' && (c|0x20 < 'a' || c|0x20 > 'z') {
		return 0
	}
	end := strings.IndexByte(s[:min(len(s), 2000)], '>')
	return end + 1
}

func entityLen(s string) int {
	end := strings.IndexByte(s[:min(len(s), 12)], ';')
	if end < 2 {
		return 0
	}
	return end + 1
}

// letterForBar tells which letter stands for the bar lines of a row, 0 for none: where a
// line of hyphens ends in I, l or ! and has it behind its label too, and no bar line.
func letterForBar(raw []byte) byte {
	if len(raw) < 8 {
		return 0
	}
	c := raw[len(raw)-1]
	if c != 'I' && c != 'l' && c != '!' {
		return 0
	}
	first := bytes.IndexByte(raw, c)
	if first > 4 || 2*bytes.Count(raw, []byte("-")) < len(raw) || bytes.IndexByte(raw, '|') >= 0 {
		return 0
	}
	for i := first; i < len(raw); i++ {
		if raw[i] == c && i+1 < len(raw) && raw[i+1] != '-' && !isDigit(raw[i+1]) {
			return 0
		}
	}
	return c
}

// withBars gives the columns of a row in which a letter stands for the bar lines. The
// letters stay in its text.
func withBars(raw []byte, line byte) cells {
	c := cells{ch: bytes.ReplaceAll(raw, []byte{line}, []byte("|")), text: string(raw), raw: int32(len(raw)), off: make([]int32, len(raw)+1)}
	for i := range c.off {
		c.off[i] = int32(i)
	}
	return c
}
