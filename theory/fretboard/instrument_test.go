package fretboard_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory/fretboard"
)

// Lengths in inches and inlays: common practice.
func TestInstrumentOfATuning(t *testing.T) {
	for _, tt := range []struct {
		tuning, name string
		inches       float64
		inlays       []int // up to fret 15
	}{
		{"standard", "guitar", 25.5, []int{3, 5, 7, 9, 12, 15}},
		{"drop-d", "guitar", 25.5, []int{3, 5, 7, 9, 12, 15}},
		{"C2 G2 D3 G3 B3 E4", "guitar", 25.5, []int{3, 5, 7, 9, 12, 15}}, // no preset, near to one
		{"baritone", "baritone guitar", 27, []int{3, 5, 7, 9, 12, 15}},
		{"bass", "bass", 34, []int{3, 5, 7, 9, 12, 15}},
		{"D1 G1 C2 F2", "bass", 34, []int{3, 5, 7, 9, 12, 15}},
		{"ukulele", "ukulele", 15, []int{5, 7, 10, 12}},
		{"mandolin", "mandolin", 13.875, []int{3, 5, 7, 10, 12, 15}},
		{"banjo", "banjo", 26.25, []int{3, 5, 7, 10, 12, 15}},
		{"C3 E3 G3", "", 25.5, nil},
	} {
		tuning, err := fretboard.ParseTuning(tt.tuning)
		require.NoError(t, err, tt.tuning)
		i := tuning.Instrument()
		assert.Equal(t, tt.name, i.Name, tt.tuning)
		assert.InDelta(t, tt.inches*25.4, i.ScaleLength, 1, tt.tuning)
		var inlays []int
		for fret := range 16 {
			if i.Inlays(fret) > 0 {
				inlays = append(inlays, fret)
			}
		}
		assert.Equal(t, tt.inlays, inlays, tt.tuning)
	}
	for tuning, name := range map[string]string{"standard": "Guitar", "bass": "Bass", "7-string": "Seven-string guitar", "C3 E3 G3": "Fretted instrument"} {
		parsed, err := fretboard.ParseTuning(tuning)
		require.NoError(t, err, tuning)
		assert.Equal(t, name, parsed.Instrument().PartName(), tuning)
	}
	assert.Equal(t, 2, fretboard.Standard().Instrument().Inlays(24))
}

// The g of a ukulele is tuned up to the octave, the fifth string of a banjo
// too: common practice.
func TestHighStrings(t *testing.T) {
	for tuning, want := range map[string][]int{"standard": nil, "ukulele": {4}, "ukulele-low-g": nil, "banjo": {5}, "bass": nil} {
		parsed, err := fretboard.ParseTuning(tuning)
		require.NoError(t, err)
		assert.Equal(t, want, parsed.High(), tuning)
		assert.Equal(t, parsed.ReEntrant(), len(want) > 0, tuning)
	}
}

// The reach of 1 to 5 on a guitar is 648(2^-1/12 - 2^-5/12) = 126 mm, that of 2
// to 6 is 119 mm and of 1 to 4 97 mm; on a bass of 864 mm 2 to 5 is 122 mm: by
// hand, from the formula of equal temperament.
func TestEveryWideStretchIsNamed(t *testing.T) {
	set := tones(t, "A harmonic minor")
	var got []fretboard.Reach
	for _, r := range fretboard.Once(regions(t, fretboard.PerString{Notes: []int{3}}, fretboard.Guitar(), set)) {
		if r.Name == "3 notes per string from b6" {
			got = r.Lay(set).WideStretches(fretboard.ScaleLength)
		}
	}
	require.Len(t, got, 2)
	assert.Equal(t, []int{6, 4}, []int{got[0].From.String, got[1].From.String}, "1 4 5 on the low E string, 2 3 6 on the D string")
	assert.InDelta(t, 126, got[0].MM, .5)
	assert.InDelta(t, 119, got[1].MM, .5)

	bass := neckOf(t, "bass")
	set = tones(t, "B minor pentatonic")
	for _, r := range regions(t, fretboard.ChordShape{}, bass, set) {
		l := r.Lay(set)
		if r.Index == 2 {
			assert.Empty(t, l.WideStretches(fretboard.ScaleLength))
			wide := l.WideStretches(bass.Tuning.Instrument().ScaleLength)
			require.Len(t, wide, 2, "E and A strings, frets 2 to 5")
			assert.InDelta(t, 122, wide[0].MM, .5)
		}
	}
}
