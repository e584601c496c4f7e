package theory_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// must returns what a parser makes of a text that it has to understand.
func must[T any](t testing.TB, parse func(string) (T, error), s string) T {
	t.Helper()
	v, err := parse(s)
	require.NoError(t, err)
	return v
}

func mustName(t testing.TB, s string) theory.NoteName {
	t.Helper()
	return must(t, theory.ParseNoteName, s)
}

func mustPitch(t testing.TB, s string) theory.Pitch {
	t.Helper()
	return must(t, theory.ParsePitch, s)
}

func mustInterval(t testing.TB, s string) theory.Interval {
	t.Helper()
	return must(t, theory.ParseInterval, s)
}

func mustChord(t testing.TB, s string) theory.Chord {
	t.Helper()
	return must(t, theory.ParseChord, s)
}

func mustKey(t testing.TB, s string) theory.Key {
	t.Helper()
	k, _, err := theory.ParseKey(s)
	require.NoError(t, err)
	return k
}

// names writes note names as they are typed.
func names(ns []theory.NoteName) []string {
	out := make([]string, len(ns))
	for i, n := range ns {
		out[i] = n.String()
	}
	return out
}

// namedIntervals returns every interval of up to n letters that is up to
// twice augmented or diminished, rising and falling.
func namedIntervals(letters int) []theory.Interval {
	var all []theory.Interval
	for steps := 0; steps <= letters; steps++ {
		major := []int{0, 2, 4, 5, 7, 9, 11}[steps%7] + 12*(steps/7)
		lowest := -2
		if s := steps % 7; s != 0 && s != 3 && s != 4 {
			lowest = -3 // minor is one below major, and diminished below that
		}
		if steps == 0 {
			lowest = 0 // the falling ones are the negatives
		}
		for off := lowest; off <= 2; off++ {
			i := theory.Interval{Steps: steps, Semitones: major + off}
			all = append(all, i)
			if i != (theory.Interval{}) {
				all = append(all, i.Neg())
			}
		}
	}
	return all
}

// allNames returns the 35 names with up to two accidentals.
func allNames() []theory.NoteName {
	var all []theory.NoteName
	for s := theory.C; s <= theory.B; s++ {
		for alter := -2; alter <= 2; alter++ {
			all = append(all, theory.NoteName{Step: s, Alter: alter})
		}
	}
	return all
}

// modes are all modes of keys.
var modes = []theory.Mode{
	theory.Major, theory.Minor, theory.Ionian, theory.Dorian, theory.Phrygian,
	theory.Lydian, theory.Mixolydian, theory.Aeolian, theory.Locrian,
}

func seeded() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }
