package degrees

import (
	"bytes"
	"sort"
	"strings"

	"example.org/lickwright/score"
)

// A source is a text and where its lines begin.
type source struct {
	name  string
	data  []byte
	lines []line
}

// A line is a line of the text without its end, from start to end; the next
// one begins at next.
type line struct {
	start, end, next int
	kind             lineKind
	name, value      string // of a header line
	valueAt          int
	part             int // the part that it belongs to
}

type lineKind int8

const (
	emptyLine lineKind = iota
	noteLine           // // a remark
	headLine           // Name: value
	bodyLine
)

func newSource(name string, data []byte) *source {
	s := &source{name: name, data: data}
	at := 0
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		at = 3
	}
	for at < len(data) {
		l := line{start: at, end: len(data), next: len(data)}
		if i := bytes.IndexAny(data[at:], "\r\n"); i >= 0 {
			l.end, l.next = at+i, at+i+1
			if data[l.end] == '\r' && l.next < len(data) && data[l.next] == '\n' {
				l.next++
			}
		}
		s.classify(&l)
		s.lines = append(s.lines, l)
		at = l.next
	}
	return s
}

func (s *source) text(l line) string { return string(s.data[l.start:l.end]) }

// classify tells what kind of line it is: header lines begin with a name of
// two letters or more, the first a capital, and a colon.
func (s *source) classify(l *line) {
	text := s.text(*l)
	trimmed := strings.TrimSpace(text)
	switch {
	case trimmed == "":
		return
	case strings.HasPrefix(trimmed, "//"):
		l.kind = noteLine
		return
	}
	l.kind = bodyLine
	name, value, found := strings.Cut(trimmed, ":")
	if !found || len(name) < 2 || name[0] < 'A' || name[0] > 'Z' || strings.Trim(strings.ToLower(name), "abcdefghijklmnopqrstuvwxyz -") != "" ||
		name[1] < 'a' && name[1] != ' ' && name[1] != '-' || strings.HasPrefix(value, "|") {
		return
	}
	l.kind = headLine
	l.name, l.value = name, strings.TrimSpace(value)
	l.valueAt = l.start + strings.Index(text, ":") + 1
	for l.valueAt < l.end && (s.data[l.valueAt] == ' ' || s.data[l.valueAt] == '\t') {
		l.valueAt++
	}
}

// pos returns the position of a byte offset.
func (s *source) pos(at int) score.Pos {
	i := sort.Search(len(s.lines), func(i int) bool { return s.lines[i].start > at }) - 1
	if i < 0 {
		return score.Pos{File: s.name, Line: 1, Col: 1}
	}
	return score.Pos{File: s.name, Offset: at, Line: i + 1, Col: at - s.lines[i].start + 1}
}

// eol is how lines of the text end.
func (s *source) eol() string {
	for _, l := range s.lines {
		if l.next > l.end {
			return string(s.data[l.end:l.next])
		}
	}
	return "\n"
}
