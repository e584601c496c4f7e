package engrave

import (
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

// routes draws the signs and words of the way through the music (segno, coda,
// D.S., D.C., To Coda, Fine) where the source has only the way and no words of
// it. Signs stand where a bar begins, words where it ends. Source: common
// practice.
func (c *canvas) routes() {
	if c.n > 0 {
		return
	}
	for _, b := range c.sys.bars {
		if b.index >= len(c.st.part.Measures) {
			continue
		}
		m := c.st.part.Measures[b.index]
		r := m.Route
		if r == (score.Route{}) {
			continue
		}
		words := routeWords(m)
		if r.Segno != "" && !says(words, "segno", "𝄋") {
			c.sign(b.x0, segno)
			c.used.use("segno")
		}
		if r.Coda != "" && !begins(words, "coda", "𝄌") {
			c.sign(b.x0, coda)
			c.used.use("coda")
		}
		if r.ToCoda != "" && !says(words, "to coda") {
			c.atEnd(b, "To Coda", "to coda")
		}
		switch {
		case r.DalSegno != "" && !says(words, "d.s", "dal segno"):
			c.atEnd(b, "D.S."+c.until(), "dal segno")
		case r.DaCapo && !says(words, "d.c", "da capo"):
			c.atEnd(b, "D.C."+c.until(), "da capo")
		}
		if r.Fine && !says(words, "fine") {
			c.atEnd(b, "Fine", "fine")
		}
	}
}

// routeWords are the words of a measure, in small letters.
func routeWords(m *score.Measure) []string {
	var out []string
	for _, e := range m.Events {
		if w, ok := e.(*score.Words); ok && w.Kind != "lyric" {
			out = append(out, strings.ToLower(strings.Join(strings.Fields(w.Text), " ")))
		}
	}
	return out
}

func says(words []string, any ...string) bool {
	for _, w := range words {
		for _, a := range any {
			if strings.Contains(w, a) {
				return true
			}
		}
	}
	return false
}

func begins(words []string, any ...string) bool {
	for _, w := range words {
		for _, a := range any {
			if strings.HasPrefix(w, a) {
				return true
			}
		}
	}
	return false
}

// until says how far the music goes after a jump back.
func (c *canvas) until() string {
	toCoda := false
	for _, m := range c.st.part.Measures {
		if m.Route.Fine {
			return " al Fine"
		}
		toCoda = toCoda || m.Route.ToCoda != ""
	}
	if toCoda {
		return " al Coda"
	}
	return ""
}

// atEnd writes words that hold at the end of a bar.
func (c *canvas) atEnd(b *bar, text, sign string) {
	w := textWidth(text, wordSize, true)
	c.overText(Text{Class: "route", X: max(b.x1-w, c.margin), Size: wordSize, Bold: true, Anchor: ink.Start, Text: text, Bar: b.index}, 4)
	c.used.use(sign)
}

// Measures of a sign of the way, in units.
const (
	signHalf   = 7.0
	signHeight = 14.0
)

// sign puts a sign over the beginning of a bar.
func (c *canvas) sign(x float64, draw func(x, y float64) []Item) {
	x = max(x+signHalf-2, c.margin+signHalf)
	base := c.above.put(x-signHalf, x+signHalf, signHeight, 4)
	c.items = append(c.items, draw(x, -base-signHeight/2)...)
}

// segno draws an S with a stroke through it and two dots, its middle at x, y.
func segno(x, y float64) []Item {
	return []Item{
		stroke("route", 1.6).at(x+3.2, y-4.2).curve(x+1, y-7.5, x-5, y-5.5, x-2.5, y-1.8).curve(x-1, y, x+1, y, x+2.5, y+1.8).curve(x+5, y+5.5, x-1, y+7.5, x-3.2, y+4.2),
		stroke("route", 1).at(x-4.5, y+6).to(x+4.5, y-6),
		filled("dot").ellipse(x-4.8, y+0.8, 1.1, 1.1),
		filled("dot").ellipse(x+4.8, y-0.8, 1.1, 1.1),
	}
}

// coda draws a ring with a cross, its middle at x, y.
func coda(x, y float64) []Item {
	return []Item{
		stroke("route", 1.4).ellipse(x, y, 3.8, 4.8),
		stroke("route", 1).at(x-6.5, y).to(x+6.5, y).at(x, y-7).to(x, y+7),
	}
}
