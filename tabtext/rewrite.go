package tabtext

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// rewrite writes the systems anew whose music differs, or all systems, in the
// author's style as far as it can be told. All lines that are not theirs stay.
// least is how gently that may be done.
func (e *editor) rewrite(least anew) error {
	all := least == bare
	e.headerEdits()
	b := e.o.built
	for i, p := range e.s.Parts {
		if len(p.Measures) == 0 {
			return score.Diagnostics{{Severity: score.Error, Code: "tab-apply-empty", Pos: score.Pos{File: e.o.name}, Msg: "a part has no measures any more", Hint: "write a new file"}}
		}
		old := b.sc.Parts[i]
		labels := retuned(old, p)
		e.rewritePart(old, p, true, func(r run) anew {
			switch {
			case all:
				return bare
			case labels || !sameRun(old, p, r):
				return max(e.bad[r.sys], least)
			}
			return inItsPlace
		})
	}
	return nil
}

// retuned tells whether a part begins in another tuning, so that the labels of
// its rows change.
func retuned(old, p *score.Part) bool {
	a, _ := firstNeck(old)
	b, _ := firstNeck(p)
	return !a.Tuning.Sounds(b.Tuning)
}

// A run is the measures of a part that stand in one system, in the old music
// and in the new.
type run struct {
	sys      int
	old, new []int
}

// runs finds which measures belong to which system. Measures that were made
// stay with the one before them.
func (e *editor) runs(old, p *score.Part) []run {
	b := e.o.built
	var out []run
	find := func(sys int) *run {
		for i := range out {
			if out[i].sys == sys {
				return &out[i]
			}
		}
		out = append(out, run{sys: sys})
		return &out[len(out)-1]
	}
	sysOf := func(m *score.Measure) int {
		if m.Src == 0 || int(m.Src) > len(b.nodes) || b.nodes[m.Src-1].kind != nodeMeasure {
			return -1
		}
		return int(b.nodes[m.Src-1].sys)
	}
	for i, m := range old.Measures {
		r := find(sysOf(m))
		r.old = append(r.old, i)
	}
	at := out[0].sys
	for i, m := range p.Measures {
		if s := sysOf(m); s >= at && slices.ContainsFunc(out, func(r run) bool { return r.sys == s }) {
			at = s
		}
		r := find(at)
		r.new = append(r.new, i)
	}
	return out
}

