package fretboard_test

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Source: position V covers frets 5 to 8 with a stretch of one fret either
// side (common practice).
func TestFixedPosition(t *testing.T) {
	set := tones(t, "C major")
	r := regions(t, fretboard.Position{Fret: 5}, fretboard.Guitar(), set)[0]
	assert.Equal(t, "position V", r.Name)
	for fret := range 23 {
		mm, ok := r.Fit(fretboard.Place{String: 3, Fret: fret})
		assert.Equal(t, 4 <= fret && fret <= 9, ok, fret)
		assert.Equal(t, fret == 4 || fret == 9, mm > 0, fret)
	}
	// Sounds that lie under the hand and in the stretch are taken under it.
	assert.Equal(t, "5 7 8 | 5 7 8 | 5 7 9 | 5 7 | 5 6 8 | 5 7 8", laid(regions(t, fretboard.Position{Fret: 5}, fretboard.Guitar(), set)[0].Lay(set)))
	first := regions(t, fretboard.Position{Fret: 1}, fretboard.Guitar(), set)[0]
	assert.Equal(t, "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3 5", laid(first.Lay(set)))
	for _, fret := range []int{0, -1, 23} {
		_, err := fretboard.Position{Fret: fret}.Regions(fretboard.Guitar(), set)
		assert.Error(t, err)
	}
}

// Source: the open position of the C major scale (common practice).
func TestOpenPosition(t *testing.T) {
	set := tones(t, "C major")
	l := regions(t, fretboard.Open{}, fretboard.Guitar(), set)[0].Lay(set)
	assert.Equal(t, "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3", laid(l))
}

func TestWindowStringsAndBoth(t *testing.T) {
	set := tones(t, "C major")
	n := fretboard.Guitar()
	l := regions(t, fretboard.Window{From: 5, To: 9}, n, set)[0].Lay(set)
	assert.Equal(t, "5 7 8 | 5 7 8 | 5 7 9 | 5 7 | 5 6 8 | 5 7 8", laid(l))
	one := regions(t, fretboard.Strings{2}, n, set)[0]
	assert.Equal(t, "string 2", one.Name)
	assert.Equal(t, " |  |  |  | 0 1 3 5 6 8 10 12 13 15 17 18 20 22 | ", laid(one.Lay(set)))
	top := fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: fretboard.Strings{1, 2, 3}, Frets: &fretboard.Window{From: 7, To: 10}}
	rs := regions(t, top, n, set)
	assert.Equal(t, " |  |  | 7 9 10 | 8 10 | 7 8 10", laid(rs[slices.IndexFunc(rs, func(r fretboard.Region) bool { return r.Name == "E shape" })].Lay(set)))
	assert.Equal(t, "chord shapes, strings 1 to 3, frets 7 to 10", top.String())
	assert.Equal(t, "strings 1, 3 to 5", fretboard.Strings{3, 4, 5, 1}.String())
	for _, bad := range []fretboard.Scheme{
		fretboard.Window{From: -1, To: 3}, fretboard.Window{From: 5, To: 4}, fretboard.Window{From: 5, To: 23}, fretboard.Strings{}, fretboard.Strings{7}, fretboard.Strings{0},
		fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: fretboard.Strings{8}}, fretboard.Within{Scheme: fretboard.Position{Fret: 2}, Frets: &fretboard.Window{From: 12, To: 15}},
		fretboard.ChordShape{Shapes: []fretboard.Shape{{String: 7}}},
	} {
		_, err := bad.Regions(n, set)
		assert.Error(t, err, "%v", bad)
	}
}

func TestParseStringsAndWindow(t *testing.T) {
	for text, want := range map[string]fretboard.Strings{"1-3": {1, 2, 3}, "2": {2}, "3-1": {1, 2, 3}, "1,3, 5": {1, 3, 5}, "1-3,2": {1, 2, 3}} {
		got, err := fretboard.ParseStrings(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got)
	}
	for _, bad := range []string{"", "0", "a", "1-", "1-13", "1,,2", "-1"} {
		_, err := fretboard.ParseStrings(bad)
		var pe *theory.ParseError
		assert.True(t, errors.As(err, &pe), bad)
	}
	w, err := fretboard.ParseWindow("9–5")
	require.NoError(t, err)
	assert.Equal(t, fretboard.Window{From: 5, To: 9}, w)
	for _, bad := range []string{"", "x", "5-", "5-99"} {
		_, err := fretboard.ParseWindow(bad)
		assert.Error(t, err, bad)
	}
}

