package midi

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"example.org/lickwright/score"
)

// A bar is what the order of playing needs to know of a measure.
type bar struct {
	forward, backward bool
	times             int // of the backward repeat; 0 if not said
	ending            *ending
	segno, coda       mark   // it begins there
	toCoda            mark   // it ends with it
	fine              bool   // it ends with it
	jump              jump   // at its end
	to                string // the name of the segno that the jump leads to
}

// A mark is a sign that may have a name. Words give none.
type mark struct {
	on   bool
	name string
}

func (m *mark) set(name string) {
	if !m.on || m.name == "" {
		*m = mark{true, name}
	}
}

// An ending is a bracket over bars that are played at some passes only.
type ending struct {
	first, last int
	numbers     []int
}

// A jump is a D.C. or D.S.
type jump int8

const (
	stay jump = iota
	toBeginning
	toSegno
)

// maxBars is how many bars are played at most: more means repeats that lead
// back without end.
const maxBars = 200_000

// barsOf gathers what parts that have the same bars say about their order.
func barsOf(parts []*score.Part) []bar {
	bars := make([]bar, len(parts[0].Measures))
	for _, p := range parts {
		var open *ending
		for i, m := range p.Measures {
			b := &bars[i]
			b.route(m.Route)
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Barline:
					b.forward = b.forward || e.Repeat == score.Forward
					if e.Repeat == score.Backward {
						b.backward = true
						b.times = max(b.times, e.Times)
					}
					if e.EndingType == "start" && open == nil && b.ending == nil {
						open = &ending{first: i, last: i, numbers: endingNumbers(e.Ending)}
					}
				case *score.Words:
					if e.Kind == "words" || e.Kind == "rehearsal" {
						b.words(e.Text)
					}
				}
			}
			if open != nil {
				open.last = i
				b.ending = open
			}
			for _, e := range m.Events {
				if l, ok := e.(*score.Barline); ok && (l.EndingType == "stop" || l.EndingType == "discontinue") && !l.Onset.IsZero() {
					open = nil
				}
			}
		}
	}
	return bars
}

// endingNumbers reads "1", "1, 2", "1-3"; 1 if there is no number.
func endingNumbers(s string) []int {
	var out []int
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' || r == '.' }) {
		a, b, isRange := strings.Cut(f, "-")
		from, err := strconv.Atoi(a)
		if err != nil || from < 1 || from > 99 {
			continue
		}
		to := from
		if isRange {
			if n, err := strconv.Atoi(b); err == nil && n >= from && n <= 99 {
				to = n
			}
		}
		for n := from; n <= to; n++ {
			out = append(out, n)
		}
	}
	if out == nil {
		out = []int{1}
	}
	return out
}

// route takes what the file says for players of sound.
func (b *bar) route(r score.Route) {
	b.forward = b.forward || r.ForwardRepeat
	b.fine = b.fine || r.Fine
	for _, m := range []struct {
		to   *mark
		name string
	}{{&b.segno, r.Segno}, {&b.coda, r.Coda}, {&b.toCoda, r.ToCoda}} {
		if m.name != "" {
			m.to.set(m.name)
		}
	}
	switch {
	case r.DalSegno != "":
		b.jump, b.to = toSegno, r.DalSegno
	case r.DaCapo:
		b.jump = toBeginning
	}
}

// words takes the directions of where to go on.
func (b *bar) words(text string) {
	if strings.ContainsRune(text, '𝄋') {
		b.segno.set("")
	}
	letters := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
	switch {
	case letters == "fine":
		b.fine = true
	case letters == "segno":
		b.segno.set("")
	case letters == "coda" || letters == "" && strings.ContainsRune(text, '𝄌'):
		b.coda.set("")
	case letters == "tocoda" || letters == "to" && strings.ContainsRune(text, '𝄌'):
		b.toCoda.set("")
	default:
		for _, j := range []struct {
			text string
			to   jump
		}{{"dc", toBeginning}, {"dacapo", toBeginning}, {"ds", toSegno}, {"dalsegno", toSegno}} {
			switch strings.TrimPrefix(letters, j.text) {
			case "", "alfine", "alcoda", "alsegno", "senzarep", "senzarepetizione":
				if strings.HasPrefix(letters, j.text) && b.jump == stay {
					b.jump = j.to
				}
			}
		}
	}
}

