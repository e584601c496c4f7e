package fretboard_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Source: three notes per string (common practice): a seven-note scale has
// seven patterns, each of 18 notes on six strings, rising, no sound twice, the
// pattern from a degree being the mode from that degree.
func TestThreeNotesPerString(t *testing.T) {
	for _, scale := range []string{"major", "dorian", "melodic minor", "harmonic minor", "harmonic major"} {
		for _, key := range keys() {
			set := tones(t, key+" "+scale)
			rs := fretboard.Once(regions(t, fretboard.PerString{Notes: []int{3}}, fretboard.Guitar(), set))
			require.Len(t, rs, 7)
			starts := map[theory.Degree]bool{}
			for _, r := range rs {
				l := r.Lay(set)
				require.Len(t, l.Spots, 18)
				assert.Empty(t, l.Missing)
				for i, s := range l.Spots {
					assert.Equal(t, 6-i/3, s.Place.String)
					assert.False(t, s.Repeated)
					if i > 0 {
						assert.Greater(t, s.Pitch.MIDI(), l.Spots[i-1].Pitch.MIDI())
					}
				}
				starts[l.Spots[0].Degree] = true
			}
			assert.Len(t, starts, 7)
		}
	}
	// The pattern of C major from 2 against D is D dorian.
	set := tones(t, "C major")
	d, err := theory.ParseDegree("2")
	require.NoError(t, err)
	r := regions(t, fretboard.PerString{Notes: []int{3}, Degree: d}, fretboard.Guitar(), set)[0]
	home, _ := theory.ParseNoteName("D")
	var degrees []string
	for _, s := range r.Lay(set.Against(home)).Spots[:7] {
		degrees = append(degrees, s.Degree.String())
	}
	assert.Equal(t, "1 2 b3 4 5 6 b7", strings.Join(degrees, " "))
	assert.Equal(t, "10 12 13 | 10 12 14 | 10 12 14 | 10 12 14 | 12 13 15 | 12 13 15", laid(r.Lay(set)), "frets of the dorian pattern as method books print it (common practice)")
}

// Source: holding the position, D at string 3 fret 7 and then D at string 2
// fret 3 (common practice: the pair of strings 3–2 is the narrower one).
func TestHoldingThePosition(t *testing.T) {
	set := tones(t, "C major")
	d, _ := theory.ParseDegree("5")
	r := regions(t, fretboard.PerString{Notes: []int{3}, Degree: d, Hold: true}, fretboard.Guitar(), set)[0]
	l := r.Lay(set)
	assert.Equal(t, "3 5 7 | 3 5 7 | 3 5 7 | 4 5 7 | 3 5 6 | 3 5 7", laid(l))
	var twice []string
	for i, s := range l.Spots {
		if s.Repeated {
			twice = append(twice, s.Pitch.String())
			assert.Equal(t, fretboard.Place{String: 2, Fret: 3}, s.Place)
			assert.Equal(t, fretboard.Place{String: 3, Fret: 7}, l.Spots[i-1].Place)
		}
	}
	assert.Equal(t, []string{"D4"}, twice)
	assert.Equal(t, []string{"sounds twice, to hold the position: D4 (string 2)"}, r.Remarks)
	_, frets := l.Drift(fretboard.ScaleLength)
	assert.Zero(t, frets)
	// Every repeated sound is marked, in all keys; nothing else repeats.
	for _, key := range keys() {
		set := tones(t, key+" major")
		for _, r := range regions(t, fretboard.PerString{Notes: []int{3}, Hold: true}, fretboard.Guitar(), set) {
			marked := 0
			for i, s := range r.Lay(set).Spots {
				again := false
				for _, o := range r.Lay(set).Spots[:i] {
					again = again || o.Pitch == s.Pitch
				}
				assert.Equal(t, again, s.Repeated)
				if again {
					marked++
				}
			}
			assert.Equal(t, 1, marked)
		}
	}
}

// Source: the five patterns of the minor pentatonic with two on each string;
// the first of A minor is 5 8 | 5 7 | 5 7 | 5 7 | 5 8 | 5 8 (common practice).
func TestTwoPerStringIsThePentatonicPatterns(t *testing.T) {
	set := tones(t, "A minor pentatonic")
	n := fretboard.Guitar()
	rs := fretboard.Once(regions(t, fretboard.PerString{Notes: []int{2}}, n, set))
	require.Len(t, rs, 5)
	all := map[string]bool{}
	for _, r := range regions(t, fretboard.PerString{Notes: []int{2}}, n, set) {
		all[laid(r.Lay(set))] = true
	}
	assert.True(t, all["5 8 | 5 7 | 5 7 | 5 7 | 5 8 | 5 8"])
	// They are the five shapes, away from the nut.
	for _, r := range regions(t, fretboard.ChordShape{}, n, set) {
		if r.Index > 0 {
			assert.True(t, all[laid(r.Lay(set))], "%s at %d", r.Name, r.Index)
		}
	}
}

