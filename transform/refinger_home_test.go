package transform

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func tonesOf(t testing.TB, scale string) fretboard.ToneSet {
	t.Helper()
	tonic, ok, s, err := theory.ParseScale(scale)
	require.NoError(t, err)
	require.True(t, ok)
	return fretboard.ScaleTones(tonic, s)
}

// someScheme draws one of each kind.
func someScheme(r *rand.Rand, n fretboard.Neck) fretboard.Scheme {
	low := 1 + r.IntN(n.TopFret())
	switch r.IntN(7) {
	case 0:
		return fretboard.ChordShape{}
	case 1:
		return fretboard.PerString{Notes: []int{1 + r.IntN(3)}}
	case 2:
		return fretboard.Position{Fret: low}
	case 3:
		return fretboard.Window{From: max(0, low-r.IntN(5)), To: low}
	case 4:
		return fretboard.Strings{1 + r.IntN(n.Tuning.Len())}
	case 5:
		return fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: fretboard.Strings{1, 2, 3}}
	}
	return fretboard.Open{}
}

// neckOfScore returns the first neck of a score.
func neckOfScore(s *score.Score) fretboard.Neck {
	for n := range score.Preorder(s) {
		if c, ok := n.(*score.NeckChange); ok {
			return c.Neck
		}
	}
	return fretboard.Neck{}
}

// Whatever the scheme, the tuning and the music: what sounds stays as it is,
// and the result is legal.
func TestRefingerInSchemesKeepsSoundAndIsLegal(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 62))
	kinds := map[string]int{}
	for i := range 90 {
		s := generated(r, 2)
		opt := RefingerOptions{Scheme: someScheme(r, neckOfScore(s)), FollowChords: i%3 == 0, Fingers: true}
		before := s.Clone()
		out, ds := Refinger(s, opt)
		require.Equal(t, before, s, "the input is not changed")
		require.Empty(t, checkFingering(s, out, ds), "score %d, %v: %v", i, opt.Scheme, ds)
		for _, d := range ds {
			kinds[d.Code]++
		}
		again, _ := Refinger(s, opt)
		require.Equal(t, places(out), places(again), "the result does not depend on chance")
	}
	for _, code := range []string{CodeRefingerScheme, CodeRefingerSpill, CodeRefingerRegion, CodeRefingerFollow} {
		assert.Positive(t, kinds[code], code)
	}
}

// Notes that are not named lie in the window, on the strings, under the hand
// that was asked for. The check is by frets and strings alone.
func TestNotesLieInTheSchemeOrAreNamed(t *testing.T) {
	r := rand.New(rand.NewPCG(63, 64))
	for i := range 60 {
		s := generated(r, 2)
		s.Parts = s.Parts[:1]
		neck := neckOfScore(s)
		low := 1 + r.IntN(max(1, neck.TopFret()-4))
		str := 1 + r.IntN(neck.Tuning.Len()-1)
		cases := []struct {
			scheme fretboard.Scheme
			in     func(fretboard.Place) bool
		}{
			{fretboard.Window{From: low, To: low + 4}, func(p fretboard.Place) bool { return low <= p.Fret && p.Fret <= low+4 }},
			{fretboard.Strings{str, str + 1}, func(p fretboard.Place) bool { return p.String == str || p.String == str+1 }},
			{fretboard.Position{Fret: low + 1}, func(p fretboard.Place) bool { return low <= p.Fret && p.Fret <= low+5 || low == 0 && p.Fret == 0 }},
		}
		c := cases[i%len(cases)]
		if w, ok := c.scheme.(fretboard.Window); ok && w.To > neck.TopFret() {
			continue
		}
		out, ds := Refinger(s, RefingerOptions{Scheme: c.scheme})
		outside := 0
		for n := range score.Notes(out) {
			if !n.Place.IsZero() && !n.TieStop && !(n.Has(score.Dead) && n.Place.Fret == 0) && !c.in(n.Place) {
				outside++
			}
		}
		named := 0
		for _, d := range ds {
			switch d.Code {
			case CodeRefingerScheme:
				named++
			case CodeRefingerSpill:
				named += 100 // it names several
			}
		}
		if outside > 0 {
			assert.Positive(t, named, "%v", c.scheme)
		} else {
			assert.Zero(t, named, "%v: %v", c.scheme, ds)
		}
	}
}

