package fretboard_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func pitches(t testing.TB, s string) []theory.Pitch {
	t.Helper()
	var ps []theory.Pitch
	for f := range strings.FieldsSeq(s) {
		p, err := theory.ParsePitch(f)
		require.NoError(t, err)
		ps = append(ps, p)
	}
	return ps
}

// Source: Lombardo & Radicioni, "Guitar fingering for music performance",
// fig. 1: where MIDI 64 lies, and the ranges of strings 1 and 6 to fret 12.
func TestPlacesOnTheStandardGuitar(t *testing.T) {
	neck := fretboard.Neck{Tuning: fretboard.Standard(), Frets: 14}
	assert.Equal(t, []fretboard.Place{{String: 1, Fret: 0}, {String: 2, Fret: 5}, {String: 3, Fret: 9}, {String: 4, Fret: 14}}, neck.Places(64))
	assert.Equal(t, 64, neck.Stopped(fretboard.Place{String: 1, Fret: 0}))
	assert.Equal(t, 76, neck.Stopped(fretboard.Place{String: 1, Fret: 12}))
	assert.Equal(t, 40, neck.Stopped(fretboard.Place{String: 6, Fret: 0}))
	assert.Equal(t, 52, neck.Stopped(fretboard.Place{String: 6, Fret: 12}))
	assert.Empty(t, neck.Places(39))
	assert.Len(t, fretboard.Guitar().Places(64), 5, "on 22 frets string 5 has it too")
}

// Source: MIDI numbers of the open strings as handbooks print them (common
// practice); each row is the tuning from the last string to the first.
func TestPresetsSoundAsHandbooksSay(t *testing.T) {
	tests := map[string][]int{
		"standard":        {40, 45, 50, 55, 59, 64},
		"drop-d":          {38, 45, 50, 55, 59, 64},
		"double-drop-d":   {38, 45, 50, 55, 59, 62},
		"dadgad":          {38, 45, 50, 55, 57, 62},
		"open-g":          {38, 43, 50, 55, 59, 62},
		"open-d":          {38, 45, 50, 54, 57, 62},
		"open-e":          {40, 47, 52, 56, 59, 64},
		"half-step-down":  {39, 44, 49, 54, 58, 63},
		"whole-step-down": {38, 43, 48, 53, 57, 62},
		"7-string":        {35, 40, 45, 50, 55, 59, 64},
		"8-string":        {30, 35, 40, 45, 50, 55, 59, 64},
		"baritone":        {35, 40, 45, 50, 54, 59},
		"bass":            {28, 33, 38, 43},
		"bass-5":          {23, 28, 33, 38, 43},
		"bass-6":          {23, 28, 33, 38, 43, 48},
		"ukulele":         {67, 60, 64, 69},
		"mandolin":        {55, 62, 69, 76},
		"banjo":           {67, 50, 55, 59, 62},
	}
	for name, want := range tests {
		p, ok := fretboard.PresetByName(name)
		require.True(t, ok, name)
		n := p.Tuning.Len()
		for i, midi := range want {
			assert.Equal(t, midi, p.Tuning.Open(n-i).MIDI(), "%s, string %d", name, n-i)
		}
		assert.Len(t, want, n)
	}
}

// An open tuning sounds the chord that it is named after (common practice).
func TestOpenTuningsSoundTheirChord(t *testing.T) {
	for key, root := range map[string]string{"open-g": "G", "open-d": "D", "open-e": "E", "open-a": "A", "open-c": "C"} {
		p, _ := fretboard.PresetByName(key)
		chord := theory.Chord{}
		chord.Root, _ = theory.ParseNoteName(root)
		var set theory.PitchSet
		for _, s := range p.Tuning.Strings {
			set = set.With(s.Class())
		}
		assert.Equal(t, chord.Classes(), set, key)
	}
	down, _ := fretboard.PresetByName("half-step-down")
	for i, p := range fretboard.Standard().Strings {
		assert.Equal(t, p.MIDI()-1, down.Tuning.Strings[i].MIDI())
	}
}

func TestEveryPresetCanBeAskedFor(t *testing.T) {
	seen := map[string]string{}
	for _, p := range fretboard.Presets() {
		require.GreaterOrEqual(t, p.Tuning.Len(), fretboard.MinStrings)
		require.LessOrEqual(t, p.Tuning.Len(), fretboard.MaxStrings)
		for _, s := range p.Tuning.Strings {
			require.Greater(t, s.MIDI(), 20, "a pitch of %s did not parse", p.Key)
		}
		for _, name := range append([]string{p.Key, p.Tuning.Name, strings.ToUpper(p.Key), strings.ReplaceAll(p.Key, "-", " ")}, p.Aliases...) {
			got, ok := fretboard.PresetByName(name)
			require.True(t, ok, name)
			assert.Equal(t, p.Key, got.Key, name)
		}
		for _, alias := range p.Aliases {
			assert.Empty(t, seen[alias], "alias %s", alias)
			seen[alias] = p.Key
		}
		back, err := fretboard.ParseTuning(p.Tuning.String())
		require.NoError(t, err)
		assert.True(t, back.Sounds(p.Tuning), p.Key)
		assert.True(t, fretboard.Neck{Tuning: p.Tuning, Frets: 22}.Validate() == nil)
	}
}

