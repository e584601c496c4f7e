package transform

import (
	"fmt"
	"math"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func mapString(f func(rune) rune, s string) string { return strings.Map(f, s) }

// checkMove says everything that is wrong with a transposed score. It is
// written apart from the transform, from the facts themselves, and shares no
// code with it: open string + capo + fret is the stopped pitch; nodes of
// strings by the table of the trade; millimetres by the formula.
func checkMove(in, out *score.Score, by theory.Interval, ds score.Diagnostics) (problems []string) {
	bad := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	for pi, p := range in.Parts {
		q := out.Parts[pi]
		if len(p.Measures) != len(q.Measures) {
			bad("part %d has %d measures", pi, len(q.Measures))
			continue
		}
		var neck *fretboard.Neck
		type heard struct {
			before, after *score.Note
			from, to      float64
			c             *score.Chord
		}
		var all []heard
		start := 0.0
		for mi, m := range p.Measures {
			k := q.Measures[mi]
			if m.Length != k.Length || len(m.Events) != len(k.Events) {
				bad("bar %d: length or events differ", mi+1)
				continue
			}
			for ei, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					neck = &e.Neck
				case *score.Chord:
					f := k.Events[ei].(*score.Chord)
					if e.Onset != f.Onset || e.Duration != f.Duration || len(e.Notes) != len(f.Notes) {
						bad("bar %d: rhythm or number of notes differs", mi+1)
						continue
					}
					for ni, a := range e.Notes {
						b := f.Notes[ni]
						where := fmt.Sprintf("bar %d, quarter %s, note %d", mi+1, e.Onset, ni+1)
						for _, problem := range checkNote(a, b, neck, by) {
							bad("%s: %s", where, problem)
						}
						if !a.Place.IsZero() && b.Place.IsZero() && ds.Count(score.NotDone) == 0 {
							bad("%s: lost its place and nobody says so", where)
						}
						if ni == 0 {
							if need := fingersNeeded(f.Notes); need > 4 && need > fingersNeeded(e.Notes) {
								bad("%s: a chord for %d fingers", where, need)
							}
						}
						at := start + e.Onset.Float()
						all = append(all, heard{a, b, at, at + e.Duration.Float(), e})
					}
				}
			}
			start += m.Length.Float()
		}
		if neck == nil {
			continue
		}
		// Notes that sound together.
		for i, x := range all {
			for _, y := range all[i+1:] {
				if y.from >= x.to+1e-9 && y.from > x.from {
					break
				}
				together := x.c == y.c || x.from < y.to-1e-9 && y.from < x.to-1e-9 && x.c.Grace == 0 && y.c.Grace == 0
				if !together || x.after.Place.IsZero() || y.after.Place.IsZero() {
					continue
				}
				if x.after.Place.String == y.after.Place.String && x.before.Place.String != y.before.Place.String {
					bad("at quarter %v two notes on string %d", y.from, x.after.Place.String)
				}
				if mm := apart(neck, x.after, y.after); mm > 127 && mm > apart(neck, x.before, y.before)+.01 && !sourceAsWide(all, func(h heard) (*score.Note, bool) {
					return h.before, h.from < y.to-1e-9 && y.from < h.to-1e-9 || h.c == y.c
				}, neck, mm) {
					bad("at quarter %v frets %d and %d: %.1f mm", y.from, x.after.Place.Fret, y.after.Place.Fret, mm)
				}
			}
		}
		problems = append(problems, checkJoined(p, q, neck)...)
	}
	return problems
}

// sourceAsWide tells whether some two notes that sounded at the time were as
// far apart before the move.
func sourceAsWide[T any](all []T, note func(T) (*score.Note, bool), neck *fretboard.Neck, mm float64) bool {
	for _, x := range all {
		for _, y := range all {
			a, ok1 := note(x)
			b, ok2 := note(y)
			if ok1 && ok2 && apart(neck, a, b) >= mm-.01 {
				return true
			}
		}
	}
	return false
}

// fingersNeeded counts fingers the other way round: every note its own, less
// those that a finger lying across strings saves.
func fingersNeeded(notes []*score.Note) int {
	held := map[int]map[int]bool{} // strings by fret
	open := map[int]bool{}
	lowest, count := 1000, 0
	for _, n := range notes {
		switch {
		case n.Place.IsZero() || !pressed(n):
		case n.Place.Fret == 0:
			open[n.Place.String] = true
		default:
			if held[n.Place.Fret] == nil {
				held[n.Place.Fret] = map[int]bool{}
			}
			if !held[n.Place.Fret][n.Place.String] {
				count++
			}
			held[n.Place.Fret][n.Place.String] = true
			lowest = min(lowest, n.Place.Fret)
		}
	}
	for fret, strings := range held {
		for s := range strings {
			across := false // does the finger on s reach it from a lower-numbered string?
			for t := range strings {
				if t >= s {
					continue
				}
				free := true
				for between := t + 1; between < s; between++ {
					switch {
					case strings[between]:
					case open[between]:
						free = false
					case fret != lowest:
						free = false
					}
				}
				across = across || free
			}
			if across {
				count--
			}
		}
	}
	return count
}

func apart(neck *fretboard.Neck, a, b *score.Note) float64 {
	if a.Place.Fret == 0 || b.Place.Fret == 0 || !pressed(a) || !pressed(b) {
		return 0
	}
	at := func(f int) float64 { return 648 / math.Pow(2, float64(neck.Capo+f)/12) }
	return math.Abs(at(a.Place.Fret) - at(b.Place.Fret))
}

