package transform

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// over puts chord symbols at the beginnings of bars.
func over(t *testing.T, s *score.Score, names ...string) *score.Score {
	t.Helper()
	for i, name := range names {
		c, err := theory.ParseChord(name)
		require.NoError(t, err)
		m := s.Parts[0].Measures[i]
		m.Events = append([]score.Event{&score.Harmony{Chord: c}}, m.Events...)
		m.SortEvents()
	}
	return s
}

// trimmed does a step as Variations does.
func trimmed(s *score.Score, steps ...Variation) (*score.Score, score.Diagnostics) {
	out, _, said := vary(s, steps, VaryOptions{trim: true}, nil)
	return out, said
}

// TestEndsWell: a sequence that breaks off in its cell ends with the tone of the
// chord on the beat before; a phrase that ends off the beat stays, and a long note is
// the close itself. Source: common practice on melodic sequences, which end at the
// end of a cell or with the first note of the next one.
func TestEndsWell(t *testing.T) {
	for _, tc := range []struct{ steps, in, chord, want, said string }{
		{"sequence 3", "C4 D4 E4 F4 G4/2 E4/2 C4/4 E4/4", "C", "C4 D4 E4 D4 E4 F4 E4 F4 G4 F4 G4 A4 G4/4", "2 notes at the end left out: it ends with G4 at bar 2, beat 3"},
		{"sequence 3", "C4 D4 E4 F4 G4 F4 E4/2", "C", "C4 D4 E4 D4 E4 F4 E4 F4", ""},   // the phrase itself ends on the fourth beat
		{"permute 1 3 2", "C4 D4 E4 F4 G4 E4/2 D4", "C", "C4 E4 D4 F4 E4 G4/2 D4", ""}, // the phrase itself ends off the beat
		{"displace -1/8", "- C4/2 E4 G4/4", "C", "C4/2 E4 G4/4 -", ""},                 // the last note is a long one of the phrase
	} {
		s := over(t, phrase(t, theory.Key{}, tc.in), tc.chord)
		var steps []Variation
		for text := range strings.SplitSeq(tc.steps, "; ") {
			steps = append(steps, step(t, text))
		}
		out, said := trimmed(s, steps...)
		assert.Equal(t, tc.want, told(out), tc.steps)
		var left string
		for _, d := range said {
			if strings.Contains(d.Msg, "left out") || strings.Contains(d.Msg, "added") {
				left = d.Msg
			}
		}
		assert.Equal(t, tc.said, left, tc.steps)
	}
}

// TestLands: a line that would end on the second beat gets a last note on the third,
// the tone of the chord that is nearest. What is said of a sequence and of targets is
// what is left when the end is known.
func TestLands(t *testing.T) {
	s := over(t, phrase(t, theory.Key{}, "C4/2 D4/2 E4/2 G4/2 C4/2 D4/2 E4 -/3"), "C")
	out, said := trimmed(s, step(t, "displace -1/4"))
	assert.Equal(t, "C4/2 D4/2 E4/2 G4/2 C4/2 D4/2 E4 - G4/2 -/2", told(out))
	assert.Contains(t, fmt.Sprint(said), "a last note added: G4 at bar 2, beat 3")

	s = over(t, phrase(t, theory.Key{}, "C4 D4 E4 F4 G4/2 E4/2 C4/4 E4/4"), "C")
	_, said = trimmed(s, step(t, "sequence 3"))
	assert.Contains(t, said[0].Msg, "the first 3 notes 5 times, each a step up", "the note of a sixth time is left out")

	s = over(t, phrase(t, theory.Key{}, "C4/2 E4/2 D4/4 A4/4 E4 F4 G4 F4"), "C") // D, A and the last F are none of C
	plain, all := Vary(s, []Variation{step(t, "target")}, VaryOptions{})
	assert.Contains(t, fmt.Sprint(all), "3 notes on strong beats")
	assert.NotEqual(t, told(s), told(plain))
}

