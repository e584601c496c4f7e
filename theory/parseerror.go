package theory

import "fmt"

// A ParseError says what could not be read, where in the text, and what to
// write instead. Every parser of this package returns it.
type ParseError struct {
	What   string // what was being read: "interval", "key", …
	Input  string // the whole text
	Offset int    // byte offset in Input at which it went wrong, 0-based
	Msg    string // what is wrong
	Hint   string // what to do next; may be empty
}

// Error gives one line without the hint: "m5" is no interval: a fifth is
// perfect, never minor. Places are counted in characters from 1.
func (e *ParseError) Error() string {
	if e.Offset > 0 && e.Offset <= len(e.Input) {
		return fmt.Sprintf("%q is no %s: %s, at character %d", e.Input, e.What, e.Msg, len([]rune(e.Input[:e.Offset]))+1)
	}
	return fmt.Sprintf("%q is no %s: %s", e.Input, e.What, e.Msg)
}

func parseError(what, input string, offset int, msg, hint string) *ParseError {
	return &ParseError{What: what, Input: input, Offset: offset, Msg: msg, Hint: hint}
}
