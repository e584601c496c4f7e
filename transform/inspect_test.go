package transform

import (
	"encoding/json"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func inspectOne(t testing.TB, s *score.Score, opt InspectOptions) PartInspection {
	t.Helper()
	in := Inspect(s, opt)
	require.Len(t, in.Parts, 1)
	return in.Parts[0]
}

// withSymbols puts chord symbols over a lick of quarter notes, one to an
// onset in the first bar.
func withSymbols(t testing.TB, s *score.Score, symbols map[int64]string) *score.Score {
	t.Helper()
	for at, symbol := range symbols {
		m := s.Parts[0].Measures[at/4]
		m.Events = append(m.Events, &score.Harmony{Common: score.Common{Onset: score.Q(at%4, 1)}, Chord: chordOf(t, symbol)})
		m.SortEvents()
	}
	return s
}

// Degrees, scales and range of a scale that everybody knows.
// Source: common practice; E phrygian is 1 b2 b3 4 5 b6 b7.
func TestInspectTones(t *testing.T) {
	s := melody(t, "E phrygian", "E4 F4 G4 A4 B4 C5 D5 E5")
	p := inspectOne(t, s, InspectOptions{})
	assert.Equal(t, "E phrygian", p.Key.String())
	assert.Equal(t, "score", p.KeyFrom)
	var degrees []string
	for _, d := range p.Degrees {
		degrees = append(degrees, d.Degree.String())
	}
	assert.Equal(t, []string{"1", "b2", "b3", "4", "5", "b6", "b7"}, degrees)
	assert.Equal(t, 2, p.Degrees[0].Count)
	assert.Equal(t, "phrygian", p.Scales[0].Scale.Name())
	assert.Empty(t, p.Scales[0].Extra)
	assert.Equal(t, 12, p.Range.Semitones)
	assert.Equal(t, "E4", p.Range.Lowest.String())
	assert.Nil(t, p.Neck)
	assert.Nil(t, p.Strong, "no chord symbols")
	set := theory.SetOf(theory.NoteName{Step: theory.E}, theory.NoteName{Step: theory.F}, theory.NoteName{Step: theory.G}, theory.NoteName{Step: theory.A},
		theory.NoteName{Step: theory.B}, theory.NoteName{Step: theory.C}, theory.NoteName{Step: theory.D})
	for _, list := range [][]HoldingScale{p.Scales, p.Elsewhere} {
		for _, h := range list {
			assert.True(t, h.Scale.Set().Transpose(h.Tonic.Class()).Holds(set), "%v %v holds all notes", h.Tonic, h.Scale.Name())
		}
	}
}

// A signature without a mode leaves major or minor open; nothing at all leaves
// the key open. What was guessed is called so, and shares of belief are no
// more than one.
func TestInspectSaysWhatIsGuessed(t *testing.T) {
	s := melody(t, "C", "A4 C5 E5 A4 B4 G#4 A4 A4")
	p := inspectOne(t, s, InspectOptions{})
	assert.Equal(t, "signature", p.KeyFrom)
	assert.Equal(t, "A minor", p.Key.String())
	p = inspectOne(t, melody(t, "", "A4 C5 E5 A4 B4 G#4 A4 A4"), InspectOptions{})
	assert.Equal(t, "notes", p.KeyFrom)
	total := 0.0
	for _, g := range p.KeyGuesses {
		total += g.Confidence
	}
	assert.LessOrEqual(t, total, 1.001)
	for _, c := range p.Chords {
		assert.LessOrEqual(t, c.Confidence, 1.0)
	}
	p = inspectOne(t, melody(t, "", "C4 D4 C4 D4"), InspectOptions{})
	assert.Empty(t, p.Chords, "two notes outline nothing")
	p = inspectOne(t, melody(t, "C", ""), InspectOptions{})
	assert.Nil(t, p.Key)
	assert.Nil(t, p.Range)
}

// In four quarters the first and the third are strong; a bent note counts by
// its target. Source: common practice on metric accent.
func TestInspectChordTonesAndGuideTones(t *testing.T) {
	// C4 D4 E4 G4 over C: strong are C and E. F4 A4 bent to B4, C5 A4 over G7:
	// F strong and a guide tone; B by the bend; C5 strong and no chord tone.
	s := withSymbols(t, lick(t, fretboard.Guitar(), "2.1 2.3 2.5 2.8 | 2.6 2.10b 1.8 1.5"), map[int64]string{0: "Cmaj7", 4: "G7"})
	p := inspectOne(t, s, InspectOptions{})
	require.NotNil(t, p.Strong)
	assert.Equal(t, StrongBeats{Notes: 4, ChordTones: 3, Share: .75, AllNotes: 8, AllTones: 5}, *p.Strong)
	require.Len(t, p.GuideTones, 2)
	e, b, f := theory.NoteName{Step: theory.E}, theory.NoteName{Step: theory.B}, theory.NoteName{Step: theory.F}
	assert.Equal(t, []theory.NoteName{e}, p.GuideTones[0].Hit)
	assert.Equal(t, []theory.NoteName{b}, p.GuideTones[0].Missed)
	assert.False(t, p.GuideTones[0].OnChange)
	assert.Equal(t, []theory.NoteName{b, f}, p.GuideTones[1].Hit)
	assert.Empty(t, p.GuideTones[1].Missed)
	assert.True(t, p.GuideTones[1].OnChange)
	assert.Equal(t, Moment{"2", "1"}, p.GuideTones[1].Moment)
}

// Strict picking from a downstroke: rising, an even number of notes on a
// string makes the change inside, an odd number outside and inside by turns;
// swept, an odd number makes every change a sweep. Source: common practice,
// computed from the way of the pick.
func TestInspectPicking(t *testing.T) {
	two := lick(t, fretboard.Guitar(), "6.5 6.8 5.5 5.7 4.5 4.7")
	p := inspectOne(t, two, InspectOptions{})
	assert.Equal(t, Picking{Policy: "strict", Inside: 2}, p.Neck.Picking)
	three := lick(t, fretboard.Guitar(), "6.5 6.7 6.8 5.5 5.7 5.8 4.5")
	p = inspectOne(t, three, InspectOptions{})
	assert.Equal(t, Picking{Policy: "strict", Inside: 1, Outside: 1}, p.Neck.Picking)
	p = inspectOne(t, three, InspectOptions{Policy: fretboard.Swept})
	assert.Equal(t, Picking{Policy: "swept", Sweeps: 2}, p.Neck.Picking)
	// A hammer-on is no stroke: down on the first, up on the next string.
	legato := lick(t, fretboard.Guitar(), "6.5h 6.8 5.5")
	p = inspectOne(t, legato, InspectOptions{})
	assert.Equal(t, 1, p.Neck.Picking.Outside)
}

// One position needs no shift; a leap does. Millimetres by the formula of the
// frets: L(1 - 2^(-n/12)), frets 5 to 8 of 648 mm are 77 mm apart.
func TestInspectPositions(t *testing.T) {
	box := lick(t, fretboard.Guitar(), "6.5 6.8 5.5 5.7 4.5 4.7 3.5 3.7 2.5 2.8 1.5 1.8")
	p := inspectOne(t, box, InspectOptions{})
	require.Len(t, p.Neck.Positions, 1)
	assert.Equal(t, 5, p.Neck.Positions[0].Index)
	assert.Equal(t, 5, p.Neck.Positions[0].Low)
	assert.Equal(t, 8, p.Neck.Positions[0].High)
	assert.Empty(t, p.Neck.Shifts)
	require.NotNil(t, p.Neck.Widest)
	assert.InDelta(t, 77.2, p.Neck.Widest.Millimetres, .2)
	assert.False(t, p.Neck.Widest.Caution)
	assert.Empty(t, p.Neck.Unplayable)

	leap := lick(t, fretboard.Guitar(), "6.1 6.3 - 1.15 1.17")
	p = inspectOne(t, leap, InspectOptions{})
	require.Len(t, p.Neck.Positions, 2)
	require.Len(t, p.Neck.Shifts, 1)
	assert.Equal(t, "rest", p.Neck.Shifts[0].With)

	held := lick(t, fretboard.Guitar(), "6.1+1.5")
	p = inspectOne(t, held, InspectOptions{})
	require.NotNil(t, p.Neck.Widest)
	assert.InDelta(t, 126.2, p.Neck.Widest.Millimetres, .1)
	assert.True(t, p.Neck.Widest.Together)
	assert.True(t, p.Neck.Widest.Caution, "a sheet says the usual words")

	wide := lick(t, fretboard.Guitar(), "6.1+1.12")
	p = inspectOne(t, wide, InspectOptions{})
	assert.NotEmpty(t, p.Neck.Unplayable, "no hand holds frets 1 and 12")

	twice := lick(t, fretboard.Guitar(), "2.5 1.0 1.3 2.8")
	p = inspectOne(t, twice, InspectOptions{})
	require.Len(t, p.Neck.Repeated, 2) // E4 at 2.5 and open, G4 at 1.3 and 2.8
	assert.Equal(t, "E4", p.Neck.Repeated[0].Pitch)
}

// The bar with more to do is the harder one.
func TestInspectHardestBars(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.5 3.5 3.5 3.5 | 6.1 1.12 6.1 1.12 | 3.5 - - -")
	p := inspectOne(t, s, InspectOptions{})
	require.NotEmpty(t, p.Neck.Hardest)
	assert.Equal(t, "2", p.Neck.Hardest[0])
}

// Whatever the music, nothing panics, the score stays as it is, and the JSON
// can be written and read.
func TestInspectGeneratedMusic(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 11))
		s := generated(r, 4)
		before := s.Clone()
		in := Inspect(s, InspectOptions{Policy: fretboard.StrokePolicy(r.IntN(3))})
		require.Equal(t, before, s)
		require.Len(t, in.Parts, 2)
		data, err := json.Marshal(in)
		require.NoError(t, err, "seed %d", seed)
		var back map[string]any
		require.NoError(t, json.Unmarshal(data, &back))
		for _, p := range in.Parts {
			if p.Strong != nil {
				assert.LessOrEqual(t, p.Strong.ChordTones, p.Strong.Notes)
				assert.LessOrEqual(t, p.Strong.Notes, p.Strong.AllNotes)
			}
			if p.Neck != nil {
				assert.Len(t, p.Neck.Shifts, max(0, len(p.Neck.Positions)-1))
				assert.Len(t, p.Neck.Demands, p.Bars)
			}
		}
	}
}

