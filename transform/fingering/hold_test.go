package fingering_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

func gripOf(frets ...int) []fretboard.Place {
	var places []fretboard.Place
	for i, f := range frets {
		if f >= 0 {
			places = append(places, fretboard.Place{String: len(frets) - i, Fret: f})
		}
	}
	return places
}

// Source: the fingers of open and barré chords in methods (common practice).
func TestHold(t *testing.T) {
	const x, o, i, m, r, l = -1, score.NoFinger, score.Index, score.Middle, score.Ring, score.Little
	for _, c := range []struct {
		frets []int
		want  []score.Finger // nil: no hand holds it
	}{
		{[]int{x, 3, 2, 0, 1, 0}, []score.Finger{r, m, o, i, o}},
		{[]int{1, 3, 3, 2, 1, 1}, []score.Finger{i, r, l, m, i, i}},
		{[]int{x, 3, 2, 3, 1, x}, []score.Finger{r, m, l, i}}, // C7 as it is moved up the neck
		{[]int{5, 3, 2, 2, x, x}, []score.Finger{l, m, i, i}},
		{[]int{1, 12, 1, 12, 1, 12}, nil},
		{[]int{1, 2, 3, 4, 5, 6}, nil}, // six fingers
		{[]int{x, 5, 4, 2, 1, x}, nil}, // from middle to ring finger 63 mm
	} {
		got, ok := fingering.Hold(fretboard.Guitar(), fingering.Hand{}, 0, gripOf(c.frets...))
		assert.Equal(t, c.want != nil, ok, "%v", c.frets)
		assert.Equal(t, c.want, got, "%v", c.frets)
	}
}

// Every quality in every shape and key has fingers for all its places, and says
// so where they are fewer than four fingers could stop; what it says no hand
// holds no hand holds. The keys turn from chord to chord, so that all are there.
func TestVoicingsHaveFingers(t *testing.T) {
	qualities := theory.ChordQualities()
	rnd := rand.New(rand.NewPCG(7, 3))
	boxes, smaller := 0, 0
	for q, c := range qualities {
		for key := range 12 {
			if testing.Short() && key != q%12 {
				continue
			}
			c.Root = theory.NameAtFifths(key - 5)
			set := fretboard.ChordTones(c)
			if len(set.Tones) == 0 {
				continue
			}
			n := fretboard.Guitar()
			if rnd.IntN(4) == 0 {
				n.Capo = rnd.IntN(5)
			}
			regions, err := fretboard.ChordShape{}.Regions(n, set)
			require.NoError(t, err)
			for _, region := range regions {
				for _, v := range fingering.Voicings(region, set, fretboard.ScaleLength) {
					boxes++
					fingers, ok := fingering.Hold(n, fingering.Hand{}, 0, fingering.PlacesOf(v.Spots))
					require.True(t, ok, "%s in %s: %s", c, region.Name, v)
					for i, f := range fingers {
						require.Equal(t, v.Spots[i].Place.Fret > 0, f != score.NoFinger, "%s in %s: %s", c, region.Name, v)
					}
					said := fingering.Smaller(v, n, 0)
					whole := region.Voicings(set)[0]
					if v.Whole == nil {
						require.Empty(t, said)
						require.Equal(t, whole.String(), v.String())
						continue
					}
					smaller++
					require.Contains(t, said, whole.String())
					_, held := fingering.Hold(n, fingering.Hand{}, 0, fingering.PlacesOf(whole.Spots))
					require.False(t, held, "%s", whole)
				}
			}
		}
	}
	assert.Greater(t, boxes, 100)
	assert.Greater(t, smaller, 0)
}

// The smaller grips of common practice: the seventh chord of the C shape without
// its fifth, the minor chord of the G shape on the four low strings.
func TestSmallerGrips(t *testing.T) {
	for _, c := range []struct{ chord, shape, want, says string }{
		{"D7", "C", "x 5 4 5 3 x", "no hand holds x 5 4 2 1 x as it stands: this is the nearest smaller grip"},
		{"Am", "G", "5 3 2 2 x x", "5 3 2 2 5 5 takes a large hand (fingers 3 2 1 1 4 4): strings 2 and 1 are left out"},
		{"Bm7b5", "A", "x 2 3 2 3 x", "x 2 3 2 3 5 takes a large hand (fingers 1 2 1 3 4): string 1 is left out"},
		{"Dm", "C", "x 5 3 2 x x", "x 5 3 2 3 x takes a large hand (fingers 4 2 1 3): string 2 is left out"},
		{"C", "C", "x 3 2 0 1 0", ""},
	} {
		chord, err := theory.ParseChord(c.chord)
		require.NoError(t, err)
		shape, err := fretboard.ParseShape(fretboard.Standard(), c.shape)
		require.NoError(t, err)
		set := fretboard.ChordTones(chord)
		regions, err := fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}.Regions(fretboard.Guitar(), set)
		require.NoError(t, err)
		v := fingering.Voicings(regions[0], set, 0)[0]
		assert.Equal(t, c.want, v.String(), c.chord)
		assert.Equal(t, c.says, fingering.Smaller(v, fretboard.Guitar(), 0), c.chord)
	}
}
