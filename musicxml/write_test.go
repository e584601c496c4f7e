package musicxml_test

import (
	"bytes"
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// randomScore makes a score of what MusicXML holds: any metre and neck,
// tuplets, ties, chords, two voices, techniques, repeats, keys.
func randomScore(r *rand.Rand) *score.Score {
	s := &score.Score{Title: "Étude <no. 1> & more", Composer: "nobody"}
	for i := range 1 + r.IntN(2) {
		s.Parts = append(s.Parts, randomPart(r, i))
	}
	return s
}

func pick[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

func randomPart(r *rand.Rand, i int) *score.Part {
	p := &score.Part{ID: fmt.Sprintf("P%d", i+1), Name: "Player", Staves: 1}
	presets := fretboard.Presets()
	neck := fretboard.Neck{Tuning: presets[r.IntN(len(presets))].Tuning, Capo: r.IntN(4), Frets: 22}
	fretted := r.IntN(3) > 0
	meter := pick(r, [2]int{4, 4}, [2]int{3, 4}, [2]int{6, 8}, [2]int{5, 8}, [2]int{12, 8}, [2]int{2, 2})
	length := score.Q(int64(4*meter[0]), int64(meter[1]))
	tuplet, span := 0, 0
	var open *score.Note // of a hammer-on or the like
	for n := range 3 {
		m := &score.Measure{Number: fmt.Sprint(n + 1), Length: length, Nominal: length}
		if n == 0 {
			m.Events = append(m.Events,
				&score.KeySignature{Key: theory.KeyOf(r.IntN(15)-7, pick(r, theory.Major, theory.Minor, theory.Dorian)), ModeSaid: true},
				&score.TimeSignature{Beats: []string{fmt.Sprint(meter[0])}, BeatTypes: []int{meter[1]}, Length: length},
			)
			if fretted {
				m.Events = append(m.Events, &score.NeckChange{Common: score.Common{Staff: 1}, Neck: neck})
			}
			m.Events = append(m.Events, &score.Tempo{QuartersPerMinute: float64(60 + r.IntN(100))})
		}
		if r.IntN(3) == 0 {
			m.Events = append(m.Events, &score.Barline{Repeat: score.Forward, Style: "heavy-light"})
		}
		for v := range 1 + r.IntN(2) {
			open = nil
			at := score.Quarters{}
			for at.Less(length) {
				left := length.Sub(at)
				unit := pick(r, score.Q(1, 1), score.Q(1, 2), score.Q(1, 4), score.Q(3, 2), score.Q(1, 3))
				count := 1
				var ts []score.Tuplet
				if unit == score.Q(1, 3) {
					tuplet++
					count, ts = 3, []score.Tuplet{{ID: tuplet, Actual: 3, Normal: 2}}
					if left.Less(score.Q(1, 1)) {
						unit, count, ts = score.Q(1, 2), 1, nil
					}
				}
				if left.Less(unit) { // a value that needs no tying together
					for unit = score.Q(1, 1); left.Less(unit); {
						unit = unit.Mul(score.Q(1, 2))
					}
				}
				for range count {
					c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: unit, Voice: v + 1, Tuplets: ts}
					if r.IntN(5) > 0 {
						randomNotes(r, c, fretted, neck)
						if open != nil && len(c.Notes) > 0 && r.IntN(2) == 0 {
							span++
							kind := pick(r, score.HammerOn, score.PullOff, score.LegatoSlide, score.ShiftSlide, score.Slur, score.Glissando)
							open.Techniques = append(open.Techniques, score.Span{Kind: kind, ID: span, End: score.Start})
							c.Notes[0].Techniques = append(c.Notes[0].Techniques, score.Span{Kind: kind, ID: span, End: score.Stop})
						}
					}
					open = nil
					if len(c.Notes) > 0 {
						open = c.Notes[0]
					}
					m.Events = append(m.Events, c)
					at = at.Add(unit)
				}
			}
		}
		if r.IntN(2) == 0 {
			c, err := theory.ParseChord(pick(r, "Am7", "F#m7b5/C", "Bb13(#11)", "E7alt", "N.C.", "Csus4", "G6/9"))
			if err != nil {
				panic(err)
			}
			m.Events = append(m.Events, &score.Harmony{Common: score.Common{Onset: score.Q(int64(r.IntN(2)), 2)}, Chord: c})
		}
		m.SortEvents()
		p.Measures = append(p.Measures, m)
	}
	return p
}

func randomNotes(r *rand.Rand, c *score.Chord, fretted bool, neck fretboard.Neck) {
	strings := r.Perm(neck.Tuning.Len())
	for i := range pick(r, 1, 1, 1, 2, 3) {
		n := &score.Note{}
		if fretted {
			n.Place = fretboard.Place{String: strings[i] + 1, Fret: r.IntN(neck.TopFret())}
			n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
		} else {
			n.Pitch = theory.P(theory.Step(r.IntN(7)), r.IntN(5)-2, 3+r.IntN(3))
		}
		switch r.IntN(6) {
		case 0:
			n.Techniques = append(n.Techniques, pick[score.Technique](r, score.Accent, score.Staccato, score.Dead, score.Vibrato,
				score.PalmMuted, score.Tap, score.Slap, score.DownStroke, score.Ghost, score.SlideEdge{In: true, Below: true}, score.Fermata))
		case 1:
			n.Techniques = append(n.Techniques, pick[score.Technique](r, score.Bend{Amount: score.Q(2, 1)}, score.Bend{Amount: score.Q(1, 2)},
				score.Bend{Amount: score.Q(2, 1), Release: true}, score.Bend{Amount: score.Q(1, 1), PreBend: true}))
		case 2:
			n.Finger = score.Index
		}
		if n.Has(score.Dead) && !fretted {
			n.Techniques = nil
		}
		c.Notes = append(c.Notes, n)
	}
}

// comparable brings a score into a form in which order and numbering that
// mean nothing are the same.
func comparable(s *score.Score) *score.Score {
	c := music(s)
	ids := map[[2]int]int{}
	for _, p := range c.Parts {
		clear(ids)
		for _, m := range p.Measures {
			var kept []score.Event
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Clef, *score.PageTranspose:
					continue
				case *score.Harmony:
					e.Staff = 0
				case *score.Barline:
					e.Style = ""
				case *score.Chord:
					e.Value = score.NoteValue{}
					for i := range e.Tuplets {
						e.Tuplets[i].ID = renumbered(ids, 0, e.Tuplets[i].ID)
					}
					for _, n := range e.Notes {
						for i, t := range n.Techniques {
							if sp, ok := t.(score.Span); ok {
								sp.ID = renumbered(ids, 1, sp.ID)
								n.Techniques[i] = sp
							}
						}
						slices.SortFunc(n.Techniques, func(a, b score.Technique) int {
							return cmp.Compare(fmt.Sprintf("%T%v", a, a), fmt.Sprintf("%T%v", b, b))
						})
						if len(n.Techniques) == 0 {
							n.Techniques = nil
						}
					}
					if len(e.Tuplets) == 0 {
						e.Tuplets = nil
					}
				}
				kept = append(kept, e)
			}
			slices.SortStableFunc(kept, func(a, b score.Event) int {
				return cmp.Or(a.At().Cmp(b.At()), cmp.Compare(kind(a), kind(b)))
			})
			m.Events = kept
		}
	}
	return c
}