// Roman numerals of positions (common practice).
func TestRomanPositions(t *testing.T) {
	for fret, want := range map[int]string{0: "open", 1: "I", 4: "IV", 5: "V", 9: "IX", 12: "XII", 14: "XIV", 19: "XIX", 24: "XXIV", 36: "XXXVI"} {
		assert.Equal(t, want, fretboard.Roman(fret))
	}
}

// Whatever the tuning, key, scale and scheme: what is laid out lies on the
// neck and in the region, sounds what it says, is a note of the scale, rises,
// sounds nothing twice unless marked, and takes each sound where it fits best.
func TestLayoutsOfEveryTuning(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	all := theory.Scales()
	for _, p := range fretboard.Presets() {
		for range 12 {
			tonic := theory.NameAtFifths(r.IntN(12) - 5)
			set := fretboard.ScaleTones(tonic, all[r.IntN(len(all))])
			if r.IntN(3) == 0 { // any of the sets, of one note and up
				set = fretboard.ScaleTones(tonic, theory.ScaleOfSet(theory.PitchSet(r.IntN(1<<12))))
			}
			n := fretboard.Neck{Tuning: p.Tuning, Frets: 12 + r.IntN(13), Capo: r.IntN(4)}
			str := 1 + r.IntN(p.Tuning.Len())
			from := r.IntN(n.TopFret())
			schemes := []fretboard.Scheme{
				fretboard.ChordShape{}, fretboard.PerString{Notes: []int{1 + r.IntN(4)}}, fretboard.PerString{Notes: []int{2, 3}, Hold: true},
				fretboard.Position{Fret: 1 + r.IntN(9)}, fretboard.Window{From: from, To: from + r.IntN(n.TopFret()-from+1)}, fretboard.Strings{str}, fretboard.Open{},
			}
			for _, scheme := range schemes {
				regions, err := scheme.Regions(n, set)
				if err != nil {
					assert.NotEmpty(t, err.Error())
					continue
				}
				for _, region := range regions {
					checkLayout(t, region.Lay(set), scheme)
				}
			}
		}
	}
}

func checkLayout(t *testing.T, l fretboard.Layout, scheme fretboard.Scheme) {
	t.Helper()
	n, set := l.Region.Neck, l.Tones
	last := 0
	_, pattern := scheme.(fretboard.PerString)
	for i, s := range l.Spots {
		require.True(t, n.Has(s.Place))
		require.Equal(t, n.Stopped(s.Place), s.Pitch.MIDI())
		require.True(t, slices.ContainsFunc(set.Tones, func(o fretboard.Tone) bool { return o.Name == s.Pitch.NoteName && o.Degree == s.Degree }))
		_, belongs := l.Region.Fit(s.Place)
		require.True(t, belongs, "%s: %v", l.Region.Name, s.Place)
		if i > 0 && !s.Repeated {
			require.Greater(t, s.Pitch.MIDI(), last, "%s on %s", scheme, n.Tuning)
		}
		last = max(last, s.Pitch.MIDI())
	}
	if pattern || len(l.Spots) == 0 {
		return
	}
	// By brute force: each sound of the scale that has a place is there, once,
	// and no place of it fits better.
	best := map[int]float64{}
	for str := 1; str <= n.Tuning.Len(); str++ {
		for fret := 0; fret <= n.TopFret(); fret++ {
			p := fretboard.Place{String: str, Fret: fret}
			midi := n.Tuning.Open(str).MIDI() + n.Capo + fret
			mm, ok := l.Region.Fit(p)
			if !ok || !set.Set().Has(midi) {
				continue
			}
			if was, seen := best[midi]; !seen || mm < was {
				best[midi] = mm
			}
		}
	}
	require.Len(t, l.Spots, len(best))
	for _, s := range l.Spots {
		require.Equal(t, best[s.Pitch.MIDI()], s.Reach)
	}
}

