package transform

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// TestDistanceIsAMetric: over shapes of generated phrases and their variations
// it is 0 for a phrase itself, the same both ways, and never further directly
// than over a third one (Fréchet's axioms, from memory).
func TestDistanceIsAMetric(t *testing.T) {
	all := someSteps(t)
	var shapes []*PhraseShape
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 11))
		s := metred(generated(r, 2+r.IntN(3)))
		shapes = append(shapes, ShapeOf(s, 0))
		for range 3 {
			out, _ := Vary(s, []Variation{all[r.IntN(len(all))]}, VaryOptions{Seed: seed})
			shapes = append(shapes, ShapeOf(out, 0), ShapeOf(out, 1))
		}
	}
	d := make([][]float64, len(shapes))
	for i, a := range shapes {
		for _, b := range shapes {
			d[i] = append(d[i], a.Distance(b, score.Q(8, 1)))
		}
	}
	different := 0
	for i := range shapes {
		require.Zero(t, d[i][i])
		for j := range shapes {
			require.GreaterOrEqual(t, d[i][j], 0.0)
			require.InDelta(t, d[i][j], d[j][i], 1e-12)
			if d[i][j] > 0 {
				different++
			}
			for k := range shapes {
				require.False(t, d[i][k] > d[i][j]+d[j][k]+1e-9, "%d to %d over %d", i, k, j)
			}
		}
	}
	assert.Greater(t, different, len(shapes)*len(shapes)/2)
}

// TestDistanceByHand: two whole notes an octave apart over four quarters differ
// in nothing but where they begin, since contours count from the first note; a
// phrase of two halves an octave apart lies an octave off for half of the time
// (0.35/2), strikes one of two notes more (0.25/2), and on one strong beat of
// two sounds another degree or the same.
func TestDistanceByHand(t *testing.T) {
	key := theory.Key{}
	whole, high, jump, other := phrase(t, key, "C4/8"), phrase(t, key, "C5/8"), phrase(t, key, "C4/4 C5/4"), phrase(t, key, "C4/4 G4/4")
	d := func(a, b *score.Score) float64 { return ShapeOf(a, 0).Distance(ShapeOf(b, 0), score.Q(4, 1)) }
	assert.Zero(t, d(whole, high))
	assert.InDelta(t, 0.35/2+0.25/2, d(whole, jump), 1e-12)
	assert.InDelta(t, 0.35/2*7/12+0.25/2+0.2/2, d(whole, other), 1e-12)
	assert.InDelta(t, 0.35+0.25+0.2, d(whole, phrase(t, key, "-/8")), 1e-12)
}

// counted is a phrase over chords on a neck.
func counted(t testing.TB) *score.Score {
	s := phrase(t, theory.Key{Tonic: theory.NoteName{Step: theory.A}, Mode: theory.Minor},
		"A3 C4 D4 E4 G4/2 E4 D4 C4/2 A3 C4 D4/2 E4 - A3 C4 E4 D4 C4/2 A3/2")
	for i, name := range []string{"Am7", "Dm7", "Am7"} {
		c, err := theory.ParseChord(name)
		require.NoError(t, err)
		if i < len(s.Parts[0].Measures) {
			m := s.Parts[0].Measures[i]
			m.Events = append(m.Events, &score.Harmony{Chord: c})
			m.SortEvents()
		}
	}
	out, ds := GiveNeck(s, fretboard.Guitar())
	require.Zero(t, ds.Count(score.NotDone))
	out, ds = Refinger(out, RefingerOptions{})
	require.Zero(t, ds.Count(score.NotDone))
	return out
}

// TestCountedVariations: they are as many as asked for, each good by the rules
// that are promised, looked at by other code; the same seed gives the same; the
// distances do not grow.
func TestCountedVariations(t *testing.T) {
	s := counted(t)
	list, ds := Variations(s, 8, VaryOptions{Seed: 5})
	require.Len(t, list, 8, "%v", ds)
	assert.Empty(t, ds)
	again, _ := Variations(s, 8, VaryOptions{Seed: 5})
	assert.Equal(t, list, again)
	other, _ := Variations(s, 3, VaryOptions{Seed: 6})
	assert.NotEqual(t, list[:3], other)
	home := Inspect(s, InspectOptions{}).Parts[0]
	leap := widest(s)
	for i, v := range list {
		assert.Empty(t, varyProblems(v.Score, true), v.Name())
		in := Inspect(v.Score, InspectOptions{}).Parts[0]
		assert.GreaterOrEqual(t, in.Strong.Share, home.Strong.Share, v.Name())
		assert.LessOrEqual(t, widest(v.Score), leap, v.Name())
		for n := range score.Notes(v.Score) {
			assert.False(t, n.Place.IsZero(), v.Name())
		}
		assert.True(t, endsOnChordTone(v.Score), v.Name())
		assert.Positive(t, v.Distance)
		if i > 0 && v.rank == list[i-1].rank {
			assert.LessOrEqual(t, v.Distance, list[i-1].Distance+1e-12)
		}
		if i > 0 {
			assert.GreaterOrEqual(t, v.rank, list[i-1].rank)
		}
	}
}