func TestParseTuningForms(t *testing.T) {
	tests := map[string]string{
		"E2 A2 D3 G3 B3 E4":   "E2 A2 D3 G3 B3 E4",
		"E A D G B E":         "E2 A2 D3 G3 B3 E4",
		"EADGBE":              "E2 A2 D3 G3 B3 E4",
		"eadgbe":              "E2 A2 D3 G3 B3 E4",
		"dgdgbd":              "D2 G2 D3 G3 B3 D4",
		"DGDGBD":              "D2 G2 D3 G3 B3 D4",
		"DADGAD":              "D2 A2 D3 G3 A3 D4",
		"D,A,D,G,A,D":         "D2 A2 D3 G3 A3 D4",
		"EbAbDbGbBbEb":        "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
		"E♭ A♭ D♭ G♭ B♭ E♭":   "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
		"drop D":              "D2 A2 D3 G3 B3 E4",
		"C G C F A D":         "C2 G2 C3 F3 A3 D4",
		"E A D G":             "E1 A1 D2 G2",
		"G C E A":             "G4 C4 E4 A4",
		"B E A D G B E":       "B1 E2 A2 D3 G3 B3 E4",
		"F# B E A D G B E":    "F#1 B1 E2 A2 D3 G3 B3 E4",
		"C G D G B D":         "C2 G2 D3 G3 B3 D4",
		"D# G# C# F# A# D#":   "D#2 G#2 C#3 F#3 A#3 D#4",
		"E2-A2-D3-G3-B3-E4":   "E2 A2 D3 G3 B3 E4",
		"D3 G3 B3":            "D3 G3 B3",
		"C2 G2 D3 A3 E4 G4":   "C2 G2 D3 A3 E4 G4",
		"seven-string drop A": "A1 E2 A2 D3 G3 B3 E4",
	}
	for in, want := range tests {
		got, err := fretboard.ParseTuning(in)
		if assert.NoError(t, err, in) {
			assert.Equal(t, want, got.String(), in)
		}
	}
	for _, bad := range []string{"", " ", "X", "E A", "E2 A2", "E2 A D3", "E A D G B Q", "dropx", "A A A A A A A A A A A A A", "dgbgbb"} {
		_, err := fretboard.ParseTuning(bad)
		assert.Error(t, err, "%q", bad)
	}
}

// Source: the re-entrant tunings of ukulele and five-string banjo (common
// practice).
func TestReEntrantTunings(t *testing.T) {
	want := map[string]bool{"ukulele": true, "banjo": true, "ukulele-low-g": false, "standard": false, "mandolin": false}
	for key, re := range want {
		p, _ := fretboard.PresetByName(key)
		assert.Equal(t, re, p.Tuning.ReEntrant(), key)
	}
	uke, _ := fretboard.PresetByName("ukulele")
	neck := fretboard.Neck{Tuning: uke.Tuning, Frets: 12}
	assert.Equal(t, []fretboard.Place{{String: 2, Fret: 3}, {String: 3, Fret: 7}, {String: 4, Fret: 0}}, neck.Places(67),
		"G4 is the open fourth string, the third fret of the second and the seventh of the third")
}

// Places and Stopped are inverse on any neck, and Places misses none.
func TestPlacesAreAllAndOnlyThose(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		n := fretboard.MinStrings + r.IntN(fretboard.MaxStrings-fretboard.MinStrings+1)
		open := make([]theory.Pitch, n)
		for i := range open {
			open[i] = theory.P(theory.Step(r.IntN(7)), r.IntN(3)-1, 1+r.IntN(4))
		}
		tuning, err := fretboard.NewTuning(open...)
		require.NoError(t, err)
		frets := 5 + r.IntN(20)
		neck := fretboard.Neck{Tuning: tuning, Frets: frets, Capo: r.IntN(frets)}
		require.NoError(t, neck.Validate())
		for range 20 {
			midi := 20 + r.IntN(80)
			var want []fretboard.Place
			for s := 1; s <= n; s++ {
				for f := 0; f <= frets-neck.Capo; f++ {
					if open[s-1].MIDI()+neck.Capo+f == midi {
						want = append(want, fretboard.Place{String: s, Fret: f})
					}
				}
			}
			require.Equal(t, want, neck.Places(midi))
			for _, p := range want {
				require.True(t, neck.Has(p))
				require.Equal(t, midi, neck.Stopped(p))
			}
		}
		require.False(t, neck.Has(fretboard.Place{String: n + 1}))
		require.False(t, neck.Has(fretboard.Place{}))
		require.False(t, neck.Has(fretboard.Place{String: 1, Fret: neck.TopFret() + 1}))
		require.False(t, neck.Has(fretboard.Place{String: 1, Fret: -1}))
	}
}

