package fretboard_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Beside a shape lie the next ones of the order C A G E D, round and round
// (common practice), in every key and for major and minor.
func TestBesideAShapeLiesTheNextOfTheOrder(t *testing.T) {
	const order = "CAGED"
	oneShape := fretboard.ChordShape{Shapes: fretboard.Shapes(fretboard.Standard())[:1]}
	for _, key := range keys() {
		for _, name := range []string{"major", "minor", "dorian", "minor pentatonic"} {
			set := tones(t, key+" "+name)
			for _, r := range regions(t, fretboard.ChordShape{}, fretboard.Guitar(), set) {
				i := strings.Index(order, r.Name[:1])
				for _, o := range fretboard.Beside(oneShape, r, set) {
					want := order[(i+1)%5]
					if o.Index < r.Index {
						want = order[(i+4)%5]
					}
					assert.Equal(t, string(want), o.Name[:1], "%s beside the %s of %s", o.Name, r.Name, set.Title)
				}
			}
		}
	}
}

func TestBesideOtherSchemes(t *testing.T) {
	set := tones(t, "C major")
	names := func(s fretboard.Scheme) (list []string) {
		for _, r := range fretboard.Beside(s, regions(t, s, fretboard.Guitar(), set)[0], set) {
			list = append(list, r.Name)
		}
		return list
	}
	assert.Equal(t, []string{"position I", "position IX"}, names(fretboard.Position{Fret: 5}))
	assert.Equal(t, []string{"position I", "position VI"}, names(fretboard.Position{Fret: 2}))
	assert.Equal(t, []string{"position V"}, names(fretboard.Position{Fret: 1}))
	assert.Equal(t, []string{"position V"}, names(fretboard.Open{}))
	assert.Equal(t, []string{"frets 0 to 4", "frets 10 to 14"}, names(fretboard.Window{From: 5, To: 9}))
	assert.Equal(t, []string{"frets 13 to 17"}, names(fretboard.Window{From: 18, To: 22}))
	assert.Empty(t, names(fretboard.Strings{1, 2}))
	// The patterns of C major rise from the degree that the sixth string has
	// nearest to the nut: 3 on the open string, then 4, 5 …
	third := fretboard.PerString{Notes: []int{3}, Degree: theory.Degree{Number: 4}}
	assert.Equal(t, []string{"3 notes per string from 3", "3 notes per string from 5"}, names(third))
	upper := fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: fretboard.Strings{1, 2, 3}}
	for _, r := range fretboard.Beside(upper, regions(t, upper, fretboard.Guitar(), set)[0], set) {
		_, ok := r.Fit(fretboard.Place{String: 4, Fret: r.Index})
		assert.False(t, ok, "narrowed to its strings too")
	}
}

func TestNeedsTones(t *testing.T) {
	root := fretboard.Shape{String: 6, Finger: fretboard.Index}
	for _, s := range []fretboard.Scheme{fretboard.ChordShape{}, fretboard.PerString{}, fretboard.Stance{Root: &root}, fretboard.Within{Scheme: fretboard.ChordShape{}}} {
		assert.True(t, fretboard.NeedsTones(s), "%v", s)
	}
	for _, s := range []fretboard.Scheme{fretboard.Position{Fret: 5}, fretboard.Window{From: 5, To: 9}, fretboard.Open{}, fretboard.Strings{1}, fretboard.Stance{Index: 5}, fretboard.Within{Scheme: fretboard.Open{}}} {
		assert.False(t, fretboard.NeedsTones(s), "%v", s)
	}
}

func TestApart(t *testing.T) {
	r := regions(t, fretboard.Window{From: 5, To: 8}, fretboard.Guitar(), tones(t, "C major"))[0]
	assert.Zero(t, r.Apart(fretboard.Place{String: 1, Fret: 5}, fretboard.ScaleLength))
	// Source: the table of fret distances at 648 mm, fret 12 at 324.0 and fret
	// 8 at 239.8.
	assert.InDelta(t, 84.2, r.Apart(fretboard.Place{String: 1, Fret: 12}, fretboard.ScaleLength), 0.1)
}
