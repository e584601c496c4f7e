package theory_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

func TestParseProgression(t *testing.T) {
	c := mustKey(t, "C major")
	tests := []struct {
		in   string
		key  *theory.Key
		want string
	}{
		{"Am7 | D7 G7 | %", nil, "Am7 | D7 G7 | %"},
		{"| Am7 | D7 G7 ||", nil, "Am7 | D7 G7"},
		{"|C|F|G|", nil, "C | F | G"},
		{"C / / G7", nil, "C / / G7"},
		{"C . G .", nil, "C G"},
		{"C / / /", nil, "C"},
		{"C | F\nG7 | C", nil, "C | F | G7 | C"},
		{"C |\r\n| F", nil, "C | F"},
		{"|: Dm7 | G7 :| Cmaj7", nil, "Dm7 | G7 | Dm7 | G7 | Cmaj7"},
		{"||: Dm7 | G7 :|| x3 Cmaj7", nil, "Dm7 | G7 | Dm7 | G7 | Dm7 | G7 | Cmaj7"},
		{"A | |: % | B :|", nil, "A | % | B | A | B"},
		{"A | B :|", nil, "A | B | A | B"},
		{"C7 (b9, #11) | F", nil, "C7 (b9, #11) | F"},
		{"ii7 V7 | Imaj7", &c, "Dm7 G7 | Cmaj7"},
		{"ii7 | D7 | V7/V bVII", &c, "Dm7 | D7 | D7 Bb"},
		{"Am add9 | Dm7 b5 G7 #9 | C", nil, "Am add9 | Dm7 b5 G7 #9 | C"},
		{"N.C. | C/E F#ø7", nil, "N.C. | C/E F#ø7"},
	}
	for _, tt := range tests {
		p, err := theory.ParseProgression(tt.in, tt.key)
		require.NoError(t, err, tt.in)
		assert.Equal(t, tt.want, p.String(), tt.in)
		for _, bar := range p {
			parts := 0
			for _, c := range bar.Chords {
				parts += c.Parts
			}
			assert.Equal(t, bar.Parts, parts)
			assert.NotEmpty(t, bar.Chords)
		}
	}
	p, err := theory.ParseProgression("C / / G7", nil)
	require.NoError(t, err)
	assert.Equal(t, []int{4, 3, 1}, []int{p[0].Parts, p[0].Chords[0].Parts, p[0].Chords[1].Parts})
	p, err = theory.ParseProgression("Am7 | D7 | G7 | %", nil)
	require.NoError(t, err)
	assert.Equal(t, "ii7 | V7 | I7 | %", p.Roman(mustKey(t, "G major")))
	assert.Equal(t, "Cm7 | F7 | Bb7 | %", p.Transpose(mustInterval(t, "m3")).String())
	assert.Len(t, p.Chords(), 4)
}

func TestProgressionErrors(t *testing.T) {
	for _, tt := range []struct {
		in, msg string
		offset  int
	}{
		{"", "no chords", 0},
		{" | | ", "no chords", 0},
		{"% | C", "no bar before", 0},
		{"/ C", "no chord before", 0},
		{"C | / G", "no chord before", 4},
		{"C %", "stands alone", 2},
		{"Am7 | Dq7", `"q7" means nothing`, 7},
		{"Am7\nD7 | Gmaj7 Hm", "begin with a root", 15},
		{"ii7 | V7", "begin with a root", 0},
		{"C / maj7", "begin with a root", 4},
		{"C xyz", "begin with a root", 2},
	} {
		_, err := theory.ParseProgression(tt.in, nil)
		var parse *theory.ParseError
		if assert.ErrorAs(t, err, &parse, tt.in) {
			assert.Contains(t, err.Error(), tt.msg, tt.in)
			assert.Equal(t, tt.offset, parse.Offset, tt.in)
		}
	}
}

func TestGeneratedProgressionsRoundTrip(t *testing.T) {
	r := seeded()
	for range 500 {
		var text string
		for bar := range 1 + r.IntN(8) {
			if bar > 0 {
				text += " | "
				if r.IntN(5) == 0 {
					text += "%"
					continue
				}
			}
			for c := range 1 + r.IntN(4) {
				if c > 0 {
					text += " "
				}
				text += randomSymbol(r)
				for range r.IntN(3) {
					text += " /"
				}
			}
		}
		p, err := theory.ParseProgression(text, nil)
		require.NoError(t, err, text)
		back, err := theory.ParseProgression(p.String(), nil)
		require.NoError(t, err, p.String())
		require.Equal(t, p, back, text)
		k := theory.KeyOf(r.IntN(15)-7, theory.Major)
		roman, err := theory.ParseProgression(p.Roman(k), &k)
		require.NoError(t, err, p.Roman(k))
		require.Equal(t, len(p), len(roman))
		for i := range p {
			require.Equal(t, p[i].Parts, roman[i].Parts, fmt.Sprint(text, "\n", p.Roman(k)))
			for j := range p[i].Chords {
				require.True(t, p[i].Chords[j].Chord.Same(roman[i].Chords[j].Chord), p.Roman(k))
			}
		}
	}
}

func FuzzParseProgression(f *testing.F) {
	for _, s := range []string{"Am7 | D7 G7 | %", "|: C / / G7 :| x3", "C7 (b9)\nF", ":|:|", "x9|:"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := theory.ParseProgression(s, nil)
		if err != nil {
			_ = err.Error()
			return
		}
		back, err := theory.ParseProgression(p.String(), nil)
		require.NoError(t, err, p.String())
		require.Equal(t, p.String(), back.String())
	})
}
