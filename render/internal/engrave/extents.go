package engrave

import (
	"strconv"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
)

func itoa(n int) string { return strconv.Itoa(n) }

// waves draws vibrato over its notes.
func (c *canvas) waves() {
	run := c.spanRuns(score.VibratoSpan)
	for _, r := range run {
		c.wave(r.x0-2, r.x1, 1.6)
	}
	c.entries(func(b *bar, en *entry) {
		for _, h := range en.heads {
			wide := h.note.Has(score.WideVibrato)
			if !h.placed() || !wide && !h.note.Has(score.Vibrato) {
				continue
			}
			amplitude := 1.6
			if wide {
				amplitude = 2.8
			}
			x1 := min(c.xAfter(b, en), h.x+46)
			if bend, ok := h.note.Bend(); ok && !bend.WithBar {
				c.wave(h.x+h.half+bendRoom, max(x1, h.x+h.half+bendRoom+10), amplitude)
			} else {
				c.wave(h.x-2, x1, amplitude)
			}
			return // one wave is enough for a chord
		}
	})
}

func (c *canvas) wave(x0, x1, amplitude float64) {
	x1 = min(x1, c.sys.width-1)
	if x1-x0 < 6 {
		return
	}
	base := c.above.put(x0, x1, 2.4*amplitude+1, 3.5)
	c.path(wave("vibrato", x0, x1, -base-1.2*amplitude-0.5, amplitude))
	c.used.use("vibrato")
}

// spanRuns returns where the spans of a kind lie in the system.
func (c *canvas) spanRuns(kind score.SpanKind) []stretch {
	var out []stretch
	for _, s := range c.spans[c.n] {
		if s.kind != kind || s.from == nil || s.to == nil || c.within(s.from) > 0 || c.within(s.to) < 0 {
			continue
		}
		r := stretch{c.margin + 4, c.sys.bars[len(c.sys.bars)-1].x1 - 3}
		if c.within(s.from) == 0 {
			r.x0 = s.from.x
		}
		if c.within(s.to) == 0 {
			r.x1 = s.to.x + s.to.half + 1
		}
		out = append(out, r)
	}
	return out
}

// markRuns returns where runs of chords have a mark.
func (c *canvas) markRuns(m score.Mark) []stretch {
	var out []stretch
	open := false
	c.entries(func(b *bar, en *entry) {
		has := false
		for _, h := range en.heads {
			has = has || h.note.Has(m)
		}
		switch {
		case en.chord.IsRest() || en.chord.Voice > 1 && !has:
			return
		case has && !open:
			x := b.cols[en.col].x
			out = append(out, stretch{x, x + 4})
			open = true
		case has:
			out[len(out)-1].x1 = b.cols[en.col].x + 4
		default:
			open = false
		}
	})
	return out
}

// An extent is what lasts over several notes: its words, and a line as far as
// it goes.
type extent struct {
	mark       score.Mark
	span       score.SpanKind // 0 for none
	text, sign string
}

// extentKinds returns the kinds of extents: palm muting, ringing, and the
// marks that are long words, which would not stand beside each other.
func (c *canvas) extentKinds() []extent {
	kinds := []extent{
		{score.PalmMuted, score.PalmMute, "P.M.", "palm mute"},
		{score.LetRing, score.LetRingSpan, "let ring", "let ring"},
	}
	for _, m := range score.Marks() {
		if text := markText(m); len(text) > maxLetters {
			kinds = append(kinds, extent{mark: m, text: text, sign: signOf(m)})
		}
	}
	return kinds
}

// extents draws palm muting and ringing notes: their words, and how far they
// go.
func (c *canvas) extents() {
	for _, e := range c.extentKinds() {
		runs := c.markRuns(e.mark)
		if e.span != 0 {
			runs = append(runs, c.spanRuns(e.span)...)
		}
		if len(runs) == 0 {
			continue
		}
		if e.sign != "" {
			c.used.use(e.sign)
		}
		w := textWidth(e.text, labelSize, false)
		for i := range runs {
			runs[i].x0 = max(runs[i].x0-3, c.margin)
			if runs[i].x0+w > c.sys.width {
				runs[i].x0 = c.sys.width - w
			}
			runs[i].x1 = max(runs[i].x1, runs[i].x0+w)
		}
		base := c.above.row(runs, 7, 4)
		y := -base - 1
		for _, r := range runs {
			c.text(&Text{Class: "extent", X: r.x0, Y: y, Size: labelSize, Italic: true, Anchor: ink.Start, Text: e.text, group: musicGroup})
			if r.x1-r.x0 > w+6 {
				p := stroke("extent", 0.9).at(r.x0+w+3, y-2.5).to(r.x1, y-2.5)
				p.Dashed = true
				c.path(p)
				c.path(stroke("extent", 0.9).at(r.x1, y-5.5).to(r.x1, y+0.5))
			}
		}
	}
}
