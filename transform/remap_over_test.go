package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func chordOf(t testing.TB, s string) theory.Chord {
	t.Helper()
	c, err := theory.ParseChord(s)
	require.NoError(t, err)
	return c
}

func changes(t testing.TB, s string) theory.Progression {
	t.Helper()
	p, err := theory.ParseProgression(s, nil)
	require.NoError(t, err)
	return p
}

// Chord tone to like chord tone: what each becomes follows from the formulas
// of the chords. Source: common practice; the formulas of MusicXML 4.0's kinds.
func TestOverChordsTonesKeepTheirJob(t *testing.T) {
	tests := []struct{ home, over, notes, want string }{
		{"Cmaj7", "Dm7", "C4 E4 G4 B4", "D4 F4 A4 C5"},
		{"Cmaj7", "G7", "C4 E4 G4 B4", "G3 B3 D4 F4"},
		{"Am7", "Cmaj7", "A4 C5 E5 G5", "C5 E5 G5 B5"},
		{"Am7", "Am7b5", "A4 C5 E5 G5", "A4 C5 Eb5 G5"},
		{"C", "Csus4", "C4 E4 G4", "C4 F4 G4"},                // what stands for the third
		{"Cmaj7", "C6", "C4 B4", "C4 A4"},                     // and for the seventh
		{"C7", "C7alt", "E4 Bb4", "E4 Bb4"},                   // the altered scale calls it b4
		{"Am7", "Dm7", "A4 B4 C5 D5 E5", "D5 E5 F5 G5 A5"},    // the second and the fourth by the scales
		{"Cmaj7", "Cm7", "D#4 E4", "D4 Eb4"},                  // approached from a semitone below
		{"Cmaj7", "F#maj7", "G4 E4 C4 B3", "C#5 A#4 F#4 E#4"}, // a tritone is as near up as down: up
		{"C", "N.C.", "C4 E4", "C4 E4"},                       // no tones: the notes stay
	}
	for _, tt := range tests {
		t.Run(tt.home+" to "+tt.over, func(t *testing.T) {
			home := chordOf(t, tt.home)
			got, ds := RemapOver(melody(t, "", tt.notes), &home, changes(t, tt.over), RemapOptions{})
			assert.Equal(t, tt.want, pitches(got))
			assert.Equal(t, tt.over == "N.C.", ds.Count(score.NotDone) > 0)
		})
	}
}

// A phrase of one bar is played once over each chord, with the symbols over
// it; chord symbols of the score say what it was made over.
func TestOverChordsRepeatsThePhrase(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.5h 3.7 2.5 2.8") // C D E G
	home := chordOf(t, "Am7")
	got, ds := RemapOver(s, &home, changes(t, "Dm7 | G7 | Cmaj7"), RemapOptions{})
	assert.Zero(t, ds.Count(score.NotDone), ds)
	require.Len(t, got.Parts[0].Measures, 3)
	var symbols, numbers []string
	ids := map[int]int{}
	for _, m := range got.Parts[0].Measures {
		numbers = append(numbers, m.Number)
		for n := range score.Preorder(m) {
			switch n := n.(type) {
			case *score.Harmony:
				symbols = append(symbols, n.Chord.String())
			case *score.Note:
				for _, x := range n.Techniques {
					ids[x.(score.Span).ID]++
				}
			}
		}
	}
	assert.Equal(t, []string{"Dm7", "G7", "Cmaj7"}, symbols)
	assert.Equal(t, []string{"1", "2", "3"}, numbers)
	assert.Len(t, ids, 3, "every hammer-on has its own number")
	// b3 4 5 b7 of each chord, by its own third, fifth and seventh.
	assert.Equal(t, "F4 G4 A4 C5 B3 C4 D4 F4 E4 F4 G4 B4", pitches(got))

	said := s.Clone()
	m := said.Parts[0].Measures[0]
	m.Events = append([]score.Event{&score.Harmony{Chord: home}}, m.Events...)
	again, _ := RemapOver(said, nil, changes(t, "Dm7 | G7 | Cmaj7"), RemapOptions{})
	assert.Equal(t, pitches(got), pitches(again))

	_, ds = RemapOver(s, nil, changes(t, "Dm7"), RemapOptions{})
	assert.Contains(t, codes(ds), CodeRemapNoChord, "nothing says what it was made over")
}

// Half a bar each: the chord that is in force maps the notes; what is tied over
// the change keeps its sound.
func TestOverChordsInsideABar(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "2.5 2.8~ 2.8 3.5") // E4 G4 tied, C4
	home := chordOf(t, "C")
	got, _ := RemapOver(s, &home, changes(t, "C G"), RemapOptions{})
	assert.Equal(t, "E4 G4 G4 G3", pitches(got))
}

// A bend that becomes wider than its string allows is fingered elsewhere, or
// named. Source of the limits: common practice, see bendLimit.
func TestRemapWideBends(t *testing.T) {
	// E4 to F#4 on string 4, which is wound; a minor third needs a plain one.
	s := lick(t, fretboard.Guitar(), "4.14b")
	got, ds := Remap(s, on(t, "A 1 2 3 5 6"), on(t, "A 1 2 3 5 #6"), RemapOptions{})
	n := firstNote(got)
	b, _ := n.Bend()
	assert.Equal(t, score.Q(3, 1), b.Amount)
	assert.Equal(t, "E4", n.Pitch.String())
	assert.Zero(t, ds.Count(score.NotDone))
	assert.LessOrEqual(t, n.Place.String, 3)

	// A3 has a plain string at fret 2 only, too near the nut.
	s = lick(t, fretboard.Guitar(), "4.7b")
	got, ds = Remap(s, on(t, "A 1 2 b3 5"), on(t, "A 1 #2 3 5"), RemapOptions{})
	assert.Equal(t, "4.7", places(got))
	assert.Contains(t, codes(ds), CodeRemapBend)
	assert.Equal(t, 1, ds.Count(score.NotDone))
}

// The key signature and the chord symbols go with the scale.
func TestRemapSigns(t *testing.T) {
	s := melody(t, "A minor", "A4 C5 E5")
	m := s.Parts[0].Measures[0]
	for i, symbol := range []string{"Am7", "Dm7", "E7"} {
		m.Events = append(m.Events, &score.Harmony{Common: score.Common{Onset: score.Q(int64(i), 1)}, Chord: chordOf(t, symbol)})
	}
	m.SortEvents()
	got, ds := Remap(s, on(t, "A natural minor"), on(t, "A major"), RemapOptions{})
	assert.Equal(t, "A major", firstKey(t, got).String())
	var symbols []string
	for n := range score.Preorder(got) {
		if h, ok := n.(*score.Harmony); ok {
			symbols = append(symbols, h.Chord.String())
		}
	}
	assert.Equal(t, []string{"Amaj7", "Dmaj7", "E7"}, symbols, "E7 has a G# that A minor lacks; A major has all of it")
	assert.Contains(t, codes(ds), CodeRemapChord)

	// A signature that is not that of the old scale stays, and is named.
	s = melody(t, "E minor", "A4 C5 E5")
	got, ds = Remap(s, on(t, "A natural minor"), on(t, "A major"), RemapOptions{})
	assert.Equal(t, "E minor", firstKey(t, got).String())
	assert.Contains(t, codes(ds), CodeRemapKey)
}
