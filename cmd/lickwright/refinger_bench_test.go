package main

import (
	"bytes"
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// wandering makes a line of eighth notes, or chords of up to four notes, that
// wanders over the neck and does not repeat.
func wandering(notes int, chords bool) *score.Score {
	r := rand.New(rand.NewPCG(91, uint64(notes)))
	neck := fretboard.Guitar()
	p := &score.Part{ID: "P1", Name: "Guitar", Staves: 1}
	place := fretboard.Place{String: 3, Fret: 7}
	for k := 0; k < notes; {
		m := &score.Measure{Number: strconv.Itoa(len(p.Measures) + 1), Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
		if len(p.Measures) == 0 {
			m.Events = append(m.Events, &score.NeckChange{Common: score.Common{Staff: 1}, Neck: neck}, &score.KeySignature{Key: theory.Key{}, ModeSaid: true},
				&score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)})
		}
		for i := range int64(8) {
			c := &score.Chord{Duration: score.Q(1, 2), Voice: 1, Value: score.NoteValue{Log: 3, Known: true}}
			c.Onset, c.Staff = score.Q(i, 2), 1
			place.String = min(max(place.String+r.IntN(3)-1, 1), 5)
			place.Fret = min(max(place.Fret+r.IntN(9)-4, 1), 19)
			at := place
			for range 1 + r.IntN(2)*r.IntN(2)*boolInt(chords) {
				c.Notes = append(c.Notes, &score.Note{Place: at, Pitch: theory.SpellIn(theory.Key{}, neck.Stopped(at))})
				at.String, at.Fret = at.String+1, max(at.Fret+r.IntN(3)-1, 1)
				k++
				if at.String > neck.Tuning.Len() {
					break
				}
			}
			m.Events = append(m.Events, c)
		}
		p.Measures = append(p.Measures, m)
	}
	return &score.Score{Parts: []*score.Part{p}}
}

func boolInt(b bool) int {
	if b {
		return 2
	}
	return 0
}

// Fingering a file anew beside reading and writing it: the ratio is 1 where
// both take the same time. The music does not repeat.
func BenchmarkRefingerBesideReadingAndWriting(b *testing.B) {
	f, err := formatNamed("musicxml")
	require.NoError(b, err)
	for _, chords := range []bool{false, true} {
		for _, scheme := range []fretboard.Scheme{nil, fretboard.Window{From: 5, To: 12}} {
			name := "lines"
			if chords {
				name = "double stops"
			}
			if scheme != nil {
				name += " in a window"
			}
			b.Run(name, func(b *testing.B) {
				const notes = 20000
				var data bytes.Buffer
				require.NoError(b, f.write(&data, wandering(notes, chords), score.WriteOptions{}))
				b.SetBytes(int64(data.Len()))
				b.ReportAllocs()
				var files, fingers time.Duration
				for b.Loop() {
					start := time.Now()
					doc, err := f.read(bytes.NewReader(data.Bytes()), "x.musicxml", score.ReadOptions{})
					require.NoError(b, err)
					read := time.Since(start)
					start = time.Now()
					out, _ := transform.Refinger(doc.Score(), transform.RefingerOptions{Scheme: scheme})
					fingers += time.Since(start)
					require.False(b, out.Parts[0].Measures[3].Events[0].(*score.Chord).Notes[0].Place.IsZero())
					start = time.Now()
					_, err = doc.Edit(out, "musicxml")
					require.NoError(b, err)
					files += read + time.Since(start)
				}
				b.ReportMetric(fingers.Seconds()/files.Seconds(), "of-files")
				b.ReportMetric(float64(notes*b.N)/fingers.Seconds(), "notes/s")
			})
		}
	}
}
