package degrees

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A generator makes scores that a text of degrees can hold whole.
type generator struct {
	*rand.Rand
	key   theory.Key
	ids   int
	tups  int
	part  *score.Part
	neck  fretboard.Neck
	spans []openEnd
}

type openEnd struct {
	span score.Span
	left int
	in   *score.Chord
}

func (g *generator) chance(n int) bool { return g.IntN(n) == 0 }

func pick[T any](g *generator, list ...T) T { return list[g.IntN(len(list))] }

// generate makes a score of so many bars in a key.
func generate(seed uint64, bars int, key theory.Key) *score.Score {
	g := &generator{Rand: rand.New(rand.NewPCG(seed, 12)), key: key}
	s := &score.Score{Title: pick(g, "", "Study in Blue", `A "quoted" one`), Composer: pick(g, "", "Nobody")}
	parts := 1
	if g.chance(6) {
		parts = 2
	}
	for i := range parts {
		p := &score.Part{ID: fmt.Sprint("P", i+1), Staves: 1, Name: pick(g, "", "Lead")}
		if parts > 1 {
			p.Name = fmt.Sprint("Player ", i+1)
		}
		g.part, g.ids, g.tups, g.spans, g.key = p, 0, 0, nil, key
		g.bars(i, bars)
		s.Parts = append(s.Parts, p)
	}
	return s
}

var metres = [...]string{"4/4", "3/4", "6/8", "12/8", "5/4", "7/8", "3+2/8", "3/8+2/4", "C", "C|", "2/2", "free"}

func (g *generator) bars(part, bars int) {
	nominal := score.Q(4, 1)
	g.neck = fretboard.Guitar()
	ending := ""
	for i := range bars {
		m := &score.Measure{}
		add := func(e score.Event) { m.Events = append(m.Events, e) }
		common := score.Common{}
		if i == 0 {
			if g.chance(3) {
				g.neck = fretboard.Neck{Tuning: pick(g, fretboard.Presets()...).Tuning, Frets: pick(g, 22, 24, 19), Capo: pick(g, 0, 0, 2, 5)}
				add(&score.NeckChange{Neck: g.neck})
			}
			if part == 0 || g.chance(2) {
				if part > 0 {
					g.key = theory.KeyOf(g.IntN(13)-6, pick(g, theory.Major, theory.Dorian))
				}
				add(&score.KeySignature{Key: g.key, ModeSaid: g.key.Mode != theory.Major || g.chance(2)})
			}
			if g.chance(2) {
				add(&score.Tempo{QuartersPerMinute: pick(g, 60, 92.5), Text: pick(g, "", "slow \"swing\"")})
			}
		}
		if i == 0 && !g.chance(4) || i > 0 && g.chance(8) {
			t, _ := score.ParseMetre(pick(g, metres[:]...))
			add(t)
			nominal = t.Length
		}
		m.Nominal, m.Length = nominal, nominal
		if nominal.IsZero() || g.chance(10) {
			m.Length = score.Q(int64(1+g.IntN(20)), 4)
		}
		if i == 0 && g.chance(3) && nominal.Sign() > 0 {
			m.Length = nominal.Mul(score.Q(1, 2))
		}
		m.Implicit = i == 0 && m.Length.Less(nominal)
		if g.chance(10) {
			m.Implicit = !m.Implicit
		}
		if i > 0 && g.chance(8) {
			g.key = theory.KeyOf(g.IntN(13)-6, pick(g, theory.Major, theory.Minor, theory.Lydian))
			add(&score.KeySignature{Key: g.key, ModeSaid: true})
		}
		if g.chance(10) {
			at := g.inside(m)
			add(&score.KeySignature{Common: score.Common{Onset: at}, Key: theory.KeyOf(g.IntN(7)-3, theory.Minor), ModeSaid: true})
		}
		if i > 0 && g.chance(12) {
			g.neck.Capo = 1 + g.neck.Capo
			add(&score.NeckChange{Neck: g.neck})
		}
		left, right := &score.Barline{Common: common}, &score.Barline{Common: score.Common{Onset: m.Length}}
		if g.chance(6) {
			left.Repeat = score.Forward
		}
		switch g.IntN(8) {
		case 0:
			right.Repeat, right.Times = score.Backward, pick(g, 0, 2, 3)
		case 1:
			right.Style = pick(g, "light-light", "light-heavy", "dashed")
		}
		if ending == "" && g.chance(8) {
			ending = pick(g, "1", "2", "1, 2")
			left.Ending, left.EndingType = ending, "start"
		} else if ending != "" && (g.chance(2) || i == bars-1) {
			right.Ending, right.EndingType, ending = ending, pick(g, "stop", "discontinue"), ""
		}
		voices := pick(g, 1, 1, 1, 2)
		for v := range voices {
			g.voice(m, v+1, pick(g, 1, 1, 1, v+1))
		}
		for range pick(g, 0, 0, 1, 2) {
			c, err := theory.ParseChord(pick(g, "Am7", "D7", "F#m7b5", "Bbmaj7", "C/G", "N.C.", "E7(b9,#11)", "G-7", "Adim", "CΔ9", "Fsus4"))
			if err != nil {
				panic(err)
			}
			add(&score.Harmony{Common: score.Common{Onset: g.inside(m)}, Chord: c})
		}
		if g.chance(6) {
			add(&score.Words{Common: score.Common{Onset: g.inside(m)}, Kind: pick(g, "words", "dynamics", "rehearsal", "lyric"), Text: pick(g, "mf", "let it | breathe", `say "ah"; {no} \ yes`)})
		}
		if *left != (score.Barline{}) {
			add(left)
		}
		if *right != (score.Barline{Common: score.Common{Onset: m.Length}}) {
			add(right)
		}
		m.SortEvents()
		g.part.Measures = append(g.part.Measures, m)
	}
	g.drop()
}

