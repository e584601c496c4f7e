package fretboard_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory/fretboard"
)

// A scheme written down lays out what the same words mean; the rows are by
// pencil, for A minor pentatonic and C major.
func TestParseScheme(t *testing.T) {
	for _, tt := range []struct{ text, scale, name, frets string }{
		{"scheme Corner box\nroot string 2, ring\nreach 1 0\nstrings 1-3\n", "A minor pentatonic", "Corner box", " |  |  | 7 9 | 8 10 | 8 10"},
		{"# mine\r\nscheme High five # at fret nine\r\nindex\t9\r\ncover 5\r\n", "C major", "High five", "10 12 13 | 10 12 | 9 10 12 | 9 10 12 | 10 12 13 | 10 12 13"},
		{"scheme Three and two\nnotes 3 2\ndegree 1\n", "C major", "Three and two, 3-2 notes per string from 1", "8 10 12 | 8 10 | 7 9 10 | 7 9 | 6 8 10 | 7 8"},
		{"\ufeffscheme: Held\nnotes: 3\ndegree: 5\nhold\nframes", "", "", ""},
		{"scheme Held\nnotes 3\ndegree 5\nhold", "C major", "Held, 3 notes per string from 5, holding position", "3 5 7 | 3 5 7 | 3 5 7 | 4 5 7 | 3 5 6 | 3 5 7"},
		{"scheme Low\nindex 1\nopen\nfrets 0-3", "C major", "Low", "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3"},
		{"scheme Outer\nstrings 1,6\nfrets 0-5", "C major", "Outer", "0 1 3 5 |  |  |  |  | 0 1 3 5"},
		{"scheme One\nstrings 1", "C major pentatonic", "One", " |  |  |  |  | 0 3 5 8 10 12 15 17 20 22"},
	} {
		scheme, err := fretboard.ParseScheme(tt.text, "mine.scheme")
		if tt.scale == "" {
			require.Error(t, err)
			continue
		}
		require.NoError(t, err, tt.text)
		set := tones(t, tt.scale)
		rs := regions(t, scheme, fretboard.Guitar(), set)
		assert.Equal(t, tt.name, rs[0].Name)
		assert.Equal(t, tt.frets, laid(rs[0].Lay(set)), tt.text)
		assert.True(t, strings.HasPrefix(tt.name, scheme.String()))
	}
}

func TestParseSchemeErrors(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"", "my.txt:1:1: the scheme has no name"},
		{"index 5\n", "my.txt:2:1: the scheme has no name"},
		{"scheme\n", `my.txt:1:1: "scheme" needs a value`},
		{"scheme A\n  fret 5", `my.txt:2:3: "fret" is no setting of a scheme`},
		{"scheme A\nindex five", `my.txt:2:7: "five" is no fret for the index finger`},
		{"scheme A\nindex 5\nroot string 5 index", `my.txt:2:1: both "root" and "index" say where the notes are`},
		{"scheme A\nindex 5\nindex 6", `my.txt:3:1: "index" is said twice, first in line 2`},
		{"scheme A\nroot  string 5, thumb", `my.txt:2:7: "string 5, thumb": "thumb" is neither a string nor a finger`},
		{"scheme A\nroot string 5", `my.txt:2:6: "string 5": it takes the string and the finger of the root`},
		{"scheme A\nnotes 3 0", `my.txt:2:9: a string takes 1 to 12 notes, not "0"`},
		{"scheme A\nnotes 3\ndegree bx", `my.txt:3:9: "bx": "x" is no degree number`},
		{"scheme A\nnotes 3\ncover 5", `my.txt:3:1: "cover" goes with a hand in one place`},
		{"scheme A\nindex 3\nhold", `my.txt:3:1: "hold" goes with notes on each string`},
		{"scheme A\nindex 3\nreach 1", "my.txt:3:7: reach takes two numbers of frets"},
		{"scheme A\nindex 3\nreach 1 x", `my.txt:3:9: a reach is 0 to 12 frets, not "x"`},
		{"scheme A\nindex 3\ncover 0", `my.txt:3:7: a hand covers 1 to 12 frets, not "0"`},
		{"scheme A\nindex 3\nopen yes", `my.txt:3:6: "open" takes no value`},
		{"scheme A\nstrings 0", `my.txt:2:9: "0": "0" names no strings`},
		{"scheme A\nfrets x", `my.txt:2:7: "x": it takes the lowest and the highest fret`},
		{"scheme A\n", "my.txt:1:1: the scheme does not say where its notes are"},
	} {
		_, err := fretboard.ParseScheme(tt.text, "my.txt")
		var se *fretboard.SchemeError
		require.ErrorAs(t, err, &se, tt.text)
		assert.Equal(t, tt.want, err.Error())
	}
	scheme, err := fretboard.ParseScheme("scheme A\nroot string 9 index", "my.txt")
	require.NoError(t, err)
	_, err = scheme.Regions(fretboard.Guitar(), tones(t, "C major"))
	assert.ErrorContains(t, err, "A: there is no string 9")
}

// Whatever the text: an error that points into it, or a scheme that gives
// regions or says why not.
func FuzzParseScheme(f *testing.F) {
	for _, s := range []string{
		"scheme A\nroot string 2, ring\nreach 1 0\nstrings 1-3\n", "scheme B\nnotes 3 2 3\ndegree b3\nhold", "scheme C\r\nindex 5\r\ncover 3\r\nopen", "\ufeffscheme D\nfrets 3-5 # x",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		scheme, err := fretboard.ParseScheme(text, "f")
		if err != nil {
			var se *fretboard.SchemeError
			require.ErrorAs(t, err, &se)
			lines := strings.Split(text, "\n")
			require.True(t, 1 <= se.Line && se.Line <= len(lines) && 1 <= se.Col && se.Col <= len(lines[se.Line-1])+4, "%v", err)
			return
		}
		set := tones(t, "C major")
		rs, err := scheme.Regions(fretboard.Guitar(), set)
		require.Equal(t, err == nil, len(rs) > 0)
		for _, r := range rs {
			for _, s := range r.Lay(set).Spots {
				require.True(t, r.Neck.Has(s.Place))
			}
		}
	})
}
