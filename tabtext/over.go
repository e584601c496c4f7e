package tabtext

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// over puts marks, fingers and annotations of a chord into their rows.
func (c *composer) over(bar *composed, at int, h *happening, report func(score.Handle) lost) {
	for _, g := range h.graces {
		if s, k := signsOver(g.Notes, report(g.Src)); s != "" || k != "" {
			report(g.Src)("tab-lost-mark", "a mark over grace notes")
		}
		if slices.ContainsFunc(g.Notes, func(n *score.Note) bool { return n.Finger != score.NoFinger || n.Pluck != "" || len(n.Annotations) > 0 }) {
			report(g.Src)("tab-lost-label", "fingers and labels of grace notes")
		}
	}
	if len(h.notes) == 0 {
		return
	}
	if slices.ContainsFunc(h.notes, func(n *score.Note) bool { return c.tied[n] }) {
		for _, n := range h.notes {
			if n.Has(score.Ghost) {
				report(n.Src)("tab-lost-ghost", "a ghost note beside a held one")
			}
		}
	}
	notes := byString(h.notes)
	signs, stroke := signsOver(c.own.leftOver(notes), report(h.chord.Src))
	if signs != "" {
		bar.put(at, track{kind: namedLine, name: namedSigns}, piece{body: signs})
	}
	if stroke != "" {
		bar.put(at, track{kind: strokeLine}, piece{body: stroke})
	}
	list := func(name string, of func(*score.Note) string) {
		if text := labelList(notes, of); text != "" {
			bar.put(at, track{kind: namedLine, name: name}, piece{body: text})
		}
	}
	list(namedFingers, func(n *score.Note) string {
		if n.Finger == score.NoFinger {
			return ""
		}
		return fingerLetters[n.Finger : n.Finger+1]
	})
	list(namedPluck, func(n *score.Note) string { return labelText(n.Pluck) })
	for _, kind := range annotationKinds(notes) {
		list(kind, func(n *score.Note) string {
			for _, a := range n.Annotations {
				if a.Kind == kind {
					return labelText(a.Text)
				}
			}
			return ""
		})
	}
}

// byString gives the notes of a chord from the first string on.
func byString(notes []*score.Note) []*score.Note {
	out := slices.Clone(notes)
	slices.SortStableFunc(out, func(a, b *score.Note) int { return a.Place.String - b.Place.String })
	return out
}

// labelList joins what each note of a chord has with commas, a dot for
// nothing; "" if none has any.
func labelList(notes []*score.Note, of func(*score.Note) string) string {
	texts := make([]string, len(notes))
	any := false
	for i, n := range notes {
		texts[i] = of(n)
		any = any || texts[i] != ""
		if texts[i] == "" {
			texts[i] = "."
		}
	}
	if !any {
		return ""
	}
	return strings.Join(texts, ",")
}

// labelText makes a label that is one word in its row, where commas part the
// labels of a chord.
func labelText(s string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(columnText(s)), "_"), ",", "_")
}

// columnText makes text that takes a column for each sign.
func columnText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r != ' ' && (unicode.IsSpace(r) || unicode.IsControl(r)):
			return '_'
		case zeroWidth(r):
			return -1
		}
		return r
	}, norm.NFC.String(s))
}

func annotationKinds(notes []*score.Note) []string {
	var kinds []string
	for _, n := range notes {
		for _, a := range n.Annotations {
			if !slices.Contains(kinds, a.Kind) && isNamed(a.Kind) {
				kinds = append(kinds, a.Kind)
			}
		}
	}
	return kinds
}

// counts writes the row of counts (or of letters).
func (c *composer) counts(bar *composed, start score.Quarters, hs []happening) {
	if c.letters {
		c.letterRow(bar, hs)
		return
	}
	for i := range bar.points {
		p := &bar.points[i]
		if p.at == bar.length {
			continue
		}
		p.pieces[track{kind: countLine}] = piece{body: writeCount(start.Add(p.at), c.metre.unit, i == 0)}
	}
	for _, h := range hs {
		i := bar.pointAt(h.onset)
		if i < 0 || h.dur.IsZero() || h.onset == bar.length {
			continue
		}
		counted := bar.points[i].pieces[track{kind: countLine}]
		if len(h.notes) == 0 {
			counted.lead, counted.body = "(", counted.body+")"
		} else if slices.ContainsFunc(h.notes, func(n *score.Note) bool { return c.tied[n] }) {
			counted.lead = "~"
		}
		bar.points[i].pieces[track{kind: countLine}] = counted
	}
}

