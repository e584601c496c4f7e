package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// generated returns a random score that is legal: one fretted part in a
// random tuning with a capo or none, with chords, two voices, rests, ties,
// techniques, harmonics, dead notes and grace notes; and one part without a
// neck. The same rand gives the same score.
func generated(r *rand.Rand, bars int) *score.Score {
	presets := fretboard.Presets()
	neck := fretboard.Neck{Tuning: presets[r.IntN(len(presets))].Tuning, Frets: 12 + r.IntN(13)}
	if r.IntN(3) == 0 {
		neck.Capo = r.IntN(5)
	}
	g := &generator{r: r, neck: neck, last: map[int]*score.Note{}}
	key := theory.KeyOf(r.IntN(15)-7, theory.Mode(r.IntN(9)))
	p := &score.Part{ID: "P1", Staves: 1}
	q := &score.Part{ID: "P2", Staves: 1}
	for i := range bars {
		g.hand = 1 + r.IntN(max(1, neck.TopFret()-4))
		m := g.bar(i, key)
		if i == 0 {
			m.Events = append([]score.Event{&score.KeySignature{Key: key, ModeSaid: true}, &score.NeckChange{Neck: neck}}, m.Events...)
		}
		p.Measures = append(p.Measures, m)
		q.Measures = append(q.Measures, g.notation(i, key))
	}
	return &score.Score{Parts: []*score.Part{p, q}}
}

type generator struct {
	r    *rand.Rand
	neck fretboard.Neck
	hand int                 // lowest fret under the hand
	span int                 // IDs given
	last map[int]*score.Note // by voice: the note before, alone
}

func (g *generator) notation(i int, key theory.Key) *score.Measure {
	m := &score.Measure{Number: strconv.Itoa(i + 1), Length: score.Q(4, 1)}
	if i == 0 {
		m.Events = append(m.Events, &score.KeySignature{Key: key, ModeSaid: true})
		m.Events = append(m.Events, &score.PageTranspose{Interval: theory.Octaves(-g.r.IntN(2))})
	}
	for b := range int64(4) {
		root := theory.NameAtFifths(key.Fifths() + g.r.IntN(7) - 1)
		h := &score.Harmony{Chord: theory.Chord{Root: root, Quality: "m7"}}
		h.Onset = score.Q(b, 1)
		c := &score.Chord{Duration: score.Q(1, 1), Voice: 1}
		c.Onset = score.Q(b, 1)
		for range g.r.IntN(3) {
			c.Notes = append(c.Notes, &score.Note{Pitch: theory.Pitch{NoteName: theory.NameAtFifths(key.Fifths() + g.r.IntN(16) - 5), Octave: 3 + g.r.IntN(3)}})
		}
		m.Events = append(m.Events, h, c)
	}
	return m
}

func (g *generator) bar(i int, key theory.Key) *score.Measure {
	m := &score.Measure{Number: strconv.Itoa(i + 1), Length: score.Q(4, 1)}
	if g.r.IntN(6) == 0 {
		m.Events = append(m.Events, &score.Barline{Style: "light-light"})
	}
	voices := 1
	if g.r.IntN(4) == 0 {
		voices = 2
	}
	top := max(1, g.neck.Tuning.Len()/2)
	for v := 1; v <= voices; v++ {
		lo, hi := 1, g.neck.Tuning.Len() // strings of the voice, apart from the other's
		if voices == 2 && v == 1 {
			hi = top
		} else if voices == 2 {
			lo = top + 1
		}
		g.last[v] = nil
		for at := score.Q(0, 1); at.Less(score.Q(4, 1)); {
			d := [...]score.Quarters{score.Q(1, 1), score.Q(1, 2), score.Q(1, 3), score.Q(2, 1)}[g.r.IntN(4)]
			if score.Q(4, 1).Less(at.Add(d)) {
				d = score.Q(4, 1).Sub(at)
			}
			c := &score.Chord{Duration: d, Voice: v}
			c.Onset = at
			g.fill(c, lo, hi, key)
			m.Events = append(m.Events, c)
			at = at.Add(d)
		}
	}
	m.SortEvents()
	return m
}

