package diagram

import (
	"math"
	"slices"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/theory/fretboard"
)

// Measures in user units.
const (
	dotR      = 13.0 // of a disc
	roof      = 1.3  // height of a house's ridge over its middle, in dotR
	labelSize = 13.0
	belowSize = 11.0
	lineMax   = 130.0 // how wide a line below a dot may be
	edgeRoom  = 18.0  // how far it may reach beyond the first fret
	turnedMax = 60.0  // the same where strings run downwards
	cellMin   = 34.0  // a fret, so that two dots beside each other do not touch
	cellEven  = 50.0
	openCell  = 36.0 // for open strings, before the nut
	smallSize = 11.0 // fret numbers, names of strings, brackets
	laneStep  = 19.0 // from one bracket to the next
	nameRoom  = 27.0 // for the names of strings
	gapMin    = 35.0 // from string to string
	rowGapMin = 31.0 // the same where necks stand one below the other
)

// smallWidth is how wide a small picture may be: 180 mm of paper.
const smallWidth = 680 / SmallScale

// measures are those that depend on the size at which a picture is shown.
type measures struct {
	label, small      float64 // heights of what is in dots, and of numbers and names
	under, slur       float64 // heights of what stands below dots and at links
	gap, cell, margin float64
	names, numbers    float64 // room for the names of strings and the numbers of frets
}

// measures returns the measures of a picture with so many frets.
func (o Options) measures(frets int) measures {
	if o.frame && !o.Upright {
		return measures{label: 19, small: 17, under: 14, slur: 12.5, gap: 33, margin: margin, names: 34, numbers: 28,
			cell: math.Max(cellMin, math.Min(cellEven, frameNeck/float64(max(frets, 1))))}
	}
	if t := o.thumb; t.on {
		m := measures{t.label, t.small, belowSize, slurSize, gapMin, cellEven, 6, math.Max(nameRoom, 2*t.small), math.Max(22, 2*t.small)}
		if t.noNumber {
			m.names, m.numbers = 6, 6
		}
		return m
	}
	if !o.Small {
		return measures{labelSize, smallSize, belowSize, slurSize, gapMin, cellEven, margin, nameRoom, 22}
	}
	m := measures{label: 12 / SmallScale, small: 12 / SmallScale, under: belowSize, slur: 17, gap: 33, cell: cellEven, margin: 4, names: 40, numbers: 31}
	if room := smallWidth - 2*m.margin - m.names - openCell - stub - 6; frets > 0 {
		m.cell = math.Max(cellMin, math.Min(m.cell, math.Floor(room/float64(frets))))
	}
	return m
}

// lead is how far the next line below a dot lies from the one before.
func (m measures) lead() float64 { return m.under * 1.2 }

// frameNeck is how long the neck in a frame may be before its frets are
// narrowed: as wide to its height as the frame.
const frameNeck = 560.0

// A board is the place of everything on one neck: u runs along it from where
// the picture begins, v across it from string 1.
type board struct {
	d             Diagram
	upright, left bool
	wires         []float64 // u of the wire before each shown fret, and of the last one
	firstFret     int       // the fret of the cell behind wires[0]
	x, y          float64   // where the wires and string 1 begin
	length, width float64   // along and across, wires and strings only
	belowLines    int
	below         []Label
	lineWidth     float64 // how wide a line below a dot may be
	lineUsed      float64 // how wide the widest is, with the ground of a first number
	openCell      float64 // room for open strings
	ways          []int   // by link: beside how many over the same frets its arrow is
	bows          bowRoom
	bowed         []bow
	measures
}

// beside says of each slide beside how many over the same frets it lies, so
// that there and back are not on each other.
func (d Diagram) beside() []int {
	beside := make([]int, len(d.Links))
	for i, l := range d.Links {
		for _, b := range d.Links[:i] {
			if l.Kind != Slur && b.Kind != Slur && b.From.String == l.From.String && b.low() < l.low()+l.frets() && l.low() < b.low()+b.frets() {
				beside[i]++
			}
		}
	}
	return beside
}

func (l Link) low() int { return min(l.From.Fret, l.To.Fret) }

func (l Link) frets() int { return max(l.From.Fret, l.To.Fret) - l.low() }

// ordered tells whether the dots have an order.
func (d Diagram) ordered() bool {
	for _, dot := range d.Dots {
		if len(dot.Steps) > 0 {
			return true
		}
	}
	return false
}

// together tells whether several dots sound at the same times and plainly, so
// that an order says nothing.
func (d Diagram) together() bool {
	for _, dot := range d.Dots {
		if len(dot.Steps) == 0 || !slices.EqualFunc(dot.Steps, d.Dots[0].Steps, sameTime) {
			return false
		}
		if slices.ContainsFunc(dot.Steps, func(s Step) bool { return s.Sign != "" }) {
			return false
		}
	}
	return len(d.Dots) > 1
}

