package musicxml

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"example.org/lickwright/score"
)

// A source is the XML document as it came: its bytes, and the same text as
// UTF-8, which the index and all edits are about. Positions count bytes of
// the UTF-8 text.
type source struct {
	name  string // for messages
	raw   []byte // as read
	text  []byte // UTF-8 without byte order mark
	bom   []byte // byte order mark that raw begins with, if any
	coder encoding.Encoding

	linesOnce sync.Once
	lines     lineTable
}

var (
	bomUTF8    = []byte{0xEF, 0xBB, 0xBF}
	bomUTF16LE = []byte{0xFF, 0xFE}
	bomUTF16BE = []byte{0xFE, 0xFF}
)

// newSource finds out the encoding by byte order mark, by the look of the
// first bytes, and by the XML declaration, in this order (XML 1.0, appendix
// F), and decodes.
func newSource(name string, raw []byte) (*source, error) {
	s := &source{name: name, raw: raw}
	utf16 := func(e unicode.Endianness) encoding.Encoding { return unicode.UTF16(e, unicode.IgnoreBOM) }
	switch {
	case bytes.HasPrefix(raw, bomUTF8):
		s.bom = bomUTF8
	case bytes.HasPrefix(raw, bomUTF16LE):
		s.bom, s.coder = bomUTF16LE, utf16(unicode.LittleEndian)
	case bytes.HasPrefix(raw, bomUTF16BE):
		s.bom, s.coder = bomUTF16BE, utf16(unicode.BigEndian)
	case bytes.HasPrefix(raw, []byte("<\x00")):
		s.coder = utf16(unicode.LittleEndian)
	case bytes.HasPrefix(raw, []byte("\x00<")):
		s.coder = utf16(unicode.BigEndian)
	default:
		// A declaration that can be read byte by byte is not in UTF-16,
		// whatever it says; programs copy it from elsewhere.
		declared := declaredEncoding(raw)
		label := strings.ToLower(declared)
		if label != "" && label != "utf-8" && label != "us-ascii" && !strings.HasPrefix(label, "utf-16") && !strings.HasPrefix(label, "ucs-2") {
			coder, err := htmlindex.Get(label)
			if err != nil {
				return nil, s.fail("xml-encoding", fmt.Sprintf("encoding %q is not known", declared), "save the file as UTF-8 and correct its first line")
			}
			s.coder = coder
		}
	}
	body := raw[len(s.bom):]
	if s.coder == nil {
		s.text = body
		return s, nil
	}
	text, err := s.coder.NewDecoder().Bytes(body)
	if err != nil {
		return nil, s.fail("xml-encoding", "the text does not fit its encoding", "save the file as UTF-8")
	}
	s.text = text
	return s, nil
}

// declaredEncoding returns the encoding that an XML declaration names.
func declaredEncoding(raw []byte) string {
	if !bytes.HasPrefix(raw, []byte("<?xml")) {
		return ""
	}
	end := bytes.Index(raw, []byte("?>"))
	if end < 0 {
		return ""
	}
	_, rest, found := bytes.Cut(raw[:end], []byte("encoding"))
	rest = bytes.TrimLeft(rest, " \t\r\n=")
	if !found || len(rest) < 2 {
		return ""
	}
	value, _, _ := bytes.Cut(rest[1:], rest[:1])
	return string(value)
}

// fail makes an error about the file as a whole.
func (s *source) fail(code, msg, hint string) error {
	return score.Diagnostics{{Severity: score.Error, Code: code, Pos: score.Pos{File: s.name}, Msg: msg, Hint: hint}}
}

// failAt makes an error about a place.
func (s *source) failAt(code string, err error) error {
	var se *syntaxError
	if !errors.As(err, &se) {
		return s.fail(code, err.Error(), "")
	}
	hint := se.hint
	if hint == "" {
		hint = "the file is damaged: export it again from the program that made it"
	}
	return score.Diagnostics{{Severity: score.Error, Code: code, Pos: s.pos(se.offset), Msg: se.msg, Hint: hint}}
}

// pos returns the position of an offset in the text.
func (s *source) pos(offset int) score.Pos {
	s.linesOnce.Do(func() { s.lines = newLineTable(s.text) })
	return s.lines.pos(s.name, offset)
}

// encode turns an edited text back into the source's encoding, with its byte
// order mark. Characters that the encoding lacks become character references.
func (s *source) encode(text []byte) ([]byte, error) {
	if s.coder == nil {
		if s.bom == nil {
			return text, nil
		}
		return append(bytes.Clone(s.bom), text...), nil
	}
	out, _, err := transform.Bytes(encoding.HTMLEscapeUnsupported(s.coder.NewEncoder()), text)
	if err != nil {
		return nil, s.fail("xml-encoding", "the edited text cannot be written in the encoding of the file: "+err.Error(), "save the file as UTF-8 first")
	}
	return append(bytes.Clone(s.bom), out...), nil
}

// readAll reads the whole input, which is bounded by maxSize.
func readAll(r io.Reader, name string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxSize+1))
	fail := func(msg, hint string) ([]byte, error) {
		return nil, score.Diagnostics{{Severity: score.Error, Code: "read", Pos: score.Pos{File: name}, Msg: msg, Hint: hint}}
	}
	switch {
	case err != nil:
		return fail("cannot be read: "+err.Error(), "")
	case len(data) > maxSize:
		return fail("the file is larger than 2 GiB", "")
	case len(bytes.TrimSpace(data)) == 0:
		return fail("the file is empty", "a MusicXML file begins with <?xml or <score-partwise")
	}
	return data, nil
}
