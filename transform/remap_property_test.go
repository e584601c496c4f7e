package transform

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// checkMapped says what is wrong with a remapped score. It is written apart
// from the transform, from facts alone: open string + capo + fret is the
// stopped pitch, a bend needs a fretted note, a hammer-on goes up and a pull-off
// down on one string, tied notes are one sound.
func checkMapped(in, out *score.Score, ds score.Diagnostics) (problems []string) {
	bad := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	for pi, p := range out.Parts {
		var neck *fretboard.Neck
		type end struct {
			kind score.SpanKind
			id   int
		}
		type tie struct{ staff, voice, midi int }
		open := map[end]*score.Note{}
		ties := map[tie]bool{}
		for mi, m := range p.Measures {
			was := in.Parts[pi].Measures[mi%len(in.Parts[pi].Measures)]
			if m.Length != was.Length {
				bad("bar %d: another length", mi+1)
			}
			for c := range m.Chords() {
				for _, n := range c.Notes {
					k := tie{c.Staff, c.Voice, n.Pitch.MIDI()}
					if n.TieStop && !ties[k] {
						bad("bar %d: %v is tied to another sound", mi+1, n.Pitch)
					}
					if n.TieStop && !n.TieStart {
						delete(ties, k)
					}
					if n.TieStart {
						ties[k] = true
					}
				}
			}
			for _, e := range m.Events {
				if c, ok := e.(*score.NeckChange); ok {
					neck = &c.Neck
				}
				c, ok := e.(*score.Chord)
				if !ok {
					continue
				}
				for _, n := range c.Notes {
					if neck != nil && !n.Place.IsZero() {
						if got := neck.Tuning.Open(n.Place.String).MIDI() + neck.Capo + n.Place.Fret; got != n.Pitch.MIDI() && !n.Has(score.Dead) {
							bad("bar %d: string %d fret %d sounds %d, not %v", mi+1, n.Place.String, n.Place.Fret, got, n.Pitch)
						}
						if n.Place.Fret < 0 || n.Place.Fret+neck.Capo > neck.Frets {
							bad("bar %d: fret %d", mi+1, n.Place.Fret)
						}
					}
					for _, t := range n.Techniques {
						switch t := t.(type) {
						case score.Bend:
							if t.Amount.IsZero() {
								bad("bar %d: a bend to itself", mi+1)
							}
						case score.Span:
							k := end{t.Kind, t.ID}
							if t.End == score.Start {
								open[k] = n
								continue
							}
							a := open[k]
							delete(open, k)
							if a == nil {
								bad("bar %d: half of a %d", mi+1, t.Kind)
								continue
							}
							if !t.Kind.KeepsString() || a.Place.IsZero() || n.Place.IsZero() {
								continue
							}
							if a.Place.String != n.Place.String {
								bad("bar %d: a %d from string %d to %d", mi+1, t.Kind, a.Place.String, n.Place.String)
							}
							if t.Kind == score.HammerOn && a.Place.Fret >= n.Place.Fret || t.Kind == score.PullOff && a.Place.Fret <= n.Place.Fret {
								bad("bar %d: a %d from fret %d to %d", mi+1, t.Kind, a.Place.Fret, n.Place.Fret)
							}
						}
					}
				}
			}
		}
	}
	lost := func(m *score.Measure) (n int) {
		for note := range score.Notes(m) {
			if note.Place.IsZero() {
				n++
			}
		}
		return n
	}
	for pi, p := range out.Parts {
		for mi, m := range p.Measures {
			was := in.Parts[pi].Measures[mi%len(in.Parts[pi].Measures)]
			if lost(m) > lost(was) && ds.Count(score.NotDone) == 0 {
				bad("bar %d: notes lost their places and nobody says so", mi+1)
			}
		}
	}
	return problems
}

func someScale(r *rand.Rand) ScaleOn {
	all := theory.Scales()
	return ScaleOn{theory.NameAtFifths(r.IntN(13) - 6), all[r.IntN(len(all))]}
}

