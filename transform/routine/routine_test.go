package routine

import (
	"fmt"
	"math/rand"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

func scaleNamed(t testing.TB, name string) theory.Scale {
	t.Helper()
	s, err := theory.ScaleByName(name)
	require.NoError(t, err)
	return s
}

func TestLadder(t *testing.T) {
	assert.Equal(t, []float64{60, 68, 76, 84, 92, 100}, Ladder{60, 8, 100}.Steps())
	assert.Equal(t, []float64{60, 80, 90}, Ladder{60, 20, 90}.Steps(), "the goal is always reached")
	assert.Equal(t, []float64{60}, Ladder{Start: 60}.Steps())
	assert.Empty(t, Ladder{}.Steps())
	for _, l := range []Ladder{{Step: 5}, {60, 0, 100}, {100, 5, 60}, {60, 5, 0}, {60, 0.1, 300}, {-1, 0, 0}} {
		assert.Error(t, l.check(), "%v", l)
	}
}

// A length is written as values that add up to it. Source: the lengths of
// note values and dots, common practice.
func TestSpell(t *testing.T) {
	for _, tt := range []struct {
		q    score.Quarters
		want []score.NoteValue
	}{
		{score.Q(7, 2), []score.NoteValue{{Log: 1, Dots: 2, Known: true}}},
		{score.Q(5, 1), []score.NoteValue{{Log: 0, Known: true}, {Log: 2, Known: true}}},
		{score.Q(5, 2), []score.NoteValue{{Log: 1, Known: true}, {Log: 3, Known: true}}},
	} {
		assert.Equal(t, tt.want, spell(tt.q))
	}
	for n := int64(1); n <= 128; n++ {
		sum := score.Quarters{}
		for _, v := range spell(score.Q(n, 16)) {
			sum = sum.Add(v.Quarters())
		}
		assert.Equal(t, score.Q(n, 16), sum)
	}
}

// What is written out holds together: every bar is full to the end, ties join
// equal notes, tuplets come in threes, every note sounds what its place gives
// and lies on the neck, in whatever scheme, metre, value and key.
func TestScoresAreSound(t *testing.T) {
	scales := theory.Scales()
	tunings := fretboard.Presets()
	over, err := theory.ParseProgression("Dm7 | G7 / / C | N.C. | Bb6 A7alt", nil)
	require.NoError(t, err)
	var kinds []Kind
	for k := range kindNames {
		kinds = append(kinds, Kind(k))
	}
	made := 0
	for seed := range 60 {
		r := rand.New(rand.NewSource(int64(seed)))
		o := Options{
			Tonic: theory.NameAtFifths(r.Intn(12) - 5), Scale: scales[r.Intn(len(scales))],
			Neck:    fretboard.Neck{Tuning: tunings[r.Intn(len(tunings))].Tuning, Capo: r.Intn(3), Frets: 17 + r.Intn(8)},
			Scheme:  anyScheme(r),
			Show:    kinds,
			Run:     transform.Direction(r.Intn(3)),
			Octaves: r.Intn(3),
			Over:    over, Formula: []theory.Degree{{Number: 1}, {Number: 3}, {Number: 5}, {Number: 9}},
		}
		o.Time, _ = score.ParseMetre([]string{"4/4", "3/4", "6/8", "7/8", "5/16", "3+2/8", "2/1"}[r.Intn(7)])
		o.Value = []score.Quarters{score.Q(1, 2), score.Q(1, 4), score.Q(1, 3), score.Q(1, 6), score.Q(1, 1), score.Q(3, 4)}[r.Intn(6)]
		s, err := New(o)
		if err != nil {
			continue // the neck has no such place; TestErrors has the messages
		}
		made++
		where := fmt.Sprintf("seed %d: %s on %s, %s", seed, s.Title, o.Neck.Tuning, o.Time.Metre())
		sc := Score(s.Title, s)
		require.NotEmpty(t, sc.Parts[0].Measures, where)
		last := map[int]*score.Note{} // the last note of each string, in its bar or the one before
		tuplets := map[int]int{}
		for i, m := range sc.Parts[0].Measures {
			at := score.Quarters{}
			for c := range m.Chords() {
				require.Equal(t, at, c.Onset, "%s: bar %d", where, i+1)
				require.Positive(t, c.Duration.Sign(), where)
				at = c.End()
				for _, u := range c.Tuplets {
					tuplets[u.ID]++
				}
				if c.Value.Known {
					want := c.Duration
					if len(c.Tuplets) > 0 {
						want = want.Mul(score.Q(3, 2))
					}
					require.Equal(t, want, c.Value.Quarters(), where)
				}
				for _, n := range c.Notes {
					require.True(t, o.Neck.Has(n.Place), where)
					require.Equal(t, o.Neck.Stopped(n.Place), n.Pitch.MIDI(), where)
					if n.TieStop {
						require.NotNil(t, last[n.Place.String], where)
						require.True(t, last[n.Place.String].TieStart && last[n.Place.String].Place == n.Place, where)
						require.Empty(t, n.Annotations, where)
					} else {
						require.Len(t, n.Annotations, 1, where)
					}
					last[n.Place.String] = n
				}
			}
			require.Equal(t, m.Length, at, "%s: bar %d of %s is not full", where, i+1, o.Time.Metre())
			require.Equal(t, strconv.Itoa(i+1), m.Number)
		}
		for id, n := range tuplets {
			require.Equal(t, 3, n, "%s: tuplet %d", where, id)
		}
		for _, p := range s.Pages {
			for _, e := range p.Exercises {
				require.NotEmpty(t, e.Title, where)
				require.False(t, !e.bars() && len(e.Words) == 0, "%s: %s says nothing", where, e.Title)
			}
		}
	}
	assert.Greater(t, made, 40)
}

func anyScheme(r *rand.Rand) fretboard.Scheme {
	switch r.Intn(7) {
	case 0:
		return fretboard.ChordShape{}
	case 1:
		return fretboard.PerString{Notes: []int{1 + r.Intn(4)}, Hold: r.Intn(2) == 0}
	case 2:
		return fretboard.Position{Fret: 1 + r.Intn(9)}
	case 3:
		return fretboard.Window{From: 2, To: 3 + r.Intn(8)}
	case 4:
		return fretboard.Strings{1, 2, 3}
	case 5:
		return fretboard.Open{}
	}
	return fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: fretboard.Strings{1, 2, 3}}
}

