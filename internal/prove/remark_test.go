package prove

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/score"
)

// A dot adds half, three triplet notes last as long as two. Source: common
// practice.
func TestLengthsInWords(t *testing.T) {
	for _, tt := range []struct {
		num, den int64
		want     string
	}{
		{1, 1, "quarter"}, {3, 2, "dotted quarter"}, {1, 3, "triplet eighth"}, {2, 3, "triplet quarter"}, {3, 4, "dotted eighth"},
		{5, 2, "half tied to an eighth"}, {9, 4, "half tied to a sixteenth"}, {1, 5, "1/5 of a quarter"}, {3, 1, "dotted half"},
	} {
		assert.Equal(t, tt.want, lengthText(score.Q(tt.num, tt.den)))
	}
}
