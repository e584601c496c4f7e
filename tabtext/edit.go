package tabtext

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/lickwright/score"
)

// An item is a note's signs on a row while a system is edited.
type item struct {
	row   int
	col   int    // logical column of the number
	lead  string // signs before it
	body  string // the number and the signs after it
	was   span   // columns that it had on its old row, [lead, end)
	from  int    // old row
	new   bool   // it differs from what stands in the text
	gone  bool
	tight bool // its last sign leads to the next number and may touch it
	pad   byte // '/' or '\\' if its slide touches the next number and grows to it
}

// A systemEdit is the changes to one system.
type systemEdit struct {
	sys     *system
	index   int
	items   map[*sign]*item
	words   map[wordAt]string // new text of words of attached lines
	lost    score.Diagnostics
	labels  map[string][]word // of the new music, by kind of annotation
	relabel map[string]bool   // kinds that differ from what stands in the text
}

type wordAt struct{ line, col int }

// inPlace edits the signs that differ where they stand, and writes anew the
// systems in which that cannot be done. It gives up, with false, where
// measures were added or removed.
func (e *editor) inPlace() bool {
	edits := map[int]*systemEdit{}
	bad := e.bad
	b := e.o.built
	edit := func(sys int32) *systemEdit {
		ed := edits[int(sys)]
		if ed == nil {
			ed = &systemEdit{sys: b.lay.systems[sys], index: int(sys), items: map[*sign]*item{}, words: map[wordAt]string{}}
			edits[int(sys)] = ed
		}
		return ed
	}
	for i, p := range b.sc.Parts {
		q := e.s.Parts[i]
		if p.Name != q.Name || len(p.Measures) != len(q.Measures) || retuned(p, q) {
			return false
		}
		c := &composer{part: q, own: b.lay.ownSigns()}
		c.neck, _ = firstNeck(q)
		followed := func() *composer {
			if c.next == nil {
				c.follow()
			}
			return c
		}
		for k, m := range p.Measures {
			n := q.Measures[k]
			if m.Src != n.Src {
				return false
			}
			if !e.measureInPlace(m, n, edit, followed) {
				bad[int(b.nodes[m.Src-1].sys)] = max(bad[int(b.nodes[m.Src-1].sys)], asItWas)
			}
		}
	}
	if !e.headerEdits() {
		return false
	}
	for sys, ed := range edits {
		if bad[sys] == inItsPlace && !e.editSystem(ed) {
			bad[sys] = asItWas
		}
		if bad[sys] == inItsPlace {
			e.said = append(e.said, ed.lost...)
		}
	}
	for i, p := range e.s.Parts {
		e.rewritePart(b.sc.Parts[i], p, false, func(r run) anew { return bad[r.sys] })
	}
	return true
}

// measureInPlace notes what differs in a measure. It returns false if that
// cannot be edited in its columns.
func (e *editor) measureInPlace(m, n *score.Measure, edit func(int32) *systemEdit, follow func() *composer) bool {
	if m.Length != n.Length || len(m.Events) != len(n.Events) {
		return false
	}
	for j, x := range m.Events {
		y := n.Events[j]
		if x.Source() != y.Source() || x.At() != y.At() {
			return false
		}
		switch x := x.(type) {
		case *score.Chord:
			if x.Src == 0 { // of a bar of %: it follows the bar before
				continue
			}
			if y, ok := y.(*score.Chord); !ok || !e.chordInPlace(x, y, edit, follow) {
				return false
			}
		case *score.Harmony:
			y, ok := y.(*score.Harmony)
			if !ok {
				return false
			}
			if x.Chord != y.Chord {
				ref := e.o.built.nodes[x.Src-1]
				edit(ref.sys).words[wordAt{int(ref.line), int(ref.col)}] = e.o.built.lay.chordText(ref, y.Chord)
			}
		case *score.Words:
			if y, ok := y.(*score.Words); !ok || x.Text != y.Text || x.Kind != y.Kind {
				return false
			}
		case *score.Barline:
			if y, ok := y.(*score.Barline); !ok || *x != *y {
				return false
			}
		case *score.KeySignature, *score.TimeSignature, *score.Tempo, *score.NeckChange:
			if k := e.o.built.nodes[x.Source()-1].kind; (k == nodeMark || k == nodeAdopted) && !sameEvent(x, y) {
				return false
			}
		}
	}
	return true
}