// With a capo written frets count from it (common practice): the open chord
// shape of G at a capo on fret 2 sounds A.
func TestCapo(t *testing.T) {
	neck := fretboard.Neck{Tuning: fretboard.Standard(), Capo: 2, Frets: 22}
	assert.Equal(t, 20, neck.TopFret())
	var set theory.PitchSet
	for i, fret := range []int{3, 0, 0, 0, 2, 3} {
		set = set.With(neck.Stopped(fretboard.Place{String: i + 1, Fret: fret}))
	}
	a, _ := theory.ParseChord("A")
	assert.Equal(t, a.Classes(), set)
	assert.Error(t, fretboard.Neck{Tuning: fretboard.Standard(), Capo: 22, Frets: 22}.Validate())
	assert.Error(t, fretboard.Neck{Tuning: fretboard.Standard(), Capo: -1, Frets: 22}.Validate())
	assert.Error(t, fretboard.Neck{Frets: 22}.Validate())
	assert.Error(t, fretboard.Neck{Tuning: fretboard.Standard(), Frets: 37}.Validate())
}

// Source: nodes of the vibrating string as guitar methods print them: fret 12
// an octave, 7 and 19 a twelfth, 5 and 24 two octaves, 4, 9 and 16 two
// octaves and a major third (common practice).
func TestHarmonicNodes(t *testing.T) {
	for fret, want := range map[int]int{12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28} {
		node, ok := fretboard.NodeAt(fret)
		require.True(t, ok, fret)
		assert.Equal(t, want, node.Semitones, fret)
		assert.InDelta(t, float64(fret), node.At, 0.2)
	}
	for _, fret := range []int{1, 2, 6, 8, 10, 11, 13, 14, 15} {
		_, ok := fretboard.NodeAt(fret)
		assert.False(t, ok, fret)
	}
	// String 6 at fret 12 and string 5 at fret 7 both sound E.
	neck := fretboard.Guitar()
	assert.Equal(t, []fretboard.Place{{String: 5, Fret: 7}, {String: 5, Fret: 19}, {String: 6, Fret: 5}}, neck.HarmonicPlaces(64))
	neck.Capo = 2
	assert.Equal(t, []fretboard.Place{{String: 5, Fret: 7}, {String: 5, Fret: 19}, {String: 6, Fret: 5}}, neck.HarmonicPlaces(66))
}

// Source: fret distances of a 648 mm scale in makers' tables, to a tenth of a
// millimetre; reaches follow from them.
func TestFretDistances(t *testing.T) {
	for fret, mm := range map[int]float64{0: 0, 1: 36.4, 5: 162.5, 7: 215.5, 12: 324.0, 24: 486.0} {
		assert.InDelta(t, mm, fretboard.FretDistance(fret, fretboard.ScaleLength), 0.05, fret)
	}
	neck := fretboard.Guitar()
	for _, tt := range []struct {
		a, b int
		mm   float64
	}{{1, 5, 126}, {5, 9, 100}, {12, 16, 67}, {16, 12, 67}} {
		assert.InDelta(t, tt.mm, neck.Reach(tt.a, tt.b, fretboard.ScaleLength), 0.6)
	}
	neck.Capo = 4
	assert.InDelta(t, 100, neck.Reach(1, 5, fretboard.ScaleLength), 0.6, "frets count from the capo")
}

func TestNewTuningNamesWhatItKnows(t *testing.T) {
	tuning, err := fretboard.NewTuning(pitches(t, "E4 B3 G3 D3 A2 D2")...)
	require.NoError(t, err)
	assert.Equal(t, "drop D", tuning.Name)
	tuning, err = fretboard.NewTuning(pitches(t, "D#4 A#3 F#3 C#3 G#2 D#2")...)
	require.NoError(t, err)
	assert.Equal(t, "half step down", tuning.Name, "sound decides, not spelling")
	_, err = fretboard.NewTuning(pitches(t, "E4 B3")...)
	assert.ErrorContains(t, err, "3 to 12 strings, not 2")
}

func TestPresetsCannotBeSpoiled(t *testing.T) {
	fretboard.Presets()[0].Tuning.Strings[0] = theory.P(theory.C, 0, 0)
	assert.Equal(t, "E2 A2 D3 G3 B3 E4", fretboard.Standard().String())
}

func FuzzParseTuning(f *testing.F) {
	for _, s := range []string{"drop-d", "D A D G A D", "EbAbDbGbBbEb", "E2 A2 D3 G3 B3 E4", "dgdgbd", "A0 A0 A0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tuning, err := fretboard.ParseTuning(s)
		if err != nil {
			_ = err.Error()
			return
		}
		back, err := fretboard.ParseTuning(tuning.String())
		require.NoError(t, err, tuning.String())
		require.True(t, tuning.Sounds(back))
	})
}

func BenchmarkPlaces(b *testing.B) {
	neck := fretboard.Guitar()
	b.ReportAllocs()
	for b.Loop() {
		for midi := 40; midi < 88; midi++ {
			neck.Places(midi)
		}
	}
}
