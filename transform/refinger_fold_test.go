package transform

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Folding moves by whole octaves and says so; everything else holds as
// without it.
func TestFoldMovesByOctavesAndIsLegal(t *testing.T) {
	r := rand.New(rand.NewPCG(71, 72))
	moved := 0
	for i := range 90 {
		s := generated(r, 2)
		opt := RefingerOptions{Fold: true, FollowChords: i%4 == 0}
		if i%5 > 0 {
			opt.Scheme = someScheme(r, neckOfScore(s))
		}
		out, ds := Refinger(s, opt)
		// The score with the octaves put in is what must be fingered well.
		shifted := s.Clone()
		changed := 0
		for pi, p := range shifted.Parts {
			for mi, m := range p.Measures {
				for ei, e := range m.Events {
					c, ok := e.(*score.Chord)
					if !ok {
						continue
					}
					d := out.Parts[pi].Measures[mi].Events[ei].(*score.Chord)
					for ni, n := range c.Notes {
						by := d.Notes[ni].Sounding() - n.Sounding()
						require.Zero(t, by%12, "score %d: %s became %s", i, n.Pitch, d.Notes[ni].Pitch)
						if by != 0 {
							changed++
							n.Pitch = n.Pitch.Transpose(theory.Octaves(by / 12))
						}
					}
				}
			}
		}
		require.Equal(t, changed > 0, count(ds, CodeRefingerFold) > 0, "score %d: %v", i, ds)
		require.Empty(t, checkFingering(shifted, out, ds), "score %d: %v", i, ds)
		moved += changed
	}
	assert.Positive(t, moved)
}

func TestFoldBringsBackWhatLiesBeyond(t *testing.T) {
	neck := fretboard.Guitar()
	// Below the lowest string: half of the line goes up, a short one keeps its
	// line.
	s := lick(t, neck, "5.2 5.0 5.2 5.3 4.0 4.2 | 6.3 4.3 3.0 3.2 3.4 3.2 3.0")
	s.Parts[0].Measures[1].Events[0].(*score.Chord).Notes[0].Pitch = theory.P(theory.C, 0, 2)
	out, ds := Refinger(s, RefingerOptions{Fold: true})
	require.Equal(t, []string{CodeRefingerFold}, codes(ds))
	assert.Equal(t, "B2 A2 B2 C3 D3 E3 C3 F4 G4 A4 B4 A4 G4", pitches(out))
	assert.Equal(t, "bar 2, beat 1: 7 notes (C3 F4 G4 A4 B4 A4 G4) are folded, now an octave up", ds[0].Msg)
	s = lick(t, neck, "6.0 6.3 5.2")
	s.Parts[0].Measures[0].Events[3].(*score.Chord).Notes[0].Pitch = theory.P(theory.C, 0, 2)
	out, _ = Refinger(s, RefingerOptions{Fold: true})
	assert.Equal(t, "E3 C3 B3", pitches(out))

	// A phrase after a rest moves as a whole, so that its line stays.
	s = lick(t, neck, "3.5 2.5 3.7 3.5 | - - - - | 1.10 1.12 1.15 1.12")
	out, ds = Refinger(s, RefingerOptions{Fold: true, Scheme: fretboard.Position{Fret: 5}})
	assert.Equal(t, "C4 E4 D4 C4 D4 E4 G4 E4", pitches(out))
	require.Equal(t, []string{CodeRefingerFold}, codes(ds))
	assert.Contains(t, ds[0].Msg, "4 notes (D4 E4 G4 E4) are folded into position V, now an octave down")
	for n := range score.Notes(out) {
		assert.True(t, 4 <= n.Place.Fret && n.Place.Fret <= 9, "%v", n.Place)
	}

	// Nothing to fold, nothing said.
	out, ds = Refinger(lick(t, neck, "3.5 2.5 3.7 3.5"), RefingerOptions{Fold: true, Scheme: fretboard.Position{Fret: 5}})
	assert.Empty(t, ds)
	assert.Equal(t, "C4 E4 D4 C4", pitches(out))
}

