package diagram

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// OfLayout draws a layout: a position, a pattern, an arpeggio in one. all are
// further tones that are marked faintly in the same region, such as the scale
// round an arpeggio; it may be empty.
func OfLayout(l fretboard.Layout, r Reading, all fretboard.ToneSet) Diagram {
	d := Diagram{Title: stringsNamed(l.Region.Name, l.Region.Neck.Tuning), Neck: l.Region.Neck, Index: l.Region.Index, Home: r.Home, Over: r.Chord, Notes: slices.Clone(l.Region.Remarks)}
	for _, s := range l.Spots {
		d.Dots = append(d.Dots, r.dot(s, l.Region.Index))
	}
	d.fingers(l)
	if len(all.Tones) > 0 {
		for _, s := range l.Region.Lay(all).Spots {
			if d.at(s.Place) == nil {
				dot := r.dot(s, l.Region.Index)
				dot.Faint = true
				d.Dots = append(d.Dots, dot)
			}
		}
	}
	if len(l.Missing) > 0 {
		names := make([]string, len(l.Missing))
		for i, p := range l.Missing {
			names[i] = p.Pretty()
		}
		d.Notes = append(d.Notes, "no place for "+strings.Join(slices.Compact(names), " "))
	}
	d = d.sized()
	if d.Subtitle = where(d); d.Subtitle == d.Title {
		d.Subtitle = ""
	}
	return d
}

// where says in which position the hand stands, or which frets the dots are
// on.
func where(d Diagram) string {
	if d.Index > 0 {
		return "position " + fretboard.Roman(d.Index)
	}
	if d.Index == 0 {
		return "open position"
	}
	low, high := -1, -1
	for _, dot := range d.Dots {
		if low < 0 || dot.Place.Fret < low {
			low = dot.Place.Fret
		}
		high = max(high, dot.Place.Fret)
	}
	switch {
	case low < 0:
		return ""
	case low == high:
		return fmt.Sprintf("fret %d", low)
	}
	return fmt.Sprintf("frets %d to %d", low, high)
}

// fingers gives each fretted dot its finger where the hand stands in one place,
// and in patterns where one hand does: that which it has in the whole of the
// position, so that an arpeggio is fingered as the scale is.
func (d *Diagram) fingers(l fretboard.Layout) {
	if l.Region.Index < 0 && !l.Region.IsPattern() {
		return
	}
	whole, own := l.Region.Lay(l.Tones).Fingers(), l.Fingers()
	for i := range d.Dots {
		p := d.Dots[i].Place
		f, ok := whole[p]
		if !ok {
			f, ok = own[p]
		}
		if ok {
			d.Dots[i].Fingers = []score.Finger{score.Index + score.Finger(f)}
		}
	}
}

// OfNeck draws tones on every place of the neck from one fret to another. The
// layouts, of the same tones, are marked along it with the joins from each to
// the next; without layouts the notes alone are drawn. scaleLength is in
// millimetres. The error says what is wrong with the frets or the tones.
func OfNeck(n fretboard.Neck, t fretboard.ToneSet, r Reading, from, to int, layouts []fretboard.Layout, scaleLength float64) (Diagram, error) {
	regions, err := fretboard.Window{From: from, To: to}.Regions(n, t)
	if err != nil {
		return Diagram{}, err
	}
	d := Diagram{Title: t.Title, Neck: n, From: from, To: to, Index: -1, Home: r.Home, Over: r.Chord}
	for _, s := range regions[0].Places(t) {
		d.Dots = append(d.Dots, r.dot(s, -1))
	}
	shown := func(f int) bool { return from <= f && f <= to }
	marked := false // the layout before has a bracket
	for i, l := range layouts {
		before := marked
		marked = false
		low, high := frets(l)
		if low < 0 || high < from || low > to {
			continue
		}
		if mostly(l, from, to) {
			d.Spans = append(d.Spans, Span{Name: stringsNamed(l.Region.Name, n.Tuning), From: max(low, from), To: min(high, to), Before: low < from, Beyond: high > to})
			marked = true
			if at := l.Region.IndexFret(); !l.Region.IsPattern() {
				d.Spans[len(d.Spans)-1].Index = at
				if shown(at) {
					d.Hands = append(d.Hands, at)
				}
			}
		}
		// A shift to or from what has no bracket would lead nowhere.
		// Patterns of so many notes per string lie a note apart on every string,
		// so that shifts between them would be everywhere.
		if !before || !marked || l.Region.IsPattern() {
			continue
		}
		m := Move{From: layouts[i-1].Region.IndexFret(), To: l.Region.IndexFret(), Label: stringsNamed(layouts[i-1].Region.Name, n.Tuning) + " to " + stringsNamed(l.Region.Name, n.Tuning)}
		for _, j := range fretboard.Joins(layouts[i-1], l, scaleLength) {
			if shown(j.From.Place.Fret) && shown(j.To.Place.Fret) {
				m.Ways = append(m.Ways, Way{j.From.Place.String, j.From.Place.Fret, j.To.Place.Fret})
			}
		}
		// What stands at one fret, as two shapes in one place do, needs no shift.
		if shown(m.From) && shown(m.To) && m.From != m.To {
			d.Moves = append(d.Moves, m)
			d.Hands = append(d.Hands, m.From, m.To)
		}
	}
	slices.Sort(d.Hands)
	d.Hands = slices.Compact(d.Hands)
	d.Subtitle, d.Spans = shorten(d.Spans)
	return d, nil
}

