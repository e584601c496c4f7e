package prove

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// ringing9 is an invented bar whose last note rings from the second half of
// beat 2 to the end: 5/2 quarter notes, which no single note value is.
const ringing9 = `Key: B minor
Time: 4/4

e|-------------------|
B|-7---9-9-----------|
G|-------------------|
D|-------------------|
A|-------------------|
E|-------------------|
   1 & 2 & 3   4
`

// inNotation writes music as MusicXML and reads it again.
func inNotation(t *testing.T, s *score.Score) *score.Score {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
	d, err := musicxml.Read(&b, "x.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	return d.Score()
}

// A length that no note value is has to be written as tied notes, which are
// one note that is struck once and held. Source: MusicXML 4.0,
// element tie, which says of a note's sound that a tie begins or ends with it;
// Gardner Read, Music Notation, on ties (both from memory).
func TestTiedNotesAreOneStroke(t *testing.T) {
	tab := readTab(t, ringing9)
	xml := inNotation(t, tab)
	written := 0
	for range score.Notes(xml) {
		written++
	}
	require.Greater(t, written, 3, "notation needs a tie here")
	zero, one := 0, 1
	for _, pair := range [][2]*score.Score{{tab, xml}, {xml, tab}, {xml, xml}} {
		require.Len(t, strokes(pair[0].Parts[0]), 3)
		assert.Empty(t, Claim{Moved: pair[0], Semitones: &zero, Exact: true}.Check(pair[1]))
		assert.NotEmpty(t, Claim{Moved: pair[0], Semitones: &one}.Check(pair[1]))
		assert.Empty(t, Sound(pair[1]))
		r, err := Mark(Task{Score: pair[0]}, pair[1])
		require.NoError(t, err)
		assert.Zero(t, r.Faults(), r.Text())
		assert.Equal(t, 3, r.Right)
	}

	// A fault of a held note is one fault in both.
	for _, s := range [...]*score.Score{tab, xml} {
		assert.Equal(t, 3, Struck(s))
		assert.Equal(t, []Kind{NotScale, NotScale}, kinds(Claim{Scale: "B natural minor"}.Check(s)), "G# twice")
		assert.Equal(t, []Kind{OutOfPos, OutOfPos}, kinds(Claim{Frets: &[2]int{5, 8}}.Check(s)))
	}

	// Struck again it is another note, and held for less another rhythm.
	again := xml.Clone()
	for n := range score.Notes(again) {
		n.TieStart, n.TieStop = false, false
	}
	faults := Claim{Moved: tab}.Check(again)
	require.Len(t, faults, 1)
	assert.Equal(t, "notes are struck 4 times, and in what it is made of 3 times", faults[0].String())
	short := xml.Clone()
	var last *score.Chord
	for c := range short.Parts[0].Measures[0].Chords() {
		last = c
	}
	require.True(t, last.Notes[0].TieStop)
	last.Duration = last.Duration.Sub(score.Q(1, 1))
	faults = Claim{Moved: tab}.Check(short)
	require.Len(t, faults, 1)
	assert.Contains(t, faults[0].Msg, "another rhythm than in bar 1, beat 2+1/2")
}

// Of a chord some notes may be held while others are struck again; each lasts
// for itself. Source: common practice.
func TestTiesOfChordsAreNoteByNote(t *testing.T) {
	chord := func(onset int64, notes ...*score.Note) *score.Chord {
		c := &score.Chord{Duration: score.Q(1, 1), Notes: notes}
		c.Onset = score.Q(onset, 1)
		return c
	}
	note := func(step theory.Step, start, stop bool) *score.Note {
		return &score.Note{Pitch: theory.P(step, 0, 4), TieStart: start, TieStop: stop}
	}
	m := &score.Measure{Length: score.Q(3, 1), Events: []score.Event{
		chord(0, note(theory.C, true, false), note(theory.E, true, false)),
		chord(1, note(theory.E, true, true), note(theory.C, false, true), note(theory.G, false, false)),
		chord(2, note(theory.E, false, true)),
	}}
	p := &score.Part{Measures: []*score.Measure{m}}
	got := strokes(p)
	require.Len(t, got, 2)
	assert.Equal(t, []lasting{{60, score.Q(2, 1)}, {64, score.Q(3, 1)}}, got[0].lengths(0, true))
	assert.Equal(t, []lasting{{67, score.Q(1, 1)}}, got[1].lengths(0, true))
	assert.Empty(t, techniques(&score.Score{Parts: []*score.Part{p}}, p), "ties need no strings")
}

// An artificial harmonic sounds above its stopped fret what the natural one
// sounds above the open string. Source: the partials of a string; the second,
// third and fourth lie 12, 19 and 24 semitones above it (common practice).
func TestHarmonicsAreHeard(t *testing.T) {
	for _, tt := range []struct {
		fret, touch int
		over        int // as it was read
		kind        score.HarmonicKind
		above       int // the open string
		known       bool
	}{
		{12, 0, 0, score.NaturalHarmonic, 12, true},
		{7, 0, 0, score.NaturalHarmonic, 19, true},
		{10, 22, 0, score.ArtificialHarmonic, 22, true},
		{3, 10, 0, score.ArtificialHarmonic, 22, true},
		{2, 7, 0, score.TappedHarmonic, 26, true},
		{2, 8, 0, score.TappedHarmonic, 0, false}, // no node
		{5, 0, 0, score.ArtificialHarmonic, 0, false},
		{5, 0, 0, score.PinchHarmonic, 0, false},
		{5, 0, 12, score.PinchHarmonic, 17, true},
		{5, 0, 19, score.ArtificialHarmonic, 24, true},
		{5, 0, 13, score.ArtificialHarmonic, 0, false},
	} {
		n := &score.Note{Techniques: []score.Technique{score.Harmonic{Kind: tt.kind, Over: tt.over, Touch: tt.touch}}}
		n.Place = fretboard.Place{String: 4, Fret: tt.fret}
		n.Pitch = theory.P(theory.D, tt.fret, 3) // sounds what the place gives: D3 is 50
		key, known := heard(n)
		assert.Equal(t, tt.known, known, tt)
		if known {
			assert.Equal(t, 50+tt.above, key, tt)
		}
	}
}
