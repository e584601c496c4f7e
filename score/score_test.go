package score_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// every has one event of each kind, all with handles.
func every() *score.Score {
	note := &score.Note{Pitch: theory.P(theory.C, 0, 4), Techniques: []score.Technique{score.Accent}, Annotations: []score.Annotation{{Kind: "degree", Text: "1"}}, Src: 4}
	at := func(h score.Handle) score.Common { return score.Common{Staff: 1, Src: h} }
	m := &score.Measure{Number: "1", Src: 3, Events: []score.Event{
		&score.KeySignature{Common: at(5), Alters: []score.KeyAlter{{Name: theory.NoteName{Step: theory.F, Alter: 1}}}},
		&score.TimeSignature{Common: at(6), Beats: []string{"4"}, BeatTypes: []int{4}},
		&score.Tempo{Common: at(7)}, &score.NeckChange{Common: at(8), Neck: fretboard.Guitar()}, &score.PageTranspose{Common: at(9)}, &score.Clef{Common: at(10)},
		&score.Harmony{Common: at(11)}, &score.Words{Common: at(12)}, &score.Barline{Common: at(13)},
		&score.Chord{Common: at(14), Notes: []*score.Note{note}, Tuplets: []score.Tuplet{{ID: 1, Actual: 3, Normal: 2}}},
	}}
	return &score.Score{Src: 1, Parts: []*score.Part{{ID: "P1", Src: 2, Staves: 1, Measures: []*score.Measure{m}}}}
}

// TestCloneIsDeep: a clone is equal, keeps its handles, and nothing that is
// done to it reaches the original.
func TestCloneIsDeep(t *testing.T) {
	s := every()
	c := s.Clone()
	require.Equal(t, s, c)
	for n := range score.Preorder(c) {
		switch n := n.(type) {
		case *score.Part:
			n.Name = "changed"
		case *score.Measure:
			n.Number = "changed"
		case *score.Note:
			n.Techniques[0] = score.Staccato
			n.Annotations[0].Text = "changed"
		case *score.Chord:
			n.Tuplets[0].ID = 99
		case *score.TimeSignature:
			n.Beats[0], n.BeatTypes[0] = "9", 9
		case *score.KeySignature:
			n.Alters[0].Name.Alter = 9
		case *score.Harmony:
			n.Chord.Quality = "changed"
		}
	}
	assert.Equal(t, every(), s)
}

// TestCopiesHaveNoSource: a handle is unique in a score, so a copy has none.
func TestCopiesHaveNoSource(t *testing.T) {
	for n := range score.Preorder(every().Parts[0].Measures[0].Copy()) {
		switch n := n.(type) {
		case *score.Measure:
			assert.Zero(t, n.Src)
		case *score.Note:
			assert.Zero(t, n.Src)
		case score.Event:
			assert.Zero(t, n.Source(), "%T", n)
		}
	}
	e := score.CopyEvent(&score.Tempo{Common: score.Common{Src: 3}, QuartersPerMinute: 60})
	assert.Equal(t, &score.Tempo{QuartersPerMinute: 60}, e)
}

func TestWalkIsDepthFirst(t *testing.T) {
	var kinds []string
	score.Walk(every(), func(n score.Node) bool {
		kinds = append(kinds, strings.TrimPrefix(fmt.Sprintf("%T", n), "*score."))
		_, isMeasure := n.(*score.Measure)
		return !isMeasure
	})
	assert.Equal(t, []string{"Score", "Part", "Measure"}, kinds)
	kinds = nil
	for n := range score.Preorder(every()) {
		kinds = append(kinds, strings.TrimPrefix(fmt.Sprintf("%T", n), "*score."))
		if len(kinds) == 5 {
			break
		}
	}
	assert.Equal(t, []string{"Score", "Part", "Measure", "KeySignature", "TimeSignature"}, kinds)
	count := 0
	for range score.Notes(every()) {
		count++
	}
	assert.Equal(t, 1, count)
}

func TestEventsSortStably(t *testing.T) {
	grace := &score.Chord{Common: score.Common{Onset: score.Q(1, 1)}, Grace: score.Slashed}
	main := &score.Chord{Common: score.Common{Onset: score.Q(1, 1)}}
	first := &score.Chord{}
	m := &score.Measure{Events: []score.Event{grace, main, first}}
	m.SortEvents()
	assert.Equal(t, []score.Event{first, grace, main}, m.Events)
}

// TestSounding: a bend is heard at its target, a curl of a quarter tone at its
// note, a harmonic at its partial (ARCHITECTURE; common practice).
func TestSounding(t *testing.T) {
	n := func(ts ...score.Technique) *score.Note {
		return &score.Note{Pitch: theory.P(theory.A, 0, 3), Techniques: ts}
	}
	for _, tc := range []struct {
		note *score.Note
		want int
	}{
		{n(), 57}, {n(score.Bend{Amount: score.Q(2, 1)}), 59}, {n(score.Bend{Amount: score.Q(1, 2)}), 57}, {n(score.Bend{Amount: score.Q(3, 2)}), 58},
		{n(score.Bend{Amount: score.Q(-2, 1), WithBar: true}), 55}, {n(score.Harmonic{Kind: score.NaturalHarmonic, Over: 12}), 69}, {n(score.Dead), 57},
	} {
		assert.Equal(t, tc.want, tc.note.Sounding())
	}
}

func TestDiagnostics(t *testing.T) {
	at := func(line int) score.Pos { return score.Pos{File: "a.tab", Offset: line * 10, Line: line, Col: 2} }
	ds := score.Diagnostics{
		{Severity: score.Warning, Msg: "third"}, {Severity: score.Error, Pos: at(7), Msg: "second"}, {Severity: score.Info, Pos: at(3), Msg: "first", Hint: "a hint"},
	}
	assert.Error(t, ds.Err())
	ds.Sort()
	assert.Equal(t, "a.tab:3:2: first\na.tab:7:2: second\nthird", ds.Error())
	assert.NoError(t, ds[:1].Err())
	assert.Equal(t, 1, ds.Count(score.Warning))
	var found score.Diagnostics
	assert.True(t, errors.As(ds.Err(), &found))
	many := make(score.Diagnostics, 13)
	assert.True(t, strings.HasSuffix(many.Error(), "and 3 more"))
	assert.Equal(t, "-", score.Pos{}.String())
	assert.Equal(t, "3:2", score.Pos{Line: 3, Col: 2}.String())
	assert.Equal(t, "x", score.Pos{File: "x"}.String())
	for sev, want := range map[score.Severity]string{score.Info: "info", score.Warning: "warning", score.NotDone: "not done", score.Error: "error"} {
		assert.Equal(t, want, sev.String())
	}
}

type where struct{}

func (where) Locate(h score.Handle) score.Pos { return score.Pos{Line: int(h), Col: 1} }

func TestPosOf(t *testing.T) {
	s := every()
	assert.False(t, s.PosOf(4).IsValid())
	s.Locator = where{}
	assert.Equal(t, score.Pos{Line: 4, Col: 1}, s.PosOf(4))
	assert.False(t, s.PosOf(0).IsValid(), "what was made has no place")
	assert.True(t, s.Parts[0].Fretted())
	assert.Len(t, score.Marks(), len(map[score.Mark]bool(marksOnce())))
}

// marksOnce: no mark is listed twice.
func marksOnce() map[score.Mark]bool {
	seen := map[score.Mark]bool{}
	for _, m := range score.Marks() {
		seen[m] = true
	}
	return seen
}
