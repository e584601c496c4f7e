package tabtext

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A generator makes scores that tab can hold whole, from a seed.
type generator struct {
	r       *rand.Rand
	neck    fretboard.Neck
	key     theory.Key
	ids     int
	tuplets int
	rich    bool // all that tab can hold, else notes and rests only
}

func (g *generator) chance(n int) bool { return g.r.IntN(n) == 0 }

func pick[T any](g *generator, list ...T) T { return list[g.r.IntN(len(list))] }

// generate makes a score of so many measures.
func generate(seed uint64, measures int, rich bool) *score.Score {
	g := &generator{r: rand.New(rand.NewPCG(seed, 77)), rich: rich}
	s := &score.Score{}
	if g.chance(2) {
		s.Title = fmt.Sprintf("Study %d", seed%100)
	}
	parts := 1
	if rich && g.chance(6) {
		parts = 2
	}
	for i := range parts {
		p := &score.Part{ID: fmt.Sprint("P", i+1), Staves: 1}
		if parts > 1 || g.chance(3) {
			p.Name = fmt.Sprint("Neck ", i+1)
		}
		g.part(p, measures)
		s.Parts = append(s.Parts, p)
	}
	return s
}

func (g *generator) tuning() fretboard.Tuning {
	if g.chance(2) {
		return fretboard.Standard()
	}
	if g.chance(2) {
		all := fretboard.Presets()
		return all[g.r.IntN(len(all))].Tuning
	}
	n := fretboard.MinStrings + g.r.IntN(fretboard.MaxStrings-fretboard.MinStrings+1)
	var open []theory.Pitch
	for range n {
		open = append(open, theory.SpellIn(theory.Key{}, 30+g.r.IntN(40)))
	}
	t, err := fretboard.NewTuning(open...)
	if err != nil {
		panic(err)
	}
	return t
}

var metres = []string{"4/4", "4/4", "3/4", "2/4", "6/8", "12/8", "5/4", "7/8", "3+2/8", "3/8+2/4", "2/2", "5/16", "C", "C|"}

func (g *generator) part(p *score.Part, measures int) {
	g.neck = fretboard.Neck{Tuning: g.tuning(), Frets: pick(g, 22, 22, 24, 20, 19)}
	if g.chance(4) {
		g.neck.Capo = g.r.IntN(6)
	}
	g.ids, g.tuplets = 0, 0
	g.key = theory.Key{}
	var time *score.TimeSignature
	newTime := func() *score.TimeSignature {
		t, _ := score.ParseMetre(pick(g, metres...))
		if g.rich && g.chance(12) {
			t, _ = score.ParseMetre("free")
		}
		return t
	}
	last := map[int]*score.Note{} // of the previous chords, by string
	var open *score.Note          // that an extent began on
	var openID int
	var openKind score.SpanKind
	ending := ""
	for i := range measures {
		m := &score.Measure{Number: fmt.Sprint(i + 1)}
		if i == 0 {
			m.Events = append(m.Events, &score.NeckChange{Neck: g.neck})
			if g.chance(2) {
				g.key = theory.KeyOf(g.r.IntN(13)-6, pick(g, theory.Major, theory.Minor, theory.Dorian))
				m.Events = append(m.Events, &score.KeySignature{Key: g.key, ModeSaid: true})
			}
			if !g.chance(4) {
				time = newTime()
			}
			if g.chance(2) {
				defer func() {
					m.Events = slices.Insert(m.Events, 1, score.Event(&score.Tempo{QuartersPerMinute: pick(g, 60, 92.5, 120, 200)}))
				}()
			}
		} else if g.rich && g.chance(8) {
			time = newTime()
		} else {
			time = nil
		}
		if time != nil {
			m.Events = append(m.Events, time)
			m.Nominal = time.Length
		} else if i == 0 {
			m.Nominal = score.Q(4, 1)
		} else {
			m.Nominal = p.Measures[i-1].Nominal
		}
		m.Length = m.Nominal
		if m.Nominal.IsZero() {
			m.Length = score.Q(int64(1+g.r.IntN(6)), 1)
		} else if i == 0 && g.chance(3) {
			m.Length = score.Q(int64(1+g.r.IntN(3)), 2)
			m.Implicit = true
			m.Number = "0"
			if !m.Length.Less(m.Nominal) {
				m.Length, m.Implicit = m.Nominal, false
			}
		} else if g.rich && g.chance(10) {
			m.Length = score.Q(int64(1+g.r.IntN(12)), 2)
		}
		if g.rich && i > 0 && g.chance(15) {
			g.key = theory.KeyOf(g.r.IntN(13)-6, pick(g, theory.Major, theory.Minor))
			m.Events = append(m.Events, &score.KeySignature{Key: g.key, ModeSaid: true})
		}
		if g.rich && i > 0 && g.chance(20) {
			g.neck.Capo = (g.neck.Capo + 1 + g.r.IntN(4)) % 6
			m.Events = append(m.Events, &score.NeckChange{Neck: g.neck})
		}
		left, right := &score.Barline{}, &score.Barline{Common: score.Common{Onset: m.Length}}
		if g.chance(8) {
			left.Repeat = score.Forward
		}
		if g.chance(8) {
			right.Repeat = score.Backward
			right.Times = pick(g, 0, 3, 4)
		} else if g.chance(8) {
			right.Style = "light-light"
			if i == measures-1 {
				right.Style = "light-heavy"
			}
		}
		if g.rich && ending == "" && g.chance(10) {
			ending = pick(g, "1", "2", "1, 2")
			left.Ending, left.EndingType = ending, "start"
		}
		if ending != "" && (g.chance(2) || i == measures-1) { // an ending that starts has an end: MusicXML 4.0, ending
			right.Ending, right.EndingType = ending, pick(g, "stop", "discontinue")
			ending = ""
		}
		if *left != (score.Barline{}) {
			m.Events = append(m.Events, left)
		}
		if g.chance(3) {
			ch, _ := theory.ParseChord(pick(g, "Am7", "D7", "F#m7b5", "Bbmaj7", "C/G", "N.C.", "E7(b9,#11)"))
			m.Events = append(m.Events, &score.Harmony{Chord: ch})
			if m.Length.Cmp(score.Q(2, 1)) > 0 && g.chance(3) {
				m.Events = append(m.Events, &score.Harmony{Common: score.Common{Onset: score.Q(3, 2)}, Chord: ch})
			}
		}
		g.music(m, last)
		if g.rich {
			for c := range m.Chords() {
				if c.Grace != score.NotGrace || len(c.Notes) == 0 {
					continue
				}
				n := slices.MinFunc(c.Notes, func(a, b *score.Note) int { return a.Place.String - b.Place.String })
				if open == nil && g.chance(12) {
					g.ids++
					open, openID, openKind = n, g.ids, pick(g, score.PalmMute, score.LetRingSpan, score.VibratoSpan)
					n.Techniques = append(n.Techniques, score.Span{Kind: openKind, ID: openID, End: score.Start})
				} else if open != nil && open != n && g.chance(3) {
					n.Techniques = append(n.Techniques, score.Span{Kind: openKind, ID: openID, End: score.Stop})
					open = nil
				}
			}
		}
		if *right != (score.Barline{Common: score.Common{Onset: m.Length}}) {
			m.Events = append(m.Events, right)
		}
		m.SortEvents()
		p.Measures = append(p.Measures, m)
	}
	g.dropOpen(p, last)
}

