package diagram

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/lickwright/render/internal/ink"
)

// A bow is what links two frets of a string, whichever way and however often:
// one curve, if it is not struck, and over it the words of each link.
type bow struct {
	str, low, high int
	links          []int // in the diagram, by the first time that they are played
	from, to       int   // frets between which there is room for words
	arched         bool  // there is a curve
	level          int   // over how many others it goes
	lines          int
	runs           []run
	base, apex     float64 // from the string: where it may begin, and its height
	top            float64 // where the next one may begin
}

// A run is the words of one link on one line, from the left end of the line.
type run struct {
	link, line int
	text       string
	x, width   float64 // x is from the middle of the line
}

const (
	slurRise   = 7.0  // of a curve over where it may begin
	slurSize   = 11.0 // words at links
	bowGap     = 3.5  // between a curve and its words, and over them
	bowEnds    = 5.0  // how far the ends of a curve lie inside of its notes
	runGap     = 9.0  // between the words of two links
	bowLeadOut = 12.0 // what the words leave of the way between two notes
)

// letter returns what tab writes at a slur: up the string only a hammer-on
// leads, down only a pull-off.
func (l Link) letter() string {
	switch {
	case l.Kind == Glissando:
		return "gliss."
	case l.Kind != Slur:
		return "sl."
	case l.To.Fret > l.From.Fret:
		return "H"
	}
	return "P"
}

// label returns the words at a link in pieces that stay together: "H 1-2,",
// "5-6". Without numbers it is its letter alone, and nothing at slides, which
// have arrows.
func (l Link) label(numbers bool) []string {
	if !numbers || len(l.Joins) == 0 {
		if l.Kind == Slur {
			return []string{l.letter()}
		}
		return nil
	}
	var all []string
	for i, j := range l.Joins {
		piece := j.String()
		if i == 0 {
			piece = l.letter() + " " + piece
		}
		if i+1 < len(l.Joins) {
			piece += ","
		}
		all = append(all, piece)
	}
	if l.Kind == StruckSlide {
		all = append(all, "struck")
	}
	return all
}

// String returns a join as it is written: "1-2".
func (j Join) String() string { return fmt.Sprintf("%d-%d", j.From, j.To) }

// numbered tells whether the numbers at links can be found at the dots.
func (d Diagram) numbered(o Options) bool {
	inside, below := o.shows(d)
	return inside == Order || slices.Contains(below, Order) || d.step && d.Step != ""
}

func wordsWidth(text string, size float64) float64 {
	return ink.Text{Text: text, Size: size, Bold: true}.Width()
}

// bows gathers the links of a diagram, those that lie below first: on a string
// the shorter.
func (d Diagram) bows() []bow {
	var all []bow
	for i, l := range d.Links {
		if l.From.String != l.To.String || l.From == l.To {
			continue
		}
		k := slices.IndexFunc(all, func(b bow) bool {
			return b.str == l.From.String && b.low == l.low() && b.high == l.low()+l.frets() && b.arched == l.Kind.arched()
		})
		if k < 0 {
			k = len(all)
			all = append(all, bow{str: l.From.String, low: l.low(), high: l.low() + l.frets(), arched: l.Kind.arched()})
		}
		all[k].links = append(all[k].links, i)
	}
	slices.SortStableFunc(all, func(a, b bow) int {
		return cmp.Or(a.str-b.str, (a.high-a.low)-(b.high-b.low), boolToInt(a.arched)-boolToInt(b.arched), a.low-b.low)
	})
	for i := range all {
		b := &all[i]
		slices.SortStableFunc(b.links, func(x, y int) int { return d.Links[x].first() - d.Links[y].first() })
		// The ends of what goes over it come down through it where the two only
		// overlap, so its words stand beside them.
		cuts := []int{b.low, b.high}
		for _, over := range all[i+1:] {
			for _, end := range [...]int{over.low, over.high} {
				if over.str == b.str && over.arched && b.low < end && end < b.high {
					cuts = append(cuts, end)
				}
			}
		}
		slices.Sort(cuts)
		b.from, b.to = b.low, b.low
		for k := range cuts[1:] {
			if cuts[k+1]-cuts[k] > b.to-b.from {
				b.from, b.to = cuts[k], cuts[k+1]
			}
		}
	}
	return all
}

