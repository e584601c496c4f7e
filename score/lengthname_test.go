package score

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Names of lengths. Source: American names of note values, dots and tuplets
// as handbooks of notation have them (a dot adds half, two dots three
// quarters; three triplet notes last as long as two), common practice.
func TestLengthName(t *testing.T) {
	for _, tt := range []struct {
		num, den  int64
		one, many string
	}{
		{1, 1, "quarter", "quarters"},
		{3, 2, "dotted quarter", "dotted quarters"},
		{7, 4, "double-dotted quarter", "double-dotted quarters"},
		{1, 2, "eighth", "eighths"},
		{1, 4, "sixteenth", "sixteenths"},
		{1, 8, "thirty-second", "thirty-seconds"},
		{2, 1, "half", "half notes"},
		{3, 1, "dotted half", "dotted half notes"},
		{4, 1, "whole", "wholes"},
		{8, 1, "breve", "breves"},
		{1, 3, "triplet eighth", "triplet eighths"},
		{2, 3, "triplet quarter", "triplet quarters"},
		{4, 3, "triplet half", "triplet half notes"},
		{1, 6, "triplet sixteenth", "triplet sixteenths"},
		{1, 5, "quintuplet sixteenth", "quintuplet sixteenths"},
		{2, 7, "septuplet eighth", "septuplet eighths"},
		{5, 2, "half tied to an eighth", "half tied to an eighth each"},
		{5, 3, "quarter tied to a triplet quarter", "quarter tied to a triplet quarter each"},
		{5, 6, "eighth tied to a triplet eighth", "eighth tied to a triplet eighth each"},
		{5, 1, "whole tied to a quarter", "whole tied to a quarter each"},
		{1, 9, "1/9 of a quarter", "1/9 of a quarter each"},
		{0, 1, "0 quarters", "0 quarters each"},
	} {
		assert.Equal(t, tt.one, LengthName(Q(tt.num, tt.den)), "%d/%d", tt.num, tt.den)
		assert.Equal(t, tt.many, LengthNames(Q(tt.num, tt.den)), "%d/%d", tt.num, tt.den)
	}
}

func TestBarLengthName(t *testing.T) {
	for _, tt := range []struct {
		num, den int64
		want     string
	}{
		{4, 1, "4 quarters"}, {1, 1, "1 quarter"}, {7, 2, "7 eighths"}, {3, 4, "3 sixteenths"}, {4, 3, "4 triplet eighths"}, {1, 9, "1/9 quarters"},
	} {
		assert.Equal(t, tt.want, BarLengthName(Q(tt.num, tt.den)))
	}
}

// Every name is another one, but for lengths that have none.
func TestLengthNamesDiffer(t *testing.T) {
	seen := map[string]Quarters{}
	for num := int64(1); num <= 64; num++ {
		for _, den := range []int64{1, 2, 3, 4, 5, 6, 7, 8, 12, 16} {
			q := Q(num, den)
			name := LengthName(q)
			was, ok := seen[name]
			assert.True(t, !ok || was == q, "%s: %s and %s", name, was, q)
			seen[name] = q
		}
	}
}
