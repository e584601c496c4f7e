package ink

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gobolditalic"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/gomonobolditalic"
	"golang.org/x/image/font/gofont/gomonoitalic"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// CapHeight is the height of capitals and digits, as a share of the font's
// size. A label of size s is centred on y with its base line at
// y + s·CapHeight/2. Source: the metrics of the Go fonts; common sans-serif
// fonts differ by a hundredth.
const CapHeight = 0.722

// Width returns how wide the text is in user units.
func (t Text) Width() float64 {
	f := t.font()
	w := 0.0
	for _, r := range t.Text {
		w += f.glyph(r).advance
	}
	return w * t.Size
}

// A glyph is the outline of a character in ems, y downwards.
type glyph struct {
	advance float64
	outline Path
}

// A typeface gives outlines. Glyphs are loaded when they are asked for, and
// kept.
type typeface struct {
	parsed *sfnt.Font
	mu     sync.Mutex
	buf    sfnt.Buffer
	glyphs map[rune]glyph
}

// typefaces are parsed once, when the first text is drawn: regular, bold,
// italic, bold italic, and the same equally wide.
var typefaces = sync.OnceValue(func() [8]*typeface {
	var all [8]*typeface
	for i, ttf := range [8][]byte{goregular.TTF, gobold.TTF, goitalic.TTF, gobolditalic.TTF, gomono.TTF, gomonobold.TTF, gomonoitalic.TTF, gomonobolditalic.TTF} {
		parsed, err := sfnt.Parse(ttf)
		if err != nil {
			panic("ink: " + err.Error()) // they are compiled in
		}
		all[i] = &typeface{parsed: parsed, glyphs: map[rune]glyph{}}
	}
	return all
})

func (t Text) font() *typeface {
	i := 0
	if t.Bold {
		i |= 1
	}
	if t.Italic {
		i |= 2
	}
	if t.Mono {
		i |= 4
	}
	return typefaces()[i]
}

// em is the size at which outlines are loaded, large enough that the 26.6
// fixed point of the font package loses nothing.
const em = 1024

func (f *typeface) glyph(r rune) glyph {
	f.mu.Lock()
	defer f.mu.Unlock()
	if g, ok := f.glyphs[r]; ok {
		return g
	}
	g, ok := accidental(r)
	if !ok {
		g = f.load(r)
	}
	f.glyphs[r] = g
	return g
}

func (f *typeface) load(r rune) glyph {
	var g glyph
	index, err := f.parsed.GlyphIndex(&f.buf, r)
	if err != nil {
		index = 0 // the box that stands for what a font has not
	}
	if adv, err := f.parsed.GlyphAdvance(&f.buf, index, fixed.I(em), font.HintingNone); err == nil {
		g.advance = units(adv)
	}
	segs, err := f.parsed.LoadGlyph(&f.buf, index, fixed.I(em), nil)
	if err != nil {
		return g
	}
	var last point
	open := false
	for _, s := range segs {
		var p [3]point
		for i := range p {
			p[i] = point{units(s.Args[i].X), units(s.Args[i].Y)}
		}
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if open {
				g.outline.Close()
			}
			g.outline.MoveTo(p[0].x, p[0].y)
			last, open = p[0], true
		case sfnt.SegmentOpLineTo:
			g.outline.LineTo(p[0].x, p[0].y)
			last = p[0]
		case sfnt.SegmentOpQuadTo:
			c, e := p[0], p[1]
			g.outline.CurveTo(last.x+(c.x-last.x)*2/3, last.y+(c.y-last.y)*2/3, e.x+(c.x-e.x)*2/3, e.y+(c.y-e.y)*2/3, e.x, e.y)
			last = e
		case sfnt.SegmentOpCubeTo:
			g.outline.CurveTo(p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y)
			last = p[2]
		}
	}
	if open {
		g.outline.Close()
	}
	return g
}

func units(x fixed.Int26_6) float64 { return float64(x) / 64 / em }

// accidental returns our own outlines of the signs that the Go fonts have
// not. They are drawn with straight pens: sharp and natural of bars, the flat
// of a stem and a bowl.
func accidental(r rune) (glyph, bool) {
	var p Path
	bar := func(x1, y1, x2, y2, x3, y3, x4, y4 float64) {
		p.MoveTo(x1, y1).LineTo(x2, y2).LineTo(x3, y3).LineTo(x4, y4).Close()
	}
	upright := func(x, top, bottom float64) { bar(x, top, x+.065, top, x+.065, bottom, x, bottom) }
	slanted := func(x1, x2, y float64) { bar(x1, y+.05, x2, y-.05, x2, y+.05, x1, y+.15) }
	switch r {
	case '♯':
		upright(.135, -.74, .08)
		upright(.315, -.80, .02)
		slanted(.05, .465, -.56)
		slanted(.05, .465, -.25)
		return glyph{.54, p}, true
	case '♮':
		upright(.09, -.80, -.10)
		upright(.305, -.62, .08)
		slanted(.09, .37, -.56)
		slanted(.09, .37, -.25)
		return glyph{.46, p}, true
	case '♭':
		upright(.07, -.80, .02)
		p.MoveTo(.10, -.36)
		p.CurveTo(.17, -.46, .40, -.52, .40, -.32)
		p.CurveTo(.40, -.17, .22, -.05, .10, .02)
		p.LineTo(.10, -.08)
		p.CurveTo(.19, -.14, .30, -.22, .30, -.31)
		p.CurveTo(.30, -.41, .18, -.37, .10, -.27)
		p.Close()
		return glyph{.5, p}, true
	}
	return glyph{}, false
}
