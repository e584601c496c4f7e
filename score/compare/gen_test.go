package compare

import (
	"math/rand/v2"
	"slices"
	"strconv"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// generated makes a score from a seed: one or two parts on a guitar, bars of
// four quarter notes with chords, rests, triplets, joined notes, extents,
// chord symbols, and changes of key and tempo.
func generated(seed uint64, bars int) *score.Score {
	r := rand.New(rand.NewPCG(seed, 11))
	s := &score.Score{Title: "Study"}
	for i := range 1 + r.IntN(2) {
		p := &score.Part{ID: "P" + strconv.Itoa(i+1), Name: "Guitar " + strconv.Itoa(i+1), Staves: 1}
		g := &generator{r: r, neck: fretboard.Guitar()}
		for k := range bars {
			p.Measures = append(p.Measures, g.bar(k))
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}

type generator struct {
	r    *rand.Rand
	neck fretboard.Neck
	span int
	last *score.Note
}

func (g *generator) bar(k int) *score.Measure {
	m := &score.Measure{Number: strconv.Itoa(k + 1), Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
	if k == 0 {
		m.Events = append(m.Events, &score.NeckChange{Neck: g.neck}, &score.KeySignature{Key: theory.KeyOf(g.r.IntN(9)-4, theory.Major), ModeSaid: true},
			&score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)}, &score.Tempo{QuartersPerMinute: 100})
	}
	if k > 0 && g.r.IntN(6) == 0 {
		m.Events = append(m.Events, &score.KeySignature{Key: theory.KeyOf(g.r.IntN(9)-4, theory.Major), ModeSaid: true})
	}
	chord, _ := theory.ParseChord([]string{"Am7", "D7", "Gmaj7", "C", "F#m7b5"}[g.r.IntN(5)])
	m.Events = append(m.Events, &score.Harmony{Chord: chord})
	g.last = nil
	for at := score.Q(0, 1); at.Less(score.Q(4, 1)); {
		left := score.Q(4, 1).Sub(at)
		if g.r.IntN(5) == 0 && !left.Less(score.Q(1, 1)) {
			for range 3 {
				g.chord(m, at, score.Q(1, 3))
				at = at.Add(score.Q(1, 3))
			}
			continue
		}
		d := []score.Quarters{score.Q(1, 2), score.Q(1, 1), score.Q(1, 2), score.Q(1, 4), score.Q(3, 2)}[g.r.IntN(5)]
		if left.Less(d) {
			d = left
		}
		g.chord(m, at, d)
		at = at.Add(d)
	}
	m.SortEvents()
	return m
}

func (g *generator) chord(m *score.Measure, at, d score.Quarters) {
	c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: d, Voice: 1}
	m.Events = append(m.Events, c)
	if g.r.IntN(8) == 0 {
		g.last = nil
		return
	}
	n := 1
	if g.r.IntN(4) == 0 {
		n = 2 + g.r.IntN(2)
	}
	for _, s := range g.r.Perm(6)[:n] {
		c.Notes = append(c.Notes, g.note(fretboard.Place{String: s + 1, Fret: 2 + g.r.IntN(10)}))
	}
	if n > 1 {
		g.last = nil
		return
	}
	one := c.Notes[0]
	switch g.r.IntN(8) {
	case 0:
		one.Techniques = append(one.Techniques, score.Vibrato)
	case 1:
		one.Techniques = append(one.Techniques, score.Bend{Amount: score.Q(2, 1)})
	case 2:
		one.Techniques = append(one.Techniques, score.PalmMuted)
	}
	if g.last != nil && g.r.IntN(3) == 0 && g.last.Place.Fret != 7 {
		g.span++
		one.Place = fretboard.Place{String: g.last.Place.String, Fret: 7}
		one.Pitch = g.pitch(one.Place)
		kind := score.HammerOn
		if g.last.Place.Fret > 7 {
			kind = score.PullOff
		}
		g.last.Techniques = append(g.last.Techniques, score.Span{Kind: kind, ID: g.span, End: score.Start})
		one.Techniques = append(one.Techniques, score.Span{Kind: kind, ID: g.span, End: score.Stop})
	}
	g.last = one
}

func (g *generator) note(p fretboard.Place) *score.Note {
	return &score.Note{Place: p, Pitch: g.pitch(p)}
}

func (g *generator) pitch(p fretboard.Place) theory.Pitch {
	return theory.SpellIn(theory.Key{}, g.neck.Stopped(p))
}

// A spot is a chord of a score.
type spot struct {
	part, bar int
	chord     *score.Chord
}

// spots lists the chords of a score that a change may be made to.
func spots(s *score.Score, good func(*score.Chord) bool) []spot {
	var list []spot
	for i, p := range s.Parts {
		for k, m := range p.Measures {
			for c := range m.Chords() {
				if good(c) {
					list = append(list, spot{i, k, c})
				}
			}
		}
	}
	return list
}

// plain tells whether none of a chord's notes is joined to another.
func plain(c *score.Chord) bool {
	return len(c.Notes) > 0 && !slices.ContainsFunc(c.Notes, func(n *score.Note) bool {
		return slices.ContainsFunc(n.Techniques, func(t score.Technique) bool { _, ok := t.(score.Span); return ok })
	})
}
