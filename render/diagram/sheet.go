package diagram

import (
	"math"
	"strings"

	"example.org/lickwright/render/internal/ink"
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
	tuned := oneTuning(ds)
	for _, d := range ds {
		e := extentOf([]Diagram{d}, o)
		from, to, open, silent := e.from, e.to, e.open, e.silent
		e = common // so that all of a page have one scale
		e.from, e.to, e.open, e.silent = from, to, open, silent
		if d.upright(o) && from <= 1 { // nuts beside each other are alike
			e.open, e.silent = common.open, common.silent
		}
		if !tuned {
			d.Subtitle = joined(d.Subtitle, neckWords(d.Neck.Tuning, prettyName))
		}
		panels = append(panels, drawPanel(d, o, e))
	}
	pic := Picture{Title: title, Desc: describeAll(title, ds), Background: c.paper, ID: o.ID}
	if pic.Title == "" && len(ds) > 0 {
		pic.Title = strings.Trim(ds[0].Title+", "+ds[0].Subtitle, ", ")
	}
	if pic.Title == "" {
		pic.Title = "the neck"
	}
	margin := o.measures(0).margin
	y, width := margin, 0.0
	if title != "" && !o.Plain && !o.thumb.noTitle {
		for _, line := range breakLines(printed(title), headSize, o.titleWidth(rowWidth)) {
			t := ink.Text{X: margin, Y: y + headSize*.9, Size: headSize, Bold: true, Text: line, Fill: c.ink, Class: "head"}
			pic.Add(t)
			width = math.Max(width, t.Width()*slack)
			y += headSize + 4
		}
		y += 14
	}
	about := aboutNecks(ds, o)
	if about != "" && !o.thumb.noTitle {
		if width > 0 {
			y -= 8
		}
		size := math.Max(subSize, o.thumb.small)
		pic.Add(ink.Text{X: margin, Y: y + size*.9, Size: size, Text: firstLine(about, size, math.Max(width, rowWidth)), Fill: c.quiet, Class: "subtitle"})
		y += size + 14
		width = math.Max(width, pic.Shapes[len(pic.Shapes)-1].(ink.Text).Width()*slack)
	}
	limit := rowWidth
	if o.thumb.on {
		limit = 0 // one column
	}
	y, width = arrange(&pic, panels, limit, margin, y, width)
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
		if o.Plain || o.thumb.on {
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

// aboutNecks says under the title of a page what holds for all its necks.
func aboutNecks(ds []Diagram, o Options) string {
	about := ""
	if oneTuning(ds) && !o.Plain {
		about = neckWords(ds[0].Neck.Tuning, prettyName)
	}
	if o.LeftHanded {
		about = joined(about, leftHanded)
	}
	return about
}

func joined(a, b string) string { return strings.Trim(a+", "+b, ", ") }

// arrange puts the panels into rows: those that fit beside each other into
// columns of one width, a long neck into a row of its own.
func arrange(pic *Picture, panels []panel, limit, margin, y, width float64) (below, widest float64) {
	column, half := 0.0, limit/2
	for _, p := range panels {
		limit = math.Max(limit, p.w)
		if p.w <= half {
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

// firstLine returns as many words as a line of a width holds, with dots where
// that is not all of them.
func firstLine(s string, size, width float64) string {
	lines := breakLines(s, size, width)
	if len(lines) < 2 {
		return strings.Join(lines, "")
	}
	dots := (ink.Text{Text: " …", Size: size, Bold: true}).Width() * slack
	line := breakLines(s, size, width-dots)[0]
	return strings.TrimSuffix(line, "…") + "…"
}
