package diagram

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// In a picture of few pixels every word that is left can be read (a font of 8
// pixels, from memory about the least that screens draw legibly; one of three
// signs in a dot may be a fifth less), nothing overlaps, and what is missing is
// said. Dots and shapes are always there.
func TestSmallPicturesLeaveOutWhatCannotBeRead(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor").chord("Am7")
	for i := range 8 {
		n := m.play(at(1+i%4, 5+i%4))[0]
		n.Techniques = append(n.Techniques, score.Bend{Amount: score.Q(2, 1)})
	}
	lick, _ := OfPhrase(m.score(), PhraseOptions{})
	sets := map[string][]Diagram{"lick": lick}
	for _, name := range []string{"C major", "F# lydian"} {
		c, r := scaleOf(t, name)
		n := fretboard.Guitar()
		ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
		neck, err := OfNeck(n, c.Scale, r, 0, n.TopFret(), ls, fretboard.ScaleLength)
		require.NoError(t, err)
		for _, l := range ls[:5] {
			sets[name] = append(sets[name], OfLayout(l, r, fretboard.ToneSet{}))
		}
		sets[name+", neck"] = []Diagram{neck}
	}
	labels, lost := 0, 0
	for name, ds := range sets {
		for i, pixels := range []float64{80, 120, 200, 320, 640, 5000} {
			for _, o := range []Options{looks()[i], looks()[7-i]} {
				pic, left := DrawAt("A title", ds, o, pixels)
				got := readSVG(t, pic)
				say := fmt.Sprintf("%s at %.0f px, %+v, without %v", name, pixels, o, left)
				checkRoom(t, say, got)
				notes := 0
				for _, neck := range got.necks {
					for _, note := range neck.notes {
						notes++
						assert.NotEmpty(t, note.shape.class)
						if note.label != "" {
							labels++
						} else {
							lost++
						}
					}
				}
				dots := 0
				for _, d := range ds {
					dots += len(d.Dots)
				}
				assert.Equal(t, dots, notes, say)
				for _, it := range got.all {
					if it.kind != "text" {
						continue
					}
					size := (it.box.y2 - it.box.y1) / ink.CapHeight * pixels / pic.Width
					least := readable
					if it.class == "label" {
						least *= .8
					}
					assert.GreaterOrEqual(t, size, least-.01, "%s: %s %q", say, it.class, it.text)
				}
				for _, what := range left {
					assert.Contains(t, got.desc, what)
				}
				if len(left) == 0 {
					assert.Equal(t, Draw("A title", ds, o), pic, say)
				}
				assert.False(t, pixels >= 5000 && len(left) > 0, say)
			}
		}
	}
	assert.Positive(t, labels)
	assert.Positive(t, lost)
	// A single position at 200 pixels keeps its degrees and its frets.
	pic, left := DrawAt("", sets["C major"][1:2], Options{}, 200)
	neck := readSVG(t, pic).necks[0]
	for _, note := range neck.notes {
		assert.NotEmpty(t, note.label)
	}
	assert.NotEmpty(t, neck.frets)
	assert.NotContains(t, left, "what stands in the dots")
	whole, none := DrawAt("", sets["C major"][1:2], Options{}, 0)
	assert.Equal(t, Draw("", sets["C major"][1:2], Options{}), whole)
	assert.Empty(t, none)
}