// room returns between how many frets there is room for words: beyond the nut,
// where a fret is not too narrow for them.
func (b bow) room() float64 {
	if b.pastNut() {
		return float64(b.to) - .5
	}
	return float64(b.to - b.from)
}

func (b bow) pastNut() bool { return b.from == 0 && b.to > 1 }

// bowNeed returns how wide a fret has to be for the words at its links.
func (d Diagram) bowNeed(o Options, size float64) float64 {
	need := 0.0
	numbers := d.numbered(o)
	for _, b := range d.bows() {
		for _, i := range b.links {
			for _, piece := range d.Links[i].label(numbers) {
				need = math.Max(need, (wordsWidth(piece, size)+bowLeadOut)/b.room())
			}
		}
	}
	return need
}

// A bowRoom says how bows are laid out: over the string, or upright to its
// right.
type bowRoom struct {
	size    float64
	upright bool
	plain   float64 // from the string, where nothing but a disc or tile is
	house   float64 // the same over a house
	fret    float64 // how wide a fret is at least
}

// bowsOf lays out the links of a diagram so that none touches another, the
// longer over the shorter.
func (d Diagram) bowsOf(o Options, r bowRoom) []bow {
	all := d.bows()
	numbers := d.numbered(o)
	for i := range all {
		b := &all[i]
		width := b.room()*r.fret - bowLeadOut
		if r.upright {
			width = 0 // a line for each, so that strings lie near each other
		}
		b.wrap(d.Links, numbers, width, r.size)
		b.base = r.plain
		for _, dot := range d.Dots {
			if dot.Role == Root && !dot.Faint && dot.Place.String == b.str && dot.Place.Fret >= b.low && dot.Place.Fret <= b.high {
				b.base = math.Max(b.base, r.house)
			}
		}
		for _, under := range all[:i] {
			if under.str == b.str && under.low < b.high && b.low < under.high && under.top > 0 {
				b.base, b.level = math.Max(b.base, under.top), max(b.level, under.level+1)
			}
		}
		b.apex = b.base
		if b.arched {
			b.apex += slurRise
		}
		deep := float64(b.lines) * r.size * 1.1
		if r.upright {
			deep = 0
			for _, run := range b.runs {
				deep = math.Max(deep, run.width)
			}
		}
		b.top = b.apex + bowGap
		if b.lines > 0 {
			b.top += deep + bowGap
		}
	}
	return all
}

// first is when a link is first played.
func (l Link) first() int {
	if len(l.Joins) == 0 {
		return 0
	}
	return l.Joins[0].From
}

// wrap writes the words of the links in lines of a width.
func (b *bow) wrap(links []Link, numbers bool, width, size float64) {
	line, used := -1, 0.0
	for _, i := range b.links {
		fresh := true // the first words of a link
		for _, piece := range links[i].label(numbers) {
			w := wordsWidth(piece, size)
			last := len(b.runs) - 1
			switch {
			case line >= 0 && !fresh && used+wordsWidth(" "+piece, size) <= width:
				b.runs[last].text += " " + piece
				b.runs[last].width = wordsWidth(b.runs[last].text, size)
				used = b.runs[last].x + b.runs[last].width
			case line >= 0 && fresh && used+runGap+w <= width:
				b.runs = append(b.runs, run{i, line, piece, used + runGap, w})
				used += runGap + w
			default:
				line, used = line+1, w
				b.runs = append(b.runs, run{i, line, piece, 0, w})
			}
			fresh = false
		}
	}
	b.lines = line + 1
	for n := range b.lines {
		wide := 0.0
		for _, r := range b.runs {
			if r.line == n {
				wide = math.Max(wide, r.x+r.width)
			}
		}
		for k := range b.runs {
			if b.runs[k].line == n {
				b.runs[k].x -= wide / 2
			}
		}
	}
}

// bowRoom returns the room that bows have on a board.
func (m measures) bowRoom(upright bool, half, fret float64) bowRoom {
	r := bowRoom{size: m.slur, upright: upright, plain: dotR + 3, house: roof*dotR + 2, fret: fret}
	if upright {
		r.plain = math.Max(dotR+6, half+3) // beside what stands below dots
		r.house = r.plain
	}
	return r
}

