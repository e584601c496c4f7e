package fretboard_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// tones reads a scale on a tonic.
func tones(t testing.TB, scale string) fretboard.ToneSet {
	t.Helper()
	tonic, has, s, err := theory.ParseScale(scale)
	require.NoError(t, err)
	require.True(t, has, scale)
	return fretboard.ScaleTones(tonic, s)
}

func chordTones(t testing.TB, symbol string) fretboard.ToneSet {
	t.Helper()
	c, err := theory.ParseChord(symbol)
	require.NoError(t, err)
	return fretboard.ChordTones(c)
}

// laid writes the frets of a layout string by string, the last one first, as
// books print a position: "7 8 10 | 7 8 10 | …".
func laid(l fretboard.Layout) string {
	var rows []string
	for _, row := range slices.Backward(l.ByString()) {
		var frets []string
		for _, s := range row {
			frets = append(frets, strconv.Itoa(s.Place.Fret))
		}
		rows = append(rows, strings.Join(frets, " "))
	}
	return strings.Join(rows, " | ")
}

func regions(t testing.TB, s fretboard.Scheme, n fretboard.Neck, set fretboard.ToneSet) []fretboard.Region {
	t.Helper()
	rs, err := s.Regions(n, set)
	require.NoError(t, err, "%s, %s, %s", s, n.Tuning, set.Title)
	require.NotEmpty(t, rs)
	return rs
}

// shape returns a chord shape by name at the fret of its index finger.
func shape(t testing.TB, n fretboard.Neck, set fretboard.ToneSet, name string, index int) fretboard.Region {
	t.Helper()
	s, err := fretboard.ParseShape(n.Tuning, name)
	require.NoError(t, err)
	for _, r := range regions(t, fretboard.ChordShape{Shapes: []fretboard.Shape{s}}, n, set) {
		if r.Index == index {
			return r
		}
	}
	require.Fail(t, "not there", "%s shape of %s with the index finger at fret %d", name, set.Title, index)
	return fretboard.Region{}
}

func neckOf(t testing.TB, tuning string) fretboard.Neck {
	t.Helper()
	tun, err := fretboard.ParseTuning(tuning)
	require.NoError(t, err)
	return fretboard.Neck{Tuning: tun, Frets: fretboard.DefaultFrets}
}

// keys are the names of twelve tonics along the circle of fifths.
func keys() []string { return strings.Fields("C G D A E B F# Db Ab Eb Bb F") }

// eighteenScales are scales that a working player uses daily.
func eighteenScales() []string {
	return []string{
		"major", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian", "harmonic minor", "melodic minor",
		"lydian dominant", "altered", "phrygian dominant", "harmonic major", "minor pentatonic", "major pentatonic",
		"blues", "whole tone", "diminished",
	}
}

func frets(line []fretboard.Place) string {
	words := make([]string, len(line))
	for i, p := range line {
		words[i] = fmt.Sprintf("%d.%d", p.String, p.Fret)
	}
	return strings.Join(words, " ")
}