func kind(e score.Event) string {
	if c, ok := e.(*score.Chord); ok {
		return fmt.Sprintf("%T%d", e, c.Voice)
	}
	return fmt.Sprintf("%T", e)
}

func renumbered(ids map[[2]int]int, what, id int) int {
	k := [2]int{what, id}
	if _, ok := ids[k]; !ok {
		ids[k] = len(ids)
	}
	return ids[k]
}

// TestWriteRead writes random scores and reads them back: it is the same
// music, and the schema of MusicXML 4.0 accepts every file (xmllint).
func TestWriteRead(t *testing.T) {
	dir := t.TempDir()
	var files []string
	for seed := range uint64(200) {
		s := randomScore(rand.New(rand.NewPCG(seed, 1)))
		var b bytes.Buffer
		require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { t.Errorf("seed %d: %v", seed, d) }}))
		files = append(files, filepath.Join(dir, fmt.Sprintf("%d.musicxml", seed)))
		require.NoError(t, os.WriteFile(files[seed], b.Bytes(), 0o600))
		d, err := musicxml.Read(bytes.NewReader(b.Bytes()), "written", score.ReadOptions{})
		require.NoError(t, err)
		if !assert.Equal(t, comparable(s), comparable(d.Score()), "seed %d", seed) {
			t.Log(b.String())
			return
		}
	}
	outside.Program(t, "xmllint")
	valid := validate(t, files)
	for i, f := range files {
		assert.True(t, valid[f], "seed %d is not valid", i)
	}
}
