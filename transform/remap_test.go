package transform

import (
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func on(t testing.TB, s string) ScaleOn {
	t.Helper()
	tonic, ok, sc, err := theory.ParseScale(s)
	require.NoError(t, err)
	require.True(t, ok, "tonic of %q", s)
	return ScaleOn{tonic, sc}
}

// Two phrases that a scale lacks nothing of, and the pentatonic under both
// mappings. The scales are those of common practice; what becomes of each note
// follows from their degrees.
func TestRemapMapsDegrees(t *testing.T) {
	tests := []struct {
		name, from, to, notes, want string
		how                         Mapping
	}{
		{"parallel minor", "C major", "C minor", "C4 D4 E4 F4 G4 A4 B4 C5", "C4 D4 Eb4 F4 G4 Ab4 Bb4 C5", ByDegree},
		{"one note to lydian", "C ionian", "C lydian", "C4 D4 E4 F4 G4 A4 B4 C5", "C4 D4 E4 F#4 G4 A4 B4 C5", ByDegree},
		{"another tonic", "C major", "D dorian", "C4 E4 G4 B4", "D4 F4 A4 C5", ByDegree},
		{"another tonic, the nearer way down", "C major", "A minor", "C4 E4 G4 C5", "A3 C4 E4 A4", ByDegree},
		{"pentatonic by degree, up", "A minor pentatonic", "A major pentatonic", "A4 C5 D5 E5 G5 A5", "A4 C#5 E5 E5 A5 A5", ByDegree},
		{"pentatonic by degree, down", "A minor pentatonic", "A major pentatonic", "A5 G5 E5 D5 C5 A4", "A5 F#5 E5 C#5 C#5 A4", ByDegree},
		{"pentatonic by step", "A minor pentatonic", "A major pentatonic", "A4 C5 D5 E5 G5 A5", "A4 B4 C#5 E5 F#5 A5", ByStep},
		{"a scale of seven into five, by step", "C major", "C major pentatonic", "C4 D4 E4 F4 G4 A4 B4 C5", "C4 D4 E4 G4 A4 A4 C5 C5", ByStep},
		{"blues has two fifths", "A blues", "A blues", "A4 C5 D5 Eb5 E5 G5", "A4 C5 D5 Eb5 E5 G5", ByDegree},
		{"a chromatic note stays with the note it leads to", "C major", "C minor", "E4 D#4 E4 F4 F#4 G4", "Eb4 D4 Eb4 F4 F#4 G4", ByDegree},
		{"a degree that only the new scale has is itself there", "A minor pentatonic", "A major pentatonic", "A3 G3 F#3 C4", "A3 F#3 F#3 C#4", ByDegree},
		{"a tonic that no page shows", "A minor", "Gb locrian", "A3 B3", "F#3 G3", ByDegree},
		{"nothing else changes", "C ionian", "C lydian", "G4 Ab4 G4 F#4 G4 C#5 D5", "G4 Ab4 G4 F#4 G4 C#5 D5", ByDegree},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := melody(t, "", tt.notes)
			before := s.Clone()
			got, _ := Remap(s, on(t, tt.from), on(t, tt.to), RemapOptions{Map: tt.how})
			assert.Equal(t, tt.want, pitches(got))
			assert.Equal(t, before, s, "the input is not changed")
		})
	}
}

// There and back is the identity on the notes of the scale, for all pairs of
// named scales that share their degree numbers, on several tonics.
func TestRemapThereAndBack(t *testing.T) {
	scales := theory.Scales()
	numbers := func(s theory.Scale) [8]int {
		var count [8]int
		for _, d := range s.Degrees() {
			count[d.Number]++
		}
		return count
	}
	rng := rand.New(rand.NewSource(7))
	pairs := 0
	for _, a := range scales {
		for _, b := range scales {
			if numbers(a) != numbers(b) {
				continue
			}
			pairs++
			from := ScaleOn{theory.NameAtFifths(rng.Intn(13) - 6), a}
			to := ScaleOn{theory.NameAtFifths(rng.Intn(13) - 6), b}
			var s score.Score
			p := &score.Part{ID: "P1", Staves: 1}
			m := &score.Measure{Number: "1"}
			for k := range 12 {
				n := from.Scale.Degree(rng.Intn(a.Len()))
				pitch := theory.Pitch{NoteName: from.Tonic, Octave: 3 + rng.Intn(3)}.Transpose(n.Interval())
				c := &score.Chord{Duration: score.Q(1, 1), Voice: 1, Notes: []*score.Note{{Pitch: pitch}}}
				c.Onset = score.Q(int64(k), 1)
				m.Events = append(m.Events, c)
			}
			m.Length = score.Q(12, 1)
			p.Measures = append(p.Measures, m)
			s.Parts = append(s.Parts, p)
			// The way back is the way there, the other way round.
			dir, back := theory.Up, theory.Down
			there, _ := Remap(&s, from, to, RemapOptions{Tonic: dir, Respell: RespellNever})
			again, _ := Remap(there, to, from, RemapOptions{Tonic: back, Respell: RespellNever})
			require.Equal(t, pitches(&s), pitches(again), "%v to %v: %s", from, to, pitches(there))
			for n := range score.Notes(there) {
				require.Contains(t, to.Scale.Notes(to.Tonic), n.Pitch.NoteName, "%v to %v", from, to)
			}
		}
	}
	assert.Greater(t, pairs, 300)
}

