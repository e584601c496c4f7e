package routine

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// patternNotes is how many notes per string the other way of seeing has.
func (b *builder) patternNotes() []int {
	scheme := b.Scheme
	if w, ok := scheme.(fretboard.Within); ok {
		scheme = w.Scheme
	}
	if p, ok := scheme.(fretboard.PerString); ok {
		return p.Notes
	}
	if b.Scale.Len() <= 6 {
		return []int{2}
	}
	return []int{3}
}

// views shows the notes of a position three ways: in the chord shapes that
// they lie in, in the patterns of notes per string that cross them, and as
// degrees alone, with how many of them the shapes and patterns share.
func (b *builder) views(p *Page, l fretboard.Layout, hand fingers) []Exercise {
	if b.shapes == nil && b.patterns == nil { // the same for all pages
		b.shapes = b.layouts(fretboard.ChordShape{})
		b.patterns = b.layouts(fretboard.PerString{Notes: b.patternNotes()})
	}
	alone := Exercise{Kind: Views, Title: "As degrees alone", Words: grid(l), Lines: []Line{line(l.Spots, hand)}}
	if table := overlapTable(b.patterns, b.shapes); len(table) > 0 {
		alone.Words = append(append(alone.Words, "Notes that the patterns share with the chord shapes:"), table...)
	}
	chord := b.view("As chord shapes", l, b.shapes, hand)
	if voicings := fingering.Voicings(l.Region, b.against(b.chain.Triad), b.ScaleLength); l.Region.Index >= 0 && len(b.chain.Triad.Tones) > 0 && len(voicings) > 0 {
		m := held(voicings[0], b.Neck, b.ScaleLength)
		m.Length, m.Chord = b.Time.Length, &b.chain.Chord
		chord.Words = append([]string{"First the chord, then the notes around it."}, chord.Words...)
		chord.Lines = append([]Line{{m}}, chord.Lines...)
		chord.beyond(p)
	}
	return []Exercise{chord, b.view("As notes per string", l, b.patterns, hand), alone}
}

func (b *builder) layouts(s fretboard.Scheme) []fretboard.Layout {
	regions, err := s.Regions(b.Neck, fretboard.ScaleTones(b.Tonic, b.Scale))
	if err != nil {
		return nil
	}
	var all []fretboard.Layout
	for _, r := range regions {
		all = append(all, r.Lay(b.tones()))
	}
	return all
}

// view plays the notes that a position has in common with each of the others,
// those with the most in common first, until all are played.
func (b *builder) view(title string, l fretboard.Layout, others []fretboard.Layout, hand fingers) Exercise {
	e := Exercise{Kind: Views, Title: title}
	type shared struct {
		name  string
		spots []fretboard.Spot
		of    int
	}
	var found []shared
	for _, o := range others {
		s := shared{name: o.Region.Name, of: len(o.Spots)}
		for _, spot := range l.Spots {
			if slices.ContainsFunc(o.Spots, func(x fretboard.Spot) bool { return x.Place == spot.Place }) {
				s.spots = append(s.spots, spot)
			}
		}
		if len(s.spots) > 0 {
			found = append(found, s)
		}
	}
	slices.SortStableFunc(found, func(x, y shared) int { return len(y.spots) - len(x.spots) })
	played := map[fretboard.Place]bool{}
	for _, s := range found {
		more := false
		for _, spot := range s.spots {
			more = more || !played[spot.Place]
			played[spot.Place] = true
		}
		if !more {
			continue
		}
		text := fmt.Sprintf("%s: %d of the %d notes here", s.name, len(s.spots), len(l.Spots))
		if len(s.spots) == len(l.Spots) {
			text = fmt.Sprintf("%s: all %d notes", s.name, len(l.Spots))
		}
		if more := s.of - len(s.spots); more > 0 {
			text += fmt.Sprintf("; %d more of it lie outside", more)
		}
		e.Words = append(e.Words, text+".")
		e.Lines = append(e.Lines, line(s.spots, hand))
	}
	if len(e.Lines) == 0 {
		e.Words = []string{"None of them lies here."}
	} else if len(e.Lines) > 1 {
		e.Words = append(e.Words, "They follow in this order, each from a bar line on.")
	}
	return e
}

// grid shows the degrees of a position as they lie on the neck, the first
// string on top.
func grid(l fretboard.Layout) []string {
	rows := l.ByString()
	low, high := -1, -1
	wide := 1
	for _, s := range l.Spots {
		if low < 0 {
			low, high = s.Place.Fret, s.Place.Fret
		}
		low, high = min(low, s.Place.Fret), max(high, s.Place.Fret)
		wide = max(wide, len(s.Degree.String()))
	}
	if low < 0 {
		return nil
	}
	head := "  fret    "
	for f := low; f <= high; f++ {
		head += fmt.Sprintf("  %*d", max(wide, 2), f)
	}
	lines := []string{head}
	for i, row := range rows {
		text := fmt.Sprintf("  string %-2d", i+1)
		for f := low; f <= high; f++ {
			cell := "."
			for _, s := range row {
				if s.Place.Fret == f {
					cell = s.Degree.String()
				}
			}
			text += fmt.Sprintf("  %*s", max(wide, 2), cell)
		}
		lines = append(lines, text)
	}
	return lines
}

// overlapTable counts for each pattern how many of its notes lie in each
// shape, where the two are closest.
func overlapTable(patterns, shapes []fretboard.Layout) []string {
	best := map[[2]string]int{}
	of := map[string]int{}
	var rows, columns []string
	for _, o := range fretboard.Overlaps(patterns, shapes) {
		if !slices.Contains(rows, o.A) {
			rows = append(rows, o.A)
		}
		key := [2]string{o.A, o.B}
		best[key] = max(best[key], o.Shared)
		of[o.A] = o.OfA
	}
	for _, s := range shapes {
		if !slices.Contains(columns, s.Region.Name) {
			columns = append(columns, s.Region.Name)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	wide := 0
	for _, r := range rows {
		wide = max(wide, len(r))
	}
	head := "  " + strings.Repeat(" ", wide)
	for _, c := range columns {
		head += "  " + c
	}
	lines := []string{head + "  of"}
	for _, r := range rows {
		text := fmt.Sprintf("  %-*s", wide, r)
		for _, c := range columns {
			text += fmt.Sprintf("  %*d", len(c), best[[2]string{r, c}])
		}
		lines = append(lines, text+fmt.Sprintf("  %d", of[r]))
	}
	return lines
}
