package routine

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

func pageOf(t testing.TB, scale string, scheme fretboard.Scheme, show ...Kind) []Page {
	t.Helper()
	tonic, has, sc, err := theory.ParseScale(scale)
	require.NoError(t, err)
	require.True(t, has)
	s, err := New(Options{Tonic: tonic, Scale: sc, Neck: fretboard.Guitar(), Scheme: scheme, Run: transform.UpAndDown, Show: show})
	require.NoError(t, err)
	return s.Pages
}

func shapeNamed(t testing.TB, name string) fretboard.Scheme {
	t.Helper()
	shape, err := fretboard.ParseShape(fretboard.Standard(), name)
	require.NoError(t, err)
	return fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}
}

// The fifth string's fret 10 is the index finger's in the scale, and so is fret
// 9 of the next string, where it reaches back. In the arpeggio of Cmaj7 nothing
// comes between. Source: common practice.
func TestOneFingerDoesNotPlayTwoFretsInARow(t *testing.T) {
	page := pageOf(t, "C major", shapeNamed(t, "D"), Arpeggio, Scale)[0]
	seventh := page.Exercises[1].Lines[0]
	assert.Equal(t, "6/12(3) 5/10(2) 4/9(1) 4/10(2) 3/9(1)", placesAndFingers(seventh[:5]))
	scale := page.Exercises[2].Lines[0]
	assert.Equal(t, "6/10(1) 6/12(3) 6/13(4) 5/10(1) 5/12(3) 4/9(1) 4/10(2)", placesAndFingers(scale[:7]))
}

func placesAndFingers(l Line) string {
	text := ""
	for _, m := range l {
		text += fmt.Sprintf(" %d/%d(%d)", m.Notes[0].Place.String, m.Notes[0].Place.Fret, m.Notes[0].Finger)
	}
	return text[1:]
}

// Whatever is practised wherever: what lies within four frets is played
// without one finger on two frets in a row, since a hand has a finger for each
// fret; scales keep their fingers, and lines without such a place keep theirs.
func TestLinesAreFingeredForAHand(t *testing.T) {
	changed, hops := 0, 0
	for _, scale := range []string{"C major", "A minor pentatonic", "E blues", "G harmonic minor", "Bb lydian dominant", "C whole tone", "F# diminished"} {
		for _, scheme := range []fretboard.Scheme{
			fretboard.ChordShape{}, fretboard.PerString{Notes: []int{3}}, fretboard.PerString{Notes: []int{2}}, fretboard.Open{}, fretboard.Position{Fret: 5}, fretboard.Window{From: 3, To: 8},
		} {
			for _, p := range pageOf(t, scale, scheme, Arpeggio, Pentatonic, Scale, Sequences, Sweeps, Views, JoinPosition) {
				scales := fingersOf(p.Layout)
				for _, e := range p.Exercises {
					for _, l := range e.Lines {
						asInScale, hopped := true, false
						for i, m := range l {
							if len(m.Notes) != 1 || e.Kind == JoinPosition {
								continue
							}
							asInScale = asInScale && m.Notes[0].Finger == scales[m.Notes[0].Place]
							if i > 0 && len(l[i-1].Notes) == 1 {
								a, b := l[i-1].Notes[0].Place, m.Notes[0].Place
								hopped = hopped || a.Fret > 0 && b.Fret > 0 && a.Fret != b.Fret && scales[a] == scales[b] && scales[a] != 0
							}
						}
						assert.True(t, asInScale || hopped, "%s, %s: %s", p.Title, e.Title, lineText(l))
						if !asInScale {
							changed++
						}
						for _, run := range runsOf(l) {
							low, high, hop := run[0].Place.Fret, run[0].Place.Fret, 0
							for i, n := range run {
								low, high = min(low, n.Place.Fret), max(high, n.Place.Fret)
								if i > 0 && n.Finger == run[i-1].Finger && n.Place.Fret != run[i-1].Place.Fret && !n.Slid {
									hop++
								}
							}
							hops += hop
							if high-low < 4 {
								assert.Zero(t, hop, "%s, %s: %s", p.Title, e.Title, lineText(l))
							}
						}
					}
				}
			}
		}
	}
	assert.Greater(t, changed, 100)
	assert.Positive(t, hops, "a hand that has to shift further is still asked for somewhere")
}

func lineText(l Line) string {
	text := ""
	for _, m := range l {
		if len(m.Notes) == 1 {
			text += placesAndFingers(Line{m}) + " "
		}
	}
	return text
}

// runsOf cuts a line into notes that fingers stop one after the other.
func runsOf(l Line) [][]Note {
	var runs [][]Note
	var run []Note
	for _, m := range append(l[:len(l):len(l)], Moment{}) {
		if len(m.Notes) == 1 && m.Notes[0].Place.Fret > 0 && m.Notes[0].Finger >= score.Index && m.Notes[0].Finger <= score.Little {
			run = append(run, m.Notes[0])
			continue
		}
		if len(run) > 0 {
			runs = append(runs, run)
		}
		run = nil
	}
	return runs
}
