package engrave

import (
	"cmp"
	"maps"
	"slices"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

// Lengths of the rhythm beside the strings, in units.
const (
	laneGap   = 7.0
	stemLong  = 20.0 // of a quarter note and shorter ones
	stemShort = 9.0  // of a half note
	beamThick = 2.8
	beamStep  = 4.6
)

// A stem is a written value in the rhythm beside the strings.
type stem struct {
	piece
	x     float64
	bar   *bar
	entry *entry
	rest  bool
	flags int
	beams []string // what each beam does at it
}

// A lane is the rhythm of one voice in a system: stems in a row, above the
// strings or below them.
type lane struct {
	voice int
	stems []*stem
}

// lanes draws the rhythm of all voices. A single voice stands below the
// strings; of two the first stands above.
func (c *canvas) lanes() {
	byVoice := map[int]*lane{}
	sounding := map[int]bool{}
	c.entries(func(b *bar, en *entry) {
		v := en.chord.Voice
		if byVoice[v] == nil {
			byVoice[v] = &lane{voice: v}
		}
		sounding[v] = sounding[v] || !en.chord.IsRest()
		for i, p := range en.pieces {
			x := b.cols[en.col].x + en.dx
			if i > 0 {
				x = b.cols[b.colAt(when{at: p.at})].x
			}
			s := &stem{piece: p, x: x, bar: b, entry: en, rest: en.chord.IsRest()}
			if p.ok && !s.rest && p.value.Log > 2 {
				s.flags = int(p.value.Log) - 2
			}
			byVoice[v].stems = append(byVoice[v].stems, s)
		}
	})
	voices := slices.Sorted(maps.Keys(byVoice))
	voices = slices.DeleteFunc(voices, func(v int) bool { return !sounding[v] })
	for i, v := range voices {
		l := byVoice[v]
		slices.SortStableFunc(l.stems, func(a, b *stem) int { return cmp.Compare(a.x, b.x) })
		l.beam()
		above := len(voices) > 1 && i%2 == 0
		c.lane(l, above)
	}
}

// beam joins the stems of each group of beats. Source: Gould, "Behind Bars",
// on grouping, from memory: within the beat, eighths alone by half bars of
// 4/4.
func (l *lane) beam() {
	for i := 0; i < len(l.stems); {
		j := i + 1
		if l.stems[i].flags > 0 {
			for j < len(l.stems) && l.joins(j-1, j) {
				j++
			}
			if j-i > 1 {
				beamRun(l.stems[i:j])
			}
		}
		i = j
	}
}

// joins tells whether the beam goes on from one stem to the next.
func (l *lane) joins(i, j int) bool {
	a, b := l.stems[i], l.stems[j]
	if a.flags == 0 || b.flags == 0 || a.bar != b.bar || a.at.Add(a.length) != b.at || !slices.Equal(a.tuplets, b.tuplets) {
		return false
	}
	ga, _, _ := a.bar.groupAt(a.at)
	gb, _, _ := b.bar.groupAt(b.at)
	if ga == gb {
		return true
	}
	return a.bar.quarterBeats && ga/2 == gb/2 && l.plain(a.bar, ga/2)
}

// plain tells whether a pair of quarter beats holds untupled eighths only.
func (l *lane) plain(b *bar, pair int) bool {
	for _, s := range l.stems {
		g, _, _ := b.groupAt(s.at)
		if s.bar == b && g/2 == pair && (s.flags != 1 || s.value.Dots > 0 || len(s.tuplets) > 0 || s.rest) {
			return false
		}
	}
	return true
}

// beamRun says what the beams do at each of some stems: "begin", "continue",
// "end", "forward" or "backward" for the stub of a beam.
func beamRun(stems []*stem) {
	deepest := 0
	for _, s := range stems {
		deepest = max(deepest, s.flags)
	}
	for level := 1; level <= deepest; level++ {
		for i, s := range stems {
			if s.flags < level {
				continue
			}
			before := i > 0 && stems[i-1].flags >= level
			after := i+1 < len(stems) && stems[i+1].flags >= level
			what := "forward"
			switch {
			case before && after:
				what = "continue"
			case before:
				what = "end"
			case after:
				what = "begin"
			case i == len(stems)-1:
				what = "backward"
			}
			s.beams = append(s.beams, what)
		}
	}
}

// lane draws the rhythm of a voice. In it y counts away from the strings.
func (c *canvas) lane(l *lane, above bool) {
	stemmed := false
	for _, s := range l.stems {
		stemmed = stemmed || !s.rest && s.ok && s.value.Log > 0
	}
	if !stemmed {
		c.dotsOfWholes(l, above)
		return
	}
	sky := c.below
	if above {
		sky = c.above
	}
	long := stemLong
	for _, s := range l.stems { // many beams need longer stems
		long = max(long, 9+beamStep*float64(s.flags))
	}
	full := []stretch{{0, c.sys.width}}
	base := sky.row(full, long+1, laneGap)
	d := drawer{c: c, base: base, long: long, above: above, sky: sky}
	for i, s := range l.stems {
		if s.rest {
			continue
		}
		d.stem(s)
		if s.tied && i > 0 {
			d.tie(l.stems[i-1].x, s.x)
		}
	}
	d.beams(l.stems)
	d.tuplets(l)
}

// dotsOfWholes writes the dots of whole notes where there are no stems.
func (c *canvas) dotsOfWholes(l *lane, above bool) {
	for _, s := range l.stems {
		if s.rest || !s.ok || s.value.Dots == 0 {
			continue
		}
		sky, y := c.below, 0.0
		if above {
			sky = c.above
		}
		base := sky.put(s.x+2, s.x+10, 4, 4)
		if y = c.height + base + 2; above {
			y = -base - 2
		}
		for i := range int(s.value.Dots) {
			c.path(filled("dot").ellipse(s.x+4+3.4*float64(i), y, 1.1, 1.1))
		}
	}
}

// A drawer draws in a lane; its y counts from the near edge of the lane away
// from the strings.
type drawer struct {
	c     *canvas
	base  float64
	long  float64 // of the stems
	above bool
	sky   *skyline
}

func (d drawer) y(v float64) float64 {
	if d.above {
		return -(d.base + v)
	}
	return d.c.height + d.base + v
}

func (d drawer) stem(s *stem) {
	if !s.ok {
		d.c.used.use("unknown length")
		return
	}
	end := d.long
	switch {
	case s.value.Log <= 0:
		end = 0
		if s.value.Log < 0 {
			d.c.used.use("breve")
		} else {
			d.c.used.use("whole")
		}
	case s.value.Log == 1:
		end = stemShort
		d.c.used.use("half")
	}
	if end > 0 {
		d.c.path(stroke("stem", 1).at(s.x, d.y(0)).to(s.x, d.y(end)))
	}
	if s.value.Log < 0 { // two short strokes
		d.c.path(stroke("stem", 1).at(s.x-2, d.y(0)).to(s.x-2, d.y(stemShort)))
		d.c.path(stroke("stem", 1).at(s.x+2, d.y(0)).to(s.x+2, d.y(stemShort)))
	}
	if s.flags > 0 && len(s.beams) == 0 {
		for i := range s.flags {
			d.flag(s.x, end-float64(i)*beamStep)
		}
	}
	dot := max(end-2.5, 2)
	if s.flags > 0 {
		dot = 6 // clear of flags and beams
	}
	for i := range int(s.value.Dots) {
		d.c.path(filled("dot").ellipse(s.x+4+3.4*float64(i), d.y(dot), 1.1, 1.1))
	}
	strokes := s.entry.chord.Tremolo
	for _, h := range s.entry.heads {
		if h.note.Has(score.TremoloPicking) {
			strokes = max(strokes, 3)
		}
	}
	for i := range min(strokes, 5) {
		y := 3 + 3.2*float64(i)
		d.c.path(stroke("tremolo", 1.5).at(s.x-3.2, d.y(y)+1.2).to(s.x+3.2, d.y(y)-1.2))
		d.c.used.use("tremolo")
	}
}

// flag draws one flag at the end of a stem.
func (d drawer) flag(x, v float64) {
	d.c.path(filled("flag").at(x, d.y(v)).curve(x+1, d.y(v-4), x+6.5, d.y(v-5), x+5, d.y(v-11)).
		curve(x+5.2, d.y(v-7), x+1.5, d.y(v-6), x, d.y(v-3.2)).close())
}

// tie joins two stems of one note that is written in two values.
func (d drawer) tie(x0, x1 float64) {
	x0, x1 = x0+2, x1-2
	y, h := d.y(0.5), 4.0
	if d.above {
		h = -h
	}
	q := (x1 - x0) * 0.3
	d.c.path(filled("arc").at(x0, y).curve(x0+q, y-h, x1-q, y-h, x1, y).curve(x1-q, y-h+1.2, x0+q, y-h+1.2, x0, y).close())
	d.c.used.use("rhythm tie")
}

func (d drawer) beams(stems []*stem) {
	starts := map[int]float64{}
	for _, s := range stems {
		for level, what := range s.beams {
			x0, x1 := s.x, s.x
			switch what {
			case "begin":
				starts[level] = s.x - 0.5
				continue
			case "continue":
				continue
			case "end":
				x0, x1 = starts[level], s.x+0.5
			case "forward":
				x1 = s.x + 6
			case "backward":
				x0 = s.x - 6
			}
			far := d.long - float64(level)*beamStep
			near := far - beamThick
			d.c.path(filled("beam").box(x0, min(d.y(far), d.y(near)), x1, max(d.y(far), d.y(near))))
		}
	}
}

// tuplets writes the numbers of tuplets beyond the beams, with a bracket where
// no beam shows what belongs together.
func (d drawer) tuplets(l *lane) {
	type member struct {
		x0, x1 float64
		depth  int
		t      score.Tuplet
		beamed bool
	}
	var order []int
	found := map[int]*member{}
	for _, s := range l.stems {
		for depth, t := range s.tuplets {
			// IDs are of the part; implied ones of the bar
			id := t.ID
			if id < 0 {
				id = id - 1000*(s.bar.index+1)
			}
			m := found[id]
			if m == nil {
				m = &member{x0: s.x, t: t, depth: depth, beamed: true}
				found[id] = m
				order = append(order, id)
			}
			m.x1 = s.x
		}
	}
	for _, id := range order {
		m := found[id]
		for _, s := range l.stems { // a beam shows it if it spans just that
			want := "continue"
			switch {
			case s.x < m.x0 || s.x > m.x1:
				continue
			case s.x == m.x0:
				want = "begin"
			case s.x == m.x1:
				want = "end"
			}
			if len(s.beams) == 0 || s.beams[0] != want {
				m.beamed = false
			}
		}
	}
	deepest := 0
	for _, id := range order {
		deepest = max(deepest, found[id].depth)
	}
	for depth := deepest; depth >= 0; depth-- { // the inner ones lie nearer
		var spans []stretch
		for _, id := range order {
			if m := found[id]; m.depth == depth {
				spans = append(spans, stretch{m.x0 - 3, m.x1 + 3})
			}
		}
		if len(spans) == 0 {
			continue
		}
		base := d.sky.row(spans, 9, 2)
		y := func(v float64) float64 {
			if d.above {
				return -(base + v)
			}
			return d.c.height + base + v
		}
		for _, id := range order {
			m := found[id]
			if m.depth != depth {
				continue
			}
			text := itoa(m.t.Actual)
			if m.t.Normal != usualNormal(m.t.Actual) {
				text += ":" + itoa(m.t.Normal)
			}
			w := textWidth(text, labelSize, true)
			mid := (m.x0 + m.x1) / 2
			t := &Text{Class: "tuplet", X: mid, Y: y(4.5) + labelSize*ink.CapHeight/2, Size: labelSize, Bold: true, Italic: true, Text: text, Anchor: ink.Middle, group: musicGroup}
			d.c.text(t)
			if !m.beamed && m.x1-m.x0 > w+8 {
				d.c.path(stroke("tuplet", 0.8).at(m.x0-2, y(1.5)).to(m.x0-2, y(4.5)).to(mid-w/2-2, y(4.5)))
				d.c.path(stroke("tuplet", 0.8).at(mid+w/2+2, y(4.5)).to(m.x1+2, y(4.5)).to(m.x1+2, y(1.5)))
			}
			d.c.used.use("tuplet")
		}
	}
}

// usualNormal returns the number of notes whose time a tuplet takes when only
// its own number is written: the next lower power of two.
func usualNormal(actual int) int {
	n := 1
	for 2*n < actual {
		n *= 2
	}
	return n
}

// rests draws the rests in the middle of the strings, or for two voices in
// their upper and lower half.
func (c *canvas) rests() {
	sounding := map[int]bool{}
	c.entries(func(_ *bar, en *entry) {
		sounding[en.chord.Voice] = sounding[en.chord.Voice] || !en.chord.IsRest()
	})
	voices := slices.Sorted(maps.Keys(sounding))
	heard := slices.DeleteFunc(slices.Clone(voices), func(v int) bool { return !sounding[v] })
	if len(heard) == 0 && len(voices) > 0 { // a system of rests only
		heard = voices[:1]
	}
	c.entries(func(b *bar, en *entry) {
		rank := slices.Index(heard, en.chord.Voice)
		if !en.chord.IsRest() || rank < 0 {
			return
		}
		y := c.height / 2
		if len(heard) > 1 {
			y = stringGap * 1.5
			if rank%2 == 1 {
				y = c.height - stringGap*1.5
			}
		}
		y = float64(int(y/stringGap))*stringGap + stringGap/2 // between two strings
		for i, p := range en.pieces {
			x := b.cols[en.col].x
			if i > 0 {
				x = b.cols[b.colAt(when{at: p.at})].x
			}
			if en.chord.WholeMeasure {
				x = (b.x0 + b.x1) / 2
			}
			if p.ok {
				c.rest(x, y, p.value)
			}
		}
	})
}

// rest draws a rest around a middle between two strings.
func (c *canvas) rest(x, y float64, v score.NoteValue) {
	c.used.use("rest")
	right := 4.5
	switch {
	case v.Log < 0:
		c.path(filled("rest").box(x-2, y-stringGap/2, x+2, y+stringGap/2))
	case v.Log == 0:
		c.path(filled("rest").box(x-5, y-stringGap/2, x+5, y-stringGap/2+4))
		right = 7
	case v.Log == 1:
		c.path(filled("rest").box(x-5, y+stringGap/2-4, x+5, y+stringGap/2))
		right = 7
	case v.Log == 2:
		c.path(filled("rest").at(x-2.4, y-10).to(x+3, y-3.4).curve(x+0.4, y-1, x+0.6, y+1, x+3.4, y+4.6).
			curve(x-0.4, y+3.2, x-2.2, y+5, x+1, y+9.6).
			curve(x-4.4, y+6.6, x-4.2, y+1.8, x-0.4, y+2.2).to(x-3, y-1.4).curve(x-0.2, y-4.2, x-0.4, y-6.6, x-2.4, y-10).close())
	default:
		n := int(v.Log) - 2
		top := y - 4 - float64(n-1)*3
		bottom := y + 6 + float64(n-1)*2
		slope := 3.0 / (bottom - top)
		c.path(stroke("rest", 1.1).at(x+3, top).to(x, bottom))
		for i := range n {
			hy := top + float64(i)*5
			hx := x + 3 - (hy-top)*slope
			c.path(filled("rest").ellipse(hx-4.6, hy+0.8, 1.7, 1.7))
			c.path(stroke("rest", 1).at(hx, hy).curve(hx-1.2, hy+3, hx-3.4, hy+3, hx-5, hy+2.1))
		}
	}
	for i := range int(v.Dots) {
		c.path(filled("dot").ellipse(x+right+1.5+3.4*float64(i), y-2, 1.1, 1.1))
	}
}