// The five positions of the C major scale. Source: the table of the trade (C
// major in each shape, string 6 to string 1, common practice); the notes are
// the seven of the scale from its root on the string that the shape says.
func TestRefingerInEachShape(t *testing.T) {
	neck := fretboard.Guitar()
	for _, tt := range []struct{ shape, from, want string }{
		{"E", "6.8 6.10 6.12 6.13 6.15 6.17 6.19 5.15", "6.8 6.10 5.7 5.8 5.10 4.7 4.9 4.10"},
		{"A", "6.8 6.10 6.12 6.13 6.15 6.17 6.19 5.15", "5.3 5.5 4.2 4.3 4.5 3.2 3.4 3.5"},
		{"D", "5.15 5.17 5.19 5.20 5.22 4.19 4.21 4.22", "4.10 4.12 3.9 3.10 3.12 2.10 2.12 2.13"},
		{"C", "4.10 3.7 3.9 3.10 3.12 2.10 2.12 2.13", "5.15 4.12 4.14 4.15 3.12 3.14 2.12 2.13"},
		{"G", "6.8 5.5 5.7 5.8 5.10 4.7 4.9 4.10", "6.8 5.5 5.7 5.8 4.5 4.7 3.4 3.5"},
	} {
		shape, err := fretboard.ParseShape(neck.Tuning, tt.shape)
		require.NoError(t, err)
		opt := RefingerOptions{Scheme: fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}, Tones: tonesOf(t, "C major")}
		out, ds := Refinger(lick(t, neck, tt.from), opt)
		assert.Equal(t, tt.want, places(out), "%s: %v", tt.shape, ds)
		assert.Zero(t, ds.Count(score.Warning), "%v", ds)
	}
}

// Three notes per string from the second degree: the pattern of the trade has
// C major from D on string 6 at 10 12 13, 10 12 14, 10 12 14 … (the dorian
// pattern; computed from the scale, common practice).
func TestRefingerInAPatternOfThreePerString(t *testing.T) {
	opt := RefingerOptions{Scheme: fretboard.PerString{Notes: []int{3}, Degree: theory.Degree{Number: 2}}, Tones: tonesOf(t, "C major")}
	out, ds := Refinger(lick(t, fretboard.Guitar(), "6.10 6.12 5.8 5.10 5.12 4.9 4.10 4.12 3.9"), opt)
	assert.Equal(t, "6.10 6.12 6.13 5.10 5.12 5.14 4.10 4.12 4.14", places(out), "%v", ds)
}

// A phrase that is wider than a hand goes on in the position beside it, and
// its notes are named; a note by itself goes to the nearest place.
func TestWidePhrasesGoOnInTheRegionBeside(t *testing.T) {
	neck := fretboard.Guitar()
	s := lick(t, neck, "6.5 6.7 6.8 5.5 | 1.5 1.7 1.8 1.10 | 1.12 1.13 1.12 1.10")
	_, ds := Refinger(s, RefingerOptions{Scheme: fretboard.Position{Fret: 5}})
	require.Equal(t, []string{CodeRefingerSpill}, codes(ds))
	assert.Equal(t, "bars 2 to 3: 5 notes (D5 E5 F5 E5 D5) lie beyond position V, in position IX (frets 8 to 13)", ds[0].Msg)
	_, ds = Refinger(lick(t, neck, "6.5 6.7 6.8 5.5 6.0 6.5"), RefingerOptions{Scheme: fretboard.Within{Scheme: fretboard.Position{Fret: 5}, Strings: fretboard.Strings{4, 5, 6}}})
	require.NotEmpty(t, ds)
	assert.Contains(t, ds[len(ds)-1].Msg, "bar 1, beat 5: ")
}

// A scheme that cannot be had is said, and the notes are fingered freely.
func TestSchemesThatCannotBeHad(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.5 3.7")
	_, ds := Refinger(s, RefingerOptions{Scheme: fretboard.ChordShape{}})
	require.Equal(t, []string{CodeRefingerScheme}, codes(ds))
	assert.Equal(t, score.NotDone, ds[0].Severity)
	assert.Contains(t, ds[0].Msg, "neither a scale nor a key is known")
	_, ds = Refinger(s, RefingerOptions{FollowChords: true})
	require.Equal(t, []string{CodeRefingerFollow}, codes(ds))
	assert.Contains(t, ds[0].Msg, "no chord symbols")
}

// What a hint says can be played is playable.
func TestNearestAlternativesArePlayable(t *testing.T) {
	neck := fretboard.Guitar()
	// Six notes that no hand reaches: frets 1 to 9 at once (common practice).
	for _, in := range []string{"6.1+5.2+4.9+3.9+2.10+1.12", "6.0+6.3", "6.1+5.2+1.12"} {
		s := lick(t, neck, in)
		out, ds := Refinger(s, RefingerOptions{})
		require.Positive(t, ds.Count(score.NotDone), in)
		chord := out.Parts[0].Measures[0].Events[2].(*score.Chord)
		for _, d := range ds {
			if d.Code != CodeRefingerNoPlace {
				continue
			}
			assert.Contains(t, d.Msg, "bar 1, beat 1: ")
			var words string
			var str, fret int
			hint := d.Hint[len("the rest of the chord is played; "):]
			for _, way := range []string{"an octave up", "an octave down", "2 octaves up", "2 octaves down"} {
				if k, _ := fmt.Sscanf(hint, way+" the note lies in reach, on string %d, fret %d", &str, &fret); k == 2 {
					words = way
				}
			}
			if words == "" {
				continue
			}
			p := fretboard.Place{String: str, Fret: fret}
			alone := true
			for _, n := range chord.Notes {
				alone = alone && n.Place.String != p.String
				if mm := apart(&neck, n, &score.Note{Place: p}); !n.Place.IsZero() {
					assert.LessOrEqual(t, mm, 126.3, "%s: %s", in, d.Hint)
				}
			}
			assert.True(t, alone, "%s: %s", in, d.Hint)
		}
	}
}
