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
		case fits(r.moments[start:end]) && goTogether(r.moments[start:i], r.moments[i:end]):
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

// goTogether tells whether what is under different chords shares a picture,
// which then cannot show what notes are to their chords: only where one of
// the two is too short to be a picture.
func goTogether(a, b []moment) bool {
	const short = 4
	return len(a) < short || len(b) < short || sameChord(a[len(a)-1].chord, b[0].chord)
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
	d := Diagram{Neck: ms[0].neck, Index: -1, Home: ms[0].home, phrase: true}
	var chords []string
	one := ms[0].chord
	for _, m := range ms {
		if m.chord == nil {
			continue
		}
		if c := m.chord.Pretty(); len(chords) == 0 || chords[len(chords)-1] != c {
			chords = append(chords, c)
		}
		if one == nil {
			one = m.chord // what comes before the first chord leads to it
		}
	}
	if len(chords) > 1 {
		one = nil // roots of several chords would contradict each other
	}
	d.Over = one
	for i, m := range ms {
		for _, n := range m.notes {
			d.play(n, i+1, Reading{m.home, one}, Reading{m.home, m.chord})
		}
	}
	for _, l := range links {
		if l.from >= p.first && l.to < p.first+len(ms) && !slices.Contains(d.Links, l.Link) {
			d.Links = append(d.Links, l.Link)
		}
	}
	if one != nil && slices.ContainsFunc(ms, func(m moment) bool { return m.shape() != nil }) {
		d.Show = []Label{Functions, Order} // as chords are read
	}
	var said []string
	for i, m := range ms {
		if len(m.words) > 0 {
			said = append(said, fmt.Sprintf("%d: %s", i+1, strings.Join(m.words, ", ")))
		}
	}
	if len(said) > 0 {
		d.Notes = append(d.Notes, "at "+strings.Join(said, "; "))
	}
	d.Title = barsOf(ms)
	d.Subtitle = strings.Join(chords, "  ")
	return d.sized()
}

// play adds a note to the dot at its place. Roles are read in the one way that
// holds for the picture, the function under the chord of the moment.
func (d *Diagram) play(n struckNote, number int, roles, chord Reading) {
	name := n.dot.Pitch.NoteName
	if !n.dot.Dead {
		n.dot.Role, n.dot.Degree, n.dot.Function = roles.role(name), roles.degree(name), chord.function(name)
		if role, ok := labelledRole(n.labels); ok && chord.Chord == nil {
			n.dot.Role = role
		}
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
	step := Step{Number: number, Before: n.before, Sign: n.after, Labels: n.labels}
	if chord.Chord != nil {
		step.Chord = chord.Chord.Pretty()
	}
	if !n.dot.Dead {
		step.Role = chord.role(name)
		if chord.Chord == nil {
			step.Role = n.dot.Role
		}
	}
	dot.Steps = append(dot.Steps, step)
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

// barsOf names the bars of a piece: "bar 2", "bars 1 to 3".
func barsOf(ms []moment) string {
	first, last := ms[0], ms[len(ms)-1]
	name := func(m moment) string {
		if m.bar == "" && m.implicit || m.bar == "0" {
			return "pickup"
		}
		if m.bar == "" {
			return fmt.Sprint(m.measure + 1)
		}
		return m.bar
	}
	switch {
	case first.measure == last.measure && name(first) == "pickup":
		return "pickup"
	case name(first) == "pickup":
		return "pickup and " + barsOf(ms[slices.IndexFunc(ms, func(m moment) bool { return m.measure != first.measure }):])
	case first.measure == last.measure:
		return "bar " + name(first)
	}
	return fmt.Sprintf("bars %s to %s", name(first), name(last))
}
