package midi

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"example.org/lickwright/score"
)

// Source: the table of variable-length quantities in the Standard MIDI Files
// 1.0 specification (RP-001, MIDI Manufacturers Association).
func TestVariableLengthQuantities(t *testing.T) {
	for _, test := range []struct {
		value uint32
		bytes []byte
	}{
		{0x00000000, []byte{0x00}},
		{0x00000040, []byte{0x40}},
		{0x0000007F, []byte{0x7F}},
		{0x00000080, []byte{0x81, 0x00}},
		{0x00002000, []byte{0xC0, 0x00}},
		{0x00003FFF, []byte{0xFF, 0x7F}},
		{0x00004000, []byte{0x81, 0x80, 0x00}},
		{0x00100000, []byte{0xC0, 0x80, 0x00}},
		{0x001FFFFF, []byte{0xFF, 0xFF, 0x7F}},
		{0x00200000, []byte{0x81, 0x80, 0x80, 0x00}},
		{0x08000000, []byte{0xC0, 0x80, 0x80, 0x00}},
		{0x0FFFFFFF, []byte{0xFF, 0xFF, 0xFF, 0x7F}},
	} {
		var tr track
		tr.add(int64(test.value), rankBegin, gomidi.NoteOn(0, 60, 64))
		f := smf.NewSMF1()
		f.TimeFormat = smf.MetricTicks(480)
		require.NoError(t, f.Add(tr.closed(int64(test.value))))
		var buf bytes.Buffer
		_, err := f.WriteTo(&buf)
		require.NoError(t, err)
		_, body, found := bytes.Cut(buf.Bytes(), []byte("MTrk"))
		require.True(t, found)
		want := append(append([]byte{}, test.bytes...), 0x90, 60, 64, 0x00, 0xFF, 0x2F, 0x00)
		assert.Equal(t, want, body[4:], "%#x", test.value)
	}
}

// The division holds all times exactly, or says that it does not.
func TestDivision(t *testing.T) {
	for _, test := range []struct {
		times []score.Quarters
		want  int64
		exact bool
	}{
		{nil, 480, true},
		{[]score.Quarters{score.Q(1, 2), score.Q(1, 3)}, 480, true},
		{[]score.Quarters{score.Q(1, 7)}, 483, true},
		{[]score.Quarters{score.Q(1, 7), score.Q(1, 16), score.Q(1, 9)}, 1008, true},
		{[]score.Quarters{score.Q(1, 32749)}, 32749, true},
		{[]score.Quarters{score.Q(1, 32749), score.Q(1, 2)}, roundDivision, false},
	} {
		c, exact := newClock(test.times)
		assert.Equal(t, test.want, c.division)
		assert.Equal(t, test.exact, exact)
		for _, q := range test.times {
			if exact {
				assert.Equal(t, q, score.Q(c.ticks(q), c.division))
			}
		}
	}
}

// Beats as they are clicked. Source: common practice of conducting.
func TestBeats(t *testing.T) {
	metre := func(beats string, kind int, length score.Quarters) *score.TimeSignature {
		return &score.TimeSignature{Beats: []string{beats}, BeatTypes: []int{kind}, Length: length}
	}
	for _, test := range []struct {
		metre  *score.TimeSignature
		length score.Quarters
		want   []score.Quarters
	}{
		{nil, score.Q(3, 1), []score.Quarters{{}, score.Q(1, 1), score.Q(2, 1)}},
		{metre("4", 4, score.Q(4, 1)), score.Q(4, 1), []score.Quarters{{}, score.Q(1, 1), score.Q(2, 1), score.Q(3, 1)}},
		{metre("6", 8, score.Q(3, 1)), score.Q(3, 1), []score.Quarters{{}, score.Q(3, 2)}},
		{metre("3", 8, score.Q(3, 2)), score.Q(3, 2), []score.Quarters{{}, score.Q(1, 2), score.Q(1, 1)}},
		{metre("3+2+2", 8, score.Q(7, 2)), score.Q(7, 2), []score.Quarters{{}, score.Q(3, 2), score.Q(5, 2)}},
		{metre("2", 2, score.Q(4, 1)), score.Q(4, 1), []score.Quarters{{}, score.Q(2, 1)}},
	} {
		assert.Equal(t, test.want, beats(test.metre, test.length))
	}
}