// TestJoinsAreBetweenNeighbours: after any two steps a hammer-on, pull-off or slide
// joins a note to the next one.
func TestJoinsAreBetweenNeighbours(t *testing.T) {
	joins := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 79))
		s := whitePhrase(t, r, false)
		list := notesOf(s)
		for i := 0; i+1 < len(list); i += 2 {
			kind := []score.SpanKind{score.HammerOn, score.Glissando}[r.IntN(2)]
			list[i].Techniques = append(list[i].Techniques, score.Span{Kind: kind, ID: i + 1, End: score.Start})
			list[i+1].Techniques = append(list[i+1].Techniques, score.Span{Kind: kind, ID: i + 1, End: score.Stop})
		}
		for _, names := range [][2]string{{"sequence 4 up", "permute 1 3 2"}, {"group 4", "permute 2 3 1"}, {"permute 2 1 3", "sequence 5 down"}, {"sequence 3", "retrograde"}, {"in thirds", "permute 2 1"}} {
			out, _ := Vary(s, []Variation{step(t, names[0]), step(t, names[1])}, VaryOptions{})
			open := map[spanID]int{}
			i := 0
			for n := range score.Notes(out) {
				if !n.TieStop {
					i++
				}
				for _, end := range [...]score.SpanEnd{score.Stop, score.Start} {
					for _, x := range n.Techniques {
						if sp, ok := x.(score.Span); ok && sp.End == end {
							k := spanID{sp.Kind, sp.ID}
							if end == score.Start {
								open[k] = i
								continue
							}
							joins++
							require.Equal(t, open[k]+1, i, "seed %d, %v", seed, names)
							delete(open, k)
						}
					}
				}
			}
			require.Empty(t, open, "seed %d, %v", seed, names)
		}
	}
	assert.Greater(t, joins, 200)
}

// TestFoldedLines: what goes on in another octave is what is said, the notes are the
// same but for that, and no leap got wider by it.
func TestFoldedLines(t *testing.T) {
	says := regexp.MustCompile(`an octave (up|down) from bar (\d+), beat (\S+?)( until bar (\d+), beat (\S+?))?(,|$)`)
	time := func(bar, beat string) score.Quarters {
		b, err := strconv.Atoi(bar)
		require.NoError(t, err)
		whole, half, off := strings.Cut(beat, "+")
		n, err := strconv.Atoi(whole)
		require.NoError(t, err, beat)
		at := score.Q(int64(4*(b-1)+n-1), 1)
		if off {
			require.Equal(t, "1/2", half)
			at = at.Add(score.Q(1, 2))
		}
		return at
	}
	folded := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 78))
		s := whitePhrase(t, r, false)
		one := step(t, []string{"permute 3 1 2", "sequence 3 up", "permute 2 1", "sequence 5 down", "retrograde"}[r.IntN(5)])
		plain, _, _ := vary(s, []Variation{one}, VaryOptions{}, nil)
		out, said := trimmed(s, one)
		before, after := saidLine(plain), saidLine(out)
		require.Len(t, after, len(before))
		by := make([]int, len(before))
		for _, d := range said {
			if !strings.HasSuffix(d.Msg, ", so that it leaps no further than the phrase") {
				continue
			}
			folded++
			for _, m := range says.FindAllStringSubmatch(strings.TrimSuffix(d.Msg, ", so that it leaps no further than the phrase"), -1) {
				from, until := time(m[2], m[3]), score.Q(99, 1)
				if m[4] != "" {
					until = time(m[5], m[6])
				}
				for i, n := range before {
					if !n.at.Less(from) && n.at.Less(until) {
						by[i] = map[string]int{"up": 12, "down": -12}[m[1]]
					}
				}
			}
		}
		limit := widest(s)
		for i := range before {
			require.Equal(t, before[i].key+by[i], after[i].key, "seed %d, %v, note %d: %v", seed, one, i, said)
			if i > 0 && by[i] != by[i-1] {
				leap := after[i].key - after[i-1].key
				require.LessOrEqual(t, max(leap, -leap), limit, "seed %d", seed)
			}
		}
	}
	assert.Greater(t, folded, 20)
}