// sameEvent tells whether two events that stand in a row of marks are equal.
func sameEvent(x, y score.Event) bool {
	one := &score.Measure{Events: []score.Event{x}}
	two := &score.Measure{Events: []score.Event{y}}
	return string(canonical(one, &canonIDs{})) == string(canonical(two, &canonIDs{}))
}

// chordInPlace notes what differs in a chord. It returns false if that
// cannot be edited in its columns.
func (e *editor) chordInPlace(x, y *score.Chord, edit func(int32) *systemEdit, follow func() *composer) bool {
	b := e.o.built
	if x.Duration != y.Duration || x.Grace != y.Grace || !slices.Equal(x.Tuplets, y.Tuplets) {
		return false
	}
	if labels, were := labelsOf(y), labelsOf(x); labels != nil || were != nil {
		ref := b.nodes[x.Src-1]
		ed := edit(ref.sys)
		ed.compareLabels(were, labels)
		col := b.music[ref.sys][ref.bar].groups[ref.sign].col
		for kind, text := range labels {
			if strings.ContainsAny(text, " \t") || !isNamed(kind) {
				return false
			}
			if ed.labels == nil {
				ed.labels = map[string][]word{}
			}
			ed.labels[kind] = append(ed.labels[kind], word{col, text})
		}
	}
	old := make(map[score.Handle]*score.Note, len(x.Notes))
	for _, n := range x.Notes {
		old[n.Src] = n
	}
	same := len(x.Notes) == len(y.Notes)
	for i, n := range y.Notes {
		o := old[n.Src]
		if o == nil {
			return false
		}
		same = same && sameNote(x.Notes[i], n)
		delete(old, n.Src)
		if o.TieStart != n.TieStart || o.TieStop != n.TieStop || o.Finger != n.Finger || o.Pluck != n.Pluck {
			return false
		}
		if sameNote(o, n) {
			continue
		}
		ref := b.nodes[n.Src-1]
		ed := edit(ref.sys)
		sg := &b.music[ref.sys][ref.bar].signs[ref.sign]
		it := &item{row: sg.row, from: sg.row, col: sg.col, was: span{sg.lead, sg.end}, new: true, tight: sg.conn != 0}
		ed.items[sg] = it
		if n.Place.IsZero() {
			it.gone = true
			ed.lost = append(ed.lost, score.Diagnostic{Severity: score.Warning, Code: "tab-lost-note", Pos: e.o.Locate(n.Src),
				Msg: notShown("", "a note that has no place on the neck ("+n.Pitch.String()+")")})
			continue
		}
		it.row = ed.sys.rowOf(n.Place.String)
		if it.row < 0 || it.row >= len(ed.sys.rows) || !b.lay.plainRow(ed.sys, sg.row) {
			return false
		}
		if sameTechniques(o, n) {
			it.lead, it.body = b.lay.renumber(ed.sys, sg, n)
			if sg.conn == '/' || sg.conn == '\\' {
				it.pad = sg.conn
			}
			continue
		}
		if !sg.connAt.empty() && sg.connAt.to != sg.end { // its connector stands apart
			return false
		}
		c := follow()
		next := c.next[n]
		if !joined(n, next) {
			next = nil
		}
		quiet := func(string, string) {}
		d := c.inOwnSigns(drawNote(n, c.tied[n], next, c.next[n], quiet), n, quiet)
		if sg.grace {
			d.lead = "g" + d.lead
		}
		it.lead, it.body, it.tight = d.lead, d.body, d.conn
		if b.lay.src.html && strings.ContainsAny(it.lead+it.body, "<>&") { // written anew, with entities
			return false
		}
	}
	for src := range old { // a note that is no more
		ref := b.nodes[src-1]
		sg := &b.music[ref.sys][ref.bar].signs[ref.sign]
		edit(ref.sys).items[sg] = &item{row: sg.row, from: sg.row, col: sg.col, was: span{sg.lead, sg.end}, new: true, gone: true}
	}
	return true
}

