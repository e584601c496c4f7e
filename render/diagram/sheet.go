package diagram

import (
	"math"
	"slices"
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
	common := extentOf(ds, o)
	for _, d := range ds {
		e := extentOf([]Diagram{d}, o)
		e.belowLines, e.slurs = common.belowLines, common.slurs // so that all of a page have one scale
		panels = append(panels, drawPanel(d, o, e))
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
		for _, line := range breakLines(printed(title), headSize, rowWidth) {
			t := ink.Text{X: margin, Y: y + headSize*.9, Size: headSize, Bold: true, Text: line, Fill: c.ink, Class: "head"}
			pic.Add(t)
			width = math.Max(width, t.Width()*slack)
			y += headSize + 4
		}
		y += 14
	}
	y, width = arrange(&pic, panels, y, width)
	if !o.NoLegend {
		g, w, h := legend(ds, o, math.Max(width, 320))
		if h > 0 {
			g.X, g.Y = margin, y
			pic.Add(g)
			width = math.Max(width, w)
			y += h + rowGap/2
		}
	}
	for _, caution := range cautions(ds) {
		if o.Plain {
			break
		}
		for _, line := range breakLines(caution, legendSize, math.Max(width, 320)) {
			y += noteLead
			t := ink.Text{X: margin, Y: y - 3, Size: legendSize, Text: line, Fill: c.ink, Class: "caution"}
			pic.Add(t)
			width = math.Max(width, t.Width()*slack)
		}
		y += rowGap
	}
	pic.Width, pic.Height = math.Ceil(width+2*margin), math.Ceil(y-rowGap+margin)
	return pic
}

// arrange puts the panels into rows: those that fit beside each other into
// columns of one width, a long neck into a row of its own.
func arrange(pic *Picture, panels []panel, y, width float64) (below, widest float64) {
	limit, column := rowWidth, 0.0
	for _, p := range panels {
		limit = math.Max(limit, p.w)
		if p.w <= rowWidth/2 {
			column = math.Max(column, p.w)
		}
	}
	rows := rowsOf(panels, limit, column)
	if packed := rowsOf(panels, limit, 0); len(packed) < len(rows) {
		rows, column = packed, 0
	}
	for _, row := range rows {
		x, height := 0.0, 0.0
		for _, p := range row {
			p.group.X, p.group.Y = margin+x, y
			pic.Add(p.group)
			width, height = math.Max(width, x+p.w), math.Max(height, p.h)
			x += math.Max(column, p.w) + panelGap
		}
		y += height + rowGap
	}
	return y, width
}

// rowsOf deals panels out to rows no wider than a limit, each taking at least
// the width of a column.
func rowsOf(panels []panel, limit, column float64) [][]panel {
	var rows [][]panel
	x := 0.0
	for _, p := range panels {
		w := math.Max(p.w, column)
		if len(rows) == 0 || x+w > limit {
			rows, x = append(rows, nil), 0
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], p)
		x += w + panelGap
	}
	return rows
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
		if t.X = x + room + 6; room == 0 {
			t.X = x
		}
		t.Y = y + legendSize*ink.CapHeight/2
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
	var faint, reached, repeated, barred bool
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
	if slices.ContainsFunc(ds, func(d Diagram) bool { _, below := o.shows(d); return d.ordered() && below == Order }) {
		item("order of playing", func(x, y float64) ink.Shape {
			return ink.Text{X: x, Y: y + belowSize*ink.CapHeight/2, Size: belowSize, Bold: true, Text: "1, 2, 3", Anchor: ink.Middle, Fill: c.accent}
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
	if slices.ContainsFunc(ds, func(d Diagram) bool { _, below := o.shows(d); return below == Fingers && d.fingered() }) {
		item("finger", func(x, y float64) ink.Shape {
			return ink.Text{X: x, Y: y + belowSize*ink.CapHeight/2, Size: belowSize, Text: "1 2 3 4", Anchor: ink.Middle, Fill: c.ink}
		}, 36)
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
	if inside := insideOf(ds, o); inside != "" {
		item(inside, func(x, y float64) ink.Shape { return &ink.Group{} }, 0)
	}
	if home := homeOf(ds, o); home != "" {
		item(home, func(x, y float64) ink.Shape { return &ink.Group{} }, 0)
	}
	return g, w, h
}

// insideOf says what stands in the dots where that is not degrees, which go
// without saying.
func insideOf(ds []Diagram, o Options) string {
	for _, d := range ds {
		switch inside, _ := o.shows(d); inside {
		case Names:
			return "inside: note names"
		case Fingers:
			return "inside: fingers"
		case Functions:
			return "inside: place in the chord"
		case Order:
			return "inside: order of playing"
		}
	}
	return ""
}

// homeOf says what degrees count from where that is not plain from the roots.
func homeOf(ds []Diagram, o Options) string {
	if !slices.ContainsFunc(ds, func(d Diagram) bool {
		inside, below := o.shows(d)
		return inside == Degrees || below == Degrees
	}) {
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

// breakLines breaks words into lines of a width; a word that is wider is cut.
func breakLines(s string, size, width float64) []string {
	fits := func(line string) bool {
		return (ink.Text{Text: line, Size: size, Bold: true}).Width()*slack <= width
	}
	var lines []string
	for _, w := range strings.Fields(s) {
		if n := len(lines); n > 0 && fits(lines[n-1]+" "+w) {
			lines[n-1] += " " + w
			continue
		}
		if !fits(w) {
			r := []rune(w)
			r = r[:min(len(r), int(width/size*4))] // no letter is a quarter of its height
			for len(r) > 0 && !fits(string(r)+"…") {
				r = r[:len(r)-1]
			}
			w = string(r) + "…"
		}
		lines = append(lines, w)
	}
	return lines
}
