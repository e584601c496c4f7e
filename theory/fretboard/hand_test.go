package fretboard_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory/fretboard"
)

// The hand stands where players put it. Source: common practice, the fret of
// the index finger in each of the five shapes of the scale, the shape where it
// lies nearest to the nut; 0 is open position.
func TestHandOfTheShapes(t *testing.T) {
	for _, tt := range []struct {
		scale string
		at    map[string]int
	}{
		{"C major", map[string]int{"C": 0, "A": 2, "G": 5, "E": 7, "D": 10}},
		{"G major", map[string]int{"G": 0, "E": 2, "D": 5, "C": 7, "A": 9}},
		{"F major", map[string]int{"E": 0, "D": 3, "C": 5, "A": 7, "G": 10}},
		{"Bb major", map[string]int{"A": 0, "G": 3, "E": 5, "D": 8, "C": 10}},
		{"A major", map[string]int{"A": 0, "G": 2, "E": 4, "D": 7, "C": 9}},
		{"A minor pentatonic", map[string]int{"A": 0, "G": 2, "E": 5, "D": 7, "C": 10}},
		{"G minor pentatonic", map[string]int{"G": 0, "E": 3, "D": 5, "C": 8, "A": 10}},
		{"C minor pentatonic", map[string]int{"C": 0, "A": 3, "G": 5, "E": 8, "D": 10}},
		{"E minor pentatonic", map[string]int{"E": 0, "D": 2, "C": 5, "A": 7, "G": 9}},
		{"G major pentatonic", map[string]int{"G": 0, "E": 2, "D": 5, "C": 7, "A": 9}},
		{"A harmonic minor", map[string]int{"E": 5, "D": 7, "C": 10, "A": 0, "G": 2}},
		{"D harmonic minor", map[string]int{"D": 0, "C": 3, "A": 5, "G": 7, "E": 10}},
	} {
		set := tones(t, tt.scale)
		got := map[string]int{}
		for _, r := range fretboard.Once(regions(t, fretboard.ChordShape{}, fretboard.Guitar(), set)) {
			got[r.Name[:1]] = r.Index
		}
		assert.Equal(t, tt.at, got, tt.scale)
	}
}

// Fingers of whole positions, string 6 first. Source: common practice.
func TestFingersOfShapes(t *testing.T) {
	for _, tt := range []struct{ scale, shape, frets, fingers string }{
		{"G major", "E", "2 3 5 | 2 3 5 | 2 4 5 | 2 4 5 | 3 5 | 2 3 5", "1 2 4 | 1 2 4 | 1 3 4 | 1 3 4 | 2 4 | 1 2 4"},
		{"A minor pentatonic", "E", "5 8 | 5 7 | 5 7 | 5 7 | 5 8 | 5 8", "1 4 | 1 3 | 1 3 | 1 3 | 1 4 | 1 4"},
		{"C major", "A", "3 5 | 2 3 5 | 2 3 5 | 2 4 5 | 3 5 6 | 3 5", "2 4 | 1 2 4 | 1 2 4 | 1 3 4 | 1 3 4 | 2 4"},
		{"C major", "C", "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3", "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3"},
		{"G major", "G", "0 2 3 | 0 2 3 | 0 2 4 | 0 2 | 0 1 3 | 0 2 3", "0 2 3 | 0 2 3 | 0 2 4 | 0 2 | 0 1 3 | 0 2 3"},
	} {
		set := tones(t, tt.scale)
		for _, r := range fretboard.Once(regions(t, fretboard.ChordShape{}, fretboard.Guitar(), set)) {
			if r.Name[:1] != tt.shape {
				continue
			}
			l := r.Lay(set)
			assert.Equal(t, tt.frets, laid(l), "%s, %s", tt.scale, r.Name)
			assert.Equal(t, tt.fingers, fingered(l), "%s, %s", tt.scale, r.Name)
		}
	}
}

// fingered writes the fingers of a layout as laid writes its frets, 0 for none.
func fingered(l fretboard.Layout) string {
	on := l.Fingers()
	for i, s := range l.Spots {
		f, ok := on[s.Place]
		l.Spots[i].Place.Fret = 0
		if ok {
			l.Spots[i].Place.Fret = 1 + int(f)
		}
	}
	return laid(l)
}

// Two copies of a shape have the same fingers, wherever no string is open, and
// no other place of the hand within the frets of the shape reaches less often.
func TestCopiesOfAShapeAreFingeredAlike(t *testing.T) {
	n := fretboard.Guitar()
	for _, key := range keys() {
		for _, scale := range eighteenScales() {
			set := tones(t, key+" "+scale)
			low := map[string]fretboard.Layout{}
			for _, r := range regions(t, fretboard.ChordShape{}, n, set) {
				l := r.Lay(set)
				least := len(l.Spots)
				for index := max(r.Low, 1); index <= r.High; index++ {
					beyond := 0
					for _, s := range l.Spots {
						if f := s.Place.Fret; f > 0 && (f < index || f > index+3) {
							beyond++
						}
					}
					least = min(least, beyond)
				}
				reached := 0
				for _, s := range l.Spots {
					if s.Reach > 0 {
						reached++
					}
				}
				assert.LessOrEqual(t, reached, least, "%s, %s at %d", set.Title, r.Name, r.Index)
				if r.Low == 0 {
					continue
				}
				if first, ok := low[r.Name]; ok {
					require.Equal(t, first.Region.Index+12, r.Index, "%s, %s", set.Title, r.Name)
					assert.Equal(t, fingered(first), fingered(l), "%s, %s", set.Title, r.Name)
				} else {
					low[r.Name] = l
				}
			}
		}
	}
}