// Degrees and roots are named as players count and lead sheets write them.
// Source: common practice.
func TestInspectNamesDegreesAndRootsAsPlayersDo(t *testing.T) {
	for from, want := range map[theory.Degree]string{
		{Number: 1, Alter: -1}: "7", {Number: 4, Alter: -1}: "3", {Number: 3, Alter: 1}: "4", {Number: 7, Alter: 1}: "1", {Number: 3, Alter: -2}: "2", {Number: 4, Alter: 2}: "5",
		{Number: 2, Alter: -1}: "b2", {Number: 4, Alter: 1}: "#4", {Number: 5, Alter: 1}: "#5", {Number: 6, Alter: -1}: "b6",
	} {
		assert.Equal(t, want, usualDegree(from).String(), from.String())
	}
	for _, tt := range [][3]string{{"F##", "C# major", "G"}, {"B#", "F# minor", "C"}, {"E#", "C# major", "E#"}, {"Bbb", "Db major", "A"}, {"Cb", "Gb major", "Cb"}, {"Cb", "C major", "B"}, {"Gb", "C major", "Gb"}} {
		n, err := theory.ParseNoteName(tt[0])
		require.NoError(t, err)
		k, _, err := theory.ParseKey(tt[1])
		require.NoError(t, err)
		assert.Equal(t, tt[2], usualRoot(n, &k).String(), "%s in %s", tt[0], tt[1])
	}
}