// The smaller set lies in the larger, place for place: chord, triad arpeggio,
// pentatonic, scale, for major with its pentatonic. Source: common practice.
func TestSetsOfAPositionNest(t *testing.T) {
	s, err := New(Options{Tonic: theory.NoteName{Step: theory.G}, Scale: scaleNamed(t, "major"), Neck: fretboard.Guitar(), Scheme: fretboard.ChordShape{}})
	require.NoError(t, err)
	require.Len(t, s.Pages, 5)
	for _, p := range s.Pages {
		sets := map[Kind]map[fretboard.Place]bool{}
		for _, e := range p.Exercises {
			if e.Kind == JoinPosition || e.Kind == Arpeggio && sets[Arpeggio] != nil || e.Kind == ChordHeld {
				e.Lines = e.Lines[:min(len(e.Lines), 1)]
			}
			if sets[e.Kind] != nil {
				continue // the seventh arpeggio is no part of the pentatonic
			}
			sets[e.Kind] = map[fretboard.Place]bool{}
			for _, l := range e.Lines {
				for _, m := range l {
					for _, n := range m.Notes {
						sets[e.Kind][n.Place] = true
					}
				}
			}
		}
		chain := []Kind{ChordHeld, Arpeggio, Pentatonic, Scale}
		for i := 1; i < len(chain); i++ {
			require.NotEmpty(t, sets[chain[i-1]], "%s: %s", p.Title, chain[i-1])
			for place := range sets[chain[i-1]] {
				assert.True(t, sets[chain[i]][place], "%s: %v of %s is not in %s", p.Title, place, chain[i-1], chain[i])
			}
		}
	}
}

