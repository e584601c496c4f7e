package transform

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// checkFingering says everything that is wrong with a score that was fingered
// anew. It shares no code with the search: sounds, nodes and millimetres come
// from the facts of the neck (see legal_test.go).
func checkFingering(in, out *score.Score, ds score.Diagnostics) (problems []string) {
	bad := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	said := map[string]bool{}
	for _, d := range ds {
		said[d.Code] = true
	}
	for pi, p := range in.Parts {
		q := out.Parts[pi]
		var neck *fretboard.Neck
		type heard struct {
			before, after *score.Note
			from, to      float64
			c             *score.Chord
		}
		var all []heard
		start := 0.0
		for mi, m := range p.Measures {
			for ei, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					neck = &e.Neck
				case *score.Chord:
					f := q.Measures[mi].Events[ei].(*score.Chord)
					if e.Onset != f.Onset || e.Duration != f.Duration || len(e.Notes) != len(f.Notes) {
						bad("bar %d: rhythm or number of notes differs", mi+1)
						continue
					}
					for ni, a := range e.Notes {
						b := f.Notes[ni]
						if a.Sounding() != b.Sounding() {
							bad("bar %d, note %d: sounds %d, not %d", mi+1, ni+1, b.Sounding(), a.Sounding())
						}
						for _, problem := range checkNote(a, b, neck, theory.Interval{}) {
							bad("bar %d, quarter %s, note %d: %s", mi+1, e.Onset, ni+1, problem)
						}
						if neck != nil && b.Place.IsZero() && !said[CodeRefingerNoPlace] {
							bad("bar %d, quarter %s, note %d: no place and nobody says so", mi+1, e.Onset, ni+1)
						}
						at := start + e.Onset.Float()
						all = append(all, heard{a, b, at, at + e.Duration.Float(), e})
					}
					if neck != nil && fingersNeeded(f.Notes) > 4 {
						bad("bar %d, quarter %s: a chord for %d fingers", mi+1, e.Onset, fingersNeeded(f.Notes))
					}
				}
			}
			start += m.Length.Float()
		}
		if neck == nil {
			continue
		}
		for i, x := range all {
			for _, y := range all[i+1:] {
				if y.from >= x.to+1e-9 && y.from > x.from {
					break
				}
				struck := x.c == y.c || x.from == y.from && x.c.Grace == 0 && y.c.Grace == 0
				if said[CodeRefingerCut] && (x.before.TieStop || y.before.TieStop) {
					struck = false // a tied note is not struck, and may be let go
				}
				sounds := x.from < y.to-1e-9 && y.from < x.to-1e-9 && x.c.Grace == 0 && y.c.Grace == 0
				if x.after.Place.IsZero() || y.after.Place.IsZero() || !struck && !sounds {
					continue
				}
				unison := x.after.Place == y.after.Place && x.c != y.c
				asBefore := x.before.Place.String == y.before.Place.String && x.before.Place.String > 0
				if x.after.Place.String == y.after.Place.String && !unison && !asBefore && (struck || !said[CodeRefingerCut]) {
					bad("at quarter %v two notes on string %d", y.from, x.after.Place.String)
				}
				if mm := apart(neck, x.after, y.after); struck && mm > 126.3 {
					bad("at quarter %v frets %d and %d: %.1f mm", y.from, x.after.Place.Fret, y.after.Place.Fret, mm)
				}
			}
		}
		problems = append(problems, checkJoined(p, q, neck)...)
	}
	return problems
}

// Whatever is fingered anew sounds as before and is legal.
func TestRefingerKeepsSoundAndIsLegal(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	placed, lost := 0, 0
	for i := range 150 {
		s := generated(r, 3)
		before := s.Clone()
		out, ds := Refinger(s, RefingerOptions{Fingers: i%2 == 0})
		require.Equal(t, before, s, "the input is not changed")
		require.Empty(t, checkFingering(s, out, ds), "score %d: %v", i, ds)
		for n := range score.Notes(out.Parts[0]) {
			if n.Place.IsZero() {
				lost++
			} else {
				placed++
			}
		}
	}
	assert.Greater(t, placed, 10*lost)
}

