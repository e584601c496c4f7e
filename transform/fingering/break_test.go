package fingering

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory/fretboard"
)

func standard(groups ...Group) *Problem {
	return &Problem{Neck: fretboard.Guitar(), Groups: groups}
}

// Source of the pitches: standard tuning, E2 = MIDI 40 the lowest string.
func TestWhatIsImpossibleIsNamedAndTheRestIsDone(t *testing.T) {
	tests := []struct {
		name    string
		p       *Problem
		dropped [][]int // by group
		reason  string
	}{
		{"below the lowest string", standard(Group{Notes: []Note{{Pitch: 45}}}, Group{Onset: 1, Notes: []Note{{Pitch: 36}, {Pitch: 52}}}),
			[][]int{nil, {0}}, "it lies 4 semitones below the lowest string"},
		{"above the last fret", standard(Group{Notes: []Note{{Pitch: 87}}}), [][]int{{0}}, "it lies a semitone above the highest fret"},
		{"no place of its own", standard(Group{Notes: []Note{{Pitch: 50, Strings: 1 << 1}}}), [][]int{{0}}, "no place that it may take has its pitch"},
		{"two notes, one string", standard(Group{Notes: []Note{{Pitch: 40}, {Pitch: 43}}}), [][]int{{0}}, "no hand holds these 2 notes at once"},
		// A cluster in the middle of the neck: no six of these are in reach.
		{"six notes too wide", standard(Group{Notes: []Note{{Pitch: 41}, {Pitch: 60, Strings: 1 << 5}, {Pitch: 62, Strings: 1 << 4}, {Pitch: 63, Strings: 1 << 3},
			{Pitch: 70, Strings: 1 << 2}, {Pitch: 84}}}), nil, "no hand holds these 6 notes at once"},
		{"no harmonic", standard(Group{Notes: []Note{{Pitch: 61, Harmonic: true}}}), [][]int{{0}}, "its harmonic is nowhere on this neck"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := Solve(tt.p, ByHand())
			require.NoError(t, err)
			require.Len(t, f.Breaks, 1)
			assert.Equal(t, tt.reason, f.Breaks[0].Reason)
			for g := range f.Stops {
				var lost []int
				for i, s := range f.Stops[g] {
					if s.Place.IsZero() {
						lost = append(lost, i)
					}
				}
				if tt.dropped != nil {
					assert.Equal(t, tt.dropped[g], lost)
				}
				if g == f.Breaks[0].Group {
					assert.Equal(t, lost, f.Breaks[0].Notes)
				}
			}
		})
	}
}

func TestAJoinThatCannotBeIsBrokenAndSaid(t *testing.T) {
	p := standard(Group{Notes: []Note{{Pitch: 41, Duration: 1}}}, Group{Onset: 1, Notes: []Note{{Pitch: 76, Duration: 1, Join: HammerOn}}})
	f, err := Solve(p, ByHand())
	require.NoError(t, err)
	require.Len(t, f.Breaks, 1)
	assert.Equal(t, 1, f.Breaks[0].Group)
	assert.Empty(t, f.Breaks[0].Notes)
	assert.False(t, f.Stops[1][0].Place.IsZero())
}

func TestProblemsThatAreNone(t *testing.T) {
	p := standard(Group{Onset: 2}, Group{Onset: 1})
	_, err := Solve(p, ByHand())
	assert.ErrorContains(t, err, "group 1 begins at 1, before the one before it")
	p = standard(Group{Notes: []Note{{Pitch: 60, Join: Slide}}})
	_, err = Solve(p, ByHand())
	assert.ErrorContains(t, err, "no earlier note")
	_, err = Solve(&Problem{}, ByHand())
	assert.Error(t, err)
	f, err := Solve(standard(), ByHand())
	require.NoError(t, err)
	assert.Zero(t, f.Cost)
}

// A note that has to ring is not cut, and its finger stays; one that need not
// is, at a price.
func TestRingingNotesAreHeld(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 52))
	held := 0
	for range 400 {
		a := 45 + r.IntN(20)
		p := standard(Group{Notes: []Note{{Pitch: a, Duration: 2, Ring: true}}}, Group{Onset: 1, Notes: []Note{{Pitch: a + 1 + r.IntN(12), Duration: 1}}})
		f, err := Solve(p, ByHand())
		require.NoError(t, err)
		if len(f.Breaks) > 0 {
			continue
		}
		held++
		x, y := f.Stops[0][0], f.Stops[1][0]
		assert.NotEqual(t, x.Place.String, y.Place.String)
		assert.Empty(t, f.Cut)
		if x.Finger > 0 && x.Finger == y.Finger {
			assert.Equal(t, x.Place.Fret, y.Place.Fret, "a finger that stays stops another string at its fret only")
		}
	}
	assert.Greater(t, held, 350)
}

// Whatever the problem, nothing is lost without a word: a note has a place
// with its pitch, or a break names it.
func TestNothingIsLostInSilence(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 62))
	broken := 0
	for range 3000 {
		p := randomProblem(r)
		f, err := Solve(p, randomWeights(r))
		require.NoError(t, err)
		named := map[Ref]bool{}
		for _, b := range f.Breaks {
			broken++
			for _, i := range b.Notes {
				named[Ref{b.Group, i}] = true
			}
		}
		for g := range f.Stops {
			for i, s := range f.Stops[g] {
				n := p.Groups[g].Notes[i]
				if s.Place.IsZero() {
					require.True(t, named[Ref{g, i}])
				} else if !n.Harmonic {
					require.Equal(t, n.Pitch, p.Neck.Stopped(s.Place))
				}
			}
		}
	}
	assert.Greater(t, broken, 300)
}
