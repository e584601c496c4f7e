package diagram

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A piece is the moments of one picture, given by the first and the one after
// the last.
type piece struct {
	moments []moment
	first   int
}

// cut divides the moments into pictures: whole bars under one chord as long
// as they fit together, and inside of those only what does not fit otherwise.
func (r *phraseReader) cut() []piece {
	if len(r.moments) == 0 {
		return nil
	}
	if r.opt.Whole {
		return []piece{{r.moments, 0}}
	}
	var pieces []piece
	start := 0
	flush := func(end int) {
		if end > start {
			pieces = append(pieces, piece{r.moments[start:end], start})
		}
		start = end
	}
	for i := 0; i < len(r.moments); {
		end := i + 1
		for end < len(r.moments) && sameUnit(r.moments[end-1], r.moments[end]) {
			end++
		}
		switch {
		case i == start && fits(r.moments[start:end]), i > start && fits(r.moments[start:end]) && goTogether(r.moments[start:i], r.moments[i:end], start == 0):
		case fits(r.moments[i:end]):
			flush(i)
		default:
			flush(i)
			for k := i + 1; k < end; k++ {
				if !r.moments[k].joined && !fits(r.moments[start:k+1]) {
					flush(k)
				}
			}
		}
		i = end
	}
	flush(len(r.moments))
	return pieces
}

func sameUnit(a, b moment) bool {
	return a.measure == b.measure && sameChord(a.chord, b.chord) && a.neck.Equal(b.neck)
}

// short is how many moments before the first chord lead to it.
const short = 4

// goTogether tells whether moments share a picture with those that follow
// them: not under two chords, since each would have a root of its own. What is
// played before the first chord leads to it if it is short.
func goTogether(a, b []moment, beginning bool) bool {
	last := a[len(a)-1].chord
	return sameChord(last, b[0].chord) || beginning && last == nil && len(a) < short
}

func sameChord(a, b *theory.Chord) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// shape returns the places of a chord of three notes or more, nil for less.
func (m moment) shape() []fretboard.Place {
	if len(m.notes) < 3 {
		return nil
	}
	places := make([]fretboard.Place, len(m.notes))
	for i, n := range m.notes {
		places[i] = n.dot.Place
	}
	slices.SortFunc(places, func(a, b fretboard.Place) int { return a.String - b.String })
	return places
}

// fits tells whether moments can be drawn in one picture.
func fits(ms []moment) bool {
	low, high := -1, -1
	visits := map[fretboard.Place]int{}
	var shape []fretboard.Place // of a chord that is struck as one
	for _, m := range ms {
		if !m.neck.Equal(ms[0].neck) {
			return false
		}
		if held := m.shape(); held != nil {
			if shape != nil && !slices.Equal(shape, held) {
				return false // two chords in one picture are none
			}
			shape = held
		}
		for _, n := range m.notes {
			p := n.dot.Place
			if p.Fret > 0 {
				if low < 0 || p.Fret < low {
					low = p.Fret
				}
				high = max(high, p.Fret)
			}
			if visits[p]++; visits[p] > maxVisits {
				return false
			}
		}
	}
	return len(ms) <= maxSteps && high-low <= maxSpread
}

// phraseDiagram draws the moments of a piece.
func phraseDiagram(p piece, links []phraseLink) Diagram {
	ms := p.moments
	d := Diagram{Neck: ms[0].neck, Index: -1, Home: ms[0].home}
	var chords []string
	var lead *theory.Chord // what comes before it leads to it
	single := true
	for _, m := range ms {
		if m.chord == nil {
			single = single && lead == nil
			continue
		}
		if lead == nil {
			lead = m.chord
		}
		single = single && *m.chord == *lead
		if c := m.chord.Pretty(); len(chords) == 0 || chords[len(chords)-1] != c {
			chords = append(chords, c)
		}
	}
	before := slices.IndexFunc(ms, func(m moment) bool { return m.chord != nil })
	one := lead
	if !single || before >= short {
		one = nil
	}
	d.Over = one
	for i, m := range ms {
		chord := m.chord
		if i < before && before < short {
			chord = lead
		}
		for _, n := range m.notes {
			d.play(n, p.first+i+1, Reading{m.home, chord})
		}
	}
	d.shape()
	for _, l := range links {
		switch end := p.first + len(ms); {
		case l.from >= p.first && l.to < end:
			d.join(l)
		case l.from < p.first && l.to >= p.first && l.to < end:
			d.Notes = append(d.Notes, fmt.Sprintf("%d comes by %s from %d in the picture before, fret %d of the same string", l.to+1, l.kind(), l.from+1, l.From.Fret))
		}
	}
	if one != nil && slices.ContainsFunc(ms, func(m moment) bool { return m.shape() != nil }) {
		d.Show = []Label{Functions, Order} // as chords are read
	}
	var said []string
	for i, m := range ms {
		if len(m.words) > 0 {
			said = append(said, fmt.Sprintf("%d: %s", p.first+i+1, strings.Join(m.words, ", ")))
		}
	}
	if len(said) > 0 {
		d.Notes = append(d.Notes, "at "+strings.Join(said, "; "))
	}
	d.Title = barsOf(p)
	d.Subtitle = strings.Join(chords, "  ")
	return d.sized()
}