// Sweep shapes: the triad with one or two on a string. The rows are frets of
// A minor counted by hand.
func TestArpeggiosPerString(t *testing.T) {
	set := chordTones(t, "Am")
	n := fretboard.Guitar()
	root := theory.Degree{Number: 1}
	r := regions(t, fretboard.PerString{Notes: []int{1}, Degree: root}, n, set)[0]
	assert.Equal(t, "5 | 3 | 2 | 2 | 1 | 0", laid(r.Lay(set)))
	r = regions(t, fretboard.PerString{Notes: []int{2, 1}, Degree: root}, n, set)[0]
	assert.Equal(t, "5 8 | 7 | 7 10 | 9 | 10 13 | 12", laid(r.Lay(set)))
	// A pattern of the scale holds its arpeggios.
	scale := tones(t, "A aeolian")
	for _, r := range regions(t, fretboard.PerString{Notes: []int{3}}, n, scale) {
		whole := r.Lay(scale).Places()
		arp := r.Lay(set)
		assert.NotEmpty(t, arp.Spots)
		for _, p := range arp.Places() {
			assert.Contains(t, whole, p)
		}
	}
}

// Source: every pattern of three per string holds all the triads and seventh
// chords of its scale (common practice).
func TestPatternsHoldTheChordsOfTheScale(t *testing.T) {
	tonic, _, major, err := theory.ParseScale("G major")
	require.NoError(t, err)
	set := fretboard.ScaleTones(tonic, major)
	for _, r := range regions(t, fretboard.PerString{Notes: []int{3}}, fretboard.Guitar(), set) {
		for size := 3; size <= 4; size++ {
			for _, c := range major.Harmonise(tonic, size) {
				chord := fretboard.ChordTones(c.Chord)
				var has theory.PitchSet
				for _, s := range r.Lay(chord).Spots {
					has = has.With(s.Pitch.Class())
				}
				assert.Equal(t, chord.Set(), has)
				assert.Empty(t, r.Lay(chord).Missing, "%s in %s", c.Chord, r.Name)
			}
		}
	}
}

// On other tunings the hand drifts, and that is measured; a re-entrant tuning
// runs from its lowest string. Rows by pencil from the open strings.
func TestPatternsOfOtherTunings(t *testing.T) {
	root := theory.Degree{Number: 1}
	three := fretboard.PerString{Notes: []int{3}, Degree: root}
	// Ukulele: C4 E4 G4 A4 are strings 3 2 4 1.
	uke := neckOf(t, "ukulele")
	uke.Frets = 15
	set := tones(t, "C major")
	l := regions(t, three, uke, set)[0].Lay(set)
	assert.Equal(t, "3.0 3.2 3.4 2.1 2.3 2.5 4.4 4.5 4.7 1.7 1.8 1.10", frets(l.Places()))
	mm, fr := l.Drift(330)
	assert.Equal(t, 7, fr)
	assert.InDelta(t, 330*(1-0.66742), mm, 0.1) // 2^(-7/12) = 0.66742
	// Strings in fifths: G3 D4 A4 E5 take the major scale from G with the
	// hand going back.
	mandolin := neckOf(t, "mandolin")
	set = tones(t, "A major")
	l = regions(t, three, mandolin, set)[0].Lay(set)
	assert.Equal(t, "14 16 18 | 12 14 16 | 11 12 14 | 9 10 12", laid(l))
	mm, fr = l.Drift(fretboard.ScaleLength)
	assert.Equal(t, -5, fr)
	assert.Negative(t, mm)
	// Four on a string fill the fifth.
	l = regions(t, fretboard.PerString{Notes: []int{4}, Degree: root}, mandolin, set)[0].Lay(set)
	assert.Equal(t, "2 4 6 7 | 2 4 6 7 | 2 4 5 7 | 2 4 5 7", laid(l))
	// What the neck has nowhere whole is cut off and says where.
	set = chordTones(t, "Bb5")
	r := regions(t, fretboard.PerString{Notes: []int{5}, Degree: root}, fretboard.Guitar(), set)[0]
	require.Len(t, r.Remarks, 1)
	assert.Regexp(t, `^cut off: on string \d it would go on at fret \d+ of 0 to 22$`, r.Remarks[0])
}

func TestPerStringSaysWhatIsWrong(t *testing.T) {
	set := tones(t, "C major")
	n := fretboard.Guitar()
	for _, tt := range []struct {
		p    fretboard.PerString
		want string
	}{
		{fretboard.PerString{}, "how many notes"},
		{fretboard.PerString{Notes: []int{0}}, "1 to 12 notes, not 0"},
		{fretboard.PerString{Notes: []int{13}}, "not 13"},
		{fretboard.PerString{Notes: []int{3}, Degree: theory.Degree{Number: 4, Alter: 1}}, "C major has no degree #4; it has 1 2 3 4 5 6 7"},
	} {
		_, err := tt.p.Regions(n, set)
		assert.ErrorContains(t, err, tt.want)
	}
	_, err := fretboard.PerString{Notes: []int{3}}.Regions(fretboard.Neck{}, set)
	assert.Error(t, err)
	_, err = fretboard.PerString{Notes: []int{3}}.Regions(n, fretboard.ToneSet{})
	assert.ErrorContains(t, err, "no notes")
}
