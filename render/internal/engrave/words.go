package engrave

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// events ranges over the events of the staff in the system, each with the x
// of its moment.
func (c *canvas) events(visit func(b *bar, x float64, e score.Event)) {
	for _, b := range c.sys.bars {
		if b.index >= len(c.st.part.Measures) {
			continue
		}
		for _, e := range c.st.part.Measures[b.index].Events {
			if !c.st.shown(e) {
				continue
			}
			x := b.x0 + barPad
			if len(b.cols) > 0 {
				x = b.cols[b.colAt(when{at: e.At()})].x
			}
			visit(b, x, e)
		}
	}
}

// harmonies writes the chord symbols in one row.
func (c *canvas) harmonies() {
	var texts []*Text
	var spans []stretch
	c.events(func(b *bar, x float64, e score.Event) {
		h, ok := e.(*score.Harmony)
		if !ok {
			return
		}
		t := &Text{Class: "chord", X: x - 4, Size: chordSize, Bold: true, Anchor: ink.Start, Text: h.Chord.Pretty(), Bar: b.index, At: h.Onset, group: musicGroup}
		w := textWidth(t.Text, t.Size, true)
		t.X = min(t.X, max(c.sys.width-w, c.margin))
		if n := len(texts); n > 0 { // two at one time
			t.X = max(t.X, spans[n-1].x1+symbolGap-2)
		}
		texts = append(texts, t)
		spans = append(spans, stretch{t.X, t.X + w})
	})
	// An amount of a bend beside a symbol would read as a part of it, so all
	// symbols stand over all amounts.
	if len(spans) > 0 && c.amounts > 0 {
		for _, s := range spans {
			c.above.fill(s.x0, s.x1, c.amounts)
		}
	}
	base := c.above.row(spans, chordSize*ink.CapHeight+2.5, 5)
	for _, t := range texts {
		t.Y = -base - 2.5 // letters such as g reach below
		c.text(t)
	}
}

// words writes tempo, headings and other words over the bars, and what
// changes on the way: key, tuning, capo.
func (c *canvas) words() {
	first := true
	c.events(func(b *bar, x float64, e score.Event) {
		begins := b.index == 0 && e.At().IsZero()
		switch e := e.(type) {
		case *score.Words:
			switch e.Kind {
			case "lyric":
			case "rehearsal":
				w := textWidth(e.Text, wordSize, true)
				t := Text{Class: "rehearsal", X: x - 2, Size: wordSize, Bold: true, Anchor: ink.Start, Text: e.Text}
				c.overText(t, 6)
				y := -(c.above.over(x, x+1) - wordSize*ink.CapHeight)
				c.path(stroke("rehearsal", 0.9).box(x-5, y-wordSize*ink.CapHeight-3, x+w+1, y+3))
				c.above.fill(x-6, x+w+2, -y+wordSize+2)
			case "dynamics":
				c.overText(Text{Class: "dynamics", X: x - 3, Size: 10.5, Bold: true, Italic: true, Anchor: ink.Start, Text: e.Text}, 4)
			default:
				c.overLines(Text{Class: "words", X: x - 4, Size: wordSize, Italic: true, Anchor: ink.Start, Text: e.Text})
			}
		case *score.Tempo:
			if c.n == 0 {
				c.tempo(x, e, b.tempoBeat)
			}
		case *score.KeySignature:
			if !begins && !e.Free && !e.NoKey && c.n == 0 {
				c.overText(Text{Class: "words", X: x - 4, Size: wordSize, Anchor: ink.Start, Text: "Key: " + e.Key.Pretty()}, 4)
			}
		case *score.NeckChange:
			if !begins || !first {
				c.overText(Text{Class: "words", X: x - 4, Size: wordSize, Anchor: ink.Start, Text: NeckWords(e.Neck)}, 4)
			}
			first = false
		}
	})
}

// overLines puts words above the staff, in as many lines as they need.
func (c *canvas) overLines(t Text) {
	room := c.sys.width - t.X
	if room < 160 { // too near the edge for lines of any length
		room = min(c.sys.width-c.margin, 260)
	}
	lines := wrap(t.Text, t.Size, room)
	for i := len(lines) - 1; i >= 0; i-- { // the last lies nearest to the strings
		line := t
		line.Text = lines[i]
		c.overText(line, 4)
	}
}

// wrap breaks a text into lines of a width, at its line breaks and between
// words.
func wrap(text string, size, width float64) []string {
	var out []string
	for line := range strings.Lines(text) {
		now := ""
		for word := range strings.FieldsSeq(line) {
			if now != "" && textWidth(now+" "+word, size, false) > width {
				out = append(out, now)
				now = ""
			}
			if now != "" {
				now += " "
			}
			now += word
		}
		if now != "" {
			out = append(out, now)
		}
	}
	return out
}

// NeckWords names a tuning and a capo.
func NeckWords(n fretboard.Neck) string {
	text := n.Tuning.Name
	if text == "" {
		text = n.Tuning.String()
	}
	text = "Tuning: " + text
	if n.Capo > 0 {
		text += fmt.Sprintf(", capo %d", n.Capo)
	}
	return text
}

