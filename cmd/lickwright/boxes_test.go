package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

const noFingers = "no fingers are named: no hand holds this at one time"

// Each stopped string of a chord box has a finger, in all qualities and shapes,
// and the keys turn from quality to quality; and on instruments with longer and
// shorter strings.
func TestChordBoxesHaveFingers(t *testing.T) {
	for q, c := range theory.ChordQualities() {
		c.Root = theory.NameAtFifths(q%12 - 5)
		tones := fretboard.ChordTones(c)
		if len(tones.Tones) == 0 {
			continue
		}
		for _, tuning := range []string{"standard", "bass", "ukulele", "drop-d"} {
			preset, ok := fretboard.PresetByName(tuning)
			require.True(t, ok)
			n := fretboard.Neck{Tuning: preset.Tuning, Frets: 20}
			p := pictured{neck: n, scale: n.Tuning.Instrument().ScaleLength}
			regions, err := fretboard.ChordShape{}.Regions(n, tones)
			require.NoError(t, err)
			for _, r := range regions {
				for _, d := range p.boxes(layoutItem{tones: tones, chord: &c}, r.Lay(tones)) {
					assertFingers(t, d)
					assert.NotContains(t, d.Notes, noFingers)
				}
			}
		}
	}
}

func assertFingers(t *testing.T, d diagram.Diagram) {
	for _, dot := range d.Dots {
		assert.Equal(t, dot.Place.Fret > 0, len(dot.Fingers) == 1, "%s, %s: string %d", d.Title, d.Subtitle, dot.Place.String)
	}
}

// What was typed is drawn as it is; no hand is at frets 1 and 12 at one time.
func TestTypedGripsThatNoHandHolds(t *testing.T) {
	got := lickwright("diagram", "1 12 1 12 1 12")
	assert.Equal(t, exitDone, got.code)
	assert.Contains(t, got.out, noFingers)
	assert.NotContains(t, got.out, ":1]")
	assert.NotContains(t, lickwright("diagram", "x 3 2 0 1 0").out, noFingers)
}

// Source: the smaller grips of common practice.
func TestSmallerGripsAreSaid(t *testing.T) {
	got := lickwright("diagram", "Dm", "--shape", "C")
	assert.Contains(t, got.out, "x 5 3 2 3 x takes a large hand (fingers 4 2 1 3): string 2 is left out")
	got = lickwright("chords", "Am", "--shape", "G")
	assert.Contains(t, got.out, "5 3 2 2 x x (5 3 2 2 5 5 takes a large hand (fingers 3 2 1 1 4 4): strings 2 and 1 are left out)")
	got = lickwright("routine", "D minor", "--shape", "C", "--show", "chord")
	assert.Contains(t, strings.Join(strings.Fields(got.out), " "), "Dm: x 5 3 2 x x (string 6 to string 1); x 5 3 2 3 x takes a large hand (fingers 4 2 1 3): string 2 is left out.")
	assert.Contains(t, got.out, "1,2,4")
}