// told tells that bars whose rhythm is no guess get counts though the system
// had none.
func (e *editor) rewritePart(old, p *score.Part, told bool, how func(run) anew) {
	b := e.o.built
	runs := e.runs(old, p)
	changed := map[int]bool{} // indices of new measures
	var todo []run
	letters := true
	for _, r := range runs {
		if how(r) == inItsPlace {
			continue
		}
		todo = append(todo, r)
		for _, k := range r.new {
			changed[k] = true
		}
		s := b.lay.systems[r.sys]
		letters = letters && s.rhythmRow(letterLine) != nil && s.rhythmRow(countLine) == nil
	}
	if len(todo) == 0 {
		return
	}
	neck, _ := firstNeck(p)
	c := &composer{part: p, neck: neck, metre: metre{length: score.Q(4, 1), unit: score.Q(1, 1)}, letters: letters, running: map[score.SpanKind]int{}}
	c.own = b.lay.ownSigns()
	c.stated = func(h score.Handle) bool {
		return h != 0 && int(h) <= len(b.nodes) && (b.nodes[h-1].kind == nodeHeader || b.nodes[h-1].kind == nodeAssumed)
	}
	var lost summary
	c.report = func(h score.Handle, where, code, what string) {
		if !changed[c.index] {
			return
		}
		lost.add(code, where, what, func() score.Pos { return e.o.Locate(h) })
	}
	c.compose()
	e.lost = append(e.lost, lost.diagnostics()...)
	c.index = -1
	first := true
	for _, r := range todo {
		s := b.lay.systems[r.sys]
		var lines []string
		if len(r.new) > 0 {
			if apart := s.wordsApart(); apart != "" {
				lines = append(lines, apart)
			}
			w := &partWriter{neck: neck, width: max(DefaultWidth, s.width+rewrittenSlack), style: styleOf(s, neck.Tuning, old)}
			if b.lay.src.enc == bytewise && !utf8.Valid(b.lay.src.data) {
				w.style.signs = nil // lines of the text are encoded each by itself
			}
			if how(r) < bare {
				e.remarks(c, old, p, r)
			}
			for _, k := range r.new {
				w.bars = append(w.bars, c.bars[k])
			}
			e.numbersLost(r.sys)
			if how(r) <= withCounts {
				e.oddSigns(c, old, p, r)
			} else {
				e.oddLost(r)
			}
			if how(r) == asItWas && s.rhythmRow(countLine) == nil && s.rhythmRow(letterLine) == nil {
				w.dropCounts(func(bar *composed) bool { return !told || bar.guessed })
			}
			for _, line := range b.lay.guessLines(r.sys) { // it is written anew where it holds
				e.setLine(line)
			}
			for k, sys := range w.systems() {
				if k > 0 {
					lines = append(lines, "")
				}
				for _, l := range sys {
					if b.lay.src.html && !strings.Contains(l, "&") {
						l = entities.Replace(l)
					}
					lines = append(lines, w.style.prefix+l)
				}
			}
			if how(r) == bare {
				lines = append(lines, s.remarksApart(w.style.prefix)...)
			}
		}
		if first && len(r.new) > 0 && r.new[0] == 0 {
			lines = append(e.newHeaders(old, p), lines...)
		}
		first = false
		e.setLine(s.first, lines...)
		for l := s.first + 1; l < s.last; l++ {
			e.setLine(l)
		}
	}
}

// entities are what stands in HTML for signs that it takes for its own.
var entities = strings.NewReplacer("<", "&lt;", ">", "&gt;")

// sameRun tells whether the music of a system is the same as far as tab can
// hold it.
func sameRun(old, p *score.Part, r run) bool {
	if len(r.old) != len(r.new) {
		return false
	}
	for i := range r.old {
		if !bytes.Equal(canonical(old.Measures[r.old[i]], &canonIDs{}), canonical(p.Measures[r.new[i]], &canonIDs{})) {
			return false
		}
	}
	return true
}

// styleOf finds how a system is written: labels, their distance, the order
// of the strings, a quoting prefix.
func styleOf(s *system, t fretboard.Tuning, old *score.Part) style {
	st := style{flipped: s.flipped}
	r0 := &s.rows[0]
	st.prefix = r0.cells.slice(0, min(r0.label.col, r0.start))
	before, _ := firstNeck(old)
	labels := make([]string, s.strings())
	if s.of != nil {
		for i := range s.of.rows {
			str := i
			if s.flipped {
				str = len(labels) - 1 - i
			}
			labels[str] = s.of.rows[i].label.text
		}
	}
	wide := 0
	for i := range s.rows {
		r := &s.rows[i]
		text := r.cells.slice(r.label.col, r.start)
		if r.label.text == "" {
			text = ""
		}
		if trimmed := strings.TrimRight(text, "\t "); strings.Contains(text, "\t") { // a tab is as wide as it was
			text = trimmed + strings.Repeat(" ", max(r.start-r.label.col-width(trimmed), 0))
		}
		labels[r.str-1] = text
		wide = max(wide, width(text))
	}
	for i := range labels {
		wide = max(wide, width(labels[i]))
	}
	if before.Tuning.Len() == t.Len() && before.Tuning.Sounds(t) {
		for i := range labels {
			labels[i] += strings.Repeat(" ", wide-width(labels[i]))
		}
		st.labels = labels
	}
	st.signs = typographic(r0)
	return st
}

