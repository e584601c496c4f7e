package fretboard_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory/fretboard"
)

// line makes a line of so many notes on each string, the last string first.
func line(counts ...int) []fretboard.Place {
	var ps []fretboard.Place
	for i, c := range counts {
		for k := range c {
			ps = append(ps, fretboard.Place{String: len(counts) - i, Fret: 5 + k})
		}
	}
	return ps
}

func kinds(changes []fretboard.StringChange) string {
	words := make([]string, len(changes))
	for i, c := range changes {
		words[i] = c.Kind.String()
	}
	return strings.Join(words, " ")
}

// Source: strict alternate picking (computed in the trade's own words): an
// even number on each string makes every change inside, an odd number
// alternates outside and inside, rising from a downstroke and falling from an
// upstroke alike. Swept at the change, an odd number makes every string
// down-up-down.
func TestStringChanges(t *testing.T) {
	for _, tt := range []struct {
		counts  []int
		policy  fretboard.StrokePolicy
		rising  string
		strokes string
	}{
		{[]int{2, 2, 2, 2}, fretboard.Strict, "inside inside inside", "dududu du"},
		{[]int{4, 4, 4}, fretboard.Strict, "inside inside", "dududududu du"},
		{[]int{3, 3, 3, 3}, fretboard.Strict, "outside inside outside", "dud udu dud udu"},
		{[]int{1, 1, 1, 1}, fretboard.Strict, "outside inside outside", "d u d u"},
		{[]int{3, 3, 3, 3}, fretboard.Swept, "sweep sweep sweep", "dud dud dud dud"},
		{[]int{1, 1, 1, 1}, fretboard.Swept, "sweep sweep sweep", "dddd"},
		{[]int{2, 2, 2}, fretboard.Swept, "inside inside", "du du du"},
		{[]int{2, 3, 2}, fretboard.Swept, "inside sweep", "du dud du"},
		{[]int{3, 3, 3}, fretboard.Legato, "sweep sweep", "d-- d-- d--"},
	} {
		up := line(tt.counts...)
		strokes, changes := fretboard.Strokes(up, tt.policy)
		assert.Equal(t, tt.rising, kinds(changes), "%v %s", tt.counts, tt.policy)
		var got string
		for _, s := range strokes {
			got += s.String()[:1]
		}
		assert.Equal(t, strings.ReplaceAll(tt.strokes, " ", ""), got)
		// Falling it is the same from an upstroke.
		down := slices.Clone(up)
		slices.Reverse(down)
		mirrored := slices.Clone(tt.counts)
		slices.Reverse(mirrored)
		if slices.Equal(mirrored, tt.counts) {
			strokes, changes = fretboard.Strokes(down, tt.policy)
			assert.Equal(t, tt.rising, kinds(changes), "falling %v %s", tt.counts, tt.policy)
			assert.Equal(t, fretboard.Up, strokes[0])
		}
	}
	// Every three-per-string pattern, swept: no change is outside.
	set := tones(t, "G major")
	for _, r := range regions(t, fretboard.PerString{Notes: []int{3}}, fretboard.Guitar(), set) {
		_, changes := fretboard.Strokes(r.Lay(set).Places(), fretboard.Swept)
		inside, outside, sweeps := fretboard.CountChanges(changes)
		assert.Equal(t, [3]int{0, 0, 5}, [3]int{inside, outside, sweeps})
		_, changes = fretboard.Strokes(r.Lay(set).Places(), fretboard.Strict)
		inside, outside, sweeps = fretboard.CountChanges(changes)
		assert.Equal(t, [3]int{2, 3, 0}, [3]int{inside, outside, sweeps})
	}
	none, changes := fretboard.Strokes(nil, fretboard.Strict)
	assert.Empty(t, none)
	assert.Empty(t, changes)
	_, changes = fretboard.Strokes(line(5), fretboard.Strict)
	assert.Empty(t, changes)
}

func TestParseStrokePolicy(t *testing.T) {
	for _, p := range []fretboard.StrokePolicy{fretboard.Strict, fretboard.Swept, fretboard.Legato} {
		got, err := fretboard.ParseStrokePolicy(strings.ToUpper(p.String()))
		require.NoError(t, err)
		assert.Equal(t, p, got)
	}
	_, err := fretboard.ParseStrokePolicy("gypsy")
	assert.Error(t, err)
}