// drop takes back the beginnings of what never ended.
func (g *generator) drop() {
	stops := map[score.Span]bool{}
	for n := range score.Notes(g.part) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok && s.End == score.Stop {
				stops[score.Span{Kind: s.Kind, ID: s.ID, End: score.Start}] = true
			}
		}
	}
	for n := range score.Notes(g.part) {
		n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
			s, ok := t.(score.Span)
			return ok && s.End == score.Start && !stops[s]
		})
	}
	g.ties()
}

// ties ties some notes that follow each other in a voice.
func (g *generator) ties() {
	last := map[[3]int]*score.Note{}
	for _, m := range g.part.Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				k := [3]int{c.Staff, c.Voice}
				if b := last[k]; b != nil && b.Pitch == n.Pitch && len(c.Notes) == 1 && g.chance(2) && !onString(n) && !onString(b) {
					b.TieStart, n.TieStop = true, true
				}
				last[k] = n
			}
		}
	}
}

func (g *generator) inside(m *score.Measure) score.Quarters {
	at := score.Q(int64(g.IntN(9)), 2)
	if at.Less(m.Length) {
		return at
	}
	return score.Quarters{}
}

// voice fills a bar with one voice.
func (g *generator) voice(m *score.Measure, voice, staff int) {
	now := score.Quarters{}
	var last *score.Chord
	if voice == 1 && g.chance(8) {
		m.Events = append(m.Events, &score.Chord{Common: score.Common{Staff: staff}, Voice: voice, Duration: m.Length, WholeMeasure: true})
		return
	}
	for now.Less(m.Length) {
		left := m.Length.Sub(now)
		if g.chance(7) && !left.Less(score.Q(1, 1)) {
			x := pick(g, [2]int{3, 2}, [2]int{5, 4}, [2]int{7, 4}, [2]int{3, 4}, [2]int{6, 4})
			g.tups++
			tup := []score.Tuplet{{ID: g.tups, Actual: x[0], Normal: x[1]}}
			for k := range x[0] {
				d := score.Q(1, int64(x[0]))
				if k == 0 && x[0] == 3 && g.chance(2) { // a tuplet in a tuplet
					g.tups++
					inner := append(slices.Clone(tup), score.Tuplet{ID: g.tups, Actual: 3, Normal: 2})
					for range 3 {
						last = g.chord(m, voice, staff, now, d.Mul(score.Q(1, 3)), inner, last)
						now = now.Add(d.Mul(score.Q(1, 3)))
					}
					continue
				}
				last = g.chord(m, voice, staff, now, d, tup, last)
				now = now.Add(d)
			}
			continue
		}
		d := pick(g, score.Q(1, 4), score.Q(1, 2), score.Q(1, 1), score.Q(3, 2), score.Q(2, 1), score.Q(3, 4), score.Q(5, 4), score.Q(1, 7), score.Q(4, 1), score.Q(8, 1), score.Q(1, 32))
		if left.Less(d) {
			d = left
		}
		if voice > 1 && g.chance(6) { // a gap
			now = now.Add(d)
			continue
		}
		last = g.chord(m, voice, staff, now, d, nil, last)
		now = now.Add(d)
	}
}