// OfRows draws the same neck once for each position, one below the other: its
// own notes in full, wherever it lies, and the rest of the tones faintly. So
// notes that several positions share, which one neck cannot tell apart, are
// seen to be in each of them. all are the layouts of the whole neck, of which
// those with one name share a row, and draw makes the picture of one, as
// [OfLayout] does. There are no rows where no note is in two of them.
func OfRows(neck Diagram, all []fretboard.Layout, draw func(fretboard.Layout) Diagram) []Diagram {
	var rows []Diagram
	in := map[fretboard.Place]int{}
	for i, l := range all {
		name := l.Region.Name
		var where []string
		var first fretboard.Layout
		same := func(b fretboard.Layout) bool { return b.Region.Name == name && mostly(b, neck.From, neck.To) }
		if !same(l) || slices.ContainsFunc(all[:i], same) {
			continue
		}
		row := Diagram{Title: stringsNamed(name, neck.Neck.Tuning), Neck: neck.Neck, From: neck.From, To: neck.To, Index: -1, Home: neck.Home, Over: neck.Over, row: true}
		for _, b := range all[i:] {
			if !same(b) {
				continue
			}
			own := draw(b)
			// What is said of one copy that is cut off is not true of the shape.
			if len(row.Dots) == 0 {
				row.Notes = own.Notes
			}
			low, high := frets(b)
			shownAt := fmt.Sprintf("%d to %d", max(low, neck.From), min(high, neck.To))
			span := Span{Name: "frets " + shownAt, From: max(low, neck.From), To: min(high, neck.To), Before: low < neck.From, Beyond: high > neck.To}
			if len(where) == 0 {
				where, first = append(where, "frets "+shownAt), b
			} else {
				var again string
				again, span.Name = copyOf(first, b, shownAt)
				where = append(where, "and "+again)
			}
			row.Spans = append(row.Spans, span)
			if high > neck.To {
				row.Notes = append(row.Notes, fmt.Sprintf("%s goes on beyond fret %d, to %d", row.Title, neck.To, high))
			}
			if low < neck.From {
				row.Notes = append(row.Notes, fmt.Sprintf("%s begins before fret %d, at %d", row.Title, neck.From, low))
			}
			for _, dot := range own.Dots {
				if f := dot.Place.Fret; f < neck.From || f > neck.To || row.at(dot.Place) != nil {
					continue
				}
				row.Dots = append(row.Dots, dot)
				in[dot.Place]++
			}
			if at := fingerFret(own.Index); at >= neck.From && at > 0 && at <= neck.To {
				row.Hands = append(row.Hands, at)
			} else if at > 0 && !b.Region.IsPattern() {
				side := "before"
				if at > neck.To {
					side = "beyond"
				}
				row.Notes = append(row.Notes, fmt.Sprintf("frets %s: the index finger is at fret %d, %s the picture", shownAt, at, side))
			}
			row.Caution = cmp.Or(row.Caution, own.Caution)
		}
		if row.Subtitle = strings.Join(where, ", "); len(where) < 2 {
			row.Spans = nil // one place needs no bracket
		}
		for _, dot := range neck.Dots {
			if row.at(dot.Place) == nil {
				dot.Faint = true
				row.Dots = append(row.Dots, dot)
			}
		}
		rows = append(rows, row)
	}
	shared := false
	for _, n := range in {
		shared = shared || n > 1
	}
	if len(rows) < 2 || !shared {
		return nil
	}
	return rows
}

