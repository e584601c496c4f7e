package score_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// rat is the same number in the standard library's exact arithmetic, which
// the tests of Quarters check against.
func rat(q score.Quarters) *big.Rat { return big.NewRat(q.Num(), q.Den()) }

func randomQuarters(r *rand.Rand) score.Quarters {
	den := []int64{1, 2, 3, 4, 5, 7, 8, 12, 480, 1 << 20}[r.IntN(10)]
	return score.Q(r.Int64N(4000)-2000, den)
}

// TestQuartersArithmetic: sums, differences, products, quotients and order
// are those of math/big.
func TestQuartersArithmetic(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 20_000 {
		a, b := randomQuarters(r), randomQuarters(r)
		require.Zero(t, rat(a.Add(b)).Cmp(new(big.Rat).Add(rat(a), rat(b))), "%s + %s", a, b)
		require.Zero(t, rat(a.Sub(b)).Cmp(new(big.Rat).Sub(rat(a), rat(b))), "%s - %s", a, b)
		require.Zero(t, rat(a.Mul(b)).Cmp(new(big.Rat).Mul(rat(a), rat(b))), "%s * %s", a, b)
		if !b.IsZero() {
			require.Zero(t, rat(a.Div(b)).Cmp(new(big.Rat).Quo(rat(a), rat(b))), "%s / %s", a, b)
		}
		require.Equal(t, rat(a).Cmp(rat(b)), a.Cmp(b), "%s and %s", a, b)
		require.Equal(t, a == b, a.Cmp(b) == 0)
		f, _ := rat(a).Float64()
		require.InDelta(t, f, a.Float(), 1e-9)
		back, ok := score.ParseQuarters(a.String())
		require.True(t, ok)
		require.Equal(t, a, back)
	}
}

// TestQuartersOverflow: what does not fit is invalid and stays so; it is
// never a wrong number.
func TestQuartersOverflow(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	big1 := func() score.Quarters { return score.Q(r.Int64(), r.Int64N(math.MaxInt64)+1) }
	limit := big.NewInt(math.MaxInt64)
	fits := func(x *big.Rat) bool { return x.Num().CmpAbs(limit) <= 0 && x.Denom().Cmp(limit) <= 0 }
	for range 5_000 {
		a, b := big1(), big1()
		for _, op := range []struct {
			got  score.Quarters
			want *big.Rat
		}{
			{a.Add(b), new(big.Rat).Add(rat(a), rat(b))},
			{a.Mul(b), new(big.Rat).Mul(rat(a), rat(b))},
			{a.Sub(b), new(big.Rat).Sub(rat(a), rat(b))},
		} {
			if op.got.Invalid() {
				continue
			}
			require.True(t, fits(op.want))
			require.Zero(t, rat(op.got).Cmp(op.want))
		}
	}
	bad := score.Q(1, 0)
	assert.True(t, bad.Invalid())
	one := score.Q(1, 1)
	for _, q := range []score.Quarters{bad.Add(one), one.Add(bad), bad.Mul(one), one.Div(bad), bad.Neg(), one.Div(score.Quarters{}), score.Q(math.MaxInt64, 1).Add(one)} {
		assert.True(t, q.Invalid(), "%v", q)
	}
	assert.Equal(t, "?", bad.String())
	assert.True(t, one.Less(bad), "invalid times come last")
}

func TestParseQuarters(t *testing.T) {
	for text, want := range map[string]score.Quarters{
		"1": score.Q(1, 1), " 1.5 ": score.Q(3, 2), "-0.25": score.Q(-1, 4), ".5": score.Q(1, 2), "0.333": score.Q(333, 1000), "6/4": score.Q(3, 2), "-.5": score.Q(-1, 2),
	} {
		got, ok := score.ParseQuarters(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "-", ".", "1,5", "x", "1/0", "1.2.3", "1e3", "99999999999999999999", "1.-5"} {
		_, ok := score.ParseQuarters(text)
		assert.False(t, ok, text)
	}
}

// TestNoteValues: the lengths of written values (common practice): a dot adds
// half, a second dot half of that.
func TestNoteValues(t *testing.T) {
	for want, v := range map[string]score.NoteValue{
		"4": {Log: 0, Known: true}, "1": {Log: 2, Known: true}, "3/2": {Log: 2, Dots: 1, Known: true}, "7/4": {Log: 2, Dots: 2, Known: true},
		"1/256": {Log: 10, Known: true}, "8": {Log: -1, Known: true}, "0": {},
	} {
		assert.Equal(t, want, v.Quarters().String())
	}
}

func ExampleQuarters() {
	third := score.Q(1, 3) // a triplet eighth
	fmt.Println(third.Add(third).Add(third), score.Q(3, 2).Sub(third))
	// Output: 1 7/6
}
