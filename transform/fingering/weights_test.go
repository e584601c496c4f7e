package fingering

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTermsHaveNamesOfTheirOwn(t *testing.T) {
	seen := map[string]bool{}
	for term := range numTerms {
		require.NotEmpty(t, term.String())
		require.False(t, seen[term.String()], term.String())
		seen[term.String()] = true
		back, ok := termByName(term.String())
		assert.True(t, ok)
		assert.Equal(t, term, back)
	}
}

func TestReadWeightsSaysWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"height":           "w:1: a line has the name of a term and a number",
		"# x\n\nheigth 1":  `w:3: there is no term "heigth"`,
		"height NaN":       `w:1: "NaN" is no number that a term may weigh`,
		"height 1\nopen z": `w:2: there is no term "open"`,
	} {
		_, err := ReadWeights(strings.NewReader(text), "w")
		assert.EqualError(t, err, want)
	}
	w, err := ReadWeights(strings.NewReader("# nothing\n"), "w")
	require.NoError(t, err)
	assert.Equal(t, &Weights{Preference: 1}, w)
}

func TestNamedWeightsCanBeHad(t *testing.T) {
	for name, w := range map[string]*Weights{"plectrum": Plectrum()} {
		assert.Equal(t, 1.0, w[Preference], name)
		assert.NotEqual(t, *ByHand(), *w, name)
		assert.Positive(t, w[Shift], name)
	}
	Plectrum()[Height] = 99
	assert.NotEqual(t, 99.0, Plectrum()[Height], "every caller has its own")
}

func FuzzReadWeights(f *testing.F) {
	f.Add("height 0.5\nopen-string -0.25\n")
	f.Add("# remark\nshift 1e3")
	f.Fuzz(func(t *testing.T, text string) {
		w, err := ReadWeights(strings.NewReader(text), "w")
		if err != nil {
			return
		}
		var b bytes.Buffer
		_, err = w.WriteTo(&b)
		require.NoError(t, err)
		back, err := ReadWeights(&b, "w")
		require.NoError(t, err)
		for k := range w {
			require.InDelta(t, w[k], back[k], 0.0006)
		}
	})
}

// Every term has words for players, and no two have the same.
func TestTermsHaveWords(t *testing.T) {
	seen := map[string]Term{}
	for term := range numTerms {
		words := term.Words()
		assert.NotEmpty(t, words, "%v", term)
		other, twice := seen[words]
		assert.False(t, twice, "%v and %v are both %q", term, other, words)
		seen[words] = term
	}
}
