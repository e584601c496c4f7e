package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A bend that is easy where it was and hard where it comes to lie is named;
// one that was as hard before, or is still easy, is not (common practice: low
// frets and wound strings bend less far).
func TestBendsThatBecomeHard(t *testing.T) {
	for _, tt := range []struct {
		name, lick string
		from, to   int // frets of the window
		semitones  int64
		says       string // "" for nothing
	}{
		{"whole tone at the nut", "3.8", 1, 4, 2, "bar 1, beat 1: a whole tone is more than is easy to bend on string 2 at fret 4 (1 bend of the kind in all)"},
		{"semitone there", "3.8", 1, 4, 1, ""},
		{"on a wound string", "4.7", 9, 12, 2, "bar 1, beat 1: a whole tone is more than is easy to bend on string 5 at fret 12"},
		{"on the thinnest wound one", "3.5", 9, 12, 2, ""},
		{"higher up", "3.8", 5, 8, 2, ""},
		{"as hard before", "3.2", 1, 4, 2, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := lick(t, fretboard.Guitar(), tt.lick)
			for n := range score.Notes(s) {
				n.Techniques = append(n.Techniques, score.Bend{Amount: score.Q(tt.semitones, 1)})
			}
			out, ds := Refinger(s, RefingerOptions{Scheme: fretboard.Window{From: tt.from, To: tt.to}})
			if tt.says == "" {
				assert.Zero(t, count(ds, CodeRefingerBend), "%s: %v", places(out), ds)
				return
			}
			require.Equal(t, 1, count(ds, CodeRefingerBend), "%s: %v", places(out), ds)
			for _, d := range ds {
				if d.Code == CodeRefingerBend {
					assert.Contains(t, d.Msg, tt.says)
					assert.NotEmpty(t, d.Hint)
				}
			}
		})
	}
}
