package theory_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

func namesIn(t testing.TB, s string) []theory.NoteName {
	t.Helper()
	var ns []theory.NoteName
	for f := range strings.FieldsSeq(s) {
		ns = append(ns, mustName(t, f))
	}
	return ns
}

// Source: chords as handbooks spell them.
func TestChordOfTones(t *testing.T) {
	for tones, want := range map[string]string{
		"C E G": "C", "C Eb G": "Cm", "C Eb Gb": "Cdim", "C E G#": "C+", "C E G Bb": "C7", "F# A C E": "F#m7b5", "B D F Ab": "Bdim7",
		"G B D F A": "G9", "A C E F#": "Am6", "D G A": "Dsus4", "Bb D F A C": "Bbmaj9", "E G# B D F": "E7b9", "C G": "C5",
		"C D# G": "Cm",
	} {
		c, ok := theory.ChordOfTones(namesIn(t, tones))
		require.True(t, ok, tones)
		assert.Equal(t, want, c.String(), tones)
	}
	_, ok := theory.ChordOfTones(namesIn(t, "C C# D"))
	assert.False(t, ok)
	_, ok = theory.ChordOfTones(nil)
	assert.False(t, ok)
}

func equalNotes(midi ...int) []theory.WeightedNote {
	var notes []theory.WeightedNote
	for _, m := range midi {
		notes = append(notes, theory.WeightedNote{MIDI: m, Weight: 1})
	}
	return notes
}

func TestFindChords(t *testing.T) {
	tests := []struct {
		midi []int
		want string
	}{
		{[]int{60, 64, 67}, "C"}, {[]int{57, 60, 64, 67}, "Am7"}, {[]int{55, 59, 62, 65}, "G7"}, {[]int{59, 62, 65}, "Bdim"},
		{[]int{50, 53, 57, 60}, "Dm7"}, {[]int{48, 52, 55, 59}, "Cmaj7"}, {[]int{59, 62, 65, 69}, "Bm7b5"}, {[]int{52, 56, 59, 62, 65}, "E7b9"},
		{[]int{60, 64, 67, 64, 60, 62, 64, 67}, "C"}, // a passing note
		{[]int{52, 55, 60}, "C"},                     // an inversion
		{[]int{40, 47, 52}, "E5"},
	}
	for _, tt := range tests {
		guesses := theory.FindChords(equalNotes(tt.midi...), nil)
		assert.Equal(t, tt.want, guesses[0].Chord.String(), "%v", tt.midi)
		require.LessOrEqual(t, len(guesses), 10)
		sum := 0.0
		for i, g := range guesses {
			sum += g.Confidence
			if i > 0 {
				assert.LessOrEqual(t, g.Confidence, guesses[i-1].Confidence)
			}
		}
		assert.LessOrEqual(t, sum, 1+1e-9)
	}
	assert.Nil(t, theory.FindChords(nil, nil))
	assert.Less(t, theory.FindChords(equalNotes(60), nil)[0].Confidence, 0.3, "one note is in many chords")
	flat := mustKey(t, "Gb major")
	assert.Equal(t, "Gb", theory.FindChords(equalNotes(66, 70, 73), &flat)[0].Chord.String())
}

// Every chord of the everyday kinds on every root, played from the root up,
// is found again by sound.
func TestFindChordsFindsEveryEverydayChord(t *testing.T) {
	for _, q := range []string{"", "m", "7", "maj7", "m7", "dim", "+", "m7b5", "dim7", "6/9", "m(maj7)", "7sus4", "9", "m9", "maj9"} {
		for _, root := range theory.PracticalTonics(theory.Major) {
			want := theory.Chord{Root: root, Quality: q}
			var midi []int
			low := theory.Pitch{NoteName: root, Octave: 3}
			for _, d := range want.Degrees() {
				midi = append(midi, low.Transpose(d.Interval()).MIDI())
			}
			got := theory.FindChords(equalNotes(midi...), nil)[0]
			assert.Equal(t, want.String(), got.Chord.String())
			assert.InDelta(t, 1, got.Covered, 1e-9)
			assert.Empty(t, got.Missing)
		}
	}
}

// Source: the chords of a pentatonic scale as guitar methods give them: the
// tonic's and its relative's.
func TestChordsIn(t *testing.T) {
	var got []string
	for _, c := range mustScale(t, "minor pentatonic").ChordsIn(mustName(t, "A")) {
		got = append(got, c.Chord.String())
	}
	// Worked out by hand from A C D E G.
	assert.Equal(t, "Am Asus4 Am7 A7sus4 C Csus2 C6 Dsus4 Dsus2 D7sus4 Gsus4 Gsus2", strings.Join(got, " "))

	for _, s := range theory.Scales() {
		for _, c := range s.ChordsIn(mustName(t, "Bb")) {
			assert.True(t, s.Set().Transpose(10).Holds(c.Chord.Classes()), "%s in %s", c.Chord, s.Name())
		}
	}
	diatonic := map[string]bool{}
	for _, c := range mustScale(t, "major").ChordsIn(mustName(t, "C")) {
		diatonic[c.Chord.String()] = true
	}
	for _, c := range []string{"C", "Dm", "Em", "F", "G", "Am", "Bdim", "Cmaj7", "Dm7", "Em7", "Fmaj7", "G7", "Am7", "Bm7b5"} {
		assert.True(t, diatonic[c], c)
	}
	assert.False(t, diatonic["D"] || diatonic["E7"] || diatonic["C7"])
}