// fill gives a chord notes that a hand can hold at its place.
func (g *generator) fill(c *score.Chord, lo, hi int, key theory.Key) {
	v := c.Voice
	if g.r.IntN(8) == 0 {
		g.last[v] = nil
		return
	}
	count := 1
	if g.r.IntN(4) == 0 {
		count = 1 + g.r.IntN(min(4, hi-lo+1))
	}
	strings := g.r.Perm(hi - lo + 1)[:count]
	slices.Sort(strings)
	for _, s := range strings {
		p := fretboard.Place{String: lo + s, Fret: min(g.hand+g.r.IntN(4), g.neck.TopFret())}
		if g.r.IntN(4) == 0 {
			p.Fret = 0
		}
		c.Notes = append(c.Notes, g.note(p, key))
	}
	if count > 1 {
		g.last[v] = nil
		return
	}
	n := c.Notes[0]
	if prev := g.last[v]; prev != nil && g.r.IntN(3) == 0 {
		g.join(prev, n, key)
	} else {
		g.mark(n, key)
	}
	g.last[v] = n
	if n.Has(score.Dead) {
		g.last[v] = nil
	}
	if _, ok := n.Harmonic(); ok {
		g.last[v] = nil
	}
}

func (g *generator) note(p fretboard.Place, key theory.Key) *score.Note {
	return &score.Note{Place: p, Pitch: theory.SpellIn(key, g.neck.Stopped(p))}
}

// join ties a note to the one before or joins it by a technique.
func (g *generator) join(a, b *score.Note, key theory.Key) {
	b.Place = fretboard.Place{String: a.Place.String, Fret: b.Place.Fret}
	kind := score.HammerOn
	switch {
	case g.r.IntN(3) == 0 || b.Place == a.Place:
		a.TieStart, b.TieStop = true, true
		b.Place = a.Place
	case g.r.IntN(3) == 0 && a.Place.Fret > 0 && b.Place.Fret > 0:
		kind = score.ShiftSlide
		fallthrough
	default:
		if kind == score.HammerOn && b.Place.Fret < a.Place.Fret {
			kind = score.PullOff
		}
		g.span++
		a.Techniques = append(a.Techniques, score.Span{Kind: kind, ID: g.span, End: score.Start})
		b.Techniques = append(b.Techniques, score.Span{Kind: kind, ID: g.span, End: score.Stop})
	}
	b.Pitch = theory.SpellIn(key, g.neck.Stopped(b.Place))
	if b.TieStop {
		b.Pitch = a.Pitch
	}
}

func (g *generator) mark(n *score.Note, key theory.Key) {
	add := func(t score.Technique) { n.Techniques = append(n.Techniques, t) }
	switch g.r.IntN(12) {
	case 0:
		if n.Place.Fret > 0 {
			add(score.Bend{Amount: score.Q(int64(1+g.r.IntN(4)), 2)})
		}
	case 1:
		add(score.Dead)
	case 2:
		nodes := fretboard.Nodes(g.neck.TopFret())
		node := nodes[g.r.IntN(len(nodes))]
		n.Place.Fret = node.Fret
		n.Pitch = theory.SpellIn(key, g.neck.Stopped(n.Place))
		add(score.Harmonic{Kind: score.NaturalHarmonic, Over: node.Semitones - node.Fret})
	case 3:
		if n.Place.Fret > 0 && n.Place.Fret+12 <= g.neck.TopFret() {
			add(score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12, Touch: n.Place.Fret + 12})
		}
	case 4:
		if n.Place.Fret == 0 {
			add(score.OpenString)
		}
	case 5:
		if n.Place.Fret+2 <= g.neck.TopFret() {
			add(score.Trill{To: 2})
		}
	}
}

// someIntervals are the named intervals of up to two octaves, both ways,
// simply and singly altered.
func someIntervals() []theory.Interval {
	var list []theory.Interval
	for number := 1; number <= 15; number++ {
		for _, q := range []string{"P", "M", "m", "A", "d"} {
			for _, sign := range []string{"", "-"} {
				if i, err := theory.ParseInterval(sign + q + strconv.Itoa(number)); err == nil && !slices.Contains(list, i) {
					list = append(list, i)
				}
			}
		}
	}
	return list
}