// curve draws the curve of a bow.
func (b *board) curve(w bow, c palette) *ink.Path {
	in := bowEnds - 3*float64(min(w.level, 2))
	end := func(fret int) float64 { // where the curve ends over a dot
		house := false
		for _, dot := range b.d.Dots {
			house = house || dot.Place.String == w.str && dot.Place.Fret == fret && dot.Role == Root && !dot.Faint
		}
		if house {
			return b.bows.house
		}
		return b.bows.plain
	}
	u1, u2 := b.u(w.low)+in, b.u(w.high)-in
	p := &ink.Path{Paint: ink.Paint{Stroke: c.accent, Width: 1.8, Round: true, Class: "arch"}}
	at := func(u, h float64) (x, y float64) { return b.over(w.str, u, h) }
	h1, h2 := end(w.low), end(w.high)
	if w.level == 0 {
		// A slur: flat enough to stay under its words.
		top := (w.apex - (h1+h2)/8) * 8 / 6
		return slur(p, at, u1, h1, u2, h2, top)
	}
	// Straight up, so that what lies under it keeps clear of it.
	r := math.Min(8, (u2-u1)/4)
	x, y := at(u1, h1)
	p.MoveTo(x, y)
	x, y = at(u1, w.apex-r)
	p.LineTo(x, y)
	bend := func(u1, h1, u2, h2 float64) {
		ax, ay := at(u1, h1)
		bx, by := at((u1+u2)/2, h2)
		x, y := at(u2, h2)
		if h2 < h1 {
			ax, ay = at((u1+u2)/2, h1)
			bx, by = at(u2, h1)
		}
		p.CurveTo(ax, ay, bx, by, x, y)
	}
	bend(u1, w.apex-r, u1+r, w.apex)
	x, y = at(u2-r, w.apex)
	p.LineTo(x, y)
	bend(u2-r, w.apex, u2, w.apex-r)
	x, y = at(u2, h2)
	p.LineTo(x, y)
	return p
}

// slur draws a curve between two points, at most as high as top.
func slur(p *ink.Path, at func(u, h float64) (x, y float64), u1, h1, u2, h2, top float64) *ink.Path {
	x, y := at(u1, h1)
	p.MoveTo(x, y)
	along := (u2 - u1) / 4
	ax, ay := at(u1+along, top)
	bx, by := at(u2-along, top)
	x, y = at(u2, h2)
	return p.CurveTo(ax, ay, bx, by, x, y)
}

// over returns the point at u that lies so far over a string, or upright to its
// right.
func (b *board) over(str int, u, h float64) (x, y float64) {
	x, y = b.at(u, b.v(str))
	if b.upright {
		return x + h, y - float64(b.belowLines)*b.lead()/2
	}
	return x, y - h
}

// words draws what a bow says of a link.
func (b *board) words(w bow, link int, c palette) []ink.Text {
	var all []ink.Text
	from := b.u(w.from)
	if w.pastNut() {
		from = 4
	}
	mid := (from + b.u(w.to)) / 2
	lead := b.slur * 1.1
	for _, r := range w.runs {
		if r.link != link {
			continue
		}
		t := ink.Text{Size: b.slur, Bold: true, Text: r.text, Fill: c.accent, Halo: c.paper, HaloWidth: 1.5, Fit: true, Class: "link-words"}
		if b.upright {
			t.X, t.Y = b.over(w.str, mid, w.apex+bowGap)
			t.Y += (float64(r.line)-float64(w.lines-1)/2)*lead + b.slur*ink.CapHeight/2
		} else {
			t.X, t.Y = b.over(w.str, mid, w.apex+bowGap+float64(w.lines-1-r.line)*lead)
			t.X += r.x
		}
		all = append(all, t)
	}
	return all
}

// bowsBeyond returns how far the bows of a string reach beyond where the ridge of
// a house does.
func bowsBeyond(bows []bow, str int, from float64) float64 {
	beyond := 0.0
	for _, b := range bows {
		if b.str == str {
			beyond = math.Max(beyond, b.top-from)
		}
	}
	return beyond
}

// times says the times that a link is played, " (notes 1-2, 5-6)".
func (l Link) times() string {
	if len(l.Joins) == 0 {
		return ""
	}
	var all []string
	for _, j := range l.Joins {
		all = append(all, j.String())
	}
	return " (notes " + strings.Join(all, ", ") + ")"
}