// labelsOf gives the annotations of a chord as their rows write them, by
// kind; nil if there are none.
func labelsOf(c *score.Chord) map[string]string {
	var out map[string]string
	notes := byString(c.Notes)
	for _, kind := range annotationKinds(notes) {
		if out == nil {
			out = map[string]string{}
		}
		out[kind] = labelList(notes, func(n *score.Note) string {
			for _, a := range n.Annotations {
				if a.Kind == kind {
					return labelText(a.Text)
				}
			}
			return ""
		})
	}
	return out
}

// sameNote tells whether two notes look the same in tab.
func sameNote(a, b *score.Note) bool {
	return (a.Place == b.Place || a.Has(score.Dead) && b.Has(score.Dead) && a.Place.String == b.Place.String) && sameTechniques(a, b)
}

func sameTechniques(a, b *score.Note) bool {
	if len(a.Techniques) != len(b.Techniques) {
		return false
	}
	for i, t := range a.Techniques {
		u := b.Techniques[i]
		if h, ok := t.(score.Harmonic); ok { // where it is touched is a number
			g, ok := u.(score.Harmonic)
			if ok && h.Kind == g.Kind && h.Over == g.Over && (h.Touch == 0) == (g.Touch == 0) {
				continue
			}
		}
		if t != u {
			return false
		}
	}
	return true
}

// plainRow tells whether a row's columns can be edited: always, at present,
// but for rows whose text hides markup between the columns of its signs.
func (l *layout) plainRow(s *system, row int) bool {
	return !l.src.html || s.rows[row].cells.off == nil || !strings.ContainsAny(s.rows[row].cells.text, "<&")
}

// renumber gives the text of a sign with the numbers of another place.
func (l *layout) renumber(s *system, sg *sign, n *score.Note) (lead, body string) {
	r := &s.rows[sg.row]
	text := func(a, b int) string { return r.cells.slice(a+r.shift, b+r.shift) }
	type number struct {
		at span
		to int
	}
	var numbers []number
	if !sg.dead {
		numbers = append(numbers, number{sg.fretSpan, n.Place.Fret})
	}
	move := n.Place.Fret - sg.fret
	if sg.bend != nil && !sg.bend.target.empty() {
		if bend, ok := n.Bend(); ok && bend.Amount.Den() == 1 {
			numbers = append(numbers, number{sg.bend.target, n.Place.Fret + int(bend.Amount.Num())})
		}
	}
	if sg.bend != nil && !sg.bend.relAt.empty() {
		numbers = append(numbers, number{sg.bend.relAt, sg.bend.relTo + move})
	}
	if sg.trillTo != nil {
		numbers = append(numbers, number{sg.trillTo.at, sg.trillTo.fret + move})
	}
	if sg.touch != nil {
		if h, ok := n.Harmonic(); ok {
			numbers = append(numbers, number{sg.touch.at, h.Touch})
		}
	}
	slices.SortFunc(numbers, func(a, b number) int { return a.at.from - b.at.from })
	lead = text(sg.lead, sg.col)
	at := sg.col
	for _, k := range numbers {
		body += text(at, k.at.from) + strconv.Itoa(max(k.to, 0))
		at = k.at.to
	}
	return lead, body + text(at, sg.end)
}

// editSystem redraws a system with its changes. It returns false if they do
// not fit.
func (e *editor) editSystem(ed *systemEdit) bool {
	s := ed.sys
	if s.rows[0].tail.line > 0 && len(ed.items)+len(ed.words) > 0 { // columns on two lines: it is written anew, unbroken
		return false
	}
	byRow := make([][]*item, len(s.rows))
	music := e.o.built.music[ed.index]
	for _, m := range music {
		for i := range m.signs {
			sg := &m.signs[i]
			it := ed.items[sg]
			if it == nil {
				r := &s.rows[sg.row]
				it = &item{row: sg.row, from: sg.row, col: sg.col, was: span{sg.lead, sg.end}, tight: sg.conn != 0}
				it.lead = r.cells.slice(sg.lead+r.shift, sg.col+r.shift)
				it.body = r.cells.slice(sg.col+r.shift, sg.end+r.shift)
				if sg.conn == '/' || sg.conn == '\\' {
					it.pad = sg.conn
				}
			}
			if !it.gone {
				byRow[it.row] = append(byRow[it.row], it)
			}
		}
	}
	needs, ok := e.needs(ed, byRow, music)
	if !ok {
		return false
	}
	ins, ok := solve(music, needs)
	if !ok {
		return false
	}
	return e.redraw(ed, byRow, ins)
}