func TestEveryNoteHasALegalPlace(t *testing.T) {
	intervals := someIntervals()
	scores := 400
	if testing.Short() {
		scores = 60
	}
	moved, anew, octave := 0, 0, 0
	for seed := range uint64(scores) {
		r := rand.New(rand.NewPCG(seed, 1))
		in := generated(r, 1+r.IntN(6))
		same := in.Clone()
		if problems := checkMove(in, same, theory.Interval{}, nil); len(problems) > 0 {
			require.Empty(t, problems, "seed %d: the generated score itself", seed)
		}
		for range 8 {
			by := intervals[r.IntN(len(intervals))]
			out, ds := Transpose(in, by, TransposeOptions{})
			if problems := checkMove(in, out, by, ds); len(problems) > 0 {
				require.Empty(t, problems, "seed %d by %s\n%s\n%s", seed, by, places(in), places(out))
			}
			require.Equal(t, same, in, "the input changed")
			moved++
			anew += min(1, count(ds, CodeRefingered))
			octave += min(1, count(ds, CodeOctave))
		}
	}
	t.Logf("%d moves, %d with notes fingered anew, %d with a phrase in another octave", moved, anew, octave)
	assert.NotZero(t, anew)
	assert.NotZero(t, octave)
}

// A shape that moved along the neck and had to change nothing else comes back
// to where it was. (A natural harmonic may come back to another node of the
// same sound.)
func TestShapesComeBack(t *testing.T) {
	intervals := someIntervals()
	back := 0
	for seed := range uint64(600) {
		r := rand.New(rand.NewPCG(seed, 7))
		in := generated(r, 2)
		by := intervals[r.IntN(len(intervals))]
		out, ds := Transpose(in, by, TransposeOptions{Respell: RespellNever})
		if ds.Count(score.Warning)+ds.Count(score.NotDone) > 0 || hasNatural(in) {
			continue
		}
		again, ds := Transpose(out, by.Neg(), TransposeOptions{Respell: RespellNever})
		if ds.Count(score.Warning)+ds.Count(score.NotDone) > 0 {
			continue
		}
		back++
		require.Equal(t, written(in), written(again), "seed %d by %s", seed, by)
		require.Equal(t, places(in), places(again), "seed %d by %s", seed, by)
	}
	assert.Greater(t, back, 20)
}

func hasNatural(s *score.Score) bool {
	for n := range score.Notes(s) {
		if h, ok := n.Harmonic(); ok && h.Kind == score.NaturalHarmonic {
			return true
		}
	}
	return false
}

// FuzzTranspose looks for a score and an interval that come out wrong. The
// score is generated from the seed; the checker is that of the tests.
func FuzzTranspose(f *testing.F) {
	for seed := range uint64(20) {
		f.Add(seed, int8(seed)-10, int8(seed)*2-20)
	}
	f.Fuzz(func(t *testing.T, seed uint64, steps, semitones int8) {
		by := theory.Interval{Steps: int(steps) % 15, Semitones: int(semitones) % 25}
		in := generated(rand.New(rand.NewPCG(seed, 6)), 3)
		before := in.Clone()
		out, ds := Transpose(in, by, TransposeOptions{})
		require.Equal(t, before, in, "the input changed")
		require.Empty(t, checkMove(in, out, by, ds), "seed %d by %s", seed, by)
		again, _ := Transpose(in, by, TransposeOptions{})
		require.Equal(t, out, again, "the same in, the same out")
	})
}

func count(ds score.Diagnostics, code string) int {
	n := 0
	for _, d := range ds {
		if d.Code == code {
			n++
		}
	}
	return n
}

// bare returns a generated score without its neck, so that the laws of
// transposition hold without the exception for octaves.
func bare(r *rand.Rand) *score.Score {
	s := generated(r, 2)
	s.Parts = s.Parts[1:]
	return s
}

// written lists all that transposition moves, spelled.
func written(s *score.Score) string {
	text := ""
	for n := range score.Preorder(s) {
		switch n := n.(type) {
		case *score.Note:
			text += n.Pitch.String() + " "
		case *score.KeySignature:
			text += n.Key.String() + ": "
		case *score.Harmony:
			text += "(" + n.Chord.String() + ") "
		}
	}
	return text
}

