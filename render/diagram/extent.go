package diagram

import (
	"math"
)

// extent is what several pictures have to have in common to be alike in size.
type extent struct {
	from, to   int
	open       bool
	silent     bool
	bowed      bool    // something leads to or from an open string
	belowLines int     // at most
	widest     float64 // of what stands below dots, on one line
	broken     float64 // the same as its lines are broken
	cell, nut  float64 // what frets and open strings need for what stands below dots
	need       float64 // what frets need for words at links
	gap        float64 // between strings, for what stands below dots and over them
	over       float64 // the same over the first string, or upright beside any
	bottom     float64 // below the last string
}

func extentOf(ds []Diagram, o Options) extent {
	e, m := extent{from: math.MaxInt, to: 0}, o.measures(0)
	for _, d := range ds {
		_, below := o.shows(d)
		e.from, e.to = min(e.from, d.From), max(e.to, d.To)
		e.silent = e.silent || len(d.Silent) > 0
		e.need = math.Max(e.need, d.bowNeed(o, m.slur))
		for _, l := range d.Links {
			e.bowed = e.bowed || l.low() == 0
		}
		for _, dot := range d.Dots {
			for _, line := range dot.beneath(below, math.MaxFloat64, m.under, d.firstStep()) {
				e.widest = math.Max(e.widest, line.width(m.under))
			}
		}
	}
	e.open = e.from == 0
	for _, d := range ds {
		_, below := o.shows(d)
		width := o.line(d, e)
		for _, dot := range d.Dots {
			lines := dot.beneath(below, width, m.under, d.firstStep())
			e.belowLines = max(e.belowLines, len(lines))
			for _, line := range lines {
				e.broken = math.Max(e.broken, line.width(m.under))
			}
		}
		e.fit(d, o, below, width)
	}
	// What stands over strings is laid out for the frets that there are at least.
	for _, d := range ds {
		e.stack(d, o)
	}
	return e
}

// fit finds how wide frets have to be so that what stands below the dots of a
// string does not touch.
func (e *extent) fit(d Diagram, o Options, below []Label, width float64) {
	if d.upright(o) || o.TrueFrets || o.Small {
		return
	}
	const air = 7
	size := o.measures(0).under
	widths := make([]float64, len(d.Dots))
	for i, dot := range d.Dots {
		for _, line := range dot.beneath(below, width, size, d.firstStep()) {
			widths[i] = math.Max(widths[i], line.width(size))
		}
		switch dot.Place.Fret {
		case 0:
			e.nut = math.Max(e.nut, widths[i]+air)
		case d.From: // nothing is beside it but the names of strings, which are higher
			e.cell = math.Max(e.cell, widths[i]-2*edgeRoom)
		case d.To:
			e.cell = math.Max(e.cell, widths[i]-2)
		}
	}
	for i, a := range d.Dots {
		for k, b := range d.Dots {
			if frets := b.Place.Fret - a.Place.Fret; a.Place.String == b.Place.String && frets > 0 && widths[i]+widths[k] > 0 {
				need, n := (math.Max(widths[i], 2*dotR)+math.Max(widths[k], 2*dotR))/2+air, float64(frets)
				if a.Place.Fret == 0 {
					need, n = need-math.Max(openCell, widths[i]+air)/2, n-.5
				}
				e.cell = math.Max(e.cell, need/n)
			}
		}
	}
}

// stack finds how far strings have to be from each other for what stands
// below the dots of one and over those of the next.
func (e *extent) stack(d Diagram, o Options) {
	_, below := o.shows(d)
	m, width := o.measures(0), o.line(d, *e)
	upright := d.upright(o)
	room := m.bowRoom(upright, e.broken/2, o.least(d, *e))
	bows := d.bowsOf(o, room)
	if upright {
		for str := range d.Neck.Tuning.Len() {
			e.over = math.Max(e.over, bowsBeyond(bows, str+1, room.house))
		}
		return
	}
	last := 0.0
	for str := 1; str <= d.Neck.Tuning.Len(); str++ {
		beyond := bowsBeyond(bows, str, room.house)
		e.gap = math.Max(e.gap, last+beyond)
		if str == 1 {
			e.over = math.Max(e.over, beyond)
		}
		last = 0
		for _, dot := range d.Dots {
			if dot.Place.String == str {
				last = math.Max(last, float64(len(dot.beneath(below, width, m.under, d.firstStep())))*m.lead())
			}
		}
	}
	e.bottom = math.Max(e.bottom, last)
}

// least returns how wide a fret is at least.
func (o Options) least(d Diagram, e extent) float64 {
	if o.Small {
		return cellMin
	}
	least := math.Max(cellMin, e.need)
	if !d.upright(o) && !o.TrueFrets && !o.frame {
		least = math.Max(cellEven, math.Max(e.cell, least))
	}
	return least
}

// line returns how wide a line below a dot may be: frets, or upright the room
// between strings, grow with what is written there, but not for all of it.
func (o Options) line(d Diagram, e extent) float64 {
	switch {
	case d.upright(o):
		return math.Max(cellMin-2, math.Min(e.widest, turnedMax))
	case o.Small:
		return cellMin - 2
	case o.TrueFrets:
		return math.Max(cellMin-2, math.Min(e.widest, turnedMax))
	}
	return math.Max(cellEven-4, math.Min(e.widest, lineMax))
}