func (c *composer) letterRow(bar *composed, hs []happening) {
	for _, h := range hs {
		if h.dur.IsZero() {
			continue
		}
		dur := h.dur
		for _, t := range h.tuplets {
			dur = dur.Mul(score.Q(int64(t.Actual), int64(t.Normal)))
		}
		text, ok := writeLetters(dur)
		if !ok {
			continue // the reader of the result will see that the bar is not the same
		}
		p := piece{body: text}
		if len(h.notes) == 0 {
			p.lead, p.body = "(", text+")"
		} else if slices.ContainsFunc(h.notes, func(n *score.Note) bool { return c.tied[n] }) {
			p.lead = "~"
		}
		bar.points[bar.pointAt(h.onset)].pieces[track{kind: letterLine}] = p
	}
}

// tuplets makes the brackets of a bar.
func (c *composer) tuplets(bar *composed, hs []happening, report lost) {
	events := make([]tupled, 0, len(hs))
	for _, h := range hs {
		if !h.dur.IsZero() {
			events = append(events, tupled{h.dur, h.tuplets})
		}
	}
	untrue := untrueTuplets(events)
	if len(hs) == 1 && len(hs[0].notes) == 0 { // a rest for the whole bar has no bracket
		untrue = nil
	}
	for range untrue {
		report("tab-lost-tuplet", "the bracket of a tuplet that is not complete in its bar")
	}
	type open struct{ id, level, from, to int }
	var all []open
	text := map[int]string{}
	for _, h := range hs {
		if len(hs) == 1 && len(h.notes) == 0 { // a rest for the whole bar
			break
		}
		at := bar.pointAt(h.onset)
		if at < 0 {
			continue
		}
		for level, t := range h.tuplets {
			if untrue[t.ID] {
				continue
			}
			if in, before := c.tupletBar[t.ID]; before && in != c.index {
				report("tab-lost-tuplet", "that a tuplet goes on from the bar before")
			}
			c.tupletBar[t.ID] = c.index
			i := slices.IndexFunc(all, func(o open) bool { return o.id == t.ID })
			if i < 0 {
				all = append(all, open{t.ID, level, at, at})
				text[t.ID] = strconv.Itoa(t.Actual)
				if t.Normal != usualNormal(t.Actual) {
					text[t.ID] += ":" + strconv.Itoa(t.Normal)
				}
				continue
			}
			all[i].to = at
		}
	}
	for _, o := range all {
		bar.stretches = append(bar.stretches, stretch{kind: tupletLine, level: o.level, text: text[o.id], from: o.from, to: o.to})
	}
}

// extents makes the stretches of palm mutes and the like.
func (c *composer) extents(bar *composed, hs []happening, report func(score.Handle) lost) {
	open := map[score.SpanKind]int{} // index of the stretch of this bar
	for kind := range c.running {
		open[kind] = len(bar.stretches)
		bar.stretches = append(bar.stretches, stretch{kind: extentLine, span: kind, from: -1, to: -1, goesOn: true})
	}
	for _, h := range hs {
		at := bar.pointAt(h.onset)
		if at < 0 {
			continue
		}
		for _, n := range h.notes {
			for _, t := range n.Techniques {
				s, ok := t.(score.Span)
				if !ok || extentText(s.Kind) == "" {
					continue
				}
				if s.End == score.Start {
					if _, busy := c.running[s.Kind]; busy {
						report(n.Src)("tab-lost-span", "an extent inside of another of its kind")
						continue
					}
					c.running[s.Kind] = s.ID
					open[s.Kind] = len(bar.stretches)
					bar.stretches = append(bar.stretches, stretch{kind: extentLine, span: s.Kind, from: at, to: -1})
				} else if c.running[s.Kind] == s.ID {
					bar.stretches[open[s.Kind]].to = at
					delete(c.running, s.Kind)
				}
			}
		}
	}
}

func extentText(k score.SpanKind) string {
	switch k {
	case score.PalmMute:
		return "PM"
	case score.LetRingSpan:
		return "let ring"
	case score.VibratoSpan:
		return "vib"
	}
	return ""
}

func (c *composer) harmonies(m *score.Measure, bar *composed, report func(score.Handle) lost) {
	for _, e := range m.Events {
		h, ok := e.(*score.Harmony)
		if !ok {
			continue
		}
		text := h.Chord.String()
		back, err := theory.ParseChord(text)
		at := bar.pointAt(h.Onset)
		if err != nil || strings.ContainsAny(text, " \t") || back.String() != text || at < 0 {
			report(h.Src)("tab-lost-chord", "the chord symbol "+strconv.Quote(text))
			continue
		}
		if _, taken := bar.points[at].pieces[track{kind: chordLine}]; taken {
			report(h.Src)("tab-lost-chord", "a second chord symbol at one time: "+text)
			continue
		}
		bar.put(at, track{kind: chordLine}, piece{body: text})
	}
}