// widest returns the widest leap of a line in semitones.
func widest(s *score.Score) (leap int) {
	last := -1
	for n := range score.Notes(s) {
		if n.TieStop {
			continue
		}
		if last >= 0 {
			leap = max(leap, n.Sounding()-last, last-n.Sounding())
		}
		last = n.Sounding()
	}
	return leap
}

func endsOnChordTone(s *score.Score) bool {
	var chord theory.Chord
	good := false
	for _, m := range s.Parts[0].Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.Harmony:
				chord = e.Chord
			case *score.Chord:
				for _, n := range e.Notes {
					if !n.TieStop {
						good = chord.Classes().Has(n.Sounding())
					}
				}
			}
		}
	}
	return good
}

// TestTooFewVariations: one note has few, and that is said.
func TestTooFewVariations(t *testing.T) {
	s := phrase(t, theory.Key{}, "C4/8")
	chord, err := theory.ParseChord("C")
	require.NoError(t, err)
	s.Parts[0].Measures[0].Events = append([]score.Event{&score.Harmony{Chord: chord}}, s.Parts[0].Measures[0].Events...)
	list, ds := Variations(s, 50, VaryOptions{})
	assert.Less(t, len(list), 50)
	require.Equal(t, 1, count(ds, CodeVaryFewer))
	assert.Contains(t, ds[0].Msg, "50 variations asked for")
}

func BenchmarkVariations(b *testing.B) {
	s := counted(b)
	b.ReportAllocs()
	for b.Loop() {
		if list, _ := Variations(s, 10, VaryOptions{}); len(list) != 10 {
			b.Fatal("too few")
		}
	}
}

// TestFingeredLateIsTheSame: what is chosen while only the likely ones are put
// on the neck is what is chosen when all are.
func TestFingeredLateIsTheSame(t *testing.T) {
	for seed := range uint64(3) {
		run := func(all bool) (names []string, distances []float64) {
			x := newChoosing(counted(t), VaryOptions{Seed: seed})
			x.gather(20)
			if all {
				for _, c := range x.pool {
					c.gone = x.finger(c) >= 0
				}
			}
			for _, v := range x.choose(12) {
				names, distances = append(names, v.Name()), append(distances, v.Distance)
			}
			return names, distances
		}
		lateNames, late := run(false)
		allNames, all := run(true)
		require.NotEmpty(t, allNames)
		assert.Equal(t, allNames, lateNames)
		assert.InDeltaSlice(t, all, late, 1e-12)
	}
}

// TestVariationsKeepTheLick: by code of the test's own, none rocks between two
// notes for more than a bar, ends after the last bar, or has less than two
// thirds of the notes, for several phrases and seeds.
func TestVariationsKeepTheLick(t *testing.T) {
	for seed := range uint64(4) {
		s := counted(t)
		home := saidLine(s)
		bars := len(s.Parts[0].Measures)
		list, _ := Variations(s, 8, VaryOptions{Seed: seed})
		require.NotEmpty(t, list)
		for _, v := range list {
			line := saidLine(v.Score)
			assert.GreaterOrEqual(t, 3*len(line), 2*len(home), v.Name())
			whole := 0
			for i, m := range v.Score.Parts[0].Measures {
				if i > 0 || m.Length == m.Nominal {
					whole++
				}
			}
			assert.LessOrEqual(t, whole, bars, v.Name())
			for i := range line {
				two := map[int]bool{}
				for j := i; j < len(line); j++ {
					if two[line[j].key] = true; len(two) > 2 {
						break
					}
					if j-i >= 4 && len(two) == 2 {
						long := line[j].at.Add(line[j].length).Sub(line[i].at)
						assert.False(t, score.Q(4, 1).Less(long), "%s rocks from note %d to %d", v.Name(), i, j)
					}
				}
			}
		}
	}
}
