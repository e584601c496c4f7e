package handout

import (
	"math"
	"strconv"
	"strings"

	"example.org/lickwright/render/internal/engrave"
)

// lookOf returns the look of a path. What is ink of one thickness is drawn
// together whatever it is for; arrows stay apart, since they are drawn the other
// way round and would leave holes where they lie over something.
func lookOf(p *engrave.Path) look {
	class := p.Class
	switch class {
	case "string", "ring", "blank", "extent", "bend":
	default:
		if class = "ink"; p.Stroke > 0 {
			class = "line"
		}
	}
	return look{class, p.Stroke, p.Dashed}
}

// writePaths writes all lines of one look as one path, strings first.
func (l *looks) writePaths(b *strings.Builder, scenes []placed) {
	data := map[look]*pathData{}
	var order []look
	for _, s := range scenes {
		for _, it := range s.Items {
			p, ok := it.(*engrave.Path)
			if !ok {
				continue
			}
			k := lookOf(p)
			if data[k] == nil {
				data[k] = &pathData{}
				order = append(order, k)
			}
			for code, points := range p.Steps() {
				data[k].add(code, points, s.y)
			}
		}
	}
	for _, k := range order {
		b.WriteString(`<path class="` + l.ofPath(k) + `" d="`)
		b.WriteString(data[k].b.String())
		b.WriteString(`"/>`)
	}
}

// pathData is the text of a path, as short as SVG allows: steps from point to
// point in tenths of a pixel, rounded before they are subtracted, so that no
// error adds up. Source: SVG 2, chapter 9.3.
type pathData struct {
	b              strings.Builder
	x, y           int  // where the pen is, in tenths
	startX, startY int  // where the subpath began
	last           byte // command
	before         byte // what was written last: a command, or '0' for a number
}

func tenths(v float64) int { return int(math.Round(v * 10)) }

// add adds a step of absolute coordinates, moved down by dy.
func (d *pathData) add(code byte, points []float64, dy float64) {
	at := make([]int, len(points))
	for i, v := range points {
		if i%2 == 1 {
			v += dy
		}
		at[i] = tenths(v)
	}
	switch code {
	case 'Z':
		d.command('z')
		d.x, d.y = d.startX, d.startY
		return
	case 'M':
		if d.b.Len() == 0 {
			d.command('M') // from nowhere
			d.number(at[0])
			d.number(at[1])
		} else {
			d.command('m')
			d.number(at[0] - d.x)
			d.number(at[1] - d.y)
		}
		d.startX, d.startY = at[0], at[1]
	case 'L':
		switch {
		case at[1] == d.y:
			d.command('h')
			d.number(at[0] - d.x)
		case at[0] == d.x:
			d.command('v')
			d.number(at[1] - d.y)
		default:
			d.command('l')
			d.number(at[0] - d.x)
			d.number(at[1] - d.y)
		}
	default: // C
		d.command('c')
		for i, v := range at {
			if i%2 == 0 {
				d.number(v - d.x)
			} else {
				d.number(v - d.y)
			}
		}
	}
	d.x, d.y = at[len(at)-2], at[len(at)-1]
}

// command writes a letter, unless the one before is understood to go on.
func (d *pathData) command(c byte) {
	if c != d.last || c == 'm' || c == 'z' { // more points after m would be lines
		d.b.WriteByte(c)
		d.last, d.before = c, c
	}
}

// number writes tenths with as few characters as it takes to tell them from
// what stands before.
func (d *pathData) number(v int) {
	s := shortest(v)
	if d.before == '0' && s[0] != '-' {
		d.b.WriteByte(' ')
	}
	d.b.WriteString(s)
	d.before = '0'
}

// shortest writes tenths: 15 is 1.5, 5 is .5.
func shortest(v int) string {
	s := strconv.FormatFloat(float64(v)/10, 'f', -1, 64)
	s = strings.Replace(s, "-0.", "-.", 1)
	if strings.HasPrefix(s, "0.") {
		s = s[1:]
	}
	return s
}
