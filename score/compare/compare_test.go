package compare

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A seeding makes one change to a score. It returns where, or ok false if the
// score has nothing that it can change.
type seeding struct {
	name   string
	aspect Aspect
	change Change
	notes  int // that it concerns; -1 for any number
	do     func(s *score.Score, r *rand.Rand) (part, bar int, ok bool)
}

func pick(list []spot, r *rand.Rand) (spot, bool) {
	if len(list) == 0 {
		return spot{}, false
	}
	return list[r.IntN(len(list))], true
}

func seedings() []seeding {
	neck := fretboard.Guitar()
	// onChord makes a seeding of a change of a chord that is not joined.
	onChord := func(good func(*score.Chord) bool, change func(c *score.Chord, r *rand.Rand)) func(*score.Score, *rand.Rand) (int, int, bool) {
		return func(s *score.Score, r *rand.Rand) (int, int, bool) {
			at, ok := pick(spots(s, good), r)
			if ok {
				change(at.chord, r)
			}
			return at.part, at.bar, ok
		}
	}
	// onBar makes a seeding of a change of a bar.
	onBar := func(change func(m *score.Measure, r *rand.Rand)) func(*score.Score, *rand.Rand) (int, int, bool) {
		return func(s *score.Score, r *rand.Rand) (int, int, bool) {
			part := r.IntN(len(s.Parts))
			bar := r.IntN(len(s.Parts[part].Measures))
			change(s.Parts[part].Measures[bar], r)
			return part, bar, true
		}
	}
	one := func(c *score.Chord) bool { return plain(c) && len(c.Notes) == 1 && len(c.Notes[0].Techniques) == 0 }
	several := func(c *score.Chord) bool { return plain(c) && len(c.Notes) > 1 }
	mark := func(t score.Technique) func(c *score.Chord, r *rand.Rand) {
		return func(c *score.Chord, _ *rand.Rand) { c.Notes[0].Techniques = append(c.Notes[0].Techniques, t) }
	}
	return []seeding{
		{"another fret", Pitch, Changed, 1, onChord(plain, func(c *score.Chord, r *rand.Rand) {
			n := c.Notes[r.IntN(len(c.Notes))]
			n.Place.Fret += []int{-2, -1, 1, 2, 3}[r.IntN(5)]
			n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
		})},
		{"a note taken from a chord", Note, Removed, 1, onChord(several, func(c *score.Chord, r *rand.Rand) {
			k := r.IntN(len(c.Notes))
			c.Notes = slices.Delete(c.Notes, k, k+1)
		})},
		{"a note made a rest", Note, Removed, 1, onChord(one, func(c *score.Chord, _ *rand.Rand) { c.Notes = nil })},
		{"a note in place of a rest", Note, Added, 1, onChord((*score.Chord).IsRest, func(c *score.Chord, _ *rand.Rand) {
			p := fretboard.Place{String: 2, Fret: 5}
			c.Notes = []*score.Note{{Place: p, Pitch: theory.SpellIn(theory.Key{}, neck.Stopped(p))}}
		})},
		{"a shorter note", Time, Changed, 1, onChord(one, func(c *score.Chord, _ *rand.Rand) { c.Duration = c.Duration.Mul(score.Q(1, 2)) })},
		{"the same sound on another string", Place, Changed, 1, onChord(func(c *score.Chord) bool {
			return one(c) && c.Notes[0].Place.String > 1 && c.Notes[0].Place.Fret >= 6
		}, func(c *score.Chord, _ *rand.Rand) {
			n := c.Notes[0]
			n.Place, _ = neck.FretOn(n.Place.String-1, neck.Stopped(n.Place))
		})},
		{"a note that lost its place", Place, Changed, 1, onChord(one, func(c *score.Chord, _ *rand.Rand) { c.Notes[0].Place = fretboard.Place{} })},
		{"a note of which a tied part lost its place", Place, Changed, 1, func(s *score.Score, r *rand.Rand) (int, int, bool) {
			return tiedOn(s, r, one, func(n *score.Note) { n.Place = fretboard.Place{} })
		}},
		{"a note of which a tied part is elsewhere", Place, Changed, 1, func(s *score.Score, r *rand.Rand) (int, int, bool) {
			return tiedOn(s, r, one, func(n *score.Note) { n.Place.String = n.Place.String%6 + 1 })
		}},
		{"a bend", Technique, Added, 1, onChord(one, mark(score.Bend{Amount: score.Q(1, 1)}))},
		{"vibrato", Technique, Added, 1, onChord(one, mark(score.Vibrato))},
		{"a hammer-on that became a slide", Technique, Changed, 1, func(s *score.Score, r *rand.Rand) (int, int, bool) {
			at, ok := pick(spots(s, func(c *score.Chord) bool { return len(c.Notes) == 1 && starts(c.Notes[0]) != nil }), r)
			if !ok {
				return 0, 0, false
			}
			id := *starts(at.chord.Notes[0])
			for n := range score.Notes(s.Parts[at.part]) {
				for i, t := range n.Techniques {
					if sp, ok := t.(score.Span); ok && sp.ID == id.ID {
						sp.Kind = score.LegatoSlide
						n.Techniques[i] = sp
					}
				}
			}
			return at.part, at.bar, true
		}},
		{"let ring over a run of notes", Technique, Added, -1, func(s *score.Score, r *rand.Rand) (int, int, bool) {
			all := spots(s, func(c *score.Chord) bool { return len(c.Notes) > 0 })
			k := r.IntN(len(all))
			end := min(k+1+r.IntN(4), len(all)-1)
			if end == k || all[end].part != all[k].part {
				return 0, 0, false
			}
			all[k].chord.Notes[0].Techniques = append(all[k].chord.Notes[0].Techniques, score.Span{Kind: score.LetRingSpan, ID: 999, End: score.Start})
			all[end].chord.Notes[0].Techniques = append(all[end].chord.Notes[0].Techniques, score.Span{Kind: score.LetRingSpan, ID: 999, End: score.Stop})
			return all[k].part, all[k].bar, true
		}},
		{"a triplet made uneven", Time, Changed, 3, func(s *score.Score, r *rand.Rand) (int, int, bool) {
			var found [][3]spot
			all := spots(s, plain)
			for k := 0; k+2 < len(all); k++ {
				three := [3]spot(all[k : k+3])
				if three[0].bar == three[2].bar && three[0].part == three[2].part && three[0].chord.Onset.Den() == 1 &&
					!slices.ContainsFunc(three[:], func(s spot) bool { return s.chord.Duration != score.Q(1, 3) || len(s.chord.Notes) != 1 }) &&
					three[2].chord.Onset.Sub(three[0].chord.Onset) == score.Q(2, 3) {
					found = append(found, three)
				}
			}
			if len(found) == 0 {
				return 0, 0, false
			}
			t := found[r.IntN(len(found))]
			start := t[0].chord.Onset
			t[0].chord.Duration, t[1].chord.Duration, t[2].chord.Duration = score.Q(1, 2), score.Q(1, 4), score.Q(1, 4)
			t[1].chord.Onset, t[2].chord.Onset = start.Add(score.Q(1, 2)), start.Add(score.Q(3, 4))
			return t[0].part, t[0].bar, true
		}},
		{"another chord symbol", Chord, Changed, 0, onBar(func(m *score.Measure, _ *rand.Rand) {
			for _, e := range m.Events {
				if h, ok := e.(*score.Harmony); ok {
					h.Chord = theory.Chord{Root: theory.NoteName{Step: theory.B, Alter: -1}, Quality: "maj7"}
				}
			}
		})},
		{"one more chord symbol", Chord, Added, 0, onBar(func(m *score.Measure, _ *rand.Rand) {
			m.Events = append(m.Events, &score.Harmony{Common: score.Common{Onset: score.Q(2, 1)}, Chord: theory.Chord{Root: theory.NoteName{Step: theory.E}, Quality: "7"}})
			m.SortEvents()
		})},
		{"no chord symbol", Chord, Removed, 0, onBar(func(m *score.Measure, _ *rand.Rand) {
			m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.Harmony); return ok })
		})},
		{"a repeat sign", Repeats, Added, 0, onBar(func(m *score.Measure, _ *rand.Rand) {
			m.Events = append(m.Events, &score.Barline{Common: score.Common{Onset: m.Length}, Repeat: score.Backward})
		})},
		{"a finger", Finger, Added, 1, onChord(one, func(c *score.Chord, _ *rand.Rand) { c.Notes[0].Finger = score.Ring })},
		{"a label", Label, Added, 1, onChord(one, func(c *score.Chord, _ *rand.Rand) {
			c.Notes[0].Annotations = append(c.Notes[0].Annotations, score.Annotation{Kind: "degree", Text: "b3"})
		})},
		{"another key", Key, Changed, 0, func(s *score.Score, _ *rand.Rand) (int, int, bool) {
			for _, e := range s.Parts[0].Measures[0].Events {
				if k, ok := e.(*score.KeySignature); ok {
					k.Key = theory.KeyOf(6, theory.Major)
				}
			}
			return 0, 0, true
		}},
		{"another tempo", Tempo, Changed, 0, func(s *score.Score, _ *rand.Rand) (int, int, bool) {
			for _, e := range s.Parts[0].Measures[0].Events {
				if k, ok := e.(*score.Tempo); ok {
					k.QuartersPerMinute = 88
				}
			}
			return 0, 0, true
		}},
		{"another title", Text, Changed, 0, func(s *score.Score, _ *rand.Rand) (int, int, bool) { s.Title = "Another"; return 0, 0, true }},
	}
}

