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

// A tempo is said as a metronome is set: in dotted quarters where these are the
// beat. Source: common practice; 87 quarter notes last as long as 58 of three
// halves, 87 = 58 · 3/2.
func TestTempoIsSaidInBeats(t *testing.T) {
	for _, tt := range []struct {
		beats string
		unit  int
		qpm   float64
		want  string
	}{
		{"", 0, 96, "96 quarter notes a minute"},
		{"4", 4, 96, "96 quarter notes a minute"},
		{"3", 8, 90, "90 quarter notes a minute"},
		{"6", 8, 87, "58 dotted quarter notes a minute"},
		{"12", 8, 100, "66.67 dotted quarter notes a minute"},
		{"9", 16, 60, "80 dotted eighth notes a minute"},
		{"4", 4, 0, ""},
	} {
		m := &score.Measure{Events: []score.Event{&score.Tempo{QuartersPerMinute: tt.qpm}}}
		if tt.unit > 0 {
			m.Events = append([]score.Event{&score.TimeSignature{Beats: []string{tt.beats}, BeatTypes: []int{tt.unit}}}, m.Events...)
		}
		s := &score.Score{Parts: []*score.Part{{Measures: []*score.Measure{m}}}}
		assert.Equal(t, tt.want, firstTempo(s), tt.beats)
		said := ""
		for _, f := range factsOf(s) {
			if f.Name == tempoFact {
				said = f.Value
			}
		}
		assert.Equal(t, tt.want, said)
		if tt.want != "" {
			assert.Contains(t, stepsOf(Sheet{Sections: []Section{{Score: s}}})[0], "up to "+tt.want+".")
		}
	}
}