// Source for the fingers of each chord: handbook grips (common practice).
func TestRefingerOfOpenChords(t *testing.T) {
	neck := fretboard.Guitar()
	// The chords of C, A minor, E, D and G, written far up or split apart.
	for want, in := range map[string]string{
		"5.3+4.2+3.0+2.1+1.0": "6.8+5.7+4.5+3.5+2.5",
		"6.0+5.2+4.2+3.1":     "6.0+5.2+4.2+3.1",
	} {
		out, ds := Refinger(lick(t, neck, in), RefingerOptions{Fingers: true})
		assert.Empty(t, ds)
		assert.Equal(t, want, places(out))
	}
}

func TestRefingerSaysWhatIsImpossible(t *testing.T) {
	neck := fretboard.Guitar()
	s := lick(t, neck, "6.0 5.3 | 4.2 3.2 2.3 1.0")
	s.Parts[0].Measures[1].Events[1].(*score.Chord).Notes[0].Pitch = theory.P(theory.C, 0, 2)
	out, ds := Refinger(s, RefingerOptions{})
	require.Equal(t, []string{CodeRefingerNoPlace}, codes(ds))
	assert.Equal(t, "bar 2, beat 2: C2 has no place: it lies 4 semitones below the lowest string", ds[0].Msg)
	assert.Equal(t, "an octave up it lies on string 5, fret 3", ds[0].Hint)
	lost := 0
	for n := range score.Notes(out) {
		if n.Place.IsZero() {
			lost++
		}
	}
	assert.Equal(t, 1, lost, "the rest is done")

	// Two low notes that share their only string.
	s = lick(t, neck, "6.0+6.3")
	_, ds = Refinger(s, RefingerOptions{})
	require.Equal(t, 1, ds.Count(score.NotDone))
	assert.Contains(t, ds[0].Msg, "bar 1, beat 1: ")
	assert.Contains(t, ds[0].Msg, "no hand holds these 2 notes at once")
}

func TestRefingerInARegion(t *testing.T) {
	neck := fretboard.Guitar()
	region := fretboard.NewRegion("frets 9 to 13", neck, 9, func(p fretboard.Place) (float64, bool) { return 0, 9 <= p.Fret && p.Fret <= 13 })
	s := lick(t, neck, "3.5 2.5 1.3 1.5 2.6 3.5 6.0")
	out, ds := Refinger(s, RefingerOptions{Region: &region})
	for n := range score.Notes(out) {
		if n.Pitch.MIDI() > 40 {
			assert.True(t, 9 <= n.Place.Fret && n.Place.Fret <= 13, "%v", n.Place)
		}
	}
	require.Equal(t, []string{CodeRefingerScheme}, codes(ds))
	assert.Contains(t, ds[0].Msg, "bar 1, beat 7: E2 lies outside of the frets 9 to 13: string 6, fret 0")
}

func TestRefingerWaysDifferAndRiseInCost(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.5h 3.7 2.5 2.8 1.5")
	ways, costs, err := RefingerWays(s, 0, 6, RefingerOptions{})
	require.NoError(t, err)
	require.Len(t, ways, 6)
	seen := map[string]bool{}
	for i, w := range ways {
		require.False(t, seen[places(w)])
		seen[places(w)] = true
		require.Empty(t, checkFingering(s, w, nil))
		if i > 0 {
			require.GreaterOrEqual(t, costs[i], costs[i-1])
		}
	}
	best, _ := Refinger(s, RefingerOptions{})
	assert.Equal(t, places(best), places(ways[0]))
}

