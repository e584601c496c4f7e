package musicxml

import (
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// technicalMarks are the <technical> elements that say one thing and no more.
var technicalMarks = map[string]score.Mark{
	"up-bow": score.UpStroke, "down-bow": score.DownStroke, "open-string": score.OpenString,
	"thumb-position": score.ThumbOver, "double-tongue": score.DoubleTongue, "triple-tongue": score.TripleTongue,
	"stopped": score.Stopped, "snap-pizzicato": score.SnapPizzicato, "heel": score.Heel, "toe": score.Toe,
	"fingernails": score.Fingernails, "brass-bend": score.BrassBend, "flip": score.Flip, "smear": score.Smear,
	"open": score.OpenWind, "half-muted": score.HalfMuted, "golpe": score.Golpe,
}

// articulationMarks are the <articulations> elements that say one thing.
var articulationMarks = map[string]score.Mark{
	"accent": score.Accent, "strong-accent": score.StrongAccent, "staccato": score.Staccato, "tenuto": score.Tenuto,
	"detached-legato": score.DetachedLegato, "staccatissimo": score.Staccatissimo, "spiccato": score.Spiccato,
	"breath-mark": score.BreathMark, "caesura": score.Caesura, "stress": score.Stress, "unstress": score.Unstress,
	"soft-accent": score.SoftAccent,
}

// slideEdges are the articulations that slide from or to nowhere.
var slideEdges = map[string]score.SlideEdge{
	"scoop": {In: true, Below: true}, "plop": {In: true}, "doit": {}, "falloff": {Below: true},
}

// keptTechnical lists the children of <technical> and <articulations> that
// have no meaning for a fretted instrument, or none that the standard fixes.
// They are kept on the page as they are.
var keptTechnical = map[string]string{
	"hole":               "fingering of a wind instrument",
	"arrow":              "an arrow, of no fixed meaning",
	"handbell":           "handbell techniques",
	"harmon-mute":        "brass mutes",
	"other-technical":    "free text, but for the names that this package writes itself",
	"other-articulation": "free text",
}

// otherMarks are techniques of the model that the standard has no element
// for. They are written as <other-technical> with these words.
var otherMarks = map[string]score.Mark{
	"slap": score.Slap, "pop": score.Pop, "rake": score.Rake, "bar dip": score.BarDip, "bar dive": score.BarDive,
	"tremolo picking": score.TremoloPicking, "held": score.Held, "wide vibrato": score.WideVibrato, "tap left": score.TapLeft,
}

// notations reads the notations of a note; n is nil for a rest.
func (p *partReader) notations(e int32, c *score.Chord, n *score.Note) {
	for ns := p.x.first(e); ns != none; ns = p.x.next(ns) {
		if p.x.name(ns) != "notations" {
			continue
		}
		var stops, starts []spanMark
		for t := p.x.first(ns); t != none; t = p.x.next(t) {
			name := p.x.name(t)
			switch name {
			case "tied":
				p.tied(t, n)
			case "technical":
				for m := range p.x.children(t) {
					p.technical(m, c.Staff, n, &stops, &starts)
				}
				p.placeOf(t, n)
			case "articulations":
				for m := range p.x.children(t) {
					if n == nil {
						continue
					}
					if mark, ok := articulationMarks[p.x.name(m)]; ok {
						n.Techniques = append(n.Techniques, mark)
					} else if edge, ok := slideEdges[p.x.name(m)]; ok {
						n.Techniques = append(n.Techniques, edge)
					}
				}
			case "ornaments":
				for m := range p.x.children(t) {
					p.ornament(m, c, n, &stops, &starts)
				}
			case "slur", "glissando", "slide":
				p.spanMark(t, spanKinds[name], c.Staff, &stops, &starts)
			case "fermata":
				if n != nil {
					n.Techniques = append(n.Techniques, score.Fermata)
				}
			case "arpeggiate":
				if n != nil && p.x.attrOr(t, "direction") == "down" {
					n.Techniques = append(n.Techniques, score.ArpeggioDown)
				} else if n != nil {
					n.Techniques = append(n.Techniques, score.ArpeggioUp)
				}
			}
		}
		p.spansOf(c, n, stops, starts)
	}
}

var spanKinds = map[string]score.SpanKind{
	"hammer-on": score.HammerOn, "pull-off": score.PullOff, "slur": score.Slur,
	"glissando": score.Glissando, "slide": score.ShiftSlide, "wavy-line": score.VibratoSpan,
}

func spanName(k score.SpanKind) string {
	for name, kind := range spanKinds {
		if kind == k {
			return "<" + name + ">"
		}
	}
	return "a line"
}

// A spanMark is one end of a span as it stands in the document.
type spanMark struct {
	key  spanKey
	elem int32
}

func (p *partReader) spanMark(e int32, kind score.SpanKind, staff int, stops, starts *[]spanMark) {
	m := spanMark{spanKey{kind, p.x.attrOr(e, "number"), staff}, e}
	if m.key.number == "" {
		m.key.number = "1"
	}
	switch p.x.attrOr(e, "type") {
	case "start":
		*starts = append(*starts, m)
	case "stop":
		*stops = append(*stops, m)
	}
}

// An orphan is the end of a span that has not begun yet in the order of the
// document: the file has voice after voice, and the span may begin in a later
// one at an earlier time.
type orphan struct {
	mark  spanMark
	note  *score.Note
	onset score.Quarters
}

// adopt finds an orphan of the measure for a span that begins at a time.
func (p *partReader) adopt(m spanMark, onset score.Quarters) (orphan, bool) {
	for i, o := range p.orphans {
		if o.mark.key.kind == m.key.kind && o.mark.key.number == m.key.number && onset.Less(o.onset) {
			p.orphans = slices.Delete(p.orphans, i, i+1)
			return o, true
		}
	}
	return orphan{}, false
}

// reportOrphans ends a measure.
func (p *partReader) reportOrphans() {
	for _, o := range p.orphans {
		p.say(score.Info, "xml-span", o.mark.elem, "", "measure %s: %s ends here and did not begin", p.m.Number, spanName(o.mark.key.kind))
	}
	p.orphans = p.orphans[:0]
}

// spansOf ends and begins spans at a note: what ends here first, since one
// note may end a span and begin the next of the same number. Numbers tell
// spans apart in the order of the document, as the standard has it.
func (p *partReader) spansOf(c *score.Chord, n *score.Note, stops, starts []spanMark) {
	if n == nil {
		return
	}
	starts, stops = vibratoOf(n, starts, stops, p.spans)
	type closed struct {
		open openSpan
		span score.Span
	}
	var ended []closed
	for _, m := range stops {
		key, open, ok := p.openSpan(m.key)
		if !ok {
			p.orphans = append(p.orphans, orphan{m, n, c.Onset})
			continue
		}
		delete(p.spans, key)
		ended = append(ended, closed{open, score.Span{Kind: p.kindOf(open, m.key.kind), ID: open.id, End: score.Stop}})
	}
	for _, c := range ended {
		// The slur of a legato slide says that it is one, and no more.
		if c.span.Kind == score.Slur && slices.ContainsFunc(ended, func(o closed) bool {
			return o.span.Kind == score.LegatoSlide && o.open.note == c.open.note
		}) {
			c.open.note.Techniques = removeSpan(c.open.note.Techniques, c.open.id)
			continue
		}
		n.Techniques = append(n.Techniques, c.span)
	}
	slurred := false
	for _, m := range starts {
		slurred = slurred || m.key.kind == score.Slur
	}
	for _, m := range starts {
		if old, ok := p.spans[m.key]; ok {
			delete(p.spans, m.key)
			old.note.Techniques = removeSpan(old.note.Techniques, old.id)
			p.say(score.Info, "xml-span", old.elem, "", "%s begins here and does not end", spanName(m.key.kind))
		}
		p.nextSpan++
		kind := m.key.kind
		if kind == score.ShiftSlide && slurred {
			kind = score.LegatoSlide // the second note is not struck
		}
		n.Techniques = append(n.Techniques, score.Span{Kind: kind, ID: p.nextSpan, End: score.Start})
		if o, ok := p.adopt(m, c.Onset); ok {
			o.note.Techniques = append(o.note.Techniques, score.Span{Kind: kind, ID: p.nextSpan, End: score.Stop})
			continue
		}
		p.spans[m.key] = openSpan{p.nextSpan, n, m.elem}
	}
}

// openSpan finds an open span by its key, else one of that number that began
// on another staff.
func (p *partReader) openSpan(key spanKey) (spanKey, openSpan, bool) {
	if open, ok := p.spans[key]; ok {
		return key, open, true
	}
	for staff := 1; staff <= p.part.Staves; staff++ {
		key.staff = staff
		if open, ok := p.spans[key]; ok {
			return key, open, true
		}
	}
	return key, openSpan{}, false
}

// vibratoOf takes a wavy line that begins and ends at one note as a mark of
// that note.
func vibratoOf(n *score.Note, starts, stops []spanMark, open map[spanKey]openSpan) (_, _ []spanMark) {
	for i, a := range starts {
		for j, b := range stops {
			if _, isOpen := open[a.key]; a.key == b.key && a.key.kind == score.VibratoSpan && !isOpen {
				n.Techniques = append(n.Techniques, score.Vibrato)
				return slices.Delete(starts, i, i+1), slices.Delete(stops, j, j+1)
			}
		}
	}
	return starts, stops
}

// kindOf returns the kind that a span was begun with.
func (p *partReader) kindOf(open openSpan, kind score.SpanKind) score.SpanKind {
	for _, t := range open.note.Techniques {
		if s, ok := t.(score.Span); ok && s.ID == open.id {
			return s.Kind
		}
	}
	return kind
}

func (p *partReader) tied(e int32, n *score.Note) {
	if n == nil {
		return
	}
	switch p.x.attrOr(e, "type") {
	case "start":
		n.TieStart = true
	case "stop":
		n.TieStop = true
	case "let-ring":
		n.Techniques = append(n.Techniques, score.LetRing)
	}
}

// placeOf reads string and fret from a <technical>.
func (p *partReader) placeOf(e int32, n *score.Note) {
	s, f := p.x.child(e, "string"), p.x.child(e, "fret")
	if n == nil || s == none || f == none || strings.Trim(p.x.content(f), "0123456789") != "" || p.x.content(f) == "" {
		return
	}
	place(n, p.number(p.x.content(s)), p.number(p.x.content(f)))
}

// technical reads one child of <technical>.
func (p *partReader) technical(e int32, staff int, n *score.Note, stops, starts *[]spanMark) {
	if n == nil {
		return
	}
	add := func(t score.Technique) { n.Techniques = append(n.Techniques, t) }
	name := p.x.name(e)
	if mark, ok := technicalMarks[name]; ok {
		add(mark)
		return
	}
	switch name {
	case "hammer-on", "pull-off":
		p.spanMark(e, spanKinds[name], staff, stops, starts)
	case "fingering":
		if n.Finger == score.NoFinger {
			n.Finger = fingerOf(p.x.content(e))
		}
	case "pluck":
		if n.Pluck == "" {
			n.Pluck = p.x.content(e)
		}
	case "tap":
		if p.x.attrOr(e, "hand") == "left" {
			add(score.TapLeft)
		} else {
			add(score.Tap)
		}
	case "harmonic":
		add(p.harmonic(e))
	case "bend":
		p.bend(e, n)
	case "other-technical":
		if mark, ok := otherMarks[strings.ToLower(p.x.content(e))]; ok {
			add(mark)
		}
	}
}

// harmonic reads a harmonic; how far it sounds over its place is found out
// when the neck is known.
func (p *partReader) harmonic(e int32) score.Harmonic {
	h := score.Harmonic{Kind: score.NaturalHarmonic}
	for c := range p.x.children(e) {
		if p.x.name(c) == "artificial" {
			h.Kind = score.ArtificialHarmonic
		}
	}
	return h
}

// bend adds a <bend> to a note. A bend and its release stand as two elements
// one after the other; in the model they are one.
func (p *partReader) bend(e int32, n *score.Note) {
	amount, ok := score.ParseQuarters(p.x.childContent(e, "bend-alter"))
	if !ok {
		return
	}
	b := score.Bend{Amount: amount, PreBend: p.x.child(e, "pre-bend") != none, WithBar: p.x.child(e, "with-bar") != none}
	if p.x.child(e, "release") != none {
		for i, t := range n.Techniques {
			if up, isBend := t.(score.Bend); isBend && !up.Release {
				up.Release, up.ReleaseTo = true, releaseTo(up.Amount, amount)
				n.Techniques[i] = up
				return
			}
		}
		b.Release = true
		if b.Amount.Sign() < 0 {
			// A release alone that goes down: the note was held bent.
			b.Amount, b.PreBend = b.Amount.Neg(), true
		}
	}
	n.Techniques = append(n.Techniques, b)
}

// releaseTo returns where a release ends. The standard counts bend-alter of a
// release from the fretted pitch; files in the wild count it back from the
// bend, as a negative number, or repeat the amount.
func releaseTo(up, release score.Quarters) score.Quarters {
	switch {
	case release.Sign() < 0:
		return up.Add(release)
	case release == up:
		return score.Quarters{}
	}
	return release
}

func fingerOf(text string) score.Finger {
	switch strings.ToLower(text) {
	case "0":
		return score.FingerOpen
	case "1":
		return score.Index
	case "2":
		return score.Middle
	case "3":
		return score.Ring
	case "4":
		return score.Little
	case "t":
		return score.Thumb
	}
	return score.NoFinger
}

// ornament reads one child of <ornaments>.
func (p *partReader) ornament(e int32, c *score.Chord, n *score.Note, stops, starts *[]spanMark) {
	switch p.x.name(e) {
	case "trill-mark":
		if n != nil {
			n.Techniques = append(n.Techniques, score.Trill{})
		}
	case "tremolo":
		if t := p.x.attrOr(e, "type"); t == "" || t == "single" {
			c.Tremolo = min(max(p.number(p.x.content(e)), 0), 8)
		}
	case "wavy-line":
		p.spanMark(e, score.VibratoSpan, c.Staff, stops, starts)
	}
}