// A need is a shortage of columns between two of them; those for it go in
// before the column at.
// soft ones may go unmet: the word after is pushed on.
type need struct {
	from, to, at, short int
	soft                bool
}

// needs finds where new signs have too little room.
func (e *editor) needs(ed *systemEdit, byRow [][]*item, music []*barMusic) ([]need, bool) {
	var out []need
	for r, items := range byRow {
		slices.SortFunc(items, func(a, b *item) int { return a.col - b.col })
		row := &ed.sys.rows[r]
		for i, it := range items {
			m := barOf(music, it.col)
			if m == nil {
				return nil, false
			}
			if i == 0 || barOf(music, items[i-1].col) != m {
				if it.new && it.col-width(it.lead) < m.from {
					return nil, false
				}
			}
			end := it.col + width(it.body)
			limit, gap, until := m.to, 0, m.to
			if i+1 < len(items) && items[i+1].col < m.to {
				next := items[i+1]
				limit, until = next.col-width(next.lead), next.col
				gap = 1
				touched := it.was.to >= next.was.from
				if it.tight || touched && (!next.new || parted(it.body, next.lead+next.body)) {
					gap = 0
				}
				if !it.new && !next.new {
					continue
				}
			} else if !it.new {
				continue
			}
			if short := end + gap - limit; short > 0 {
				out = append(out, need{it.col, until, limit, short, false})
			}
			// What is overwritten must be the string itself.
			for c := it.col - width(it.lead); c < min(end, limit); c++ {
				if b := row.at(c); b != '-' && b != ' ' && b != '_' && b != '=' && !coveredBy(ed, r, c, byRow, music) {
					return nil, false
				}
			}
		}
	}
	for _, a := range slices.Concat(ed.sys.above, ed.sys.below) {
		for i, w := range a.words {
			text, changed := ed.words[wordAt{a.line, w.col + ed.sys.rows[0].shift}]
			if !changed {
				continue
			}
			// Words among chord symbols that are none give way.
			room, next := width(text)+1, i+1
			for ; next < len(a.words) && !a.bound(next); next++ {
				room += width(a.words[next].text) + 1
			}
			if next == len(a.words) {
				continue
			}
			if to := a.words[next].col; w.col+room > to {
				out = append(out, need{w.col, to, to, w.col + room - to, a.kind == chordLine})
			}
		}
	}
	return out, true
}

// coveredBy tells whether a column of a row is taken by a sign that is drawn
// anew or stays as it is.
func coveredBy(ed *systemEdit, row, col int, byRow [][]*item, music []*barMusic) bool {
	m := barOf(music, col)
	if m == nil {
		return false
	}
	for i := range m.signs {
		if sg := &m.signs[i]; sg.row == row && sg.lead <= col && col < sg.end {
			return true
		}
	}
	return false
}

func barOf(music []*barMusic, col int) *barMusic {
	i, _ := slices.BinarySearchFunc(music, col, func(m *barMusic, c int) int {
		switch {
		case m.to <= c:
			return -1
		case m.from > c:
			return 1
		}
		return 0
	})
	if i < len(music) && music[i].from <= col && col < music[i].to {
		return music[i]
	}
	return nil
}

// parted tells whether two signs that touch are still read as two.
func parted(a, b string) bool {
	return a != "" && b != "" && (a[len(a)-1] == 'x' || a[len(a)-1] == ')') && (b[0] == '(' || isDigit(b[0])) && (b[0] == '(' || a[len(a)-1] == ')')
}

// width is how many columns a text takes.
func width(s string) int { return utf8.RuneCountInString(s) }