// Where no pentatonic fits the page says so and why. Source: common practice;
// harmonic minor has the major seventh, its pentatonic the minor one.
func TestNoPentatonicIsSaid(t *testing.T) {
	s, err := New(Options{Tonic: theory.NoteName{Step: theory.A}, Scale: scaleNamed(t, "harmonic minor"), Neck: fretboard.Guitar(), Scheme: fretboard.ChordShape{}, Show: []Kind{Pentatonic, Scale}})
	require.NoError(t, err)
	for _, p := range s.Pages {
		require.Equal(t, Pentatonic, p.Exercises[0].Kind)
		assert.Empty(t, p.Exercises[0].Lines)
		assert.Contains(t, p.Exercises[0].Words[0], "A minor pentatonic has b7, which A harmonic minor has not")
	}
}

func TestErrors(t *testing.T) {
	good := func() Options {
		return Options{Scale: scaleNamed(t, "major"), Neck: fretboard.Guitar(), Scheme: fretboard.ChordShape{}}
	}
	for _, tt := range []struct {
		says string
		with func(*Options)
	}{
		{"no scale", func(o *Options) { o.Scale = theory.Scale{} }},
		{"octaves", func(o *Options) { o.Octaves = -1 }},
		{"metre", func(o *Options) { o.Time, _ = score.ParseMetre("free") }},
		{"between a 128th and a whole", func(o *Options) { o.Value = score.Q(8, 1) }},
		{"no note value", func(o *Options) { o.Value = score.Q(2, 7) }},
		{"three such triplet", func(o *Options) { o.Value = score.Q(4, 3); o.Time, _ = score.ParseMetre("3/4") }},
		{"goal", func(o *Options) { o.Ladder = Ladder{60, 5, 50} }},
		{"progression", func(o *Options) { o.Show = []Kind{GuideTones} }},
		{"strings", func(o *Options) { o.Neck = fretboard.Neck{} }},
	} {
		o := good()
		tt.with(&o)
		_, err := New(o)
		assert.ErrorContains(t, err, tt.says)
	}
	_, err := ParseKind("scales")
	var pe *theory.ParseError
	require.ErrorAs(t, err, &pe)
	assert.Contains(t, pe.Hint, "sequences")
}

// Chords that do not share a bar evenly, as three in a bar of four beats, are
// named and the rest of the page is made.
func TestUnevenProgression(t *testing.T) {
	over, err := theory.ParseProgression("C Am F | G", nil)
	require.NoError(t, err)
	s, err := New(Options{Scale: scaleNamed(t, "major"), Neck: fretboard.Guitar(), Scheme: fretboard.ChordShape{}, Show: []Kind{Scale, GuideTones}, Over: over})
	require.NoError(t, err)
	assert.Equal(t, 5, s.Said.Count(score.NotDone))
	assert.Contains(t, s.Said[0].Msg, "3 chords do not share a bar of 4/4 evenly")
	o := Options{Scale: scaleNamed(t, "major"), Neck: fretboard.Guitar(), Scheme: fretboard.ChordShape{}, Show: []Kind{GuideTones}, Over: over}
	o.Time, _ = score.ParseMetre("3/4")
	s, err = New(o)
	require.NoError(t, err)
	assert.Zero(t, s.Said.Count(score.NotDone), "in three they do")
}

func BenchmarkSheet(b *testing.B) {
	o := Options{Scale: scaleNamed(b, "major"), Neck: fretboard.Guitar(), Scheme: fretboard.ChordShape{}, Show: []Kind{ChordHeld, Arpeggio, Pentatonic, Scale, Sequences, JoinPosition}}
	b.ReportAllocs()
	pages, notes := 0, 0
	for b.Loop() {
		s, err := New(o)
		require.NoError(b, err)
		pages += len(s.Pages)
		for range score.Notes(Score(s.Title, s)) {
			notes++
		}
	}
	b.ReportMetric(float64(pages)/b.Elapsed().Seconds(), "pages/s")
	b.ReportMetric(float64(notes)/b.Elapsed().Seconds(), "notes/s")
}
