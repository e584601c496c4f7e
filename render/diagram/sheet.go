package diagram

import (
	"math"
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/theory"
)

// rowWidth is how wide a row of small diagrams may grow; a longer neck is as
// wide as it is.
const rowWidth = 1120.0

const (
	panelGap   = 34.0
	rowGap     = 24.0
	headSize   = 21.0
	legendSize = 12.0
	legendLead = 30.0
)

// A Picture is a drawing that can be written as SVG and PNG.
type Picture = ink.Picture

// Draw draws diagrams on one page, in rows, under a title ("" for none), and
// says below what the shapes mean.
func Draw(title string, ds []Diagram, o Options) Picture {
	c := o.palette()
	var panels []panel
	lines := extentOf(ds, o).belowLines
	for _, d := range ds {
		e := extentOf([]Diagram{d}, o)
		e.belowLines = lines // so that all of a page have one scale
		panels = append(panels, drawPanel(d, o, e))
	}
	limit := rowWidth
	for _, p := range panels {
		limit = math.Max(limit, p.w)
	}
	pic := Picture{Title: title, Desc: describeAll(title, ds), Background: c.paper, ID: o.ID}
	if pic.Title == "" && len(ds) > 0 {
		pic.Title = strings.Trim(ds[0].Title+", "+ds[0].Subtitle, ", ")
	}
	if pic.Title == "" {
		pic.Title = "the neck"
	}
	y, width := margin, 0.0
	if title != "" && !o.Plain {
		t := ink.Text{X: margin, Y: y + headSize*.9, Size: headSize, Bold: true, Text: title, Fill: c.ink, Class: "head"}
		pic.Add(t)
		width = t.Width() * slack
		y += headSize + 18
	}
	for i := 0; i < len(panels); {
		j, x, height := i, 0.0, 0.0
		for j < len(panels) && (j == i || x+panels[j].w <= limit) {
			panels[j].group.X, panels[j].group.Y = margin+x, y
			width = math.Max(width, x+panels[j].w)
			x += panels[j].w + panelGap
			height = math.Max(height, panels[j].h)
			pic.Add(panels[j].group)
			j++
		}
		y += height + rowGap
		i = j
	}
	if !o.NoLegend {
		g, w, h := legend(ds, o, math.Max(width, 320))
		if h > 0 {
			g.X, g.Y = margin, y
			pic.Add(g)
			width = math.Max(width, w)
			y += h + rowGap/2
		}
	}
	pic.Width, pic.Height = math.Ceil(width+2*margin), math.Ceil(y-rowGap+margin)
	return pic
}

func describeAll(title string, ds []Diagram) string {
	var parts []string
	if title != "" {
		parts = append(parts, title+".")
	}
	for _, d := range ds {
		parts = append(parts, d.Describe())
	}
	return strings.Join(parts, " ")
}