// starts returns the hammer-on or pull-off that starts on a note.
func starts(n *score.Note) *score.Span {
	for _, t := range n.Techniques {
		if s, ok := t.(score.Span); ok && s.End == score.Start && (s.Kind == score.HammerOn || s.Kind == score.PullOff) {
			return &s
		}
	}
	return nil
}

// tiedOn writes a note as two that are tied, which is no difference, and changes
// the second.
func tiedOn(s *score.Score, r *rand.Rand, good func(*score.Chord) bool, change func(*score.Note)) (part, bar int, ok bool) {
	at, ok := pick(spots(s, good), r)
	if !ok {
		return 0, 0, false
	}
	first := at.chord
	half := first.Duration.Mul(score.Q(1, 2))
	second := *first
	second.Onset, second.Duration, first.Duration = first.Onset.Add(half), half, half
	held := *first.Notes[0]
	first.Notes[0].TieStart, held.TieStop, second.Notes = true, true, []*score.Note{&held}
	m := s.Parts[at.part].Measures[at.bar]
	m.Events = append(m.Events, &second)
	m.SortEvents()
	change(&held)
	return at.part, at.bar, true
}

// A change that was made is found, as one difference at its place, and so is
// its reverse.
func TestFindsTheSeededChange(t *testing.T) {
	for _, sd := range seedings() {
		t.Run(sd.name, func(t *testing.T) {
			made := 0
			for seed := range uint64(60) {
				r := rand.New(rand.NewPCG(seed, 3))
				was := generated(seed, 3+r.IntN(6))
				is := was.Clone()
				part, bar, ok := sd.do(is, r)
				if !ok {
					continue
				}
				made++
				found := Differences(was, is, Options{})
				require.Len(t, found, 1, "seed %d\n%s", seed, listed(found))
				d := found[0]
				assert.Equal(t, sd.aspect, d.Aspect, "seed %d: %s", seed, d)
				assert.Equal(t, sd.change, d.Change, "seed %d: %s", seed, d)
				if sd.notes >= 0 {
					assert.Equal(t, sd.notes, d.Notes, "seed %d: %s", seed, d)
				}
				if sd.aspect != Text {
					at := d.A
					if at == nil {
						at = d.B
					}
					require.NotNil(t, at)
					assert.Equal(t, was.Parts[part].Measures[bar].Number, at.Bar, "seed %d: %s", seed, d)
					if len(was.Parts) > 1 {
						assert.Equal(t, was.Parts[part].Name, d.Part)
					}
				}
				back := Differences(is, was, Options{})
				require.Len(t, back, 1, "seed %d backwards\n%s", seed, listed(back))
				assert.Equal(t, d.Aspect, back[0].Aspect)
				assert.Equal(t, d.Was, back[0].Is)
				assert.Equal(t, d.Is, back[0].Was)
			}
			assert.Greater(t, made, 10, "so few scores had it")
		})
	}
}