func (g *generator) pitch() theory.Pitch {
	// A hundred pitches around the neck, spelled in every way that occurs.
	name := theory.NameAtFifths(g.key.Tonic.Fifths() + g.IntN(15) - 7)
	return theory.Pitch{NoteName: name, Octave: 2 + g.IntN(4)}
}

func (g *generator) chord(m *score.Measure, voice, staff int, at, d score.Quarters, tup []score.Tuplet, last *score.Chord) *score.Chord {
	c := &score.Chord{Common: score.Common{Onset: at, Staff: staff}, Voice: voice, Duration: d, Tuplets: slices.Clone(tup)}
	if g.chance(6) {
		m.Events = append(m.Events, c)
		return last
	}
	if g.chance(12) {
		gr := &score.Chord{Common: c.Common, Voice: voice, Grace: pick(g, score.Slashed, score.Unslashed)}
		gr.Notes = []*score.Note{g.note(nil, 0, last, gr)}
		m.Events = append(m.Events, gr)
		last = gr
	}
	if g.chance(20) {
		c.Tremolo = 3
	}
	c.Cue = g.chance(25)
	n := pick(g, 1, 1, 1, 2, 3)
	for len(c.Notes) < n {
		x := g.note(last, len(c.Notes), last, c)
		for !onString(x) && slices.ContainsFunc(c.Notes, func(y *score.Note) bool { return y.Pitch == x.Pitch }) {
			x.Pitch.Octave++
		}
		c.Notes = append(c.Notes, x)
	}
	m.Events = append(m.Events, c)
	return c
}

func (g *generator) note(_ *score.Chord, _ int, last *score.Chord, in *score.Chord) *score.Note {
	n := &score.Note{Pitch: g.pitch()}
	add := func(t score.Technique) { n.Techniques = append(n.Techniques, t) }
	if g.chance(5) && last != nil && last != in { // joined to a note before
		g.ids++
		k := pick(g, score.HammerOn, score.PullOff, score.LegatoSlide, score.ShiftSlide, score.Glissando, score.Slur)
		from := pick(g, last.Notes...)
		from.Techniques = append(from.Techniques, score.Span{Kind: k, ID: g.ids, End: score.Start})
		add(score.Span{Kind: k, ID: g.ids, End: score.Stop})
	} else if g.chance(6) && last != nil && len(last.Notes) > 0 {
		n.Pitch = last.Notes[0].Pitch
	}
	for i, o := range g.spans {
		if o.in == in { // once in a chord
			continue
		}
		g.spans[i].in = in
		if o.left == 0 {
			add(score.Span{Kind: o.span.Kind, ID: o.span.ID, End: score.Stop})
		}
		g.spans[i].left--
	}
	g.spans = slices.DeleteFunc(g.spans, func(o openEnd) bool { return o.left < 0 })
	if g.chance(10) {
		g.ids++
		s := score.Span{Kind: pick(g, score.PalmMute, score.LetRingSpan, score.VibratoSpan), ID: g.ids, End: score.Start}
		add(s)
		g.spans = append(g.spans, openEnd{s, 1 + g.IntN(4), in})
	}
	switch g.IntN(16) {
	case 0:
		add(pick(g, score.Marks()...))
	case 1:
		add(score.Bend{Amount: pick(g, score.Q(1, 1), score.Q(2, 1), score.Q(1, 2), score.Q(3, 2), score.Q(12, 1), score.Q(14, 1)), PreBend: g.chance(3)})
	case 2:
		add(score.Bend{Amount: score.Q(2, 1), Release: true, ReleaseTo: pick(g, score.Q(0, 1), score.Q(1, 1), score.Q(1, 2))})
	case 3:
		add(score.Bend{Amount: score.Q(-2, 1), WithBar: true})
	case 4:
		add(score.Harmonic{Kind: pick(g, score.NaturalHarmonic, score.ArtificialHarmonic, score.PinchHarmonic, score.TappedHarmonic), Over: pick(g, 0, 12, 24)})
	case 5:
		add(score.SlideEdge{In: g.chance(2), Below: g.chance(2)})
	case 6:
		add(score.Trill{To: pick(g, 0, 1, 2, -1)})
	case 7:
		n.Pluck = pick(g, "p", "i", "m")
	case 8:
		if g.part != nil && len(g.part.Measures) > 0 { // dead, on a string
			n.Place.String = 1 + g.IntN(g.neck.Tuning.Len())
			n.Pitch = theory.SpellIn(theory.Key{Tonic: g.key.Tonic}, g.neck.Stopped(n.Place))
			add(score.Dead)
		}
	}
	return n
}