// passes is how often a section is played whose last bar is i.
func passes(bars []bar, i int) int {
	n := max(2, bars[i].times)
	// The endings that follow each other belong together.
	for k := i; k >= 0 && bars[k].ending != nil; k = bars[k].ending.first - 1 {
		n = max(n, slices.Max(bars[k].ending.numbers))
	}
	for k := i + 1; k < len(bars) && bars[k].ending != nil && bars[i].ending != nil; k = bars[k].ending.last + 1 {
		n = max(n, slices.Max(bars[k].ending.numbers))
	}
	return n
}

// firstPass tells whether any of the endings that follow each other at a bar is
// for the first pass. Endings of which none is are played like other bars.
func firstPass(bars []bar, i int) bool {
	from := i
	for from > 0 && bars[from-1].ending != nil {
		from = bars[from-1].ending.first
	}
	for k := from; k < len(bars) && bars[k].ending != nil; k = bars[k].ending.last + 1 {
		if slices.Contains(bars[k].ending.numbers, 1) {
			return true
		}
	}
	return false
}

// segnoFor returns the bar that a jump at bar i leads back to: that of its
// name, else the last segno before it, else any, else the beginning.
func segnoFor(bars []bar, i int) int {
	to := -1
	for k, b := range bars {
		switch {
		case !b.segno.on:
		case b.segno.name == bars[i].to && b.segno.name != "":
			return k
		case to < 0 || k <= i:
			to = k
		}
	}
	return max(to, 0)
}

// codaFor returns the bar that is gone to from bar i: that of its name, else
// the next coda, else any; -1 if there is none.
func codaFor(bars []bar, i int) int {
	to := -1
	for k, b := range bars {
		switch {
		case !b.coda.on:
		case b.coda.name == bars[i].toCoda.name && b.coda.name != "":
			return k
		case to < 0 || to <= i && k > i:
			to = k
		}
	}
	return to
}

// order is the order in which bars are played. ok is false if they lead back
// without end. A D.C. or D.S. is followed the first time that it is reached,
// which is after the repeats that end with it, and a To Coda after such a jump;
// both at the end of their bar. Source: the documentation of <sound> in the
// schema of MusicXML 4.0.
func order(bars []bar) (out []int, ok bool) {
	start, pass, jumped := 0, 1, false
	taken, left := map[int]bool{}, map[int]bool{} // by bar: jumps are made once
	for i := 0; i < len(bars); {
		if len(out) == maxBars {
			return out, false
		}
		b := &bars[i]
		if b.forward && i != start {
			start, pass = i, 1
		}
		if e := b.ending; e != nil && i == e.first {
			now := pass
			if jumped {
				now = passes(bars, i)
			}
			if !slices.Contains(e.numbers, now) && (now > 1 || firstPass(bars, i)) {
				if i = e.last + 1; i >= len(bars) || bars[i].ending == nil {
					start, pass = i, 1
				}
				continue
			}
		}
		out = append(out, i)
		switch {
		case b.backward && !jumped && pass < passes(bars, i):
			pass++
			i = start
			continue
		case b.backward, b.ending != nil && i == b.ending.last && pass > 1:
			start, pass = i+1, 1
		}
		switch {
		case jumped && b.fine:
			return out, true
		case jumped && b.toCoda.on && !left[i] && codaFor(bars, i) >= 0:
			left[i] = true
			i = codaFor(bars, i)
			start, pass = i, 1
			continue
		case b.jump != stay && !taken[i]:
			jumped, taken[i] = true, true
			if b.jump == toSegno {
				i = segnoFor(bars, i)
			} else {
				i = 0
			}
			start, pass = i, 1
			continue
		}
		i++
	}
	return out, true
}
