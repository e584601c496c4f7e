package diagram

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Text draws a diagram with characters, for a terminal. Brackets tell what a
// note is: {1} the root, [3] a chord tone, (2) any other note; a point is a note
// that the picture is not about, and < or > says that a finger reaches out.
func Text(d Diagram, o Options) string {
	t := textBoard{d: d, left: o.LeftHanded}
	t.inside, t.below = o.shows(d)
	t.cells = map[fretboard.Place]string{}
	width := 3
	for _, dot := range d.Dots {
		cell := t.cell(dot)
		t.cells[dot.Place] = cell
		width = max(width, utf8.RuneCountInString(cell))
	}
	t.cellWidth = width + 2
	if d.To-d.From > 12 && !o.Upright {
		t.cellWidth = width // so that a long neck fits on a terminal
	}
	var b strings.Builder
	if d.Title != "" || d.Subtitle != "" {
		line := d.Title
		if d.Subtitle != "" {
			line += nonEmptyJoin(d.Title) + d.Subtitle
		}
		if words := neckWords(d.Neck.Tuning, theory.NoteName.String); words != "" {
			line += ", " + words
		}
		if o.LeftHanded {
			line += ", " + leftHanded
		}
		b.WriteString(line + "\n")
	}
	if d.upright(o) {
		t.upright(&b)
	} else {
		t.level(&b)
	}
	seen := map[string][]string{}
	var labels []string
	for _, l := range d.Links {
		name := strings.TrimSuffix(l.kind(), ",")
		if seen[name] == nil {
			labels = append(labels, name)
		}
		seen[name] = append(seen[name], fmt.Sprintf("%d: %d-%d%s", l.From.String, l.From.Fret, l.To.Fret, l.times()))
	}
	for _, name := range labels {
		fmt.Fprintf(&b, "%s: %s\n", name, strings.Join(seen[name], "  "))
	}
	for _, m := range d.Moves {
		fmt.Fprintf(&b, "%s: fret %d to %d; by string", m.Label, m.From, m.To)
		for _, w := range m.Ways {
			fmt.Fprintf(&b, "  %d: %d-%d", w.String, w.From, w.To)
		}
		b.WriteByte('\n')
	}
	for _, n := range d.Notes {
		b.WriteString(n + "\n")
	}
	return b.String()
}

func nonEmptyJoin(s string) string {
	if s == "" {
		return ""
	}
	return ", "
}

type textBoard struct {
	d         Diagram
	left      bool
	inside    Label
	below     []Label
	cells     map[fretboard.Place]string
	cellWidth int
}

// cell writes a dot with plain signs.
func (t *textBoard) cell(dot Dot) string {
	if dot.Faint {
		return "."
	}
	text := dot.inside(t.inside)
	for _, l := range t.below {
		below := dot.label(l)
		if words, same := dot.saidEach(l); words != nil && !same { // as the order has them
			for i := range words {
				words[i] = cmp.Or(words[i], "-")
			}
			below = strings.Join(words, ",")
		}
		if below != "" {
			text += ":" + strings.ReplaceAll(below, ", ", ",")
		}
	}
	text = plainSigns(text)
	around := [...]string{Other: "()", ChordTone: "[]", Root: "{}"}[dot.Role]
	text = around[:1] + text + around[1:]
	switch back := dot.Back != t.left; {
	case dot.Reach > 0 && back:
		text = "<" + text
	case dot.Reach > 0:
		text += ">"
	}
	return text
}

// plainSigns writes signs of print as they are typed: "1½" is "1 1/2".
func plainSigns(s string) string {
	var b strings.Builder
	digit := false
	for _, r := range s {
		if digit && strings.ContainsRune("¼½¾", r) {
			b.WriteByte(' ')
		}
		digit = '0' <= r && r <= '9'
		b.WriteRune(r)
	}
	return strings.NewReplacer("♭", "b", "♯", "#", "×", "x", "↑", "^", "↓", "v", "–", "-", "°", "*", "¼", "1/4", "½", "1/2", "¾", "3/4").Replace(b.String())
}

