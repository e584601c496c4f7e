package people_test

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/transform/fingering"
	"example.org/lickwright/transform/fingering/internal/people"
)

func read(t *testing.T) []*people.Piece {
	t.Helper()
	pieces, err := people.Read(outside.Shared(t, "data", "fingering"))
	require.NoError(t, err)
	return pieces
}

func tallies(pieces []*people.Piece, c people.Choice) (list []people.Tally, sum people.Tally) {
	for _, p := range pieces {
		all, _ := p.Judge(c(p.Problem))
		list = append(list, all)
		sum.Add(all)
	}
	return list, sum
}

// Source: the README of the data: how many statements of a kind there are,
// and how the two trivial policies score. Ours differ by a point or two,
// since two voices in unison are one note here and grace notes come first.
func TestTheDataAreReadAsTheirReadmeSays(t *testing.T) {
	pieces := read(t)
	assert.Len(t, pieces, 55)
	_, sum := tallies(pieces, people.LowestFret)
	assert.Equal(t, 355, sum[people.Played].Of)
	assert.InDelta(t, 607, sum[people.Strings].Of, 6)
	assert.InDelta(t, 607+472, sum[people.StringsOpen].Of, 10)
	assert.InDelta(t, 1409+927+831+879, sum[people.Fingers].Of, 10)
	share := func(c people.Choice, set people.Set) float64 {
		list, _ := tallies(pieces, c)
		s, low, high := people.Interval(set, list)
		assert.LessOrEqual(t, low, s)
		assert.GreaterOrEqual(t, high, s)
		return s
	}
	for set, want := range map[people.Set]float64{people.Played: 60.3, people.Strings: 8.1, people.StringsOpen: 48.0} {
		assert.InDelta(t, want, share(people.LowestFret, set), 2.5, set.String())
	}
	for set, want := range map[people.Set]float64{people.Played: 80.3, people.Strings: 48.6, people.StringsOpen: 41.5} {
		assert.InDelta(t, want, share(people.NearestFret, set), 2.5, set.String())
	}
}

// The weights of the program, on the data that they were learnt from, beat
// both trivial policies on every set at once. What they do on pieces that they
// were not learnt from stands in their file.
func TestWeightsAgreeWithPeople(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	pieces := read(t)
	_, low := tallies(pieces, people.LowestFret)
	_, near := tallies(pieces, people.NearestFret)
	_, got := tallies(pieces, people.Fingered(fingering.Plectrum()))
	for _, set := range []people.Set{people.Played, people.Strings, people.StringsOpen, people.Fingers} {
		assert.Greater(t, got[set].Right, low[set].Right, set.String())
		assert.Greater(t, got[set].Right, near[set].Right, set.String())
	}
}

// Lines that follow from a rule of the trade; the file says which, and that
// the lines were there before the search. At least so many come out exactly.
func TestLinesThatFollowFromRules(t *testing.T) {
	f, err := os.Open("../../testdata/trade.txt")
	require.NoError(t, err)
	defer f.Close()
	lines, err := people.ReadLines(f, "trade.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(lines), 40)
	count := func(c people.Choice) (n int) {
		for _, l := range lines {
			assert.NotEmpty(t, l.Rule, l.Name)
			if l.Right(c(l.Problem)) {
				n++
			}
		}
		return n
	}
	got := count(people.Fingered(fingering.Plectrum()))
	assert.Greater(t, got, count(people.LowestFret))
	assert.Greater(t, got, count(people.NearestFret))
	assert.GreaterOrEqual(t, got, 31)
}

func TestReadLinesSaysWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"a | standard | 90 2 | 1.0":          "f:1: 4 fields where 5 are wanted",
		"a | standard | 90 2 | 1.40 | r":     `f:1: "1.40" is no place`,
		"# x\na | standard | 90 2 | 7.1 | r": `f:2: "7.1" is no place`,
	} {
		_, err := people.ReadLines(strings.NewReader(text), "f")
		assert.EqualError(t, err, want)
	}
}

// Every made line can be played as it stands.
func TestRulesMakePlayableLines(t *testing.T) {
	lines := people.Rules(3, 96)
	for _, p := range lines {
		stops := make([][]fingering.Stop, len(p.Problem.Groups))
		for g := range stops {
			stops[g] = make([]fingering.Stop, len(p.Problem.Groups[g].Notes))
		}
		for _, s := range p.Stated {
			stops[s.At.Group][s.At.Note].Place = s.Place
			assert.Equal(t, p.Problem.Groups[s.At.Group].Notes[s.At.Note].Pitch, p.Problem.Neck.Stopped(s.Place))
		}
		c, err := fingering.WhyNot(p.Problem, fingering.ByHand(), stops)
		require.NoError(t, err)
		assert.Empty(t, c.Broken, "%v", stops)
	}
}