// A voicing has one place on a string, needs four fingers at most, and lies
// in its region.
func TestVoicingsAreChords(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	qualities := theory.ChordQualities()
	for _, p := range fretboard.Presets() {
		for range 4 {
			c := qualities[r.IntN(len(qualities))]
			c.Root = theory.NameAtFifths(r.IntN(12) - 5)
			set := fretboard.ChordTones(c)
			if len(set.Tones) == 0 {
				continue
			}
			n := fretboard.Neck{Tuning: p.Tuning, Frets: 15}
			for _, scheme := range []fretboard.Scheme{fretboard.ChordShape{}, fretboard.Strings{1, 2, 3}} {
				for _, region := range regions(t, scheme, n, set) {
					for _, v := range region.Voicings(set) {
						require.LessOrEqual(t, v.Fingers, 4)
						require.GreaterOrEqual(t, len(v.Spots), 2)
						for i, s := range v.Spots {
							require.True(t, set.Set().Has(s.Pitch.MIDI()))
							_, ok := region.Fit(s.Place)
							require.True(t, ok)
							require.True(t, i == 0 || s.Place.String < v.Spots[i-1].Place.String)
						}
						missing := set.Set()
						for _, s := range v.Spots {
							missing &^= theory.PitchSet(0).With(s.Pitch.Class())
						}
						require.Equal(t, missing.Len(), len(v.Missing), "%s: %s", c, v)
					}
				}
			}
		}
	}
}

// Source: the inversions of the C major triad on strings 1 to 3 (common
// practice): 5 5 3, 9 8 8, 12 13 12.
func TestTriadInversionsOnAStringSet(t *testing.T) {
	set := chordTones(t, "C")
	var got []string
	for _, v := range regions(t, fretboard.Strings{1, 2, 3}, fretboard.Guitar(), set)[0].Voicings(set) {
		got = append(got, strings.TrimPrefix(v.String(), "x x x "))
	}
	assert.Equal(t, []string{"0 1 0", "5 5 3", "9 8 8", "12 13 12", "17 17 15", "21 20 20"}, got)
}

// Source: cautions of the trade: frets 1 to 5 measure 126 mm, 5 to 9 100 mm
// (computed from the scale length).
func TestStretch(t *testing.T) {
	n := fretboard.Guitar()
	set := tones(t, "F major")
	d := theory.Degree{Number: 1}
	l := regions(t, fretboard.PerString{Notes: []int{3}, Degree: d}, n, set)[0].Lay(set)
	mm, from, to := l.Stretch(fretboard.ScaleLength)
	assert.InDelta(t, 126, mm, 0.6)
	assert.Equal(t, 1, from.Fret)
	assert.Equal(t, 5, to.Fret)
	assert.Greater(t, mm, fretboard.ComfortableSpan)
	assert.Less(t, n.Reach(5, 9, fretboard.ScaleLength), fretboard.ComfortableSpan)
}

// A scheme of one's own needs two methods.
type oddFrets struct{}

func (oddFrets) String() string { return "odd frets" }

func (oddFrets) Regions(n fretboard.Neck, _ fretboard.ToneSet) ([]fretboard.Region, error) {
	return []fretboard.Region{fretboard.NewRegion("odd frets", n, -1, func(p fretboard.Place) (float64, bool) { return 0, p.Fret%2 == 1 })}, nil
}

func TestSchemesAreOpen(t *testing.T) {
	set := tones(t, "C major")
	w := fretboard.Within{Scheme: oddFrets{}, Strings: fretboard.Strings{6}, Frets: &fretboard.Window{From: 0, To: 9}}
	assert.Equal(t, "1 3 5 7 |  |  |  |  | ", laid(regions(t, w, fretboard.Guitar(), set)[0].Lay(set)))
}

func BenchmarkFiveShapes(b *testing.B) {
	set := tones(b, "C major")
	n := fretboard.Guitar()
	notes := 0
	b.ReportAllocs()
	for b.Loop() {
		rs, err := fretboard.ChordShape{}.Regions(n, set)
		if err != nil {
			b.Fatal(err)
		}
		for _, r := range rs {
			notes += len(r.Lay(set).Spots)
		}
	}
	b.ReportMetric(float64(notes)/b.Elapsed().Seconds(), "notes/s")
}

func BenchmarkVoicings(b *testing.B) {
	set := chordTones(b, "C13")
	r := regions(b, fretboard.ChordShape{}, fretboard.Guitar(), set)[1]
	b.ReportAllocs()
	for b.Loop() {
		r.Voicings(set)
	}
}
