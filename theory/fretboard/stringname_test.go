package fretboard_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Of two strings of one name the first is written small. Source: common practice
// of tab in text.
func TestStringName(t *testing.T) {
	for tuning, want := range map[string]string{"E A D G B E": "e B G D A E", "D A D G B E": "E B G D A D", "D A D G A D": "d A G D A D", "Eb Ab Db Gb Bb Eb": "e♭ B♭ G♭ D♭ A♭ E♭"} {
		tu, err := fretboard.ParseTuning(tuning)
		require.NoError(t, err)
		var got []string
		for str := 1; str <= tu.Len(); str++ {
			got = append(got, tu.StringName(str, theory.NoteName.Pretty))
		}
		assert.Equal(t, want, strings.Join(got, " "))
	}
}