func listed(ds []Difference) string {
	var b strings.Builder
	for _, d := range ds {
		fmt.Fprintln(&b, d)
	}
	return b.String()
}

// One bar, or a run of bars, put in or taken out of all parts is one
// difference.
func TestInsertedBarsAreOneDifference(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 4))
		short := generated(seed, 4+r.IntN(5))
		long := short.Clone()
		at, run := 1+r.IntN(len(short.Parts[0].Measures)-1), 1+r.IntN(3)
		other := generated(seed+1000, at+run)
		for i, p := range long.Parts {
			from := other.Parts[min(i, len(other.Parts)-1)]
			var bars []*score.Measure
			for k := range run {
				m := from.Measures[at+k].Copy()
				m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.KeySignature); return ok })
				bars = append(bars, m)
			}
			p.Measures = slices.Insert(p.Measures, at, bars...)
		}
		found := Differences(short, long, Options{})
		require.Len(t, found, 1, "seed %d\n%s", seed, listed(found))
		assert.Equal(t, Bar, found[0].Aspect)
		assert.Equal(t, Added, found[0].Change)
		assert.Equal(t, run, found[0].Bars)
		back := Differences(long, short, Options{})
		require.Len(t, back, 1, "seed %d\n%s", seed, listed(back))
		assert.Equal(t, Removed, back[0].Change)
	}
}

