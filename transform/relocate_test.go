package transform

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// One note has as many ways as places. Source: Lombardo & Radicioni, "Guitar
// fingering for music performance", fig. 1: up to fret 14 the note E4 lies at
// (string, fret) (1,0) (2,5) (3,9) (4,14).
func TestWaysOfOneNote(t *testing.T) {
	neck := fretboard.Guitar()
	neck.Frets = 14
	ways, err := Ways(lick(t, neck, "2.5"), 0, RefingerOptions{})
	require.NoError(t, err)
	var got []string
	for _, w := range ways {
		got = append(got, places(relocated(t, lick(t, neck, "2.5"), w)))
		assert.Equal(t, w.places[0] == fretboard.Place{String: 2, Fret: 5}, w.Written)
	}
	slices.Sort(got)
	assert.Equal(t, []string{"1.0", "2.5", "3.9", "4.14"}, got)
}

func relocated(t testing.TB, s *score.Score, w Way) *score.Score {
	t.Helper()
	out, ds := Relocate(s, 0, w, RefingerOptions{})
	require.Zero(t, ds.Count(score.NotDone), "%v", ds)
	return out
}

// The minor pentatonic of A from its root on string 6 has the shapes that the
// trade gives it: E at fret 5, D at 7, C at 10, A at 12, G at 14, in this order
// up the neck, and below them G at 2 (common practice).
func TestWaysNameTheShapes(t *testing.T) {
	box := "4.7 3.5 3.7 2.5 2.8 1.5"
	opt := RefingerOptions{Tones: tonesOf(t, "A minor pentatonic")}
	ways, err := Ways(lick(t, fretboard.Guitar(), box), 0, opt)
	require.NoError(t, err)
	byIndex := map[int]string{}
	for _, w := range ways {
		if w.Shifts == 0 && w.Beyond == 0 && w.Open == 0 {
			byIndex[w.Index] = w.Shape
		}
	}
	assert.Equal(t, "E shape", byIndex[5], "%v", byIndex)
	order := []string{"G shape", "E shape", "D shape", "C shape", "A shape"}
	last := -1
	for _, index := range slices.Sorted(mapKeys(byIndex)) {
		if index > 12 || byIndex[index] == "" {
			continue
		}
		at := slices.Index(order, byIndex[index])
		assert.GreaterOrEqual(t, at, last, "%v", byIndex)
		last = at
	}
}