// dropOpen takes back what waits for a note that never came.
func (g *generator) dropOpen(p *score.Part, last map[int]*score.Note) {
	ends := map[score.Span]bool{}
	for n := range score.Notes(p) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok {
				ends[s] = true
			}
		}
	}
	for n := range score.Notes(p) {
		n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
			s, ok := t.(score.Span)
			return ok && s.End == score.Start && !ends[score.Span{Kind: s.Kind, ID: s.ID, End: score.Stop}]
		})
	}
	for _, n := range last {
		n.TieStart = false
	}
}

// music fills a measure with chords and rests.
func (g *generator) music(m *score.Measure, last map[int]*score.Note) {
	sounded := map[int]bool{} // strings that sounded in this measure
	now := score.Quarters{}
	for now.Less(m.Length) {
		left := m.Length.Sub(now)
		if g.chance(6) && !left.Less(score.Q(1, 1)) {
			actual, normal := 3, 2
			if g.rich {
				x := pick(g, [2]int{3, 2}, [2]int{5, 4}, [2]int{6, 4}, [2]int{7, 4}, [2]int{3, 4})
				actual, normal = x[0], x[1]
			}
			total := pick(g, score.Q(1, 1), score.Q(1, 2))
			unit := total.Mul(score.Q(1, int64(normal)))
			g.tuplets++
			tup := []score.Tuplet{{ID: g.tuplets, Actual: actual, Normal: normal}}
			dur := total.Mul(score.Q(1, int64(actual)))
			for range actual {
				g.chord(m, now, dur, score.ValueOf(unit), tup, last, sounded)
				now = now.Add(dur)
			}
			continue
		}
		dur := pick(g, score.Q(1, 4), score.Q(1, 2), score.Q(1, 2), score.Q(1, 1), score.Q(3, 2), score.Q(2, 1), score.Q(1, 8), score.Q(3, 4))
		if left.Less(dur) {
			dur = left
		}
		g.chord(m, now, dur, score.ValueOf(dur), nil, last, sounded)
		now = now.Add(dur)
	}
}

