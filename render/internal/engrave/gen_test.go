package engrave

import (
	"fmt"
	"math/rand/v2"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// generated makes a random score: any number of strings, metres, voices,
// tuplets, grace notes and techniques.
func generated(seed uint64) *score.Score {
	g := &gen{rand.New(rand.NewPCG(seed, 17)), 0, seed%2 == 1}
	s := &score.Score{Title: fmt.Sprintf("Generated %d", seed)}
	for p := range 1 + g.IntN(2) {
		s.Parts = append(s.Parts, g.part(p))
	}
	return s
}

type gen struct {
	*rand.Rand
	id   int
	meet bool // voices of this score meet on strings
}

func (g *gen) chance(percent int) bool { return g.IntN(100) < percent }

func (g *gen) neck() fretboard.Neck {
	pitches := make([]theory.Pitch, 3+g.IntN(10))
	for i := range pitches {
		pitches[len(pitches)-1-i] = theory.SpellIn(theory.Key{}, 35+5*i)
	}
	t, err := fretboard.NewTuning(pitches...)
	if err != nil {
		panic(err)
	}
	return fretboard.Neck{Tuning: t, Frets: 24}
}

func (g *gen) part(index int) *score.Part {
	p := &score.Part{ID: fmt.Sprintf("P%d", index+1), Name: fmt.Sprintf("Guitar %d", index+1), Staves: 1}
	neck := g.neck()
	metres := []*score.TimeSignature{
		{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)},
		{Beats: []string{"3"}, BeatTypes: []int{4}, Length: score.Q(3, 1)},
		{Beats: []string{"6"}, BeatTypes: []int{8}, Length: score.Q(3, 1)},
		{Beats: []string{"3+2"}, BeatTypes: []int{8}, Length: score.Q(5, 2)},
	}
	metre := metres[index%2*2+index%2]
	for i := range 1 + g.IntN(9) {
		m := &score.Measure{Number: fmt.Sprint(i + 1)}
		if i == 0 {
			m.Events = append(m.Events, &score.NeckChange{Neck: neck}, &score.KeySignature{Key: theory.KeyOf(g.IntN(15)-7, theory.Major), ModeSaid: true},
				&score.Tempo{QuartersPerMinute: 90})
		}
		if i == 0 || g.chance(15) {
			metre = metres[g.IntN(len(metres))]
			t := *metre
			m.Events = append(m.Events, &t)
		}
		m.Length, m.Nominal = metre.Length, metre.Length
		if g.chance(12) {
			m.Events = append(m.Events, &score.Barline{Repeat: score.Forward})
		}
		for v := range 1 + g.IntN(5)/2 {
			g.voice(m, v+1, neck)
		}
		if g.chance(50) {
			c, _ := theory.ParseChord([]string{"Am7", "D7", "Bbmaj7#11", "G/B", "F#m7b5", "E7alt"}[g.IntN(6)])
			m.Events = append(m.Events, &score.Harmony{Chord: c}, &score.Harmony{Common: score.Common{Onset: score.Q(1, 1)}, Chord: c})
		}
		if g.chance(15) {
			m.Events = append(m.Events, &score.Words{Kind: "words", Text: "lean on this one, and let it go"})
		}
		if g.chance(12) {
			m.Events = append(m.Events, &score.Barline{Common: score.Common{Onset: m.Length}, Repeat: score.Backward, Times: g.IntN(5)})
		}
		m.SortEvents()
		p.Measures = append(p.Measures, m)
	}
	return p
}

// voice fills a measure.
func (g *gen) voice(m *score.Measure, voice int, neck fretboard.Neck) {
	at := score.Quarters{}
	for at.Less(m.Length) {
		left := m.Length.Sub(at)
		if g.chance(12) && !left.Less(score.Q(1, 1)) {
			g.id++
			for range 3 {
				g.chord(m, voice, neck, at, score.Q(1, 3), score.NoteValue{Log: 3, Known: true}, []score.Tuplet{{ID: g.id, Actual: 3, Normal: 2}})
				at = at.Add(score.Q(1, 3))
			}
			continue
		}
		length := []score.Quarters{score.Q(1, 4), score.Q(1, 2), score.Q(1, 2), score.Q(3, 4), score.Q(1, 1), score.Q(3, 2), score.Q(2, 1), score.Q(5, 4)}[g.IntN(8)]
		if left.Less(length) {
			length = left
		}
		g.chord(m, voice, neck, at, length, score.NoteValue{}, nil)
		at = at.Add(length)
	}
}

func (g *gen) chord(m *score.Measure, voice int, neck fretboard.Neck, at, length score.Quarters, v score.NoteValue, ts []score.Tuplet) {
	c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: length, Voice: voice, Value: v, Tuplets: ts}
	m.Events = append(m.Events, c)
	if g.chance(12) {
		return // a rest
	}
	if g.chance(6) {
		grace := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Voice: voice, Grace: score.Slashed, Value: score.NoteValue{Log: 3, Known: true}}
		grace.Notes = []*score.Note{g.note(neck, voice)}
		m.Events = append(m.Events[:len(m.Events)-1], grace, c)
	}
	for str := 1; str <= neck.Tuning.Len(); str++ {
		// unless they may meet, voices share no strings
		if (str%2 == 1 == (voice == 1) || g.meet) && g.chance(100/neck.Tuning.Len()+5) {
			c.Notes = append(c.Notes, g.note(neck, str))
		}
	}
}

func (g *gen) note(neck fretboard.Neck, str int) *score.Note {
	n := &score.Note{Place: fretboard.Place{String: str, Fret: g.IntN(25)}}
	n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
	n.Annotations = []score.Annotation{{Kind: score.LabelDegree, Text: []string{"1", "b3", "5", "b7"}[g.IntN(4)]}}
	if g.chance(30) {
		n.Finger = score.Index + score.Finger(g.IntN(4))
	}
	switch g.IntN(12) {
	case 0:
		n.Techniques = []score.Technique{score.Bend{Amount: score.Q(int64(1+g.IntN(6)), 2), Release: g.chance(40), PreBend: g.chance(30)}}
	case 1:
		n.Techniques = []score.Technique{score.Marks()[g.IntN(len(score.Marks()))]}
	case 2:
		n.Techniques = []score.Technique{score.Harmonic{Kind: score.HarmonicKind(1 + g.IntN(4)), Touch: 12}}
	case 3:
		n.Techniques = []score.Technique{score.SlideEdge{In: g.chance(50), Below: g.chance(50)}}
	case 4:
		n.TieStop = true
	}
	return n
}