// legend says what the shapes mean that the diagrams have, and nothing else.
func legend(ds []Diagram, o Options, width float64) (g *ink.Group, w, h float64) {
	c := o.palette()
	g = &ink.Group{Class: "legend"}
	x, y := 0.0, legendLead/2
	item := func(words string, sign func(x, y float64) ink.Shape, room float64) {
		t := ink.Text{Size: legendSize, Text: words, Fill: c.quiet, Class: "legend-words"}
		need := room + 6 + t.Width()*slack + 20
		if x > 0 && x+need > width {
			x, y = 0, y+legendLead
		}
		t.X, t.Y = x+room+6, y+legendSize*ink.CapHeight/2
		g.Add(sign(x+room/2, y), t)
		x += need
		w, h = math.Max(w, x-20), y+legendLead/2
	}
	shape := func(r Role) func(x, y float64) ink.Shape {
		return func(x, y float64) ink.Shape {
			paint, _ := c.paintOf(r)
			return &ink.Group{X: x, Y: y, Scale: .7, Shapes: []ink.Shape{shapeOf(r, 0, 0, paint)}}
		}
	}
	var has [3]bool
	var faint, reached, repeated, ordered, barred bool
	var kinds [3]bool
	silent := false
	for _, d := range ds {
		for _, dot := range d.Dots {
			if dot.Faint {
				faint = true
				continue
			}
			has[dot.Role] = true
			reached = reached || dot.Reach > 0
			repeated = repeated || dot.Repeated
			ordered = ordered || len(dot.Steps) > 0
		}
		for _, l := range d.Links {
			kinds[l.Kind] = true
		}
		barred = barred || len(d.barres()) > 0
		silent = silent || len(d.Silent) > 0
	}
	if has[Root] {
		item("root", shape(Root), 20)
	}
	if has[ChordTone] {
		item("chord tone", shape(ChordTone), 20)
	}
	if has[Other] && (has[Root] || has[ChordTone]) {
		item("other note", shape(Other), 20)
	}
	if faint {
		item("on the neck, not played here", func(x, y float64) ink.Shape {
			return ink.Circle{X: x, Y: y, R: 4, Paint: ink.Paint{Fill: c.faint}}
		}, 12)
	}
	if _, below := o.shows(ordered); ordered && below == Order {
		item("order of playing", func(x, y float64) ink.Shape {
			return ink.Text{X: x, Y: y + belowSize*ink.CapHeight/2, Size: belowSize, Bold: true, Text: "1 2 3", Anchor: ink.Middle, Fill: c.accent}
		}, 28)
	}
	if reached {
		item("finger reaches out", func(x, y float64) ink.Shape { return (&board{}).reach(x-dotR-4, y, false, c) }, 10)
	}
	arrow := func(k LinkKind) func(x, y float64) ink.Shape {
		return func(x, y float64) ink.Shape { return sign(k, x-13, y, x+13, y, false, c) }
	}
	if kinds[Shift] {
		item("shift to the next position", arrow(Shift), 26)
	}
	if kinds[Slide] {
		item("slide", arrow(Slide), 26)
	}
	if kinds[Slur] {
		item("hammer-on or pull-off", arrow(Slur), 26)
	}
	if barred {
		item("one finger across", func(x, y float64) ink.Shape {
			return ink.Line{X1: x - 8, Y1: y, X2: x + 8, Y2: y, Paint: ink.Paint{Stroke: c.faint, Width: 9, Round: true}}
		}, 26)
	}
	if silent {
		item("not played", func(x, y float64) ink.Shape {
			p := &ink.Path{Paint: ink.Paint{Stroke: c.ink, Width: 1.8, Round: true}}
			return p.MoveTo(x-4.5, y-4.5).LineTo(x+4.5, y+4.5).MoveTo(x-4.5, y+4.5).LineTo(x+4.5, y-4.5)
		}, 12)
	}
	if repeated {
		item("the sound before again", func(x, y float64) ink.Shape {
			return ink.Text{X: x, Y: y + legendSize*ink.CapHeight/2, Size: legendSize, Bold: true, Text: "=", Anchor: ink.Middle, Fill: c.ink}
		}, 12)
	}
	if home := homeOf(ds, o); home != "" {
		item(home, func(x, y float64) ink.Shape { return &ink.Group{} }, 0)
	}
	return g, w, h
}

// homeOf says what degrees count from where that is not plain from the roots.
func homeOf(ds []Diagram, o Options) string {
	var ordered bool
	for _, d := range ds {
		ordered = ordered || d.ordered()
	}
	if inside, below := o.shows(ordered); inside != Degrees && below != Degrees {
		return ""
	}
	var home *theory.NoteName
	plain := true
	for _, d := range ds {
		if d.Home == nil || home != nil && *home != *d.Home {
			return ""
		}
		home = d.Home
		for _, dot := range d.Dots {
			plain = plain && (dot.Role == Root) == (!dot.Dead && dot.Pitch.Class() == home.Class())
		}
	}
	if plain || home == nil {
		return ""
	}
	return "degrees count from " + prettyName(*home)
}

// breakLines breaks words into lines of a width.
func breakLines(s string, size, width float64) []string {
	var lines []string
	for _, w := range strings.Fields(s) {
		if n := len(lines); n > 0 && (ink.Text{Text: lines[n-1] + " " + w, Size: size}).Width()*slack <= width {
			lines[n-1] += " " + w
			continue
		}
		lines = append(lines, w)
	}
	return lines
}