func (g *generator) chord(m *score.Measure, at, dur score.Quarters, value score.NoteValue, tup []score.Tuplet, last map[int]*score.Note, sounded map[int]bool) {
	c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: dur, Voice: 1, Value: value, Tuplets: tup}
	if g.chance(5) {
		if dur == m.Length {
			c.WholeMeasure, c.Value = true, score.NoteValue{}
		}
		m.Events = append(m.Events, c)
		return
	}
	if g.rich && g.chance(15) {
		gr := &score.Chord{Common: c.Common, Voice: 1, Grace: score.Slashed}
		gr.Notes = append(gr.Notes, g.note(1+g.r.IntN(g.neck.Tuning.Len()), true, last, sounded))
		m.Events = append(m.Events, gr)
	}
	strings := g.r.Perm(g.neck.Tuning.Len())
	n := 1
	if g.chance(4) {
		n = 1 + g.r.IntN(min(4, len(strings)))
	}
	held := false
	for _, s := range strings[:n] {
		note := g.note(s+1, false, last, sounded)
		held = held || note.TieStop
		c.Notes = append(c.Notes, note)
	}
	if held {
		for _, n := range c.Notes {
			n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool { return t == score.Ghost })
		}
	}
	if g.rich && g.chance(15) {
		t := pick(g, score.Accent, score.Staccato, score.DownStroke, score.UpStroke, score.Slap, score.Pop, score.PalmMuted, score.Fermata)
		for _, n := range c.Notes {
			n.Techniques = append(n.Techniques, t)
		}
	}
	if g.rich && g.chance(15) {
		c.Notes[0].Finger = score.Finger(1 + g.r.IntN(6))
	}
	if g.rich && g.chance(15) {
		for _, n := range c.Notes {
			n.Annotations = append(n.Annotations, score.Annotation{Kind: "degree", Text: pick(g, "1", "b3", "5", "#4")})
		}
	}
	slices.SortFunc(c.Notes, func(a, b *score.Note) int { return a.Place.String - b.Place.String })
	m.Events = append(m.Events, c)
}

func (g *generator) note(str int, grace bool, last map[int]*score.Note, sounded map[int]bool) *score.Note {
	n := &score.Note{Place: fretboard.Place{String: str, Fret: g.r.IntN(min(g.neck.TopFret(), 18))}, InferredSpelling: true}
	before := last[str]
	if before != nil && !sounded[str] && before.Techniques == nil {
		before = nil // it may be more than a bar away
	}
	if !sounded[str] {
		before = nil
	}
	sounded[str] = true
	last[str] = n
	add := func(t score.Technique) { n.Techniques = append(n.Techniques, t) }
	if before != nil && g.chance(4) {
		if g.chance(3) && !grace && !before.Has(score.Dead) && before.Techniques == nil {
			n.Place = before.Place
			before.TieStart, n.TieStop = true, true
		} else {
			g.ids++
			kind := pick(g, score.LegatoSlide, score.ShiftSlide)
			switch {
			case n.Place.Fret > before.Place.Fret:
				kind = pick(g, score.HammerOn, score.LegatoSlide)
			case n.Place.Fret < before.Place.Fret:
				kind = pick(g, score.PullOff, score.ShiftSlide, score.LegatoSlide)
			}
			if !hasEdgeOut(before) {
				before.Techniques = append(before.Techniques, score.Span{Kind: kind, ID: g.ids, End: score.Start})
				add(score.Span{Kind: kind, ID: g.ids, End: score.Stop})
			}
		}
	}
	if g.chance(3) && !n.TieStop && n.Techniques == nil {
		switch g.r.IntN(14) {
		case 0:
			add(score.Dead)
			n.Place.Fret = 0
		case 1:
			add(score.Ghost)
		case 2:
			add(score.Vibrato)
		case 3:
			add(score.Bend{Amount: pick(g, score.Q(1, 1), score.Q(2, 1), score.Q(1, 2), score.Q(3, 1), score.Q(3, 2)), PreBend: g.chance(4)})
		case 4:
			add(score.Bend{Amount: score.Q(2, 1), Release: true, ReleaseTo: pick(g, score.Q(0, 1), score.Q(1, 1))})
		case 5:
			add(score.SlideEdge{In: true, Below: g.chance(2)})
		case 6:
			add(score.SlideEdge{Below: g.chance(2)})
		case 7:
			add(score.Tap)
		case 8:
			if !g.rich {
				break
			}
			n.Place.Fret = pick(g, 5, 7, 12)
			node, _ := fretboard.NodeAt(n.Place.Fret)
			add(score.Harmonic{Kind: score.NaturalHarmonic, Over: node.Semitones - n.Place.Fret})
		case 9:
			add(score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12, Touch: pick(g, 0, n.Place.Fret+12)})
		case 10:
			add(score.Harmonic{Kind: pick(g, score.PinchHarmonic, score.PinchHarmonic), Over: 12})
		case 11:
			add(score.Harmonic{Kind: score.TappedHarmonic, Over: 12, Touch: n.Place.Fret + 12})
		case 12:
			add(score.Trill{To: pick(g, 1, 2)})
		case 13:
			add(pick(g, score.TremoloPicking, score.WideVibrato, score.BarDip))
		}
	}
	n.Pitch = theory.SpellIn(g.key, g.neck.Stopped(n.Place))
	return n
}

func hasEdgeOut(n *score.Note) bool {
	return n.Has(score.SlideEdge{}) || n.Has(score.SlideEdge{Below: true})
}
