package fretboard_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Places shared are counted by hand from the rows of the trade: the pattern of
// three per string from 7 of C major (7 8 10 | 7 8 10 | 7 9 10 | 7 9 10 |
// 8 10 12 | 8 10 12) and the five shapes.
func TestOverlaps(t *testing.T) {
	set := tones(t, "C major")
	n := fretboard.Guitar()
	pattern := regions(t, fretboard.PerString{Notes: []int{3}, Degree: theory.Degree{Number: 7}}, n, set)[:1]
	var shapes []fretboard.Layout
	for _, r := range regions(t, fretboard.ChordShape{}, n, set) {
		shapes = append(shapes, r.Lay(set))
	}
	got := map[string]int{}
	for _, o := range fretboard.Overlaps([]fretboard.Layout{pattern[0].Lay(set)}, shapes) {
		assert.Equal(t, 18, o.OfA)
		got[o.B] += o.Shared
	}
	// E: all of 6 5 4 3, 8 10 on 2, 8 10 on 1. G: 7 8 | 7 8 | 7 | 7 | 8 | 8.
	// D: 10 | 10 | 9 10 | 9 10 | 10 12 | 10 12. C at the 12th: 12 | 12.
	assert.Equal(t, map[string]int{"E shape": 16, "G shape": 8, "D shape": 10, "C shape": 2}, got)
}

// From the G shape to the E shape of C major: each string's last note and the
// next one up, which only the E shape has.
func TestJoins(t *testing.T) {
	set := tones(t, "C major")
	n := fretboard.Guitar()
	g, e := shape(t, n, set, "G", 5).Lay(set), shape(t, n, set, "E", 7).Lay(set)
	joins := fretboard.Joins(g, e, fretboard.ScaleLength)
	require.Len(t, joins, 6)
	var got [][2]int
	for _, j := range joins {
		got = append(got, [2]int{j.From.Place.Fret, j.To.Place.Fret})
		assert.Equal(t, j.From.Place.String, j.To.Place.String)
		assert.InDelta(t, fretboard.FretDistance(7, 648)-fretboard.FretDistance(5, 648), j.Shift, 0.01)
	}
	assert.Equal(t, [][2]int{{8, 10}, {8, 10}, {7, 9}, {7, 9}, {8, 10}, {8, 10}}, got)
	assert.Empty(t, fretboard.Joins(e, fretboard.Layout{Region: g.Region}, fretboard.ScaleLength))
}
