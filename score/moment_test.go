package score

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Source: common practice: a bar of 12/8 is counted as four beats of three
// eighths, one of 9/16 as three of three sixteenths, and a quarter of 4/4 has
// two eighths or three of a triplet.
func TestBeatName(t *testing.T) {
	for _, tt := range []struct {
		onset, beat Quarters
		want        string
	}{
		{Q(0, 1), Q(1, 1), "1"},
		{Q(3, 2), Q(1, 1), "2+1/2"},
		{Q(7, 4), Q(1, 1), "2+3/4"},
		{Q(2, 3), Q(1, 1), "1, third of the triplet"},
		{Q(10, 3), Q(2, 1), "2, third of the triplet"},
		{Q(7, 6), Q(1, 1), "2+1/6"},
		{Q(3, 1), Q(3, 2), "3"},
		{Q(7, 2), Q(3, 2), "3, second eighth"},
		{Q(4, 1), Q(3, 2), "3, third eighth"},
		{Q(15, 4), Q(3, 2), "3, fourth sixteenth"},
		{Q(1, 4), Q(3, 2), "1, second sixteenth"},
		{Q(10, 3), Q(3, 2), "3, first eighth, third of its triplet"},
		{Q(3, 8), Q(3, 2), "1, first eighth, fourth of its four"},
		{Q(29, 12), Q(3, 2), "2, second eighth, sixth of its sextuplet"},
		{Q(9, 10), Q(3, 2), "1, fourth of the quintuplet"},
		{Q(3, 4), Q(3, 2), "1, fourth sixteenth"}, // the second of a duplet
		{Q(2, 5), Q(1, 1), "1, third of the quintuplet"},
		{Q(1, 1), Q(3, 4), "2, second sixteenth"},
		{Q(1, 1), Q(0, 1), "?"},
	} {
		assert.Equal(t, tt.want, BeatName(tt.onset, tt.beat), "%s in beats of %s", tt.onset, tt.beat)
	}
}
