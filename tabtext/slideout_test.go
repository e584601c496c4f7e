package tabtext

import (
	"slices"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
)

// TestSlideOut: a slide with hyphens before its sign leads nowhere if no note
// follows on its string. What it means is common practice.
func TestSlideOut(t *testing.T) {
	rows := func(g string) string {
		return "e|-------------|\nB|-------------|\nG|" + g + "|\nD|-------------|\nA|-------------|\nE|-------------|\n"
	}
	for g, out := range map[string]bool{"-9-\\---------": true, "-9--\\--------": true, "-9-/---------": true, "-9\\----------": true, "-9-\\---7-----": false} {
		d := readText(t, rows(g))
		notes := slices.Collect(score.Notes(d.Score()))
		below := strings.Contains(g, "\\")
		assert.Equal(t, out, notes[0].Has(score.SlideEdge{Below: below}), g)
		checkLens(t, d, []byte(rows(g)))
	}
}
