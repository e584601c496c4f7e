package handout

import (
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/transform"
)

// block is the side of the squares by which screenshots are compared, in
// pixels: larger than a line of text, so that other fonts change little.
const block = 56

// The pictures of the README show what sheets look like now.
// LICKWRIGHT_WRITE_DOCS=1 takes them anew. They are compared by how much ink
// each part of the page has, since no two systems have the same fonts.
func TestPicturesOfTheReadme(t *testing.T) {
	f, err := os.Open(filepath.Join(outside.Root(), "testdata", "examples", "amber-street.tab"))
	require.NoError(t, err)
	defer f.Close()
	lick, err := tabtext.Read(f, "amber-street.tab", score.ReadOptions{})
	require.NoError(t, err)
	named, _ := transform.Annotate(lick.Score(), transform.AnnotateOptions{Show: []string{score.LabelDegree}})
	work := keys(t, "amber-street.tab")
	work.Worksheet, work.Practise = true, lick.Prose()
	for _, c := range []struct {
		name   string
		sheet  Sheet
		height int
	}{
		{"sheet.png", Sheet{Practise: lick.Prose(), Sections: []Section{{Score: named}}}, 880},
		{"worksheet.png", work, 910},
	} {
		path := filepath.Join("testdata", c.name)
		write := os.Getenv("LICKWRIGHT_WRITE_DOCS") != ""
		taken := path
		if !write {
			taken = filepath.Join(t.TempDir(), c.name)
		}
		full, err := filepath.Abs(taken)
		require.NoError(t, err)
		chromium(t, written(t, c.sheet), fmt.Sprintf("--window-size=728,%d", c.height), "--screenshot="+full)
		want, got := inkOf(t, path), inkOf(t, taken)
		assert.Equal(t, len(want), len(got), "%s has another size; LICKWRIGHT_WRITE_DOCS=1 takes it anew", c.name)
		assert.Less(t, differs(want, got), 0.3, "%s shows something else; LICKWRIGHT_WRITE_DOCS=1 takes it anew", c.name)

		// The comparison can fail: half a page is another page.
		half := append([]float64{}, want...)
		clear(half[len(half)/2:])
		assert.Greater(t, differs(want, half), 0.3)
	}
}

// inkOf returns how dark each square of a picture is, row by row, after its
// width and height.
func inkOf(t *testing.T, path string) []float64 {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	img, err := png.Decode(f)
	require.NoError(t, err)
	b := img.Bounds()
	var out []float64
	for y := b.Min.Y; y < b.Max.Y; y += block {
		for x := b.Min.X; x < b.Max.X; x += block {
			out = append(out, darkness(img, image.Rect(x, y, x+block, y+block).Intersect(b)))
		}
	}
	return out
}

func darkness(img image.Image, r image.Rectangle) float64 {
	sum := 0.0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			red, green, blue, _ := img.At(x, y).RGBA()
			sum += 1 - float64(red+green+blue)/(3*0xffff)
		}
	}
	return sum
}

// differs returns how much of the ink of a picture is elsewhere in another one.
func differs(a, b []float64) float64 {
	all, off := 0.0, 0.0
	for i := range a {
		all += a[i]
		if i < len(b) {
			off += math.Abs(a[i] - b[i])
		}
	}
	return off / max(all, 1)
}