func pressed(n *score.Note) bool {
	for _, t := range n.Techniques {
		if h, ok := t.(score.Harmonic); ok && h.Kind == score.NaturalHarmonic || t == score.Dead || t == score.Tap {
			return false
		}
	}
	return true
}

// nodeSounds is how far above the open string a natural harmonic sounds.
// Source: the table of the trade (12: octave, 7 and 19: octave and fifth, 5
// and 24: two octaves, 4, 9 and 16: two octaves and a third, 3: and a fifth).
var nodeSounds = map[int]int{12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28, 3: 31}

func checkNote(a, b *score.Note, neck *fretboard.Neck, by theory.Interval) (problems []string) {
	bad := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	var open bool
	var ha, hb score.Harmonic
	for _, t := range a.Techniques {
		open = open || t == score.Dead && a.Place.Fret == 0 && !a.Place.IsZero()
		if h, ok := t.(score.Harmonic); ok {
			ha = h
		}
	}
	for _, t := range b.Techniques {
		if h, ok := t.(score.Harmonic); ok {
			hb = h
		}
	}
	moved := (b.Pitch.MIDI() + hb.Over) - (a.Pitch.MIDI() + ha.Over)
	switch {
	case open:
		if moved != 0 || a.Place != b.Place {
			bad("a dead open string moved")
		}
	case (moved-by.Semitones)%12 != 0:
		bad("sound moved by %d semitones, not %d", moved, by.Semitones)
	}
	if neck == nil || b.Place.IsZero() {
		return problems
	}
	p := b.Place
	if p.String < 1 || p.String > neck.Tuning.Len() || p.Fret < 0 || neck.Capo+p.Fret > neck.Frets {
		bad("impossible place %v on %v", p, neck)
		return problems
	}
	stopped := neck.Tuning.Strings[p.String-1].MIDI() + neck.Capo + p.Fret
	if stopped != b.Pitch.MIDI() {
		bad("place %v stops %d, the pitch says %d", p, stopped, b.Pitch.MIDI())
	}
	switch hb.Kind {
	case score.NaturalHarmonic:
		if nodeSounds[p.Fret]-p.Fret != hb.Over {
			bad("no node at fret %d that sounds %d above it", p.Fret, hb.Over)
		}
	case score.ArtificialHarmonic:
		if hb.Touch-p.Fret != 12 || hb.Touch+neck.Capo > neck.Frets || p.Fret < 1 {
			bad("artificial harmonic stopped at %d, touched at %d", p.Fret, hb.Touch)
		}
	}
	for _, t := range b.Techniques {
		if bend, ok := t.(score.Bend); ok && !bend.WithBar && p.Fret == 0 && a.Place.Fret != 0 {
			bad("bend on an open string")
		}
		if t == score.OpenString && p.Fret != 0 {
			bad("marked as open string at fret %d", p.Fret)
		}
		if trill, ok := t.(score.Trill); ok && (p.Fret+trill.To < 0 || neck.Capo+p.Fret+trill.To > neck.Frets) {
			bad("trill off the neck")
		}
	}
	return problems
}

// checkJoined looks at ties and at techniques that keep a string.
func checkJoined(p, q *score.Part, neck *fretboard.Neck) (problems []string) {
	before := map[score.Span]*score.Note{}
	for n := range score.Notes(p) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok {
				before[s] = n
			}
		}
	}
	after := map[score.Span]*score.Note{}
	tied := map[int]*score.Note{} // by voice
	for x := range score.Preorder(q) {
		c, ok := x.(*score.Chord)
		if !ok {
			continue
		}
		for _, n := range c.Notes {
			for _, t := range n.Techniques {
				if s, ok := t.(score.Span); ok {
					after[s] = n
				}
			}
			if a := tied[c.Voice]; n.TieStop && a != nil && a.Place != n.Place {
				problems = append(problems, fmt.Sprintf("tie from %v to %v", a.Place, n.Place))
			}
			if n.TieStop || n.TieStart {
				tied[c.Voice] = n
			}
		}
	}
	for s, a := range after {
		if s.End != score.Start || s.Kind == score.Slur || s.Kind == score.Glissando {
			continue
		}
		s.End = score.Stop
		b := after[s]
		if b == nil {
			problems = append(problems, fmt.Sprintf("span %v lost one end", s))
			continue
		}
		switch {
		case a.Place.String != b.Place.String || a.Place.IsZero():
			problems = append(problems, fmt.Sprintf("span %v from %v to %v", s, a.Place, b.Place))
		case s.Kind == score.HammerOn && b.Place.Fret <= a.Place.Fret, s.Kind == score.PullOff && b.Place.Fret >= a.Place.Fret:
			problems = append(problems, fmt.Sprintf("span %v goes the wrong way, %v to %v", s, a.Place, b.Place))
		}
		if s.Kind == score.HammerOn || s.Kind == score.PullOff {
			old := before[s]
			s.End = score.Start
			if mm := apart(neck, a, b); mm > 127 && mm > apart(neck, before[s], old)+.01 {
				problems = append(problems, fmt.Sprintf("span %v over %.0f mm", s, mm))
			}
		}
	}
	return problems
}
