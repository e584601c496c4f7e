package engrave

import (
	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

// markText returns the letters that players write for a mark, "" for those
// that are drawn or shown in another way. Source: common practice; letters of
// marks that have none are our own words.
func markText(m score.Mark) string {
	switch m {
	case score.Tap:
		return "T"
	case score.TapLeft:
		return "T (left)"
	case score.Slap:
		return "slap"
	case score.Pop:
		return "pop"
	case score.Rake:
		return "rake"
	case score.BarDip:
		return "bar dip"
	case score.BarDive:
		return "bar dive"
	case score.ThumbOver:
		return "thumb"
	case score.OpenString:
		return "open"
	case score.Golpe:
		return "golpe"
	case score.BreathMark:
		return "breath"
	case score.Caesura:
		return "//"
	case score.SnapPizzicato:
		return "snap"
	case score.Fingernails:
		return "nails"
	case score.Stopped:
		return "+"
	case score.HalfMuted:
		return "half muted"
	case score.DoubleTongue:
		return "double tongue"
	case score.TripleTongue:
		return "triple tongue"
	case score.Heel:
		return "heel"
	case score.Toe:
		return "toe"
	case score.Flip:
		return "flip"
	case score.Smear:
		return "smear"
	case score.OpenWind:
		return "o"
	case score.BrassBend:
		return "bent"
	case score.SoftAccent:
		return "soft accent"
	case score.Stress:
		return "stress"
	case score.Unstress:
		return "unstress"
	}
	return ""
}

// drawn are the marks that are drawn over the strings as signs of notation,
// each in a box of 12 by 8 units around x, standing on y.
func drawn(m score.Mark, x, y float64) []Item {
	switch m {
	case score.DownStroke:
		return []Item{filled("stroke").at(x-4, y).to(x-4, y-7).to(x+4, y-7).to(x+4, y).to(x+2.8, y).to(x+2.8, y-4.5).to(x-2.8, y-4.5).to(x-2.8, y).close()}
	case score.UpStroke:
		return []Item{stroke("stroke", 1.1).at(x-3, y-7).to(x, y-0.6).to(x+3, y-7)}
	case score.Accent:
		return []Item{stroke("accent", 1.1).at(x-4, y-6).to(x+4, y-3).to(x-4, y)}
	case score.StrongAccent:
		return []Item{stroke("accent", 1.3).at(x-3, y).to(x, y-6.5).to(x+3, y)}
	case score.Staccato:
		return []Item{filled("accent").ellipse(x, y-2, 1.3, 1.3)}
	case score.Staccatissimo, score.Spiccato:
		return []Item{filled("accent").at(x-1.8, y-6).to(x+1.8, y-6).to(x, y).close()}
	case score.Tenuto:
		return []Item{stroke("accent", 1.3).at(x-4, y-2).to(x+4, y-2)}
	case score.DetachedLegato:
		return []Item{stroke("accent", 1.3).at(x-4, y-1).to(x+4, y-1), filled("accent").ellipse(x, y-4.5, 1.3, 1.3)}
	case score.Fermata:
		return []Item{stroke("accent", 1.2).at(x-6, y).curve(x-6, y-8, x+6, y-8, x+6, y), filled("accent").ellipse(x, y-1.8, 1.3, 1.3)}
	}
	return nil
}

// signOf names the sign of a mark for the list of signs; "" for those that
// say in words what they are, or that are dealt with elsewhere.
func signOf(m score.Mark) string {
	switch m {
	case score.Tap, score.TapLeft:
		return "tap"
	case score.DownStroke, score.UpStroke:
		return "strokes"
	case score.Accent, score.StrongAccent:
		return "accent"
	case score.Staccato, score.Staccatissimo, score.Spiccato:
		return "staccato"
	case score.Tenuto, score.DetachedLegato:
		return "tenuto"
	case score.Fermata:
		return "fermata"
	}
	return ""
}

// maxLetters is the length up to which the words of a mark stand over each
// note; longer ones stand once over a run of notes.
const maxLetters = 3

// marks draws the marks of each chord over it, each once.
func (c *canvas) marks() {
	all := map[*column]map[score.Mark]bool{}
	c.entries(func(b *bar, en *entry) {
		seen := all[b.cols[en.col]]
		if seen == nil { // voices that strike together share marks
			seen = map[score.Mark]bool{}
			all[b.cols[en.col]] = seen
		}
		x := b.cols[en.col].x
		rolled := seen[score.ArpeggioUp] || seen[score.ArpeggioDown]
		for _, h := range en.heads {
			if !h.placed() {
				continue
			}
			for _, t := range h.note.Techniques {
				switch t := t.(type) {
				case score.Mark:
					if !seen[t] {
						seen[t] = true
						c.mark(h, t)
					}
				case score.Harmonic:
					c.harmonic(h, t)
				case score.SlideEdge:
					c.slideEdge(h, t)
				case score.Trill:
					c.trill(b, en, h, t)
				}
			}
		}
		if !rolled && (seen[score.ArpeggioUp] || seen[score.ArpeggioDown]) {
			c.roll(en, x, seen[score.ArpeggioUp])
		}
	})
}

func (c *canvas) mark(h *head, m score.Mark) {
	if text := markText(m); len(text) > maxLetters {
		return // see extents
	} else if text != "" {
		c.overText(Text{Class: "letter", X: h.x, Size: 7.5, Anchor: ink.Middle, Text: text, Bar: h.bar}, 3)
	} else if items := drawn(m, h.x, 0); items != nil {
		base := c.above.put(h.x-6, h.x+6, 8, 3)
		for _, it := range items {
			it.move(-base)
			c.items = append(c.items, it)
		}
	}
	if s := signOf(m); s != "" {
		c.used.use(s)
	}
}

func (c *canvas) harmonic(h *head, t score.Harmonic) {
	text := [...]string{"", "harm.", "A.H.", "P.H.", "T.H."}[t.Kind]
	c.overText(Text{Class: "letter", X: h.x, Size: 7.5, Anchor: ink.Middle, Text: text, Bar: h.bar}, 3)
	c.used.use([...]string{"", "harmonic", "artificial harmonic", "pinch harmonic", "tapped harmonic"}[t.Kind])
}

// slideEdge draws a slide from or to nowhere.
func (c *canvas) slideEdge(h *head, t score.SlideEdge) {
	const tilt = 3
	x := h.x + h.half + 1.5
	if t.In {
		x = h.x - h.half - slideRoom + 0.5
	}
	y0, y1 := h.y-tilt, h.y+tilt // falling
	if t.In == t.Below {
		y0, y1 = y1, y0
	}
	c.path(stroke("slide", 1.1).at(x, y0).to(x+slideRoom-2, y1))
	c.used.use("slide from or to nowhere")
}

func (c *canvas) trill(b *bar, en *entry, h *head, t score.Trill) {
	text := "tr"
	if t.To != 0 {
		if to := h.note.Place.Fret + t.To; to >= 0 {
			text += " (" + itoa(to) + ")"
		}
	}
	w := textWidth(text, labelSize, true)
	x0, x1 := h.x-4, max(c.xAfter(b, en), h.x+w)
	base := c.above.put(x0, x1, 7, 4)
	c.text(&Text{Class: "letter", X: x0, Y: -base, Size: labelSize, Bold: true, Italic: true, Anchor: ink.Start, Text: text, Bar: h.bar, group: musicGroup})
	if x1-x0-w > 8 {
		c.path(wave("trill", x0+w+3, x1, -base-3, 1.6))
	}
	c.used.use("trill")
}

// roll draws the wavy arrow of a chord that is rolled or strummed slowly.
func (c *canvas) roll(en *entry, x float64, up bool) {
	top, bottom := 1e9, -1e9
	half := 0.0
	for _, h := range en.heads {
		if h.placed() {
			top, bottom, half = min(top, h.y), max(bottom, h.y), max(half, h.half)
		}
	}
	x -= half + 4
	top, bottom = top-5, bottom+5
	p := stroke("roll", 1.1).at(x, bottom)
	sign := 1.0
	for y := bottom; y > top+1; y -= 5 {
		p.curve(x+sign*2.6, y-1.5, x+sign*2.6, y-3.5, x, y-5)
		sign = -sign
	}
	c.path(p)
	if up { // from the lowest string to the highest: towards string 1
		c.path(arrow(x, top-5, -1))
		c.above.fill(x-3, x+3, 6-top)
	} else {
		c.path(arrow(x, bottom+5, 1))
		c.below.fill(x-3, x+3, bottom+6-c.height)
	}
	c.used.use("roll")
}