// level draws the neck with string 1 on top.
func (t *textBoard) level(b *strings.Builder) {
	n := t.d.Neck.Tuning.Len()
	names := make([]string, n)
	nameWidth := 0
	for i := range names {
		names[i] = t.d.Neck.Tuning.StringName(i+1, theory.NoteName.String)
		nameWidth = max(nameWidth, len(names[i]))
	}
	first := max(t.d.From, 1)
	var numbers []string
	if t.d.From == 0 || len(t.d.Silent) > 0 {
		numbers = append(numbers, center("", t.cellWidth, ' '), " ")
	}
	numbers = append(numbers, " ")
	for f := first; f <= t.d.To; f++ {
		label := strconv.Itoa(f)
		if t.d.marks(f) {
			label = "<" + label + ">"
		}
		numbers = append(numbers, center(label, t.cellWidth, ' '), " ")
	}
	t.row(b, strings.Repeat(" ", nameWidth+1), numbers)
	for s := 1; s <= n; s++ {
		var parts []string
		if t.d.From == 0 || len(t.d.Silent) > 0 {
			open := t.cells[fretboard.Place{String: s}]
			if slices.Contains(t.d.Silent, s) {
				open = "x"
			}
			parts = append(parts, center(open, t.cellWidth, ' '))
			parts = append(parts, " ")
		}
		switch {
		case first == 1:
			parts = append(parts, "|")
		default:
			parts = append(parts, "-")
		}
		for f := first; f <= t.d.To; f++ {
			parts = append(parts, center(t.cells[fretboard.Place{String: s, Fret: f}], t.cellWidth, '-'), "|")
		}
		if first == 1 {
			parts[slices.Index(parts, "|")] = "H" // the nut
		}
		t.row(b, pad(names[s-1], nameWidth+1), parts)
	}
	t.spans(b, nameWidth+1, first)
}

// row writes the cells of a string; for a left-handed player the nut comes
// last.
func (t *textBoard) row(b *strings.Builder, name string, parts []string) {
	if !t.left {
		b.WriteString(strings.TrimRight(name+strings.Join(parts, ""), " ") + "\n")
		return
	}
	parts = slices.Clone(parts)
	slices.Reverse(parts)
	b.WriteString(strings.TrimRight(strings.Join(parts, "")+" "+name, " ") + "\n")
}

// spans writes a line for each position below the neck.
func (t *textBoard) spans(b *strings.Builder, nameWidth, first int) {
	before := 0
	if t.d.From == 0 || len(t.d.Silent) > 0 {
		before = t.cellWidth + 1
	}
	column := func(f int) int { // where the cell of a fret begins
		if f < first {
			return 0
		}
		return before + 1 + (f-first)*(t.cellWidth+1)
	}
	total := column(t.d.To) + t.cellWidth
	for _, s := range t.d.Spans {
		from, to := column(s.From), column(s.To)+t.cellWidth
		line := []rune(strings.Repeat(" ", total))
		if t.left {
			from, to = total-to, total-from
		}
		for i := from; i < to; i++ {
			line[i] = '='
		}
		name := " " + s.Name + " "
		if s.Index > 0 {
			name = fmt.Sprintf(" <%d>", s.Index) + name
		}
		at := min(max(from+(to-from-len(name))/2, 0), max(total-len(name), 0))
		for i, r := range name {
			if at+i < len(line) {
				line[at+i] = r
			}
		}
		prefix := strings.Repeat(" ", nameWidth)
		if t.left {
			prefix = ""
		}
		b.WriteString(strings.TrimRight(prefix+string(line), " ") + "\n")
	}
}

// upright draws the neck with the nut on top and the last string at the left,
// for a left-handed player at the right.
func (t *textBoard) upright(b *strings.Builder) {
	n := t.d.Neck.Tuning.Len()
	order := make([]int, n)
	for i := range order {
		order[i] = n - i
	}
	if t.left {
		slices.Reverse(order)
	}
	line := func(number string, cell func(s int) string, fill rune) {
		var row strings.Builder
		row.WriteString(fmt.Sprintf("%5s ", number))
		for _, s := range order {
			row.WriteString(center(cell(s), t.cellWidth, fill))
		}
		b.WriteString(strings.TrimRight(row.String(), " ") + "\n")
	}
	line("", func(s int) string { return t.d.Neck.Tuning.StringName(s, theory.NoteName.String) }, ' ')
	if t.d.From == 0 || len(t.d.Silent) > 0 {
		line("", func(s int) string {
			if slices.Contains(t.d.Silent, s) {
				return "x"
			}
			return t.cells[fretboard.Place{String: s}]
		}, ' ')
	}
	first := max(t.d.From, 1)
	if first == 1 {
		line("", func(int) string { return "=" }, '=')
	} else {
		line("", func(int) string { return "+" }, '-')
	}
	for f := first; f <= t.d.To; f++ {
		label := strconv.Itoa(f)
		if t.d.marks(f) {
			label = "<" + label + ">"
		}
		line(label, func(s int) string {
			if c := t.cells[fretboard.Place{String: s, Fret: f}]; c != "" {
				return c
			}
			return "|"
		}, ' ')
		line("", func(int) string { return "+" }, '-')
	}
	for _, s := range t.d.Spans {
		fmt.Fprintf(b, "%s: frets %d to %d\n", s.Name, s.From, s.To)
	}
}

func center(s string, width int, fill rune) string {
	n := width - utf8.RuneCountInString(s)
	left := n / 2
	return strings.Repeat(string(fill), max(left, 0)) + s + strings.Repeat(string(fill), max(n-left, 0))
}

func pad(s string, width int) string { return s + strings.Repeat(" ", max(width-len(s), 0)) }
