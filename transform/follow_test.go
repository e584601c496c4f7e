package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// withChords writes chord symbols over the bars of a score, one for each; "-"
// for none.
func withChords(t testing.TB, s *score.Score, symbols ...string) *score.Score {
	t.Helper()
	for i, text := range symbols {
		if text == "-" {
			continue
		}
		c, err := theory.ParseChord(text)
		require.NoError(t, err)
		m := s.Parts[0].Measures[i]
		m.Events = append([]score.Event{&score.Harmony{Chord: c}}, m.Events...)
	}
	return s
}

// In one region of the neck the chords of a key take the shapes that players
// know for it. Source: the order C A G E D and the roots of the shapes
// (common practice): with C in the G shape at fret 5, F (root on string 5,
// fret 8) is in the C shape and G (root on string 4, fret 5) in the D shape;
// A minor (root on string 6, fret 5) in the E shape; and so on round.
func TestChordsAreFollowedInOneRegion(t *testing.T) {
	neck := fretboard.Guitar()
	line := "5.7 4.5 3.5 2.5 | 4.7 3.5 2.6 1.5 | 4.5 3.7 2.8 1.7 | 5.7 4.7 3.5 2.5"
	s := withChords(t, lick(t, neck, line), "C", "F", "G", "Am")
	out, ds := Refinger(s, RefingerOptions{FollowChords: true})
	require.NotEmpty(t, ds)
	assert.Equal(t, "shapes: C G shape at fret 5, F C shape at fret 5, G D shape at fret 5, Am E shape at fret 5", ds[0].Msg)
	assert.Equal(t, line, places(out))

	// The same music a region further up: the roots lie on string 6 fret 8,
	// string 5 fret 8, string 5 fret 10 under the little finger, string 4
	// fret 7.
	out, ds = Refinger(s, RefingerOptions{FollowChords: true, Scheme: fretboard.Within{Scheme: fretboard.ChordShape{}, Frets: &fretboard.Window{From: 7, To: 12}}})
	assert.Contains(t, ds[0].Msg, "C E shape at fret 8, F A shape at fret 8, G C shape at fret 7, Am D shape at fret 7")
	for n := range score.Notes(out) {
		assert.GreaterOrEqual(t, n.Place.Fret, 5)
	}
}

// Each region asked for holds the whole progression, whatever the key.
func TestWholeProgressionsStayInARegion(t *testing.T) {
	neck := fretboard.Guitar()
	for fifths := -6; fifths <= 6; fifths++ {
		key := theory.KeyOf(fifths, theory.Major)
		for low := 2; low <= 10; low += 4 {
			s := lick(t, neck, "3.5 3.7 2.5 2.6 | 3.5 3.7 2.5 2.6 | 3.5 3.7 2.5 2.6 | 3.5 3.7 2.5 2.6")
			for i, roman := range []string{"ii7", "V7", "Imaj7", "vi7"} {
				c, err := key.ParseRoman(roman)
				require.NoError(t, err)
				m := s.Parts[0].Measures[i]
				m.Events = append([]score.Event{&score.Harmony{Chord: c}}, m.Events...)
				// The line is the chord itself, in the register of the window.
				k := 0
				for ch := range m.Chords() {
					ch.Notes[0].Pitch = inRegister(c.Tones()[k%len(c.Tones())], neck.Stopped(fretboard.Place{String: 3, Fret: low}))
					ch.Notes[0].Place = fretboard.Place{}
					k++
				}
			}
			opt := RefingerOptions{FollowChords: true, Scheme: fretboard.Within{Scheme: fretboard.ChordShape{}, Frets: &fretboard.Window{From: low, To: low + 4}}}
			out, ds := Refinger(s, opt)
			require.Zero(t, ds.Count(score.NotDone), "%v", ds)
			outside := 0
			for n := range score.Notes(out) {
				if n.Place.Fret < low || n.Place.Fret > low+4 {
					outside++
				}
			}
			// A window of five frets holds every sound of two octaves and more
			// (common practice: one finger per fret and a stretch); the sixteen
			// notes lie in one.
			assert.Zero(t, outside, "%s, frets %d to %d: %s %v", key, low, low+4, places(out), ds)
		}
	}
}

// inRegister returns the pitch of a name nearest to a key number from above.
func inRegister(n theory.NoteName, midi int) theory.Pitch {
	p := theory.Pitch{NoteName: n, Octave: 1}
	for p.MIDI() < midi {
		p.Octave++
	}
	return p
}

// Chords that are played keep their notes; the shape only says where.
func TestChordsThatArePlayedAreFollowedToo(t *testing.T) {
	neck := fretboard.Guitar()
	// C, F and G as barré chords in the E shape, frets 8, 1 and 3 (common
	// practice): each is its own shape.
	grips := "6.8+5.10+4.10+3.9+2.8+1.8 - - - | 6.1+5.3+4.3+3.2+2.1+1.1 - - - | 6.3+5.5+4.5+3.4+2.3+1.3 - - -"
	s := withChords(t, lick(t, neck, grips), "C", "F", "G")
	e, err := fretboard.ParseShape(neck.Tuning, "E")
	require.NoError(t, err)
	out, ds := Refinger(s, RefingerOptions{FollowChords: true, Scheme: fretboard.ChordShape{Shapes: []fretboard.Shape{e}}})
	assert.Equal(t, grips, places(out))
	assert.Equal(t, sounds(s), sounds(out))
	assert.Equal(t, "shapes: C E shape at fret 8, F E shape at fret 1, G E shape at fret 3", ds[0].Msg)
	assert.Zero(t, ds.Count(score.Warning), "%v", ds)

	// With octaves allowed the same chords are voiced in one region: every
	// tone stays that tone, and each lies in its shape.
	folded, ds := Refinger(s, RefingerOptions{FollowChords: true, Fold: true, Scheme: fretboard.Within{Scheme: fretboard.ChordShape{}, Frets: &fretboard.Window{From: 7, To: 11}}})
	require.Zero(t, ds.Count(score.NotDone), "%v", ds)
	var before, after []*score.Note
	for n := range score.Notes(s) {
		before = append(before, n)
	}
	for n := range score.Notes(folded) {
		after = append(after, n)
	}
	require.Len(t, after, len(before))
	for i := range after {
		assert.Equal(t, before[i].Pitch.NoteName, after[i].Pitch.NoteName)
	}
	assert.Empty(t, checkFingering(folded, folded, ds))
}

// N.C. and symbols without a shape leave the hand where it is.
func TestNoChordLeavesTheHandWhereItIs(t *testing.T) {
	s := withChords(t, lick(t, fretboard.Guitar(), "5.7 4.5 3.5 2.5 | 4.7 3.5 2.6 1.5 | 5.7 4.5 3.5 2.5"), "C", "N.C.", "C")
	_, ds := Refinger(s, RefingerOptions{FollowChords: true})
	require.NotEmpty(t, ds)
	assert.Equal(t, "shapes: C G shape at fret 5", ds[0].Msg)
}
