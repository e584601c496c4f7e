package tabtext

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// counted are metres with what a tempo counts in them, in quarter notes.
// Source: common practice; in compound metres the beat is a dotted note.
var counted = map[string]float64{"4/4": 1, "3/4": 1, "2/2": 1, "6/4": 1, "3/8": 1, "5/8": 1, "7/8": 1, "3+2+3/8": 1, "6/8": 1.5, "9/8": 1.5, "12/8": 1.5, "6/16": 0.75}

const beatTab = `Time: %s
Tempo: %s

e|--%s-|
B|--%s-|
G|--%s-|
D|--%s-|
A|--%s-|
E|--%s-|
`

func firstTempo(t *testing.T, text string, report func(score.Diagnostic)) (*Document, *score.Tempo) {
	t.Helper()
	d, err := Read(strings.NewReader(text), "beat.tab", score.ReadOptions{Report: report})
	require.NoError(t, err)
	for _, e := range d.Score().Parts[0].Measures[0].Events {
		if tempo, ok := e.(*score.Tempo); ok {
			return d, tempo
		}
	}
	t.Fatal("no tempo\n" + text)
	return nil, nil
}

// A number alone counts the beat of the metre, a named note value what it
// says; both are written back unchanged, and a piece that is written anew is
// read at the same speed.
func TestTempoCountsTheBeat(t *testing.T) {
	for metre, beat := range counted {
		for said, quarters := range map[string]float64{"64": 64 * beat, "63.5 bpm": 63.5 * beat, "q = 100": 100, "dotted quarter = 58": 87, "quarter = 97": 97} {
			name := metre + " " + said
			text := fmt.Sprintf(beatTab, metre, said, "5-7", "---", "---", "---", "---", "---")
			notes := 0
			d, tempo := firstTempo(t, text, func(d score.Diagnostic) {
				if d.Code == "tab-tempo-beat" {
					notes++
					assert.Equal(t, 2, d.Pos.Line)
				}
			})
			assert.Equal(t, quarters, tempo.QuartersPerMinute, name)
			assert.Equal(t, b2i(beat != 1 && !strings.Contains(said, "=")), notes, name)

			var out bytes.Buffer
			_, err := d.WriteTo(&out)
			require.NoError(t, err)
			assert.Equal(t, text, out.String())

			out.Reset()
			require.NoError(t, Write(&out, d.Score(), score.WriteOptions{}))
			_, again := firstTempo(t, out.String(), nil)
			assert.Equal(t, quarters, again.QuartersPerMinute, "%s\n%s", name, out.String())

			s := d.Score().Clone()
			for _, e := range s.Parts[0].Measures[0].Events {
				if e, ok := e.(*score.Tempo); ok {
					e.QuartersPerMinute = 111
				}
			}
			faster, err := d.Apply(s)
			require.NoError(t, err)
			out.Reset()
			_, err = faster.WriteTo(&out)
			require.NoError(t, err)
			_, again = firstTempo(t, out.String(), nil)
			assert.Equal(t, 111.0, again.QuartersPerMinute, "%s\n%s", name, out.String())
		}
	}
}

// Where the metre changes and the speed does not, the number follows.
func TestTempoFollowsTheMetre(t *testing.T) {
	d, _ := firstTempo(t, fmt.Sprintf(beatTab, "6/8", "64", "5-7", "---", "---", "---", "---", "---"), nil)
	s := d.Score().Clone()
	for _, e := range s.Parts[0].Measures[0].Events {
		if e, ok := e.(*score.TimeSignature); ok {
			e.Beats, e.BeatTypes = []string{"3"}, []int{4}
		}
	}
	simple, err := d.Apply(s)
	require.NoError(t, err)
	var out bytes.Buffer
	_, err = simple.WriteTo(&out)
	require.NoError(t, err)
	_, tempo := firstTempo(t, out.String(), nil)
	assert.Equal(t, 96.0, tempo.QuartersPerMinute)
	assert.Contains(t, out.String(), "Tempo: 96")
}