// TestTwins: the longest common subsequence against trying all, and what twins are.
func TestTwins(t *testing.T) {
	var slow func(a, b []int) int
	slow = func(a, b []int) int {
		switch {
		case len(a) == 0 || len(b) == 0:
			return 0
		case a[0] == b[0]:
			return 1 + slow(a[1:], b[1:])
		}
		return max(slow(a[1:], b), slow(a, b[1:]))
	}
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		a, b := make([]int, r.IntN(9)), make([]int, r.IntN(9))
		for i := range a {
			a[i] = r.IntN(4)
		}
		for i := range b {
			b[i] = r.IntN(4)
		}
		require.Equal(t, slow(a, b), commonNotes(a, b), "%v %v", a, b)
		require.Equal(t, commonNotes(a, b), commonNotes(b, a))
	}
	assert.True(t, areTwins([]int{1, 2, 3, 4}, []int{1, 2, 9, 4}), "three of four")
	assert.False(t, areTwins([]int{1, 2, 3, 4}, []int{4, 3, 2, 1}))
	assert.False(t, areTwins([]int{1, 2, 3, 4, 5}, []int{1, 2, 3}), "three of five")
}

// TestVariationsAreNoTwins: none of those that are not said to be the last resort
// (by their rank) has three quarters of its notes in common with one before.
func TestVariationsAreNoTwins(t *testing.T) {
	for seed := range uint64(2) {
		list, _ := Variations(counted(t), 10, VaryOptions{Seed: seed})
		require.NotEmpty(t, list)
		var tunes [][]int
		for _, v := range list {
			var tune []int
			for _, n := range saidLine(v.Score) {
				tune = append(tune, n.key)
			}
			for i, other := range tunes {
				if v.rank < twinFlaws {
					long := max(len(tune), len(other))
					assert.Less(t, 4*commonNotes(tune, other), 3*long, "%s and %s", v.Name(), list[i].Name())
				}
			}
			tunes = append(tunes, tune)
		}
	}
}

// TestWhatSpeaksAgainst: what is heard against the chords and at the end, by hand.
// Source: common practice on chord tones, suspensions and anticipations.
func TestWhatSpeaksAgainst(t *testing.T) {
	look := func(text string, chords ...string) *phraseStyle {
		return styleOf(lookAt(over(t, phrase(t, theory.Key{}, text), chords...), 0, nil))
	}
	st := look("C4/2 E4/2 G4/4 F4/4 E4/4", "C", "C")
	assert.Zero(t, st.missed, "the chord stays")
	st = look("C4/2 E4/2 G4/4 G4/4 F4/4", "C", "F")
	assert.Equal(t, 1, st.missed, "G on the downbeat of F")
	assert.Equal(t, "2", st.longest.String())
	st = look("C4/2 E4/2 G4/4 A4/4 F4/4", "C", "F")
	assert.Zero(t, st.missed)
	assert.Equal(t, []bool{true, true}, st.thirds)
	st = look("C4/2 G4 E4 G4/4 C4/2 F4 A4 F4/4", "C", "F")
	assert.Equal(t, []bool{false, false}, st.thirds, "an eighth off the beat is passing")
	st = look("C4/3 D4/3 E4/2", "C")
	assert.Equal(t, 1, st.missed, "D is held over the third beat")
	st = look("C4/2 E4/2 G4/2 F4 E4", "C")
	assert.True(t, st.weakEnd)
	st = look("C4/2 E4/2 G4/4", "C")
	assert.False(t, st.weakEnd)
	st = look("C4/4 E4/4 C4/4 E4/4 C4/4 G4/4 D4/8", "C", "C", "C", "G")
	assert.Equal(t, 3, st.stalled)
}

// TestBriefVibrato: vibrato stays on long notes.
func TestBriefVibrato(t *testing.T) {
	s := over(t, phrase(t, theory.Key{}, "C4/4 E4 G4 E4 C4"), "C")
	notesOf(s)[0].Techniques = []score.Technique{score.Vibrato}
	out, said := trimmed(s, step(t, "group 2"))
	list := notesOf(out)
	assert.True(t, list[0].Has(score.Vibrato))
	for _, n := range list[1:] {
		assert.False(t, n.Has(score.Vibrato))
	}
	found := false
	for _, d := range said {
		found = found || strings.HasPrefix(d.Msg, "no vibrato on ")
	}
	assert.True(t, found, fmt.Sprint(said))
}