func TestWhyNotNamesTermsAndRules(t *testing.T) {
	neck := fretboard.Guitar()
	best, _ := Refinger(lick(t, neck, "3.5 2.5 1.3 | 1.5 1.3 2.5"), RefingerOptions{})
	assert.Empty(t, WhyNot(best, RefingerOptions{}), "the best loses by nothing")
	ds := WhyNot(lick(t, neck, "5.15 2.5 1.3 | 1.5 3.12 2.5"), RefingerOptions{})
	require.NotEmpty(t, ds)
	assert.Contains(t, ds[0].Msg, "the fingering costs ")
	ds = WhyNot(lick(t, neck, "6.5+1.12"), RefingerOptions{})
	require.Equal(t, []string{CodeWhyNotRule}, codes(ds))
	assert.Contains(t, ds[0].Msg, "bar 1, beat 1: it breaks a rule: no hand holds these 2 notes at once")
}

// Left-hand weights may be given, and other hands.
func TestRefingerTakesWeightsAndHand(t *testing.T) {
	var flat fingering.Weights
	flat[fingering.Height] = -1 // as high as can be
	out, _ := Refinger(lick(t, fretboard.Guitar(), "1.0 1.3"), RefingerOptions{Weights: &flat})
	low := math.MaxInt
	for n := range score.Notes(out) {
		low = min(low, n.Place.Fret)
	}
	assert.GreaterOrEqual(t, low, 19)
}

// What the score prescribes can be kept.
func TestRefingerKeepsWhatItIsAskedToKeep(t *testing.T) {
	neck := fretboard.Guitar()
	in := "4.10 4.12 3.9 3.11 2.10f4 2.8"
	s := lick(t, neck, in)
	out, ds := Refinger(s, RefingerOptions{KeepStrings: true})
	assert.Equal(t, in[:len(in)-10]+"2.10 2.8", places(out))
	assert.Zero(t, ds.Count(score.NotDone))
	out, _ = Refinger(s, RefingerOptions{KeepFrets: true})
	assert.Equal(t, in[:len(in)-10]+"2.10 2.8", places(out))
	out, _ = Refinger(s, RefingerOptions{KeepStrings: true, KeepFingers: true, Fingers: true})
	for n := range score.Notes(out) {
		require.NotEqual(t, score.NoFinger, n.Finger)
		if n.Place == (fretboard.Place{String: 2, Fret: 10}) {
			assert.Equal(t, score.Little, n.Finger)
		}
	}
}

// A chord that is broken and marked to ring is held: every note on a string
// of its own (common practice).
func TestRefingerLetsNotesRing(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "5.3 4.2 3.0 2.1")
	for n := range score.Notes(s) {
		n.Techniques = append(n.Techniques, score.LetRing)
	}
	out, ds := Refinger(s, RefingerOptions{})
	assert.Empty(t, ds)
	strings := map[int]bool{}
	for n := range score.Notes(out) {
		assert.False(t, strings[n.Place.String])
		strings[n.Place.String] = true
	}
}

// Techniques stay on one string, in their direction, and slides take the hand
// along.
func TestRefingerKeepsTechniques(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 44))
	for range 60 {
		at := 3 + r.IntN(8)
		str := 1 + r.IntN(6)
		in := fmt.Sprintf("%d.%dh %d.%dp %d.%ds %d.%d", str, at, str, at+2, str, at, str, at+5)
		s := lick(t, fretboard.Guitar(), in)
		out, ds := Refinger(s, RefingerOptions{})
		require.Zero(t, ds.Count(score.NotDone), "%v", ds)
		require.Empty(t, checkFingering(s, out, ds))
		spans := 0
		for n := range score.Notes(out) {
			for _, tech := range n.Techniques {
				if _, ok := tech.(score.Span); ok {
					spans++
				}
			}
		}
		assert.Equal(t, 6, spans)
	}
}

func BenchmarkRefinger(b *testing.B) {
	s := generated(rand.New(rand.NewPCG(45, 46)), 200)
	n := 0
	for range score.Notes(s.Parts[0]) {
		n++
	}
	b.ReportAllocs()
	for b.Loop() {
		Refinger(s, RefingerOptions{})
	}
	b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "notes/s")
}