// Whatever the scales, tunings and techniques: what comes out can be played,
// or it is said what cannot; the rhythm stays; the input is not changed; and
// no sound has two letters in a bar.
func TestRemappedMusicCanBePlayed(t *testing.T) {
	for seed := range uint64(250) {
		r := rand.New(rand.NewPCG(seed, 7))
		s := generated(r, 4)
		before := s.Clone()
		from, to := someScale(r), someScale(r)
		opt := RemapOptions{Map: Mapping(r.IntN(2)), Tonic: theory.Direction(r.IntN(3))}
		if r.IntN(3) == 0 {
			opt.Scheme = fretboard.Window{From: 3, To: 9}
		}
		out, ds := Remap(s, from, to, opt)
		require.Equal(t, before, s, "seed %d", seed)
		require.Equal(t, noteCount(s), noteCount(out), "seed %d: notes", seed)
		require.Empty(t, checkMapped(s, out, ds), "seed %d: %v to %v by %v", seed, from, to, opt.Map)
		for _, p := range out.Parts {
			for i, m := range p.Measures {
				names := map[int]theory.NoteName{}
				for n := range score.Notes(m) {
					if _, harmonic := n.Harmonic(); harmonic || n.Has(score.Dead) {
						continue // what is written is not what sounds
					}
					if was, ok := names[n.Pitch.Class()]; ok {
						require.Equal(t, was, n.Pitch.NoteName, "seed %d: two letters in bar %d of %s, %v to %v", seed, i+1, p.ID, from, to)
					}
					names[n.Pitch.Class()] = n.Pitch.NoteName
				}
			}
		}
	}
}

func noteCount(s *score.Score) (notes int) {
	for range score.Notes(s) {
		notes++
	}
	return notes
}

// The same for phrases over chords, whatever chords.
func TestPhrasesOverChordsCanBePlayed(t *testing.T) {
	qualities := theory.ChordQualities()
	chord := func(r *rand.Rand) theory.Chord {
		c := qualities[r.IntN(len(qualities))]
		return c.Transpose(theory.NoteName{}.To(theory.NameAtFifths(r.IntN(13) - 6)))
	}
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 8))
		s := generated(r, 1+r.IntN(3))
		before := s.Clone()
		var over theory.Progression
		for range 1 + r.IntN(5) {
			b := theory.ProgressionBar{Chords: []theory.BarChord{{Chord: chord(r), Parts: 1}}, Parts: 1}
			if r.IntN(2) == 0 {
				b.Chords, b.Parts = append(b.Chords, theory.BarChord{Chord: chord(r), Parts: 1}), 2
			}
			over = append(over, b)
		}
		home := chord(r)
		out, ds := RemapOver(s, &home, over, RemapOptions{})
		require.Equal(t, before, s, "seed %d", seed)
		require.Empty(t, checkMapped(s, out, ds), "seed %d: %v to %v", seed, home, over)
		assert.Len(t, out.Parts[0].Measures, max(len(s.Parts[0].Measures), len(over)))
	}
}

// Remap of a scale to itself changes nothing, whatever the music.
func TestRemapToTheSameScale(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 9))
		s := generated(r, 3)
		scale := someScale(r)
		out, _ := Remap(s, scale, scale, RemapOptions{Map: Mapping(r.IntN(2))})
		require.Equal(t, sounds(s), sounds(out), "seed %d", seed)
		require.Equal(t, places(s), places(out), "seed %d", seed)
	}
}

// Fuzzing looks for music and scales that break what holds of all.
func FuzzRemap(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed, "A minor pentatonic", "A major pentatonic", seed%2 == 0)
		f.Add(seed, "C ionian", "F# 1 b2 b3 3 #4 5 b7", seed%2 == 1)
	}
	f.Fuzz(func(t *testing.T, seed uint64, from, to string, step bool) {
		a, ok, s1, err := theory.ParseScale(from)
		b, ok2, s2, err2 := theory.ParseScale(to)
		if err != nil || err2 != nil || !ok || !ok2 {
			return
		}
		opt := RemapOptions{}
		if step {
			opt.Map = ByStep
		}
		s := generated(rand.New(rand.NewPCG(seed, 12)), 2)
		before := s.Clone()
		out, ds := Remap(s, ScaleOn{a, s1}, ScaleOn{b, s2}, opt)
		require.Equal(t, before, s)
		require.Empty(t, checkMapped(s, out, ds))
		same, _ := Remap(s, ScaleOn{a, s1}, ScaleOn{a, s1}, opt)
		require.Equal(t, sounds(s), sounds(same))
	})
}

func BenchmarkRemap(b *testing.B) {
	s := generated(rand.New(rand.NewPCG(1, 1)), 250)
	from, to := ScaleOn{Scale: mustScale(b, "major")}, ScaleOn{Scale: mustScale(b, "dorian")}
	notes := float64(noteCount(s))
	b.ReportAllocs()
	for b.Loop() {
		Remap(s, from, to, RemapOptions{})
	}
	b.ReportMetric(notes*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

func BenchmarkInspect(b *testing.B) {
	s := generated(rand.New(rand.NewPCG(1, 1)), 50)
	notes := float64(noteCount(s))
	b.ReportAllocs()
	for b.Loop() {
		Inspect(s, InspectOptions{})
	}
	b.ReportMetric(notes*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

func mustScale(t testing.TB, name string) theory.Scale {
	s, err := theory.ScaleByName(name)
	require.NoError(t, err)
	return s
}
