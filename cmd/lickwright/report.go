package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"example.org/lickwright/score"
	"example.org/lickwright/transform"
)

// A collector gathers what readers, transforms and writers have to say. It is
// handed to them as their Report.
type collector struct {
	prefix string // said before each message: the key a result is in
	list   score.Diagnostics
}

func (c *collector) add(d score.Diagnostic) {
	d.Msg = c.prefix + d.Msg
	if c.prefix != "" {
		d.Result = strings.TrimSuffix(c.prefix, ": ")
	}
	c.list = append(c.list, d)
}

func (c *collector) addAll(ds score.Diagnostics) {
	for _, d := range ds {
		c.add(d)
	}
}

// tells tells whether something was said by one of the codes.
func (c *collector) tells(codes ...string) bool {
	return slices.ContainsFunc(c.list, func(d score.Diagnostic) bool { return slices.Contains(codes, d.Code) })
}

func (a *app) hint(s string) {
	if s != "" {
		fmt.Fprintf(a.errOut, "  hint: %s\n", s)
	}
}

// maxOfKind is how many diagnostics of one code are printed before the rest
// is only counted, by result: what is said of one position is not like what is
// said of another. What was not done is always named one by one, and so is
// what tells one version from the others.
const maxOfKind = 6

// counted tells whether what is said may be counted where much of its kind is.
func counted(d score.Diagnostic) bool {
	if d.Code == transform.CodeVaryTechnique && d.Result != "" {
		return false // it is of one of several variations
	}
	return d.Severity < score.NotDone && d.Code != transform.CodeVary
}

// printAll prints diagnostics, in the order in which they stand. sources
// holds the text of the files that they point into, by name. The step of a
// lesson says nothing that the lesson has said already.
func (a *app) printAll(ds score.Diagnostics, sources map[string][]byte) {
	if a.watch != nil {
		a.watch.unsaid(ds, a.errOut, func(to io.Writer, ds score.Diagnostics) {
			b := *a
			b.watch, b.errOut = nil, to
			b.printAll(ds, sources)
		})
		return
	}
	type kind struct{ code, result string }
	shown := map[string]int{}
	more := map[kind]int{}
	var hidden score.Diagnostics // the first of each kind that is not shown
	for _, d := range ds {
		if shown[d.Code]++; shown[d.Code] > maxOfKind && counted(d) {
			k := kind{d.Code, d.Result}
			if more[k]++; more[k] == 1 {
				hidden = append(hidden, d)
			}
			continue
		}
		word := ""
		switch d.Severity {
		case score.Info:
			word = "note: "
		case score.Warning:
			word = "warning: "
		case score.NotDone:
			word = "not done: "
		}
		if d.Pos.IsValid() || d.Pos.File != "" {
			word = d.Pos.String() + ": " + word
		}
		fmt.Fprintf(a.errOut, "%s%s\n", word, d.Msg)
		if a.errTTY {
			a.caret(d.Pos, sources[d.Pos.File])
		}
		a.hint(d.Hint)
	}
	for _, d := range hidden {
		fmt.Fprintf(a.errOut, "and %d more like this: %s\n", more[kind{d.Code, d.Result}], d.Msg)
	}
}

// caretWidth is how much of a long source line is shown.
const caretWidth = 100

// caret shows a line of the source and points at a column in it. Tabs before
// the column are kept, so that the caret stands right wherever they lead.
func (a *app) caret(p score.Pos, src []byte) {
	if !p.IsValid() || !utf8.Valid(src) {
		return
	}
	lines := bytes.SplitN(src, []byte("\n"), p.Line+1)
	if p.Line > len(lines) {
		return
	}
	line := strings.TrimRight(string(lines[p.Line-1]), "\r")
	col := p.Col - 1
	if col < 0 || col > len(line) {
		return
	}
	before, after := line[:col], line[col:]
	if r := []rune(before); len(r) > caretWidth/2 {
		before = "…" + string(r[len(r)-caretWidth/2:])
	}
	if r := []rune(after); len(r) > caretWidth/2 {
		after = string(r[:caretWidth/2]) + "…"
	}
	pad := strings.Map(func(r rune) rune {
		if r == '\t' {
			return r
		}
		return ' '
	}, before)
	fmt.Fprintf(a.errOut, "    %s%s\n    %s^\n", before, after, pad)
}