// A key that begins in a bar that only one side has holds on after it.
func TestStatesOfBarsThatOneSideHas(t *testing.T) {
	for seed := range uint64(40) {
		s := generated(seed, 6)
		key := func(m *score.Measure, fifths int) {
			m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.KeySignature); return ok })
			if fifths < 7 {
				m.Events = append([]score.Event{&score.KeySignature{Key: theory.KeyOf(fifths, theory.Major), ModeSaid: true}}, m.Events...)
			}
		}
		for _, p := range s.Parts {
			for i, m := range p.Measures {
				key(m, 7)
				if i == 0 {
					key(m, 0)
				}
			}
		}
		c := s.Clone()
		for _, p := range c.Parts {
			extra := generated(seed+500, 3).Parts[0].Measures[2].Copy()
			key(extra, 5)
			p.Measures = slices.Insert(p.Measures, 2, extra)
		}
		found := Differences(s, c, Options{Only: []Aspect{Bar, Key}})
		require.Len(t, found, 1+len(s.Parts), listed(found)) // the bar, and the key from there on in each part
		assert.Equal(t, "C major → B major", strings.TrimPrefix(found[1].What(), "key: "))
		assert.Equal(t, "3", found[1].A.Bar)
	}
}

// A score does not differ from itself, from its clone, nor from itself with
// what makes no music: handles, voices, rests split, identities of spans.
func TestWhatIsNoDifference(t *testing.T) {
	for seed := range uint64(100) {
		s := generated(seed, 5)
		require.Empty(t, Differences(s, s, Options{}))
		c := s.Clone()
		for n := range score.Preorder(c) {
			switch n := n.(type) {
			case *score.Measure:
				n.Number = ""
				var events []score.Event
				for _, e := range n.Events {
					if rest, ok := e.(*score.Chord); ok && rest.IsRest() {
						half := rest.Duration.Mul(score.Q(1, 2))
						second := *rest
						second.Onset, second.Duration, rest.Duration = rest.Onset.Add(half), half, half
						events = append(events, rest, &second)
						continue
					}
					events = append(events, e)
				}
				n.Events = events
				n.SortEvents()
			case *score.Chord:
				n.Voice = 2
				slices.Reverse(n.Notes)
			case *score.Note:
				for i, t := range n.Techniques {
					if sp, ok := t.(score.Span); ok {
						sp.ID += 50
						n.Techniques[i] = sp
					}
				}
			}
		}
		require.Empty(t, listed(Differences(s, c, Options{})), "seed %d", seed)
	}
}

