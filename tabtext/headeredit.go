package tabtext

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// headerEdits changes the lines that state what the music now says
// otherwise. It tells whether everything stated could be changed.
func (e *editor) headerEdits() bool {
	b := e.o.built
	type change struct {
		at   span
		text string
	}
	changes := map[int][]change{}
	ok := true
	edit := func(h header, text string) {
		if h.at.empty() {
			ok = false
			return
		}
		changes[h.line] = append(changes[h.line], change{h.at, text})
	}
	for i, p := range e.s.Parts {
		var was, is *score.TimeSignature
		for k, m := range p.Measures {
			if k >= len(e.o.built.sc.Parts[i].Measures) {
				break
			}
			was, is = metreOf(e.o.built.sc.Parts[i].Measures[k], was), metreOf(m, is)
			before := map[score.Handle]score.Event{}
			for _, ev := range e.o.built.sc.Parts[i].Measures[k].Events {
				if ev.Source() != 0 {
					before[ev.Source()] = ev
				}
			}
			for _, ev := range m.Events {
				old, found := before[ev.Source()]
				if !found || ev.Source() == 0 {
					continue
				}
				ref := b.nodes[ev.Source()-1]
				if ref.kind != nodeHeader && ref.kind != nodeMark {
					if _, isNeck := ev.(*score.NeckChange); !isNeck {
						continue
					}
				}
				if t, isTempo := ev.(*score.Tempo); isTempo {
					e.tempoEdit(ref, old, t, was, is, edit)
					continue
				}
				e.headerEdit(ref, old, ev, edit, &ok)
			}
		}
	}
	e.titleEdits(edit)
	for line, list := range changes {
		slices.SortFunc(list, func(a, b change) int { return b.at.from - a.at.from })
		c := b.lay.src.columns(line)
		text := c.slice(0, len(c.ch))
		prefix, offset := text, func(col int) int { return col }
		if c.off != nil {
			offset = func(col int) int { return int(c.off[col]) }
		}
		seen := map[span]bool{}
		for _, ch := range list {
			if seen[ch.at] {
				continue
			}
			seen[ch.at] = true
			prefix = prefix[:offset(ch.at.from)] + ch.text + prefix[offset(ch.at.to):]
		}
		e.setLine(line, prefix)
	}
	return ok
}

func (e *editor) headerEdit(ref nodeRef, old, ev score.Event, edit func(header, string), ok *bool) {
	b := e.o.built
	var h header
	if ref.kind == nodeHeader {
		h = b.lay.headers[ref.sign]
	}
	switch ev := ev.(type) {
	case *score.KeySignature:
		if o, is := old.(*score.KeySignature); is && o.Key != ev.Key {
			if ref.kind != nodeHeader {
				*ok = false
				return
			}
			edit(h, keyLike(h.text, ev))
		}
	case *score.TimeSignature:
		if o, is := old.(*score.TimeSignature); is && o.Metre() != ev.Metre() {
			edit(h, ev.Metre())
		}
	case *score.NeckChange:
		if o, is := old.(*score.NeckChange); is && !sameNeck(o.Neck, ev.Neck) {
			e.neckEdit(ref, o.Neck, ev.Neck, edit, ok)
		}
	}
}

func sameNeck(a, b fretboard.Neck) bool { return a.Equal(b) && a.Tuning.String() == b.Tuning.String() }

// neckEdit changes the lines that state tuning, capo and frets.
func (e *editor) neckEdit(ref nodeRef, old, neck fretboard.Neck, edit func(header, string), ok *bool) {
	b := e.o.built
	find := func(kind headerKind) (header, bool) {
		// The statement in force: the last before the first system of the neck.
		limit := len(b.lay.src.lines)
		for _, s := range b.lay.systems {
			if s.rows[0].line >= int(ref.line) {
				limit = s.rows[0].line
				break
			}
		}
		for i := len(b.lay.headers) - 1; i >= 0; i-- {
			if h := b.lay.headers[i]; h.kind == kind && h.bad == "" && h.line < limit {
				return h, true
			}
		}
		return header{}, false
	}
	if !old.Tuning.Sounds(neck.Tuning) {
		if h, found := find(headTuning); found && !h.prose {
			edit(h, neck.Tuning.String())
		} else {
			*ok = false
		}
	}
	if old.Capo != neck.Capo {
		if h, found := find(headCapo); found {
			edit(h, strconv.Itoa(neck.Capo))
		} else if e.o.opt.Capo == nil {
			*ok = false
		}
	}
	if old.Frets != neck.Frets {
		if h, found := find(headFrets); found {
			edit(h, strconv.Itoa(neck.Frets))
		}
	}
}

// titleEdits changes the lines of title, subtitle and composer.
func (e *editor) titleEdits(edit func(header, string)) {
	old := e.o.built.sc
	for _, t := range []struct {
		kind           headerKind
		name, old, new string
	}{{headTitle, "Title", old.Title, e.s.Title}, {headSubtitle, "Subtitle", old.Subtitle, e.s.Subtitle}, {headComposer, "Composer", old.Composer, e.s.Composer}} {
		if t.old == t.new {
			continue
		}
		found := false
		for _, h := range e.o.built.lay.headers {
			if h.kind == t.kind && h.text == t.old && !found {
				edit(h, oneLine(t.new))
				found = true
			}
		}
		if !found {
			e.top = append(e.top, t.name+": "+oneLine(t.new))
		}
	}
}

// keyLike writes a key in the way in which the text wrote the one before:
// "Am" becomes "Dm", "A minor" "D minor", "A" "D".
func keyLike(old string, k *score.KeySignature) string {
	tonic := k.Key.Tonic.String()
	i := 1
	for i < len(old) && (old[i] == '#' || old[i] == 'b' || old[i] >= 0x80) {
		i++
	}
	suffix := ""
	if len(old) > 0 && i <= len(old) {
		suffix = old[i:]
	}
	if got, _, err := theory.ParseKey(tonic + suffix); err == nil && got == k.Key {
		return tonic + suffix
	}
	return k.Key.String()
}
