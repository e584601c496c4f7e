package handout

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// Between which frets music lies is said once: by the words over its first
// bar, which know the way to the next position from the position, or else by
// its notes.
func TestFretsAreSaidOnce(t *testing.T) {
	m := &score.Measure{Events: []score.Event{
		&score.Chord{Notes: []*score.Note{{Place: fretboard.Place{String: 6, Fret: 0}}, {Place: fretboard.Place{String: 1, Fret: 5}}}},
	}}
	s := &score.Score{Parts: []*score.Part{{Measures: []*score.Measure{m}}}}
	assert.Equal(t, []fact{{fretsFact, "0 to 5"}}, factsOf(s))
	m.Events = append(m.Events, &score.Words{Kind: "words", Text: "Open position, frets 0 to 4.\nNotes of E major: E F# G# A B C# D#."})
	assert.Empty(t, factsOf(s))
}
