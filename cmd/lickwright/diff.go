package main

import (
	"fmt"
	"strings"

	"github.com/sergi/go-diff/diffmatchpatch"
)

// maxDiffLines is how many different lines a comparison may have. The
// library numbers lines by characters and panics a little above a million.
const maxDiffLines = 500_000

// diffContext is how many unchanged lines are shown around a change.
const diffContext = 3

// A diffLine is a line of a comparison: op is ' ', '-' or '+'.
type diffLine struct {
	op   byte
	text string
}

// unifiedDiff compares two texts line by line and returns the changes in the
// unified format, "" if there are none. It fails if the texts have too many
// different lines.
func unifiedDiff(nameA, nameB, a, b string) (string, error) {
	if a == b {
		return "", nil
	}
	if n := distinctLines(a, b); n > maxDiffLines {
		return "", fmt.Errorf("%d different lines are too many to compare", n)
	}
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s\n", nameA, nameB)
	lines := compareLines(a, b)
	at, lineA, lineB := 0, 1, 1
	for _, h := range hunks(lines) {
		for ; at < h[0]; at++ {
			lineA, lineB = lineA+counts(lines[at], '-'), lineB+counts(lines[at], '+')
		}
		writeHunk(&out, lines[h[0]:h[1]], lineA, lineB)
	}
	return out.String(), nil
}

func distinctLines(texts ...string) int {
	seen := map[string]bool{}
	for _, t := range texts {
		for line := range strings.Lines(t) {
			seen[line] = true
		}
	}
	return len(seen)
}

// blockLines is how many lines are compared at a time when a text has been
// edited in place and so has as many lines as before. The search takes time
// with the square of the changes; block by block it stays linear.
const blockLines = 2000

// compareLines returns both texts in one, every line marked. The search has
// no time limit, so that the result does not depend on the machine's load.
func compareLines(a, b string) []diffLine {
	x, y := splitLines(a), splitLines(b)
	if len(x) != len(y) || len(x) <= blockLines {
		return compareBlock(strings.Join(x, ""), strings.Join(y, ""))
	}
	var lines []diffLine
	for i := 0; i < len(x); i += blockLines {
		end := min(i+blockLines, len(x))
		lines = append(lines, compareBlock(strings.Join(x[i:end], ""), strings.Join(y[i:end], ""))...)
	}
	return lines
}

func compareBlock(a, b string) []diffLine {
	dmp := diffmatchpatch.New()
	dmp.DiffTimeout = 0
	x, y, table := dmp.DiffLinesToChars(a, b)
	var lines []diffLine
	for _, d := range dmp.DiffCharsToLines(dmp.DiffMain(x, y, false), table) {
		op := byte(' ')
		switch d.Type {
		case diffmatchpatch.DiffDelete:
			op = '-'
		case diffmatchpatch.DiffInsert:
			op = '+'
		}
		for _, line := range splitLines(d.Text) {
			lines = append(lines, diffLine{op, line})
		}
	}
	return lines
}

func splitLines(s string) []string {
	var lines []string
	for line := range strings.Lines(s) {
		lines = append(lines, line)
	}
	return lines
}

// hunks returns the ranges of lines to show.
func hunks(lines []diffLine) [][2]int {
	var list [][2]int
	for i, l := range lines {
		if l.op == ' ' {
			continue
		}
		from, to := max(0, i-diffContext), min(len(lines), i+1+diffContext)
		if n := len(list); n > 0 && list[n-1][1] >= from {
			list[n-1][1] = to
		} else {
			list = append(list, [2]int{from, to})
		}
	}
	return list
}

// writeHunk writes some lines that begin at the given lines of both texts.
func writeHunk(out *strings.Builder, lines []diffLine, lineA, lineB int) {
	sizeA, sizeB := 0, 0
	for _, l := range lines {
		sizeA, sizeB = sizeA+counts(l, '-'), sizeB+counts(l, '+')
	}
	fmt.Fprintf(out, "@@ -%s +%s @@\n", hunkRange(lineA, sizeA), hunkRange(lineB, sizeB))
	for _, l := range lines {
		out.WriteByte(l.op)
		out.WriteString(l.text)
		if !strings.HasSuffix(l.text, "\n") {
			out.WriteString("\n\\ No newline at end of file\n")
		}
	}
}

// counts returns 1 if the line stands in the text that op is the mark of.
func counts(l diffLine, op byte) int {
	if l.op == ' ' || l.op == op {
		return 1
	}
	return 0
}

// hunkRange writes the start and size of a hunk; an empty one starts at the
// line before. Source: the unified format of POSIX diff -u.
func hunkRange(start, size int) string {
	if size == 0 {
		start--
	}
	if size == 1 {
		return fmt.Sprint(start)
	}
	return fmt.Sprintf("%d,%d", start, size)
}

// colored gives added and removed lines the usual colours of a terminal.
func colored(diff string) string {
	var out strings.Builder
	for line := range strings.Lines(diff) {
		text := strings.TrimSuffix(line, "\n")
		switch {
		case strings.HasPrefix(line, "+"):
			fmt.Fprintf(&out, "\x1b[32m%s\x1b[0m\n", text)
		case strings.HasPrefix(line, "-"):
			fmt.Fprintf(&out, "\x1b[31m%s\x1b[0m\n", text)
		default:
			out.WriteString(line)
		}
	}
	return out.String()
}
