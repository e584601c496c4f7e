package degrees

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Apply gives a new document that holds the music of s, edited into the text
// that the document was read from: only bars and header lines that differ are
// written anew. The score must come from this document, as a clone or by
// transforms. A document that was itself applied starts again from the
// original text, so that nothing drifts.
//
// A text of degrees has no key: music that only moved to another one is the
// same text, as far as octave marks stay. It is read in its new key by the
// same options, but for the key. Strings and frets are written only for notes
// whose string was typed.
//
// What the text cannot hold is left out and goes to the Report of the options
// that it was read with. Apply fails, with [score.Diagnostics], if parts were
// added or removed or no key is left to count from.
func (d *Document) Apply(s *score.Score) (*Document, error) {
	o := d.origin
	if len(s.Parts) != len(o.score.Parts) {
		return nil, failure(o.src.name, "degrees-apply-parts", fmt.Sprintf("the music has %d parts, the text %d: parts cannot be added to a text or removed from it",
			len(s.Parts), len(o.score.Parts)), "write a new file")
	}
	w := &writing{strung: func(n *score.Note) bool { return o.strung[n.Src] && !n.Place.IsZero() }}
	for _, h := range o.heads {
		w.octaves = append(w.octaves, h.octaves)
	}
	w.plain = func(e *score.NeckChange) bool { return o.unsaid(e) }
	was, err := compose(o.score, w)
	if err != nil {
		return nil, err
	}
	var lost score.Diagnostics
	w.report = func(d score.Diagnostic) { lost = append(lost, d) }
	now, err := compose(s, w)
	if err != nil {
		return nil, err
	}
	data := o.edit(was, now, false)
	if !o.means(data, s, w, now) {
		if data = o.edit(was, now, true); !o.means(data, s, w, now) {
			return nil, failure(o.src.name, "degrees-apply", "the music cannot be edited into the text", "write it as a new file")
		}
	}
	if o.report != nil && !slices.EqualFunc(was, now, samePart) {
		lost.Sort()
		for _, l := range lost {
			if l.Code != "degrees-places" {
				o.report(l)
			}
		}
	}
	return &Document{origin: o, data: data, score: s.Clone()}, nil
}

// unsaid tells whether a neck is that of the options and not of the text.
func (o *origin) unsaid(e *score.NeckChange) bool {
	asked := fretboard.Neck{Tuning: fretboard.Standard(), Frets: o.opt.FretCount()}
	if o.opt.Tuning == nil && o.opt.Capo == nil {
		return false
	}
	if o.opt.Tuning != nil {
		asked.Tuning = *o.opt.Tuning
	}
	if o.opt.Capo != nil {
		asked.Capo = *o.opt.Capo
	}
	return e.Neck.Equal(asked)
}

func samePart(a, b *partText) bool {
	return slices.Equal(a.heads, b.heads) && slices.EqualFunc(a.bars, b.bars, sameBar) && sameLines(a.bars, b.bars)
}

func sameBar(a, b *barText) bool { return slices.Equal(a.tokens, b.tokens) && a.src == b.src }

func sameLines(a, b []*barText) bool {
	return slices.EqualFunc(a, b, func(a, b *barText) bool { return a.open == b.open && a.close == b.close })
}

// An edit replaces a range of the source.
type edit struct {
	start, end int
	text       string
}

// edit returns the text with what differs edited in; whole writes all music
// anew.
func (o *origin) edit(was, now []*partText, whole bool) []byte {
	var edits []edit
	for i := range now {
		edits = append(edits, o.headEdits(i, was[i], now[i])...)
		edits = append(edits, o.barEdits(i, was[i], now[i], whole)...)
	}
	slices.SortStableFunc(edits, func(a, b edit) int { return a.start - b.start })
	var b strings.Builder
	at := 0
	for _, e := range edits {
		b.Write(o.src.data[at:e.start])
		b.WriteString(e.text)
		at = e.end
	}
	b.Write(o.src.data[at:])
	return []byte(b.String())
}

