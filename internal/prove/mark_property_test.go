package prove

import (
	"fmt"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// generated makes a phrase of single notes in quarters and eighths, no two
// neighbours of one pitch, on a guitar.
func generated(r *rand.Rand, bars int) *score.Score {
	p := &score.Part{ID: "P1", Staves: 1}
	last := 0
	for i := range bars {
		m := &score.Measure{Number: fmt.Sprint(i + 1), Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
		if i == 0 {
			m.Events = append(m.Events, &score.NeckChange{Neck: fretboard.Guitar()})
		}
		for at := score.Q(0, 1); at.Less(m.Length); {
			long := score.Q(int64(1+r.Intn(2)), 2)
			if rest := m.Length.Sub(at); rest.Less(long) {
				long = rest
			}
			var place fretboard.Place
			for {
				place = fretboard.Place{String: 1 + r.Intn(4), Fret: 5 + r.Intn(4)}
				if key, _ := stopped(fretboard.Guitar(), place); key != last {
					last = key
					break
				}
			}
			m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: long, Voice: 1, Notes: []*score.Note{noteAtPlace(place)}})
			at = at.Add(long)
		}
		p.Measures = append(p.Measures, m)
	}
	return &score.Score{Parts: []*score.Part{p}}
}

func noteAtPlace(p fretboard.Place) *score.Note {
	key, _ := stopped(fretboard.Guitar(), p)
	return &score.Note{Place: p, Pitch: theory.SpellIn(theory.Key{}, key)}
}

// A phrase is all right against itself; with one mistake of a known kind it
// gets one remark of that kind, in that bar.
func TestMarkOneRemarkForOneMistake(t *testing.T) {
	for seed := range 400 {
		r := rand.New(rand.NewSource(int64(seed)))
		task := generated(r, 2+r.Intn(5))
		rep, err := Mark(Task{Score: task}, task)
		require.NoError(t, err)
		require.Zero(t, rep.Faults(), "seed %d: %s", seed, rep.Text())
		require.Equal(t, rep.Notes, rep.InPlace)

		student := task.Clone()
		bar := r.Intn(len(student.Parts[0].Measures))
		m := student.Parts[0].Measures[bar]
		var chords []*score.Chord
		for c := range m.Chords() {
			chords = append(chords, c)
		}
		k := r.Intn(len(chords))
		c := chords[k]
		want := WrongNote
		switch r.Intn(4) {
		case 0: // a semitone off, which no neighbour has
			c.Notes[0] = noteAtPlace(fretboard.Place{String: 6, Fret: 1})
			if d := sounds(c.Notes[0].Pitch) - sounds(task.Parts[0].Measures[bar].Events[len(m.Events)-len(chords)+k].(*score.Chord).Notes[0].Pitch); d%12 == 0 {
				want = WrongOctave
			}
		case 1:
			c.Notes, want = nil, MissingNote
		case 2: // the same sound on the next lower string
			p := c.Notes[0].Place
			key, _ := stopped(fretboard.Guitar(), p)
			for fret := range 20 {
				if on, _ := stopped(fretboard.Guitar(), fretboard.Place{String: p.String + 1, Fret: fret}); on == key {
					c.Notes[0] = noteAtPlace(fretboard.Place{String: p.String + 1, Fret: fret})
				}
			}
			want = OutOfReach
		case 3:
			c.Notes = append(c.Notes, noteAtPlace(fretboard.Place{String: 6, Fret: 3}))
			want = ExtraNote
		}
		rep, err = Mark(Task{Score: task}, student)
		require.NoError(t, err)
		var got []Remark
		for _, b := range rep.Bars {
			if len(b.Remarks) > 0 {
				assert.Equal(t, fmt.Sprint(bar+1), b.Bar, "seed %d", seed)
			}
			got = append(got, b.Remarks...)
		}
		require.Len(t, got, 1, "seed %d: %s", seed, rep.Text())
		assert.Equal(t, want, got[0].Kind, "seed %d: %s", seed, rep.Text())
	}
}