// struckTogether tells whether several dots have the same number in the order.
func (d Diagram) struckTogether() bool {
	seen := map[int]bool{}
	for _, dot := range d.Dots {
		for _, s := range dot.Steps {
			if seen[s.Number] {
				return true
			}
			seen[s.Number] = true
		}
	}
	return false
}

func sameTime(a, b Step) bool { return a.Number == b.Number }

// newBoard lays a neck out for a common extent.
func newBoard(d Diagram, o Options, e extent) *board {
	b := &board{d: d, upright: d.upright(o), left: o.LeftHanded, belowLines: e.belowLines}
	b.firstFret = max(e.from, 1)
	b.measures = o.measures(e.to - b.firstFret + 1)
	_, b.below = o.shows(d)
	b.lineWidth, b.ways = o.line(d, e), d.beside()
	b.bows = b.bowRoom(b.upright, e.broken/2, o.least(d, e))
	b.bowed = d.bowsOf(o, b.bows)
	below := float64(e.belowLines) * b.lead()
	b.lineUsed = e.broken
	cell := math.Max(b.cell, math.Max(e.cell, e.need))
	b.openCell = openCell
	if !b.upright {
		b.openCell = math.Max(openCell, e.nut)
		if e.bowed {
			b.openCell = math.Max(b.openCell, cell)
		}
		if o.Small || o.TrueFrets {
			b.openCell = math.Max(b.openCell, b.lineUsed+2)
		}
	}
	if d.row {
		b.gap = math.Min(b.gap, rowGapMin)
	}
	b.gap += e.gap
	if b.upright {
		b.gap = math.Max(gapMin+3, e.broken+6) + e.over
		cell = cellMin + 10 + below
	}
	b.wires = []float64{0}
	unit := 0.0 // user units to the millimetre
	if o.TrueFrets {
		narrowest := math.Max(math.Max(cellMin, e.need), e.broken+4)
		if b.upright {
			narrowest = cellMin + 10 + below
		}
		unit = narrowest / d.Neck.Reach(e.to-1, e.to, fretboard.ScaleLength)
	}
	for f := b.firstFret; f <= e.to; f++ {
		w := cell
		if o.TrueFrets {
			w = d.Neck.Reach(f-1, f, fretboard.ScaleLength) * unit
		}
		b.wires = append(b.wires, b.wires[len(b.wires)-1]+w)
	}
	b.length = b.wires[len(b.wires)-1]
	b.width = float64(d.Neck.Tuning.Len()-1) * b.gap
	return b
}

// narrowest returns the width of the narrowest fret.
func (b *board) narrowest() float64 {
	least := cellEven
	for i := range b.wires[1:] {
		least = math.Min(least, b.wires[i+1]-b.wires[i])
	}
	return least
}

// before is the room before the first wire: for open strings and for the
// names of the strings.
func (b *board) before(e extent) float64 {
	room := b.names
	if e.open || e.silent {
		room += b.openCell
	}
	if b.upright {
		room += float64(b.belowLines) * b.lead() * boolToFloat(e.open)
	}
	return room
}

func boolToFloat(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// u returns where a note at a fret lies along the neck.
func (b *board) u(fret int) float64 {
	if fret < b.firstFret {
		u := -b.openCell / 2
		if b.upright {
			u -= float64(b.belowLines) * b.lead() / 2
		}
		return u
	}
	i := fret - b.firstFret
	return (b.wires[i] + b.wires[i+1]) / 2
}

func (b *board) v(str int) float64 { return float64(str-1) * b.gap }

// at turns u and v into a point of the picture.
func (b *board) at(u, v float64) (x, y float64) {
	switch {
	case b.upright && b.left:
		return b.x + v, b.y + u
	case b.upright:
		return b.x + b.width - v, b.y + u
	case b.left:
		return b.x + b.length - u, b.y + v
	}
	return b.x + u, b.y + v
}

// place returns where a place is in the picture. In upright pictures dots
// move up a little, so that what stands below them is in their fret too.
func (b *board) place(p fretboard.Place) (x, y float64) {
	x, y = b.at(b.u(p.Fret), b.v(p.String))
	if b.upright {
		y -= float64(b.belowLines) * b.lead() / 2
	}
	return x, y
}

// line draws a line between two points given by u and v.
func (b *board) line(u1, v1, u2, v2 float64, p ink.Paint) ink.Line {
	x1, y1 := b.at(u1, v1)
	x2, y2 := b.at(u2, v2)
	return ink.Line{X1: x1, Y1: y1, X2: x2, Y2: y2, Paint: p}
}