// headEdits changes, adds and removes header lines.
func (o *origin) headEdits(part int, was, now *partText) (list []edit) {
	value := func(t *partText, name string) (string, bool) {
		for _, h := range t.heads {
			if h.name == name {
				return h.value, true
			}
		}
		return "", false
	}
	eol := o.src.eol()
	for rank, name := range headNames {
		before, had := value(was, name)
		after, has := value(now, name)
		if before == after && had == has {
			continue
		}
		// A new line goes behind those that come before it in order.
		at, behind := -1, -1
		for k, l := range o.src.lines {
			if l.part != part || l.kind != headLine {
				continue
			}
			if l.name == name {
				at = k
			}
			if i := slices.Index(headNames[:], l.name); i >= 0 && i < rank {
				behind = l.next
			}
		}
		switch {
		case at >= 0 && has:
			l := o.src.lines[at]
			list = append(list, edit{l.valueAt, l.end, after})
		case at >= 0:
			l := o.src.lines[at]
			list = append(list, edit{l.start, l.next, ""})
		case has && behind >= 0:
			list = append(list, edit{behind, behind, headText{name, after}.line() + eol})
		case has:
			start := len(o.src.data)
			for _, l := range o.src.lines {
				if l.part == part {
					start = l.start
					break
				}
			}
			list = append(list, edit{start, start, headText{name, after}.line() + eol})
		}
	}
	return list
}

// barEdits writes the bars anew that differ, or all music of the part if bars
// came, went or got other bar lines.
func (o *origin) barEdits(part int, was, now *partText, whole bool) (list []edit) {
	bars := o.bars[part]
	same := slices.EqualFunc(was.bars, now.bars, func(a, b *barText) bool { return a.src == b.src }) && sameLines(was.bars, now.bars)
	if !whole && same {
		carry := score.Quarters{} // what a bar that was written anew leaves to the next
		for i := range now.bars {
			b := bars[i]
			switch {
			case !sameBar(was.bars[i], now.bars[i]):
				list = append(list, edit{b.start, b.end, now.bars[i].text()})
				carry = now.bars[i].length
			case carry.Sign() > 0 && b.needs.Sign() > 0 && carry != b.needs:
				list = append(list, edit{b.start, b.start, writeLength(b.needs) + " "})
				carry = score.Quarters{}
			default:
				if b.needs.IsZero() {
					carry = score.Quarters{}
				}
			}
		}
		return list
	}
	start, end := -1, 0
	for _, l := range o.src.lines {
		if l.part == part && l.kind == bodyLine {
			if start < 0 {
				start = l.start
			}
			end = l.end
		}
	}
	return []edit{{start, end, strings.Join(lines(now.bars, 0), o.src.eol())}}
}

// means tells whether an edited text reads as the music that was to be
// written.
func (o *origin) means(data []byte, s *score.Score, w *writing, want []*partText) bool {
	again, err := read(data, o.src.name, o.optionsFor(s))
	if err != nil {
		return false
	}
	quiet := &writing{octaves: w.octaves, plain: w.plain, strung: func(n *score.Note) bool { return again.strung[n.Src] }}
	got, err := compose(again.score, quiet)
	if err != nil || len(got) != len(want) {
		return false
	}
	return slices.EqualFunc(got, want, func(a, b *partText) bool {
		return slices.Equal(a.heads, b.heads) && sameLines(a.bars, b.bars) &&
			slices.EqualFunc(a.bars, b.bars, func(a, b *barText) bool { return slices.Equal(a.tokens, b.tokens) })
	})
}

// optionsFor are the options with which the edited text means the music: in
// its key.
func (o *origin) optionsFor(s *score.Score) score.ReadOptions {
	opt := o.opt
	if k, ok := firstKey(s); ok {
		key := theory.Key{Tonic: k.Key.Tonic, Mode: k.Key.Mode}
		opt.TonicOnly = opt.TonicOnly || opt.Key == nil
		opt.Key = &key
	}
	if len(s.Parts) == 0 || len(s.Parts[0].Measures) == 0 {
		return opt
	}
	for _, e := range s.Parts[0].Measures[0].Events {
		if !e.At().IsZero() {
			continue
		}
		switch e := e.(type) {
		case *score.TimeSignature:
			if opt.Time != "" {
				opt.Time = e.Metre()
			}
		case *score.Tempo:
			if opt.Tempo != 0 {
				opt.Tempo = e.QuartersPerMinute
			}
		case *score.NeckChange:
			if opt.Tuning != nil {
				opt.Tuning = &e.Neck.Tuning
			}
			if opt.Capo != nil {
				opt.Capo = &e.Neck.Capo
			}
			if opt.Frets != 0 {
				opt.Frets = e.Neck.Frets
			}
		}
	}
	return opt
}