// copyOf says how a layout of the same name lies to the first of them, for a
// title and for a bracket.
func copyOf(first, l fretboard.Layout, at string) (words, short string) {
	a, b := shapeFrets(first), shapeFrets(l)
	if slices.Equal(a, b) {
		return fmt.Sprintf("again 12 frets higher, %s", at), "12 frets higher"
	}
	return "again at frets " + at, "frets " + at
}

// shapeFrets returns the places of a layout, each by its string and its fret
// above those of the octave.
func shapeFrets(l fretboard.Layout) []int {
	low, _ := frets(l)
	var all []int
	for _, s := range l.Spots {
		all = append(all, s.Place.String*100+s.Place.Fret-low/12*12)
	}
	slices.Sort(all)
	return all
}

// fingerFret returns the fret that the index finger has where a hand stands: in
// open position the first. It is -1 for no hand.
func fingerFret(index int) int {
	if index == 0 {
		return 1
	}
	return index
}

// mostly tells whether half of the frets of a layout or more lie between two
// frets. A position of which less is shown would only be a name.
func mostly(l fretboard.Layout, from, to int) bool {
	low, high := frets(l)
	return low >= 0 && 2*(min(high, to)-max(low, from)+1) >= high-low+1
}

// shorten takes the words off that all names of spans begin with: "3 notes per
// string from 2" is "from 2" beside its likes.
func shorten(spans []Span) (common string, short []Span) {
	if len(spans) < 2 {
		return "", spans
	}
	words := strings.Fields(spans[0].Name)
	n := len(words) - 1
	for _, s := range spans[1:] {
		other := strings.Fields(s.Name)
		n = min(n, len(other)-1)
		for i := range n {
			if words[i] != other[i] {
				n = i
				break
			}
		}
	}
	if n > 1 && words[0] == "root" && words[1] == "on" {
		// "A string, index finger" at a bracket is no sentence that a title begins.
		return "at the brackets: where the root is, and its finger", trimmed(spans, strings.Join(words[:n], " "))
	}
	for n > 0 && (words[n-1] == "from" || words[n-1] == "on") {
		n--
	}
	if n <= 0 {
		return "", spans
	}
	common = strings.Join(words[:n], " ")
	return common, trimmed(spans, common)
}

// trimmed takes words off that all names of spans begin with. Two shapes at one
// place are "root on string 6, index finger and root on string 4, index finger".
func trimmed(spans []Span, common string) []Span {
	var short []Span
	for _, s := range spans {
		s.Name = strings.TrimPrefix(strings.ReplaceAll(strings.TrimPrefix(s.Name, common+" "), " and "+common+" ", " and "), "the ")
		short = append(short, s)
	}
	return short
}

// frets returns the lowest and the highest fret of a layout, -1 for none.
func frets(l fretboard.Layout) (low, high int) {
	low, high = -1, -1
	for _, s := range l.Spots {
		if low < 0 || s.Place.Fret < low {
			low = s.Place.Fret
		}
		high = max(high, s.Place.Fret)
	}
	return low, high
}

// OfVoicing draws a chord as a hand holds it: a chord box. Strings that do
// not sound are marked.
func OfVoicing(n fretboard.Neck, v fretboard.Voicing, c theory.Chord, title string) Diagram {
	home := c.Root
	r := Reading{&home, &c}
	d := Diagram{Title: c.Pretty(), Subtitle: title, Neck: n, Index: -1, Home: &home, Over: &c, Held: true, Show: []Label{Functions, Fingers}}
	for _, s := range v.Spots {
		d.Dots = append(d.Dots, r.dot(s, -1))
	}
	for str := 1; str <= n.Tuning.Len(); str++ {
		if !slices.ContainsFunc(v.Spots, func(s fretboard.Spot) bool { return s.Place.String == str }) {
			d.Silent = append(d.Silent, str)
		}
	}
	if len(v.Missing) > 0 {
		var lacks []string
		for _, m := range v.Missing {
			lacks = append(lacks, prettyDegree(m))
		}
		d.Notes = append(d.Notes, "without "+strings.Join(lacks, " "))
	}
	return d.sized()
}
