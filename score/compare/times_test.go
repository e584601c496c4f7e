package compare

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A change of rhythm is told in the words of players: beats, and the names of
// note values. Source of the words: common practice; a dotted quarter is three
// eighths, three triplet eighths are a quarter.
func TestRhythmInWords(t *testing.T) {
	type struck struct {
		letter   theory.Step
		num, den int64
		more     bool // struck with the one before
	}
	// The same letters in both bars: what differs is their time.
	bar := func(notes ...struck) *score.Score {
		m := &score.Measure{Number: "1", Length: score.Q(4, 1), Nominal: score.Q(4, 1), Events: []score.Event{&score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)}}}
		at := score.Quarters{}
		for _, n := range notes {
			note := &score.Note{Pitch: theory.Pitch{NoteName: theory.NoteName{Step: n.letter}, Octave: 4}}
			if n.more {
				last := m.Events[len(m.Events)-1].(*score.Chord)
				last.Notes = append(last.Notes, note)
				continue
			}
			length := score.Q(n.num, n.den)
			m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Voice: 1, Duration: length, Notes: []*score.Note{note}})
			at = at.Add(length)
		}
		if at.Less(m.Length) {
			m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Voice: 1, Duration: m.Length.Sub(at)})
		}
		return &score.Score{Parts: []*score.Part{{ID: "P1", Measures: []*score.Measure{m}}}}
	}
	c, d, e, g := theory.C, theory.D, theory.E, theory.G
	for _, tt := range []struct {
		a, b *score.Score
		want string
	}{
		{
			bar(struck{c, 1, 1, false}, struck{d, 1, 1, false}, struck{e, 2, 1, false}),
			bar(struck{c, 3, 2, false}, struck{d, 1, 2, false}, struck{e, 2, 1, false}),
			"time: beat 1: C4 D4 quarters → beat 1: C4 dotted quarter, D4 eighth",
		},
		{
			bar(struck{c, 1, 2, false}, struck{d, 1, 4, false}, struck{e, 1, 4, false}, struck{g, 3, 1, false}),
			bar(struck{c, 1, 3, false}, struck{d, 1, 3, false}, struck{e, 1, 3, false}, struck{g, 3, 1, false}),
			"time: beat 1: C4 eighth, D4 E4 sixteenths → beat 1: C4 D4 E4 triplet eighths",
		},
		{
			bar(struck{c, 1, 1, false}, struck{e, 1, 1, true}, struck{d, 3, 1, false}),
			bar(struck{c, 5, 2, false}, struck{e, 5, 2, true}, struck{d, 3, 2, false}),
			"time: beat 1: C4+E4 quarter, D4 dotted half → beat 1: C4+E4 half tied to an eighth, D4 dotted quarter",
		},
	} {
		found := Differences(tt.a, tt.b, Options{})
		require.Len(t, found, 1)
		assert.Equal(t, "bar 1, beat 1", found[0].Where())
		assert.Equal(t, tt.want, found[0].What())
	}
}