// tempo writes a quarter note, drawn, and how many of it there are in a
// minute; a dotted quarter or eighth where that is the beat.
func (c *canvas) tempo(x float64, e *score.Tempo, beat score.Quarters) {
	perMinute, dot := e.QuartersPerMinute, 0.0
	if beat == score.Q(3, 2) || beat == score.Q(3, 4) {
		const decimals = 100 // as a metronome can be set, and more
		perMinute, dot = math.Round(perMinute/beat.Float()*decimals)/decimals, 4
	}
	number := ""
	if e.QuartersPerMinute > 0 {
		number = "= " + strconv.FormatFloat(perMinute, 'f', -1, 64)
	}
	x -= 4
	w := 0.0
	words := e.Text
	if words != "" {
		w = textWidth(words+" ", wordSize, true)
	}
	full := w + 9 + dot + textWidth(number, wordSize, false)
	x = max(min(x, c.sys.width-full), c.margin)
	base := c.above.put(x, x+full, 12, 5)
	if words != "" {
		c.text(&Text{Class: "tempo", X: x, Y: -base, Size: wordSize, Bold: true, Anchor: ink.Start, Text: words, group: musicGroup})
	}
	if number != "" {
		c.path(filled("note").ellipse(x+w+3, -base-1.6, 2.7, 2))
		c.path(stroke("note", 0.9).at(x+w+5.3, -base-2).to(x+w+5.3, -base-11.5))
		if beat == score.Q(3, 4) {
			c.path(stroke("note", 0.9).at(x+w+5.3, -base-11.5).curve(x+w+5.5, -base-9, x+w+9, -base-8, x+w+7.8, -base-5))
		}
		if dot > 0 {
			c.path(filled("dot").ellipse(x+w+8, -base-1.6, 0.9, 0.9))
		}
		c.text(&Text{Class: "tempo", X: x + w + 9 + dot, Y: -base, Size: wordSize, Anchor: ink.Start, Text: number, group: musicGroup})
	}
}

// lyrics writes words that are sung below, each verse in a row.
func (c *canvas) lyrics() {
	var verses [][]*Text
	c.events(func(b *bar, x float64, e score.Event) {
		w, ok := e.(*score.Words)
		if !ok || w.Kind != "lyric" {
			return
		}
		verse := 0
		for verse < len(verses) {
			last := verses[verse][len(verses[verse])-1]
			if last.X == x && last.Text == w.Text {
				return // of another voice
			}
			if last.X != x {
				break
			}
			verse++
		}
		if verse == len(verses) {
			verses = append(verses, nil)
		}
		verses[verse] = append(verses[verse], &Text{Class: "lyric", X: x, Size: labelSize, Anchor: ink.Middle, Text: w.Text, Bar: b.index, At: w.Onset, group: rowGroup + 99 + verse})
	})
	for _, verse := range verses {
		var spans []stretch
		for _, t := range verse {
			half := textWidth(t.Text, labelSize, false) / 2
			spans = append(spans, stretch{t.X - half, t.X + half})
		}
		base := c.below.row(spans, labelSize, 4)
		for _, t := range verse {
			t.Y = c.height + base + labelSize*ink.CapHeight
			c.text(t)
		}
	}
}

// A cell is the labels of what is struck in one column, those of thinner
// strings first.
type cell struct {
	bar   *bar
	heads []*head
}

// cellsOf gathers what is labelled in a row, column by column, whatever voice
// it is of. A chord of which one note has a label keeps a place for each of
// the others, so that rows can be read across.
func (c *canvas) cellsOf(k rowKind) []cell {
	type gathered struct {
		cell
		labelled bool
	}
	var all []*gathered
	at := map[*column]*gathered{}
	c.entries(func(b *bar, en *entry) {
		for _, h := range en.heads {
			col := b.cols[en.col]
			if at[col] == nil {
				at[col] = &gathered{cell: cell{bar: b}}
				all = append(all, at[col])
			}
			at[col].heads = append(at[col].heads, h)
			at[col].labelled = at[col].labelled || k.text(h.note) != ""
		}
	})
	var out []cell
	for _, x := range all {
		if x.labelled {
			slices.SortStableFunc(x.heads, func(a, b *head) int { return cmp.Compare(a.note.Place.String, b.note.Place.String) })
			out = append(out, x.cell)
		}
	}
	return out
}

// labelRows writes the rows of labels below: degrees, fingers, …
func (c *canvas) labelRows() {
	for i, k := range c.rows[c.n] {
		cells := c.cellsOf(k)
		if len(cells) == 0 {
			continue
		}
		step, depth := labelSize+1.5, 0
		for _, x := range cells {
			depth = max(depth, len(x.heads))
			for _, h := range x.heads {
				if line, _ := c.opt.lines(h.note, k.kind); line {
					step = blankHeight
				}
			}
		}
		full := []stretch{{0, c.sys.width}}
		base := c.height + c.below.row(full, float64(depth)*step, 3)
		line := func(n int) float64 { return base + float64(n)*step + step - 1.5 }
		c.text(&Text{Class: "row-name", X: c.margin - 5, Y: line(0), Size: labelSize, Italic: true, Anchor: ink.End, Text: k.label, group: rowGroup + i})
		for _, x := range cells {
			for n, h := range x.heads {
				if k.text(h.note) == "" {
					continue
				}
				lined, filled := c.opt.lines(h.note, k.kind)
				if lined {
					c.path(stroke("blank", 0.8).at(h.x-blankWidth/2, line(n)+2.5).to(h.x+blankWidth/2, line(n)+2.5))
				}
				if lined && !filled {
					continue
				}
				label := &Text{
					Class: "label " + k.kind, X: h.x, Y: line(n), Size: labelSize, Anchor: ink.Middle, Text: k.text(h.note), Color: k.color(h.note),
					Bar: x.bar.index, At: h.chord.Onset, group: rowGroup + i,
				}
				if filled {
					label.Size, label.Bold = filledSize, true
				}
				c.text(label)
			}
		}
	}
}