// What only one of two scores says is no difference: places, letters, keys.
func TestWhatOneLeavesOpenIsNoDifference(t *testing.T) {
	for seed := range uint64(50) {
		s := generated(seed, 4)
		c := s.Clone()
		for n := range score.Preorder(c) {
			switch n := n.(type) {
			case *score.Measure:
				n.Events = slices.DeleteFunc(n.Events, func(e score.Event) bool {
					switch e.(type) {
					case *score.KeySignature, *score.Tempo, *score.NeckChange:
						return true
					}
					return false
				})
			case *score.Note:
				n.Place = fretboard.Place{}
			}
		}
		require.Empty(t, listed(Differences(s, c, Options{})), "seed %d", seed)
		d := s.Clone()
		for n := range score.Notes(d) {
			n.Pitch = theory.SpellIn(theory.KeyOf(-6, theory.Major), n.Pitch.MIDI())
			n.InferredSpelling = true
		}
		require.Empty(t, listed(Differences(s, d, Options{})), "seed %d", seed)
	}
}

// An alignment keeps the order and pairs nobody twice; in a band it is as good
// as without wherever the cheapest path stays near the diagonal. Checked
// against the plain edit distance of Levenshtein 1966, computed here.
func TestAlignIsAnEditDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 5))
	for range 300 {
		a, b := make([]int, r.IntN(12)), make([]int, r.IntN(12))
		for i := range a {
			a[i] = r.IntN(4)
		}
		for i := range b {
			b[i] = r.IntN(4)
		}
		pairs := align(len(a), len(b), func(i, j int) float64 {
			if a[i] == b[j] {
				return 0
			}
			return never
		})
		cost, nextA, nextB := 0, 0, 0
		for _, p := range pairs {
			if p.a >= 0 {
				require.Equal(t, nextA, p.a)
				nextA++
			}
			if p.b >= 0 {
				require.Equal(t, nextB, p.b)
				nextB++
			}
			if p.a < 0 || p.b < 0 {
				cost++
			} else {
				require.Equal(t, a[p.a], b[p.b])
			}
		}
		require.Equal(t, []int{len(a), len(b)}, []int{nextA, nextB})
		require.Equal(t, len(a)+len(b)-2*common(a, b), cost)
	}
}

// common is the length of the longest common subsequence, by its definition.
func common(a, b []int) int {
	switch {
	case len(a) == 0 || len(b) == 0:
		return 0
	case a[0] == b[0]:
		return 1 + common(a[1:], b[1:])
	}
	return max(common(a[1:], b), common(a, b[1:]))
}

// Long scores are compared in a band: one bar put in at the front and one
// taken out at the end of thousands are two differences.
func TestLongScores(t *testing.T) {
	s := generated(7, 3000)
	c := s.Clone()
	for _, p := range c.Parts {
		p.Measures = slices.Insert(p.Measures, 1, p.Measures[2500].Copy())
		p.Measures = slices.Delete(p.Measures, 2900, 2901)
	}
	found := Differences(s, c, Options{Only: []Aspect{Bar, Note, Pitch}})
	require.Len(t, found, 2, listed(found))
	assert.Equal(t, []Change{Added, Removed}, []Change{found[0].Change, found[1].Change})
}

func BenchmarkDifferences(b *testing.B) {
	for _, bars := range []int{10, 100, 1000} {
		s := generated(3, bars)
		c := s.Clone()
		notes := 0
		for n := range score.Notes(c) {
			if notes++; notes%7 == 0 {
				n.Techniques = append(n.Techniques, score.Accent)
			}
		}
		b.Run(fmt.Sprintf("notes=%d", notes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Differences(s, c, Options{})
			}
			b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}
