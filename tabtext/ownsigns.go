package tabtext

import (
	"bytes"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// The signs of a text are those of its own legend, so that what the legend says stays
// true of a system that is written anew.
type ownSigns struct {
	legend *legend
	sign   map[byte]string // what stands for a sign of this package, where the author's differs
	before map[byte]bool   // it stands before the number
}

// instead are other signs with the same meaning, for those that a legend gives another.
var instead = map[byte]string{'h': "H", 'p': "P", 'b': "^", '~': "v", 'x': "X", 't': "T+", 'w': "WV"}

// ownSigns finds the signs of the legend that stand on the rows, nil if there is no
// legend that differs from the usual reading.
func (l *layout) ownSigns() *ownSigns {
	if !l.legend.in {
		return nil
	}
	o := &ownSigns{legend: &l.legend, sign: map[byte]string{}, before: map[byte]bool{}}
	take := func(as byte, text string) {
		if as == 0 || o.sign[as] != "" {
			return
		}
		if before, used := l.used(text); used {
			o.sign[as], o.before[as] = text, before
		}
	}
	for _, s := range l.legend.long {
		if as := strings.TrimRight(s.as, string(rune(signFill))); len(as) == 1 {
			take(as[0], s.text)
		}
	}
	for c, as := range l.legend.as {
		take(as, string(rune(c)))
	}
	return o
}

// used tells whether a sign stands on a row, and whether before a number: where a
// number follows and none is before it.
func (l *layout) used(text string) (before, used bool) {
	s, row, at, used := l.place(text)
	if !used {
		return false, false
	}
	ch := s.rows[row].cells.ch
	end := at + len(text)
	after := at > 0 && (isDigit(ch[at-1]) || ch[at-1] == ')')
	return !after && end < len(ch) && isDigit(ch[end]), true
}

// place finds where a sign stands first on a row.
func (l *layout) place(text string) (s *system, row, at int, found bool) {
	for _, s := range l.systems {
		for i := range s.rows {
			r := &s.rows[i]
			if at := bytes.Index(r.cells.ch[r.start:r.end], []byte(text)); at >= 0 {
				return s, i, r.start + at, true
			}
		}
	}
	return nil, 0, 0, false
}

// usual gives the sign to write for one of this package: the author's, or one that the
// legend has not given another meaning; false if there is none.
func (o *ownSigns) usual(c byte) (string, bool) {
	if s := o.sign[c]; s != "" {
		return s, true
	}
	free := func(c byte) bool { return o.legend.as[c] == 0 }
	if free(c) {
		return string(rune(c)), true
	}
	for _, other := range []byte(instead[c]) {
		if free(other) {
			return string(rune(other)), true
		}
	}
	return "", false
}

// spell writes a drawn note in the author's signs.
func (o *ownSigns) spell(d drawn, n *score.Note, report lost) drawn {
	spelled := func(text string) string {
		var out strings.Builder
		for i := 0; i < len(text); i++ {
			c := text[i]
			if rest := text[i:]; strings.HasPrefix(rest, "tr") || strings.HasPrefix(rest, "TP") || strings.HasPrefix(rest, `\/`) {
				out.WriteString(rest[:2])
				i++
				continue
			}
			if isDigit(c) || strings.IndexByte("()<>[]", c) >= 0 {
				out.WriteByte(c)
				continue
			}
			s, ok := o.usual(c)
			if !ok && c == 's' && d.slide != 0 && o.legend.as[d.slide] == 0 { // a slide is / or \ too
				s, ok = string(rune(d.slide)), true
			}
			if !ok {
				report("tab-lost-sign", "a sign that the text's own legend gives another meaning ("+string(rune(c))+")")
			}
			out.WriteString(s)
		}
		return out.String()
	}
	d.lead, d.body = spelled(d.lead), spelled(d.body)
	if o.sign['s'] != "" {
		d.slide = 0
	}
	for _, h := range []struct {
		as        byte
		open, end string
	}{{signNatural, "<", ">"}, {signMade, "[", "]"}} {
		if s := o.sign[h.as]; s != "" && strings.Contains(d.lead, h.open) {
			if number, rest, found := strings.Cut(d.body, h.end); found {
				d.lead, d.body = strings.Replace(d.lead, h.open, "", 1), number+rest
				d.put(o, h.as)
			}
		}
	}
	if i := strings.IndexByte(d.body, '*'); i > 0 && o.sign[signPinch] != "" {
		d.body = d.body[:i] + d.body[i+1:]
		d.put(o, signPinch)
	}
	for _, as := range o.over(n) {
		d.put(o, as)
	}
	return d
}

// put sets a sign before the number or right behind it.
func (d *drawn) put(o *ownSigns, as byte) {
	if o.before[as] && as != signDown && as != signUp {
		d.lead = o.sign[as] + d.lead
		return
	}
	i := 0
	for i < len(d.body) && (isDigit(d.body[i]) || d.body[i] == 'x') {
		i++
	}
	d.body = d.body[:i] + o.sign[as] + d.body[i:]
}

// over gives the marks of a note, usually in a row over it, that the author writes
// beside the number.
func (o *ownSigns) over(n *score.Note) []byte {
	var out []byte
	for _, m := range []struct {
		mark score.Mark
		as   byte
	}{{score.DownStroke, signDown}, {score.UpStroke, signUp}, {score.Slap, signSlap}, {score.Pop, signPop}} {
		if o.sign[m.as] != "" && n.Has(m.mark) {
			out = append(out, m.as)
		}
	}
	return out
}

// leftOver gives the notes without the marks that stand beside their numbers.
func (o *ownSigns) leftOver(notes []*score.Note) []*score.Note {
	if o == nil {
		return notes
	}
	out := slices.Clone(notes)
	for i, n := range out {
		beside := o.over(n)
		if len(beside) == 0 {
			continue
		}
		c := *n
		c.Techniques = slices.DeleteFunc(slices.Clone(n.Techniques), func(t score.Technique) bool {
			as := map[score.Technique]byte{score.DownStroke: signDown, score.UpStroke: signUp, score.Slap: signSlap, score.Pop: signPop}[t]
			return as != 0 && slices.Contains(beside, as)
		})
		out[i] = &c
	}
	return out
}