// A note goes alone only where its phrase fits nowhere else, and that is said;
// else its phrase goes, or half of it, however long it is.
func TestFoldSaysWhereANoteGoesAlone(t *testing.T) {
	neck := fretboard.Guitar()
	s := lick(t, neck, "1.5 1.8 2.5 6.0 2.5 1.5 1.8 2.8")
	out, ds := Refinger(s, RefingerOptions{Fold: true, Scheme: fretboard.Position{Fret: 5}})
	assert.Equal(t, "A4 C5 E4 E3 E4 A4 C5 G4", pitches(out))
	require.Equal(t, []string{CodeRefingerFold}, codes(ds))
	assert.Equal(t, "bar 1, beat 4: E3 is folded into position V, now an octave up; the line leaps there, since the note moved alone: an octave up, 7 of the 7 notes beside it in the phrase would not fit", ds[0].Msg)

	// Forty notes around it have room an octave up: they go with it, by halves.
	var bars []string
	for i := range 10 {
		bar := "6.5 6.8 5.5 5.7"
		if i == 4 {
			bar = "6.5 6.0 5.5 5.7"
		}
		bars = append(bars, bar)
	}
	s = lick(t, neck, strings.Join(bars, " | "))
	out, ds = Refinger(s, RefingerOptions{Fold: true, Scheme: fretboard.Position{Fret: 5}})
	require.Equal(t, []string{CodeRefingerFold}, codes(ds))
	assert.NotContains(t, ds[0].Msg, "alone")
	was, now := strings.Fields(pitches(s)), strings.Fields(pitches(out))
	moved := 0
	for i := range was {
		if was[i] != now[i] {
			moved++
		}
	}
	assert.GreaterOrEqual(t, moved, 16, "%s", pitches(out))
}

// Joined notes move together: a hammer-on across the edge of the region does
// not become a leap of an octave.
func TestFoldKeepsJoinedNotesTogether(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "1.7 1.8h 1.10p 1.8 1.7~ 1.7")
	out, _ := Refinger(s, RefingerOptions{Fold: true, Scheme: fretboard.Position{Fret: 5}})
	var was, now []int
	for n := range score.Notes(s) {
		was = append(was, n.Pitch.MIDI())
	}
	for n := range score.Notes(out) {
		now = append(now, n.Pitch.MIDI())
	}
	for _, pair := range [][2]int{{1, 2}, {2, 3}, {4, 5}} {
		assert.Equal(t, was[pair[1]]-was[pair[0]], now[pair[1]]-now[pair[0]])
	}
	assert.Empty(t, checkJoined(s.Parts[0], out.Parts[0], ptr(fretboard.Guitar())))
}

func ptr[T any](x T) *T { return &x }

// A chord that no hand reaches is voiced anew if octaves may change: as few
// notes as can be, and the bass stays the bass (common practice).
func TestFoldVoicesChordsThatNoHandReaches(t *testing.T) {
	neck := fretboard.Guitar()
	s := lick(t, neck, "6.1+5.2+4.12+3.9+2.10+1.12")
	_, ds := Refinger(s, RefingerOptions{})
	require.Positive(t, ds.Count(score.NotDone))
	out, ds := Refinger(s, RefingerOptions{Fold: true})
	assert.Zero(t, ds.Count(score.NotDone), "%v", ds)
	lowest := func(s *score.Score) theory.NoteName {
		var low *score.Note
		for n := range score.Notes(s) {
			if low == nil || n.Pitch.MIDI() < low.Pitch.MIDI() {
				low = n
			}
		}
		return low.Pitch.NoteName
	}
	assert.Equal(t, lowest(s), lowest(out))
	assert.Empty(t, checkFingering(out, out, ds))
}

// Whatever the music and the options: a legal result that sounds as before,
// but for octaves where they are allowed.
func FuzzRefinger(f *testing.F) {
	for seed := range uint64(12) {
		f.Add(seed, uint8(seed), seed%3 == 0, seed%2 == 0)
	}
	f.Fuzz(func(t *testing.T, seed uint64, bars uint8, follow, fold bool) {
		r := rand.New(rand.NewPCG(seed, 7))
		s := generated(r, 1+int(bars%3))
		opt := RefingerOptions{FollowChords: follow, Fold: fold, Fingers: r.IntN(2) == 0}
		if r.IntN(4) > 0 {
			opt.Scheme = someScheme(r, neckOfScore(s))
		}
		before := s.Clone()
		out, ds := Refinger(s, opt)
		require.Equal(t, before, s)
		if !fold {
			require.Empty(t, checkFingering(s, out, ds), "%v", ds)
			return
		}
		var was, is []int
		for n := range score.Notes(s) {
			was = append(was, n.Sounding())
		}
		for n := range score.Notes(out) {
			is = append(is, n.Sounding())
		}
		require.Len(t, is, len(was))
		for i := range is {
			require.Zero(t, (is[i]-was[i])%12)
		}
	})
}
