package score

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Pos is a place in a source text. Offset is the truth; Line and Col are
// for people, 1-based, Col in bytes. The zero Pos is unknown and prints "-".
type Pos struct {
	File   string
	Offset int // bytes from the start of the text, 0-based
	Line   int
	Col    int
}

// IsValid tells whether the position is known.
func (p Pos) IsValid() bool { return p.Line > 0 }

// String writes file:line:col, as much of it as is known, or "-".
func (p Pos) String() string {
	switch {
	case p.IsValid() && p.File != "":
		return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
	case p.IsValid():
		return fmt.Sprintf("%d:%d", p.Line, p.Col)
	case p.File != "":
		return p.File
	}
	return "-"
}

// Severity orders diagnostics.
type Severity int8

// Info tells what was assumed, Warning what may be wrong or was not carried
// over, NotDone what a transform could not do, Error what makes the result
// useless.
const (
	Info Severity = iota
	Warning
	NotDone
	Error
)

// String returns the severity in lower case: "info", "warning", "not done",
// "error".
func (s Severity) String() string { return [...]string{"info", "warning", "not done", "error"}[s] }

// A Diagnostic is one thing that a reader, transform or writer has to say
// about its input.
type Diagnostic struct {
	Severity Severity
	Code     string // stable, for programs and tests: "tab-rhythm-inferred"
	Pos, End Pos    // where; End may be unknown
	Msg      string // what is the case, one line, no full stop
	Hint     string // what to do next; may be empty
	// Result names which of several results it is about, a key or a position;
	// empty if there is one. Msg says it too.
	Result string
}

// Error writes "file:line:col: message".
func (d Diagnostic) Error() string {
	if !d.Pos.IsValid() && d.Pos.File == "" {
		return d.Msg
	}
	return d.Pos.String() + ": " + d.Msg
}

// Diagnostics is a list of them. As an error it prints one per line, ten at
// most.
type Diagnostics []Diagnostic

// Err returns the list as an error if it holds an [Error], else nil.
func (ds Diagnostics) Err() error {
	for _, d := range ds {
		if d.Severity == Error {
			return ds
		}
	}
	return nil
}

// Sort puts them in order of position, keeping the order of those at the same
// one; unknown positions come last.
func (ds Diagnostics) Sort() {
	slices.SortStableFunc(ds, func(a, b Diagnostic) int {
		if a.Pos.IsValid() != b.Pos.IsValid() {
			return sign(b.Pos.IsValid())
		}
		return cmp.Or(cmp.Compare(a.Pos.File, b.Pos.File), cmp.Compare(a.Pos.Offset, b.Pos.Offset))
	})
}

// Count returns how many have the severity.
func (ds Diagnostics) Count(s Severity) int {
	n := 0
	for _, d := range ds {
		if d.Severity == s {
			n++
		}
	}
	return n
}

const maxPrinted = 10

// Error writes the diagnostics one per line, ten at most and then how many
// more there are.
func (ds Diagnostics) Error() string {
	var b strings.Builder
	for i, d := range ds {
		if i == maxPrinted {
			fmt.Fprintf(&b, "\nand %d more", len(ds)-i)
			break
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(d.Error())
	}
	return b.String()
}
