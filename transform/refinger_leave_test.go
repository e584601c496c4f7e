package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// What is joined to a note inside of a shape leaves it by two frets, a slide as
// far as it goes; what is plucked, or goes further, is folded (common
// practice).
func TestFoldLetsJoinedNotesLeave(t *testing.T) {
	window := fretboard.Window{From: 5, To: 8}
	for _, tt := range []struct {
		name, lick string
		folded     bool
		says       string
	}{
		{"slide", "1.8s 1.10", false, "D5 lies outside of the frets 5 to 8, reached by the slide: string 1, fret 10"},
		{"long slide", "1.5s 1.17", false, "reached by the slide: string 1, fret 17"},
		{"hammer-on", "1.8h 1.10", false, "reached by the hammer-on: string 1, fret 10"},
		{"pull-off", "1.10p 1.8", false, "reached by the pull-off: string 1, fret 10"},
		{"hammer-on too far", "1.8h 1.11", true, "are folded"},
		{"plucked", "1.8 1.10", true, "folded"},
		{"slide between two outside", "1.10s 1.12", true, "are folded"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := lick(t, fretboard.Guitar(), tt.lick)
			out, ds := Refinger(s, RefingerOptions{Fold: true, Scheme: window})
			assert.Equal(t, tt.folded, count(ds, CodeRefingerFold) > 0, "%v", ds)
			require.NotEmpty(t, ds)
			assert.Contains(t, ds[0].Msg, tt.says)
			assert.Equal(t, tt.folded, pitches(s) != pitches(out))
			if !tt.folded {
				assert.Empty(t, checkFingering(s, out, ds), "%v", ds)
			}
		})
	}
}

// A bend may begin two frets below the shape if it ends in it.
func TestFoldLetsBendsLeave(t *testing.T) {
	topString := fretboard.Within{Scheme: fretboard.Window{From: 5, To: 8}, Strings: fretboard.Strings{1}}
	for semitones, reached := range map[int64]bool{2: true, 1: false} {
		s := lick(t, fretboard.Guitar(), "1.3")
		for n := range score.Notes(s) {
			n.Techniques = append(n.Techniques, score.Bend{Amount: score.Q(semitones, 1)})
		}
		out, ds := Refinger(s, RefingerOptions{Fold: true, Scheme: topString})
		assert.Equal(t, "1.3", places(out))
		require.Len(t, ds, 1)
		assert.Equal(t, reached, ds[0].Msg == "bar 1, beat 1: G4 lies outside of the frets 5 to 8, reached by the bend: string 1, fret 3", "%d: %v", semitones, ds)
	}
}

// Where folding is needed, a whole phrase moves or half of it, from a bar line,
// rather than two notes in the middle of the line (common practice).
func TestFoldMovesPhrasesOrHalves(t *testing.T) {
	window := fretboard.Window{From: 5, To: 8}
	// Two notes of the third bar of four lie above the window; their half of
	// the phrase goes down, and the next phrase stays.
	s := lick(t, fretboard.Guitar(), "3.5 3.7 2.5 2.8 | 2.5 3.7 2.8 1.5 | 1.8 1.10 1.12 1.8 | 1.5 1.8 1.5 1.5 | - - - - | 1.5 1.8 1.5 1.5")
	out, ds := Refinger(s, RefingerOptions{Fold: true, Scheme: window})
	require.Equal(t, []string{CodeRefingerFold}, codes(ds))
	assert.Equal(t, "C4 D4 E4 G4 E4 D4 G4 A4 C4 D4 E4 C4 A3 C4 A3 A3 A4 C5 A4 A4", pitches(out))
	assert.Contains(t, ds[0].Msg, "bars 3 to 4: 8 notes")
	// A short phrase moves as a whole.
	s = lick(t, fretboard.Guitar(), "1.5 1.8 1.10 1.8 | - - - - | 3.5 3.7 2.5 2.8")
	out, ds = Refinger(s, RefingerOptions{Fold: true, Scheme: window})
	require.Equal(t, []string{CodeRefingerFold}, codes(ds))
	assert.Equal(t, "A3 C4 D4 C4 C4 D4 E4 G4", pitches(out))
}
