package tabtext

import (
	"slices"
	"sort"
	"strings"
)

// instruments are the words with which a heading names who plays. Source:
// common practice.
var instruments = []string{"gtr", "gtrs", "guitar", "gt", "bass", "uke", "ukulele", "banjo", "mandolin", "lead", "rhythm", "acoustic", "electric"}

// partHeading tells a line that only names a player: "Gtr 1", "Guitar 2
// (lead):", "Bass", "Rhythm guitar".
func partHeading(line string) (name string, ok bool) {
	name = strings.TrimRight(strings.Trim(strings.TrimSpace(line), "[]*="), ": ")
	core := name
	if i := strings.IndexByte(core, '('); i > 0 && strings.HasSuffix(core, ")") {
		core = core[:i]
	}
	if len(core) > maxPartHeading || strings.Count(core, "-") > 2 { // a row of tab, or prose
		return "", false
	}
	words := strings.Fields(strings.ToLower(core))
	if len(words) == 0 || len(words) > 3 {
		return "", false
	}
	for i, w := range words {
		w = strings.TrimRight(w, ".")
		if slices.Contains(instruments, w) || i > 0 && len(w) <= 2 && strings.Trim(w, "0123456789") == "" {
			continue
		}
		return "", false
	}
	return oneLine(name), true
}

// maxPartHeading is the longest heading, in bytes, that names a player.
const maxPartHeading = 40

// partHeadings makes parts of such lines where at least two different ones
// stand each over a system of its own.
func (l *layout) partHeadings(isTab, isHeader []bool) {
	var found []header
	names := map[string]bool{}
	for i := range l.src.lines {
		if isTab[i] || isHeader[i] {
			continue
		}
		c := l.src.columns(i)
		name, ok := partHeading(c.show(skipQuote(c.ch), len(c.ch), l.src.html))
		if !ok {
			continue
		}
		next := l.systemAfter(i)
		if next == len(l.systems) || len(found) > 0 && !l.tabBetween(found[len(found)-1].line, i) {
			continue
		}
		names[name] = true
		found = append(found, header{kind: headPart, line: i, text: name, prose: true})
	}
	if len(names) < 2 {
		return
	}
	for _, h := range found {
		isHeader[h.line] = true
	}
	l.headers = append(l.headers, found...)
	slices.SortStableFunc(l.headers, func(a, b header) int { return a.line - b.line })
}

func (l *layout) tabBetween(from, to int) bool {
	next := l.systemAfter(from)
	return next < len(l.systems) && l.systems[next].rows[0].line < to
}

// systemAfter is the index of the first system that begins after a line.
func (l *layout) systemAfter(line int) int {
	return sort.Search(len(l.systems), func(i int) bool { return l.systems[i].rows[0].line > line })
}
