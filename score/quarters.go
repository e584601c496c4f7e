package score

import (
	"fmt"
	"math"
	"math/bits"
	"strconv"
	"strings"
)

// Quarters is an exact time in quarter notes, a rational number. The zero
// value is 0. Values are always in lowest terms, so == compares them.
//
// Numerator and denominator are 64-bit. A result that would not fit becomes
// [Quarters.Invalid], which stays invalid through further arithmetic, as NaN
// does; readers check for it and report it. Music comes nowhere near: it
// takes a denominator beyond 2^31 or so.
type Quarters struct {
	num int64
	den int64 // 0 means 1, so that the zero value is the number 0; -1 is invalid
}

// Q returns num/den quarter notes. It is invalid if den is 0.
func Q(num, den int64) Quarters {
	if den == 0 || num == math.MinInt64 || den == math.MinInt64 {
		return Quarters{0, -1}
	}
	if den < 0 {
		num, den = -num, -den
	}
	if g := gcd(num, den); g > 1 {
		num, den = num/g, den/g
	}
	if num == 0 || den == 1 {
		return Quarters{num, 0}
	}
	return Quarters{num, den}
}

func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Num returns the numerator in lowest terms.
func (q Quarters) Num() int64 { return q.num }

// Den returns the denominator in lowest terms, 1 or more; 0 if invalid.
func (q Quarters) Den() int64 {
	switch q.den {
	case 0:
		return 1
	case -1:
		return 0
	}
	return q.den
}

// Invalid tells whether a computation ran out of the range of the type.
func (q Quarters) Invalid() bool { return q.den == -1 }

// Add returns q + r.
func (q Quarters) Add(r Quarters) Quarters {
	if q.den == 0 && r.den == 0 {
		if s := q.num + r.num; (s > q.num) == (r.num > 0) {
			return Quarters{s, 0}
		}
		return Quarters{0, -1}
	}
	if q.den == -1 || r.den == -1 {
		return Quarters{0, -1}
	}
	g := gcd(q.Den(), r.Den())
	a, ok1 := mul(q.num, r.Den()/g)
	b, ok2 := mul(r.num, q.Den()/g)
	den, ok3 := mul(q.Den(), r.Den()/g)
	sum := a + b
	if !ok1 || !ok2 || !ok3 || (sum > a) != (b > 0) {
		return Quarters{0, -1}
	}
	return Q(sum, den)
}

// Sub returns q − r.
func (q Quarters) Sub(r Quarters) Quarters { return q.Add(r.Neg()) }

// Neg returns −q.
func (q Quarters) Neg() Quarters { return Quarters{-q.num, q.den} }

// Mul returns q · r.
func (q Quarters) Mul(r Quarters) Quarters {
	if q.den == -1 || r.den == -1 {
		return Quarters{0, -1}
	}
	g1, g2 := gcd(q.num, r.Den()), gcd(r.num, q.Den())
	if g1 == 0 || g2 == 0 {
		return Quarters{}
	}
	num, ok1 := mul(q.num/g1, r.num/g2)
	den, ok2 := mul(q.Den()/g2, r.Den()/g1)
	if !ok1 || !ok2 {
		return Quarters{0, -1}
	}
	return Q(num, den)
}

// Div returns q / r, invalid if r is 0.
func (q Quarters) Div(r Quarters) Quarters {
	if r.den == -1 {
		return r
	}
	return q.Mul(Q(r.Den(), r.num))
}

func mul(a, b int64) (int64, bool) {
	neg := (a < 0) != (b < 0)
	hi, lo := bits.Mul64(absU(a), absU(b))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if neg {
		return -int64(lo), true
	}
	return int64(lo), true
}

func absU(a int64) uint64 {
	if a < 0 {
		return uint64(-a)
	}
	return uint64(a)
}

// Cmp returns -1, 0 or +1 as q is less than, equal to or greater than r.
// Invalid times come last.
func (q Quarters) Cmp(r Quarters) int {
	switch {
	case q == r:
		return 0
	case q.den == -1:
		return 1
	case r.den == -1:
		return -1
	case q.den == r.den:
		return sign(q.num > r.num)
	}
	if (q.num < 0) != (r.num < 0) {
		return sign(q.num >= 0)
	}
	hi1, lo1 := bits.Mul64(absU(q.num), uint64(r.Den()))
	hi2, lo2 := bits.Mul64(absU(r.num), uint64(q.Den()))
	bigger := hi1 > hi2 || hi1 == hi2 && lo1 > lo2
	return sign(bigger == (q.num >= 0))
}

func sign(positive bool) int {
	if positive {
		return 1
	}
	return -1
}

// Less tells whether q comes before r.
func (q Quarters) Less(r Quarters) bool { return q.Cmp(r) < 0 }

// IsZero tells whether q is 0.
func (q Quarters) IsZero() bool { return q == Quarters{} }

// Sign returns -1, 0 or +1.
func (q Quarters) Sign() int { return q.Cmp(Quarters{}) }

// Float returns the nearest float64, for layout and display only.
func (q Quarters) Float() float64 { return float64(q.num) / float64(q.Den()) }

// String writes "3", "3/2", "-1/6", or "?" if invalid.
func (q Quarters) String() string {
	switch q.den {
	case -1:
		return "?"
	case 0:
		return strconv.FormatInt(q.num, 10)
	}
	return fmt.Sprintf("%d/%d", q.num, q.den)
}

// ParseQuarters reads a decimal ("1.5", "-0.25") or a fraction ("3/2")
// exactly. It reports whether the text is a number that fits.
func ParseQuarters(s string) (Quarters, bool) {
	s = strings.TrimSpace(s)
	if a, b, found := strings.Cut(s, "/"); found {
		num, err1 := strconv.ParseInt(a, 10, 64)
		den, err2 := strconv.ParseInt(b, 10, 64)
		q := Q(num, den)
		return q, err1 == nil && err2 == nil && !q.Invalid()
	}
	whole, frac, _ := strings.Cut(s, ".")
	if len(frac) > 15 || whole+frac == "" || whole == "-" && frac == "" || strings.ContainsAny(frac, "+-") {
		return Quarters{}, false
	}
	num, err := strconv.ParseInt(whole+frac, 10, 64)
	if err != nil {
		return Quarters{}, false
	}
	den := int64(1)
	for range frac {
		den *= 10
	}
	return Q(num, den), true
}