func mapKeys[K comparable, V any](m map[K]V) func(func(K) bool) {
	return func(yield func(K) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// Every way sounds the same, is legal, is what its description says, and
// differs from the others; they rise in cost, and the first is Refinger's.
func TestWaysAreDistinctLegalAndAsDescribed(t *testing.T) {
	r := rand.New(rand.NewPCG(81, 82))
	for i := range 25 {
		s := generated(r, 1)
		s.Parts = s.Parts[:1]
		ways, err := Ways(s, 0, RefingerOptions{})
		if err != nil {
			require.ErrorContains(t, err, "no notes on a neck")
			continue
		}
		require.NotEmpty(t, ways)
		best, _ := Refinger(s, RefingerOptions{})
		for k, w := range ways {
			out, ds := Relocate(s, 0, w, RefingerOptions{})
			require.Empty(t, checkFingering(s, out, ds), "score %d, way %d: %v", i, k+1, ds)
			if k == 0 && w.Unplaced == 0 {
				require.Equal(t, places(best), places(out), "score %d", i)
			}
			if k > 0 {
				require.GreaterOrEqual(t, w.Cost, ways[k-1].Cost)
			}
			describedRight(t, out, w)
			for _, o := range ways[:k] {
				if !w.Written && !o.Written {
					require.False(t, w.like(&o), "score %d: ways that are alike", i)
				}
			}
		}
	}
}

// describedRight compares a description with the places that are written.
func describedRight(t *testing.T, out *score.Score, w Way) {
	t.Helper()
	low, high, strings, unplaced := 0, 0, map[int]bool{}, 0
	for n := range score.Notes(out) {
		switch {
		case n.Place.IsZero():
			unplaced++
			continue
		case n.Place.Fret > 0 && (pressed(n) || n.Has(score.Dead)) && !n.Has(score.Tap):
			if low == 0 || n.Place.Fret < low {
				low = n.Place.Fret
			}
			high = max(high, n.Place.Fret)
		}
		strings[n.Place.String] = true
	}
	assert.Equal(t, low, w.Low, "lowest fret")
	assert.Equal(t, high, w.High, "highest fret")
	assert.Equal(t, slices.Sorted(mapKeys(strings)), w.Strings, "strings")
	assert.Equal(t, unplaced > 0, w.Unplaced > 0, "notes without a place")
}

// What is asked for by hand: stretch and shifts of a known fingering. Source:
// the table of fret distances at 648 mm (1: 36.4, 5: 162.5, 7: 215.5, 12:
// 324.0).
func TestWayOfWhatIsWritten(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "6.5 6.7 5.5 5.7 | 1.12 1.0 1.12 -")
	w, err := WayOf(s, 0, RefingerOptions{})
	require.NoError(t, err)
	assert.True(t, w.Written)
	assert.Equal(t, []int{1, 5, 6}, w.Strings)
	assert.Equal(t, [2]int{5, 12}, [2]int{w.Low, w.High})
	assert.Equal(t, 1, w.Open)
	assert.Equal(t, 1, w.Shifts)
	assert.InDelta(t, 53.0, w.Stretch, 0.1)
	assert.Equal(t, 2, w.Changes)
	assert.False(t, w.Caution)

	s = lick(t, fretboard.Guitar(), "6.1+4.5")
	w, err = WayOf(s, 0, RefingerOptions{})
	require.NoError(t, err)
	assert.InDelta(t, 126.1, w.Stretch, 0.15)
	assert.True(t, w.Caution, "wider than is comfortable")
}

// Octaves are looked at when they are allowed, and said.
func TestWaysInOtherOctaves(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.5 3.7 2.5")
	ways, err := Ways(s, 0, RefingerOptions{Fold: true})
	require.NoError(t, err)
	seen := map[int]bool{}
	for _, w := range ways {
		seen[w.Octaves] = true
		out, ds := Relocate(s, 0, w, RefingerOptions{Fold: true})
		for i, n := range slices.Collect(score.Notes(out)) {
			assert.Equal(t, slices.Collect(score.Notes(s))[i].Pitch.Transpose(theory.Octaves(w.Octaves)), n.Pitch)
		}
		assert.Equal(t, w.Octaves != 0, count(ds, CodeRelocateOctave) > 0)
	}
	assert.Equal(t, map[int]bool{0: true, 1: true, -1: true}, seen)
}

// Odd tunings, by the facts of each: a re-entrant ukulele, a bass, seven
// strings, open G, a capo (sources: the presets' names, common practice).
func TestWaysOnOddNecks(t *testing.T) {
	for name, text := range map[string]string{"ukulele": "1.0 1.3 2.0 4.0", "bass": "4.0 4.3 3.2", "7-string": "7.0 7.3 6.2 1.5", "open-g": "1.0 2.0 3.0 5.0", "standard": "1.3 2.3 3.2"} {
		p, ok := fretboard.PresetByName(name)
		require.True(t, ok, name)
		neck := fretboard.Neck{Tuning: p.Tuning, Frets: 19, Capo: 2}
		s := lick(t, neck, text)
		ways, err := Ways(s, 0, RefingerOptions{})
		require.NoError(t, err)
		written := 0
		for _, w := range ways {
			out, ds := Relocate(s, 0, w, RefingerOptions{})
			assert.Empty(t, checkFingering(s, out, ds), name)
			if w.Written {
				written++
				assert.Equal(t, text, places(out), name)
			}
		}
		assert.Equal(t, 1, written, name)
	}
}

// What nobody would play is left out: the neighbours of a box (common practice)
// stay, and a run along one string and the top of the neck go. In a phrase of
// one note every place stays.
func TestSensibleWays(t *testing.T) {
	all, err := Ways(lick(t, fretboard.Guitar(), "3.5 3.7 2.5 2.8 1.5 2.8 2.5 3.7 3.5 4.7 4.5 4.7 3.5 3.7 2.5 3.5"), 0, RefingerOptions{})
	require.NoError(t, err)
	ways := Sensible(all)
	require.Less(t, len(ways), len(all))
	assert.Equal(t, all[0].places, ways[0].places)
	for _, w := range ways {
		assert.True(t, w.Cost <= max(2.5*ways[0].Cost, ways[0].Cost+10))
		assert.Greater(t, len(w.Strings), 1)
	}
	assert.True(t, slices.ContainsFunc(ways, func(w Way) bool { return w.Written }))

	dear := []Way{{Cost: 20}, {Cost: 50}, {Cost: 50.1}, {Cost: 80, Written: true}}
	assert.Equal(t, []Way{dear[0], dear[1], dear[3]}, Sensible(dear))
	one, err := Ways(lick(t, fretboard.Guitar(), "2.5"), 0, RefingerOptions{})
	require.NoError(t, err)
	assert.Equal(t, one, Sensible(one))
	assert.Empty(t, Sensible(nil))
}

func TestWaysThatCannotBeListed(t *testing.T) {
	_, err := Ways(melody(t, "C", "C4 E4"), 0, RefingerOptions{})
	assert.ErrorContains(t, err, "no notes on a neck")
	_, err = Ways(melody(t, "C", "C4"), 3, RefingerOptions{})
	assert.ErrorContains(t, err, "no part 4")
	two := lick(t, fretboard.Guitar(), "1.0 | 1.0")
	two.Parts[0].Measures[1].Events = append([]score.Event{&score.NeckChange{Neck: fretboard.Neck{Tuning: fretboard.Standard(), Frets: 12}}}, two.Parts[0].Measures[1].Events...)
	_, err = Ways(two, 0, RefingerOptions{})
	assert.ErrorContains(t, err, "2 necks")
	_, ds := Relocate(lick(t, fretboard.Guitar(), "1.0"), 0, Way{}, RefingerOptions{})
	assert.Equal(t, 1, ds.Count(score.NotDone))
}