// play adds a note to the dot at its place.
func (d *Diagram) play(n struckNote, number int, r Reading) {
	name := n.dot.Pitch.NoteName
	if !n.dot.Dead {
		n.dot.Degree, n.dot.Function = r.degree(name), r.function(name)
	}
	dot := d.at(n.dot.Place)
	switch {
	case dot == nil:
		d.Dots = append(d.Dots, n.dot)
		dot = &d.Dots[len(d.Dots)-1]
	case dot.Dead && !n.dot.Dead: // struck both ways
		steps := dot.Steps
		*dot = n.dot
		dot.Steps = steps
	case !n.dot.Dead:
		for _, f := range n.dot.Fingers {
			if !slices.Contains(dot.Fingers, f) {
				dot.Fingers = append(dot.Fingers, f)
			}
		}
		// A label cannot say what changes from chord to chord.
		if dot.Function != n.dot.Function {
			dot.Function = ""
		}
	}
	step := Step{Number: number, Bend: n.bend, Sign: n.sign, Labels: n.labels}
	if r.Chord != nil {
		step.Chord = r.Chord.Pretty()
		step.Function = n.dot.Function
	}
	if !n.dot.Dead {
		step.Role = r.role(name)
		// What is bent is labelled by where it goes.
		if role, ok := labelledRole(n.labels); ok && r.Chord == nil && n.bend.Kind == NoBend {
			step.Role = role
		}
	}
	dot.Steps = append(dot.Steps, step)
}

// shape gives the dots the roles of their steps, where those agree.
func (d *Diagram) shape() {
	for i := range d.Dots {
		dot := &d.Dots[i]
		dot.Role = dot.Steps[0].Role
		for _, s := range dot.Steps {
			if s.Role != dot.Role {
				dot.Role = Other
			}
		}
	}
}

// join adds a link with the numbers of the steps that it joins. What is held
// on where a link begins or ends was struck before.
func (d *Diagram) join(l phraseLink) {
	at := func(p fretboard.Place, number int) int {
		last := 0
		for _, s := range d.at(p).Steps {
			if s.Number <= number {
				last = s.Number
			}
		}
		return last
	}
	if d.at(l.From) == nil || d.at(l.To) == nil {
		return
	}
	j := Join{at(l.From, l.from+1), at(l.To, l.to+1)}
	i := slices.IndexFunc(d.Links, func(b Link) bool { return b.From == l.From && b.To == l.To && b.Kind == l.Kind })
	if i < 0 {
		i = len(d.Links)
		d.Links = append(d.Links, l.Link)
	}
	if j.From > 0 && j.From < j.To {
		d.Links[i].Joins = append(d.Links[i].Joins, j)
	}
}

// labelledRole returns what the music says that a note is to its chord, for
// music whose chords were only said when it was labelled.
func labelledRole(labels []score.Annotation) (Role, bool) {
	i := slices.IndexFunc(labels, func(a score.Annotation) bool { return a.Kind == score.LabelChordTone && a.Text != "" })
	switch {
	case i < 0:
		return Other, false
	case labels[i].Text == "R":
		return Root, true
	case strings.HasPrefix(labels[i].Text, "("):
		return Other, true
	}
	return ChordTone, true
}

func fingersOf(n *score.Note) []score.Finger {
	if n.Finger == score.NoFinger {
		return nil
	}
	return []score.Finger{n.Finger}
}

// barsOf names the bars of a piece, and where those after the first begin:
// "bar 2", "bars 1 to 2 (bar 2 from 8)", "pickup (notes 1 to 2) and bar 1".
func barsOf(p piece) string {
	name := func(m moment) string {
		if m.bar == "" {
			return fmt.Sprint(m.measure + 1)
		}
		return m.bar
	}
	ms := p.moments
	if first := ms[0]; first.bar == "" && first.implicit || first.bar == "0" {
		n := slices.IndexFunc(ms, func(m moment) bool { return m.measure != first.measure })
		if n < 0 {
			return "pickup"
		}
		notes := fmt.Sprintf("notes %d to %d", p.first+1, p.first+n)
		if n == 1 {
			notes = fmt.Sprintf("note %d", p.first+1)
		}
		return "pickup (" + notes + ") and " + barsOf(piece{ms[n:], p.first + n})
	}
	first, last := ms[0], ms[len(ms)-1]
	if first.measure == last.measure {
		return "bar " + name(first)
	}
	var from []string
	for i := 1; i < len(ms); i++ {
		if ms[i].measure != ms[i-1].measure {
			from = append(from, fmt.Sprintf("bar %s from %d", name(ms[i]), p.first+i+1))
		}
	}
	return fmt.Sprintf("bars %s to %s (%s)", name(first), name(last), strings.Join(from, ", "))
}
