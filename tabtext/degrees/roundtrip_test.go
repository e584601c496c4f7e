package degrees

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// written writes a score as a new text and returns what was reported besides.
func written(t testing.TB, s *score.Score) (text string, said []string) {
	t.Helper()
	var b strings.Builder
	err := Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code+": "+d.Msg) }})
	require.NoError(t, err)
	return b.String(), said
}

func readIn(t testing.TB, text string, key theory.Key, opt score.ReadOptions) *Document {
	t.Helper()
	opt.Key, opt.TonicOnly = &key, true
	d, err := Read(strings.NewReader(text), "x.degrees", opt)
	require.NoError(t, err, "%s", text)
	return d
}

// everyKey lists the fifteen signatures of common practice in all modes.
func everyKey() (list []theory.Key) {
	for fifths := -7; fifths <= 7; fifths++ {
		for m := theory.Major; m <= theory.Locrian; m++ {
			list = append(list, theory.KeyOf(fifths, m))
		}
	}
	return list
}

// TestRoundTrip: generated music of every kind that the text can hold is
// written and read back exactly, in every key, and nothing is reported lost.
func TestRoundTrip(t *testing.T) {
	keys := everyKey()
	for seed := range uint64(1200) {
		key := keys[int(seed)%len(keys)]
		s := generate(seed, 1+int(seed%6), key)
		text, said := written(t, s)
		for _, l := range said {
			require.NotContains(t, l, "lost", "seed %d\n%s", seed, text)
		}
		again := readIn(t, text, key, score.ReadOptions{})
		require.Equal(t, describe(s), describe(again.Score()), "seed %d\n%s", seed, text)
	}
}

// TestKeyFree: a text is the same in every key: read in one and written again
// it is the text, and its pitches are those of the other key moved by the
// interval between the tonics.
func TestKeyFree(t *testing.T) {
	a := theory.Key{Tonic: theory.NoteName{Step: theory.A}}
	for seed := range uint64(6) {
		text, _ := written(t, generate(seed, 4, a))
		home := readIn(t, text, a, score.ReadOptions{}).Score()
		for _, key := range everyKey() {
			d := readIn(t, text, key, score.ReadOptions{})
			again, _ := written(t, d.Score())
			require.Equal(t, text, again, fmt.Sprint(key))
			var first, second []theory.Pitch
			for n := range score.Notes(home) {
				if !onString(n) {
					first = append(first, n.Pitch)
				}
			}
			for n := range score.Notes(d.Score()) {
				if !onString(n) {
					second = append(second, n.Pitch)
				}
			}
			by := groundOf(a.Tonic, 0).To(groundOf(key.Tonic, 0).Pitch)
			require.Len(t, second, len(first))
			for i := range first {
				require.Equal(t, first[i].Transpose(by), second[i])
			}
		}
	}
}