// typographic gives the signs that a row has for hyphens and bar lines, where
// they are not the plain ones: dashes of print, lines of boxes.
func typographic(r *row) *strings.Replacer {
	var pairs []string
	for _, plain := range []byte{'-', '|'} {
		i := bytes.IndexByte(r.cells.ch[r.start:r.end], plain)
		if i < 0 {
			continue
		}
		if own := r.cells.slice(r.start+i, r.start+i+1); utf8.RuneCountInString(own) == 1 && own[0] >= utf8.RuneSelf {
			pairs = append(pairs, string(plain), own)
		}
	}
	if pairs == nil {
		return nil
	}
	return strings.NewReplacer(pairs...)
}

// newHeaders are lines that state what the music says at its beginning and
// the text said otherwise or not at all, and not in a line that was changed.
func (e *editor) newHeaders(old, p *score.Part) []string {
	b := e.o.built
	var out []string
	add := func(name, value string) { out = append(out, fmt.Sprintf("%s: %s", name, value)) }
	stated := func(kind headerKind) bool {
		for _, h := range b.lay.headers {
			if h.kind == kind && h.bad == "" && (!h.at.empty()) {
				return true
			}
		}
		return false
	}
	was := map[string]string{}
	describe := func(m *score.Measure, f func(name, value string, kind headerKind, option bool)) {
		for _, ev := range m.Events {
			if !ev.At().IsZero() {
				continue
			}
			switch ev := ev.(type) {
			case *score.KeySignature:
				f("Key", ev.Key.String(), headKey, e.o.opt.Key != nil)
			case *score.TimeSignature:
				f("Time", ev.Metre(), headTime, e.o.opt.Time != "")
			case *score.Tempo:
				f("Tempo", writeNamedTempo(ev.QuartersPerMinute, metreOf(m, nil)), headTempo, e.o.opt.Tempo != 0)
			case *score.NeckChange:
				f("Tuning", ev.Neck.Tuning.String(), headTuning, e.o.opt.Tuning != nil)
				f("Capo", strconv.Itoa(ev.Neck.Capo), headCapo, e.o.opt.Capo != nil)
				f("Frets", strconv.Itoa(ev.Neck.Frets), headFrets, true)
			}
		}
	}
	describe(old.Measures[0], func(name, value string, _ headerKind, _ bool) { was[name] = value })
	describe(p.Measures[0], func(name, value string, kind headerKind, option bool) {
		told := was[name] == value && !(kind == headTime && e.tellMetre && e.inferredMetre(p.Measures[0]))
		if !told && !stated(kind) && !option {
			add(name, value)
		}
	})
	if len(out) > 0 {
		out = append(out, "")
	}
	return out
}

// inferredMetre tells whether the metre of a first measure was inferred from the
// columns or counts of its part.
func (e *editor) inferredMetre(m *score.Measure) bool {
	ts := metreOf(m, nil)
	return ts != nil && ts.Src != 0 && e.o.built.nodes[ts.Src-1].kind == nodeAssumed
}

// numbersLost says which rows of numbers a system loses that is written anew: those
// of bars, and those of tuplets that had no effect. The others are brackets now.
func (e *editor) numbersLost(sys int) {
	b := e.o.built
	s := b.lay.systems[sys]
	for _, a := range slices.Concat(s.above, s.below) {
		used := func(w word) bool {
			return slices.ContainsFunc(b.music[sys], func(m *barMusic) bool { return m.from <= w.col && w.col < m.to && m.byNumbers != nil })
		}
		if a.kind != barNumberLine && (a.kind != numberLine || !slices.ContainsFunc(a.words, func(w word) bool { return !used(w) })) {
			continue
		}
		e.said = append(e.said, score.Diagnostic{Severity: score.Warning, Code: "tab-lost-numbers", Pos: b.lay.src.pos(a.line, a.words[0].col+s.rows[0].shift),
			Msg: "a row of numbers is left out, since the system under it is written anew with other columns", Hint: "write the numbers over the new bars"})
	}
}

// remarksApart gives the remarks under a system as lines of their own, apart from it, where
// they would else be read as sung.
func (s *system) remarksApart(prefix string) []string {
	var out []string
	for i := range s.below {
		if a := &s.below[i]; a.kind == lyricLine && !a.sung {
			out = append(out, prefix, a.cells.slice(0, len(a.cells.ch)))
		}
	}
	return out
}