// sounds lists all that transposition moves, as it sounds.
func sounds(s *score.Score) string {
	text := ""
	for n := range score.Preorder(s) {
		switch n := n.(type) {
		case *score.Note:
			text += strconv.Itoa(n.Pitch.MIDI()) + " "
		case *score.KeySignature:
			text += fmt.Sprint(n.Key.Tonic.Class(), n.Key.Mode, ": ")
		case *score.Harmony:
			text += fmt.Sprint("(", n.Chord.Root.Class(), ") ")
		}
	}
	return text
}

// The group laws of ARCHITECTURE: by a then b is by a+b, up then down is
// where it was, a unison is nothing; without respelling in spelling, with it
// in sound.
func TestTranspositionIsAGroup(t *testing.T) {
	intervals := someIntervals()
	never := TransposeOptions{Respell: RespellNever}
	for seed := range uint64(15) {
		r := rand.New(rand.NewPCG(seed, 2))
		in := bare(r)
		key := in.Parts[0].Measures[0].Events[0].(*score.KeySignature)
		key.Key = theory.KeyOf(int(seed)-7, key.Key.Mode) // every signature once
		move := func(s *score.Score, opt TransposeOptions, by ...theory.Interval) *score.Score {
			for _, i := range by {
				s, _ = Transpose(s, i, opt)
			}
			return s
		}
		require.Equal(t, in, move(in, TransposeOptions{}, theory.Interval{}))
		for _, a := range intervals {
			require.Equal(t, in, move(in, never, a, a.Neg()), "%s and back", a)
			require.Equal(t, sounds(in), sounds(move(in, TransposeOptions{}, a, a.Neg())), "%s and back", a)
			b := intervals[r.IntN(len(intervals))]
			require.Equal(t, written(move(in, never, a.Add(b))), written(move(in, never, a, b)), "%s then %s", a, b)
			require.Equal(t, sounds(move(in, TransposeOptions{}, a.Add(b))), sounds(move(in, TransposeOptions{}, a, b)), "%s then %s", a, b)
			require.Equal(t, sounds(move(in, never, a)), sounds(move(in, TransposeOptions{}, a)), "respelling keeps the sound")
		}
	}
}

// With respelling no page shows more than seven sharps or flats, and no note
// more than two.
func TestRespelledPagesCanBeRead(t *testing.T) {
	for seed := range uint64(20) {
		in := bare(rand.New(rand.NewPCG(seed, 3)))
		for _, by := range someIntervals() {
			out, _ := Transpose(in, by, TransposeOptions{})
			for n := range score.Preorder(out) {
				switch n := n.(type) {
				case *score.KeySignature:
					require.LessOrEqual(t, max(n.Key.Fifths(), -n.Key.Fifths()), 7, "%s by %s", n.Key, by)
				case *score.Note:
					require.LessOrEqual(t, max(n.Pitch.Alter, -n.Pitch.Alter), 2, "%s", n.Pitch)
				case *score.Harmony:
					require.LessOrEqual(t, max(n.Chord.Root.Alter, -n.Chord.Root.Alter), 2, "%s", n.Chord)
				}
			}
		}
	}
}

// One score may go to many keys at once.
func TestTransposeIsConcurrent(t *testing.T) {
	in := generated(rand.New(rand.NewPCG(1, 4)), 8)
	want, _ := Transpose(in, theory.Interval{Steps: 2, Semitones: 3}, TransposeOptions{})
	t.Run("group", func(t *testing.T) {
		for range 4 {
			t.Run("", func(t *testing.T) {
				t.Parallel()
				got, _ := Transpose(in, theory.Interval{Steps: 2, Semitones: 3}, TransposeOptions{})
				assert.Equal(t, want, got)
			})
		}
	})
}

func BenchmarkTranspose(b *testing.B) {
	for _, bars := range []int{150, 1500, 15000} {
		in := generated(rand.New(rand.NewPCG(5, 5)), bars)
		notes := 0
		for range score.Notes(in) {
			notes++
		}
		b.Run(fmt.Sprintf("notes=%d", notes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Transpose(in, theory.Interval{Steps: 2, Semitones: 3}, TransposeOptions{})
			}
			b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}
