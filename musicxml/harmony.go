package musicxml

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// chordSymbol reads the chord of a <harmony>. The quality is what the page
// shows (the text attribute of kind) where that means what kind and degrees
// say; else it is made from them. It is not ok where there is no root.
func (p *partReader) chordSymbol(e int32) (c theory.Chord, ok bool) {
	kind := p.x.child(e, "kind")
	var value, text string
	if kind != none {
		value, text = p.x.content(kind), p.x.attrOr(kind, "text")
	}
	root := p.x.child(e, "root")
	if value == "none" {
		c = theory.Chord{NoChord: true, Quality: text}
		if text == "" {
			c.Quality = "N.C."
		}
		return c, true
	}
	if root == none {
		return c, false
	}
	if c.Root, ok = p.noteName(root, "root-step", "root-alter"); !ok {
		return c, false
	}
	if bass := p.x.child(e, "bass"); bass != none {
		c.Bass, c.HasBass = p.noteName(bass, "bass-step", "bass-alter")
	}
	var bass *theory.NoteName
	if c.HasBass {
		bass = &c.Bass
	}
	degrees := p.degrees(e)
	if n := p.number(p.x.childContent(e, "inversion")); n > 0 && !c.HasBass {
		// The page names no bass; the inversion does.
		if upright, ok := theory.ChordOfKind(c.Root, value, degrees, nil); ok {
			if inverted, ok := upright.Invert(n); ok {
				c.Bass, c.HasBass = inverted.Bass, true
				bass = &c.Bass
			}
		}
	}
	meant, known := theory.ChordOfKind(c.Root, value, degrees, bass)
	shown := c
	shown.Quality = text
	switch {
	case known && text != "" && shown.Same(meant):
		return shown, true
	case known:
		return meant, true
	case text != "":
		return shown, true
	}
	c.Quality = value
	if len(degrees) == 0 && value == "" {
		return c, true
	}
	p.say(score.Warning, "xml-chord-kind", e, "", "measure %s: chord kind %q is not one of the standard's; kept as it is", p.m.Number, value)
	return c, true
}

// degrees reads the <degree> elements of a <harmony>.
func (p *partReader) degrees(e int32) []theory.KindDegree {
	var out []theory.KindDegree
	for d := range p.x.children(e) {
		if p.x.name(d) != "degree" {
			continue
		}
		alter, _ := splitAlter(p.x.childContent(d, "degree-alter"))
		out = append(out, theory.KindDegree{
			Value: p.number(p.x.childContent(d, "degree-value")),
			Alter: alter,
			Type:  p.x.childContent(d, "degree-type"),
		})
	}
	return out
}