// A bend from 1 to 2 is a whole tone in Aeolian and a semitone in Phrygian,
// whose second degree is flat. Source: common practice, the modes' formulas.
func TestRemapBend(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.2b 2.5") // A3 bent to B3
	got, ds := Remap(s, on(t, "A aeolian"), on(t, "A phrygian"), RemapOptions{})
	n := firstNote(got)
	b, ok := n.Bend()
	require.True(t, ok)
	assert.Equal(t, score.Q(1, 1), b.Amount)
	assert.Equal(t, "3.2 2.5", places(got))
	assert.Zero(t, ds.Count(score.NotDone))

	back, _ := Remap(got, on(t, "A phrygian"), on(t, "A aeolian"), RemapOptions{})
	b, _ = firstNote(back).Bend()
	assert.Equal(t, score.Q(2, 1), b.Amount)

	firstNote(s).Techniques = []score.Technique{score.Bend{Amount: score.Q(1, 2)}}
	got, _ = Remap(s, on(t, "A aeolian"), on(t, "A phrygian"), RemapOptions{})
	b, _ = firstNote(got).Bend()
	assert.Equal(t, score.Q(1, 2), b.Amount, "a quarter tone stays")
}

func firstNote(s *score.Score) *score.Note {
	for n := range score.Notes(s) {
		return n
	}
	return nil
}

// Legato takes the kind that its new direction asks for. Going up, the fourth
// of the minor pentatonic has no fourth to go to in the major one and becomes
// the fifth; the blue note stays a semitone below the fifth that it leads to.
func TestRemapLegato(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "2.1 2.3h 2.4 2.5") // C4 D4 Eb4 E4
	got, ds := Remap(s, on(t, "A minor pentatonic"), on(t, "A major pentatonic"), RemapOptions{})
	assert.Equal(t, "C#4 E4 Eb4 E4", pitches(got))
	assert.Contains(t, codes(ds), CodeRemapLegato)
	notes := notesOf(got)
	assert.True(t, notes[1].Has(score.Span{Kind: score.PullOff, ID: 1, End: score.Start}))
	assert.True(t, notes[2].Has(score.Span{Kind: score.PullOff, ID: 1, End: score.Stop}))
	assert.Equal(t, notes[1].Place.String, notes[2].Place.String)
	assert.Zero(t, ds.Count(score.NotDone))

	// Without the blue note both ends would become the fifth: the first one
	// goes to the third instead.
	s = lick(t, fretboard.Guitar(), "2.1 2.3h 2.5")
	got, ds = Remap(s, on(t, "A minor pentatonic"), on(t, "A major pentatonic"), RemapOptions{})
	assert.Equal(t, "C#4 C#4 E4", pitches(got))
	assert.True(t, notesOf(got)[1].Has(score.Span{Kind: score.HammerOn, ID: 1, End: score.Start}))
	assert.Zero(t, ds.Count(score.NotDone))

	// Where there is no choice it is taken off, and named.
	s = lick(t, fretboard.Guitar(), "2.1 2.5 2.4h 2.5") // C4 E4 Eb4 E4
	got, ds = Remap(s, on(t, "A 1 b3 4 b5 5 b7"), on(t, "A minor pentatonic"), RemapOptions{})
	assert.Equal(t, "C4 E4 E4 E4", pitches(got))
	assert.Equal(t, 1, ds.Count(score.NotDone))
}

func notesOf(s *score.Score) (list []*score.Note) {
	for n := range score.Notes(s) {
		list = append(list, n)
	}
	return list
}
