package tabtext

import (
	"slices"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOwnSigns: what is written anew has the signs of the file's own legend, so that the
// legend stays true. A new tab of the same music has the usual ones.
func TestOwnSigns(t *testing.T) {
	for _, c := range []struct{ name, legend, row, want, plain string }{
		{"two letters", "ho = hammer-on, po = pull-off", "-5ho7-7po5---8-----|", "5ho---7--7po5-", "5h--7-7p5-"},
		{"one sign for another", "^ = hammer-on", "-5^7-7---5---8-----|", "5^7-7---5-", "5h7-7-"},
		{"strokes behind the numbers", "v = down-stroke, ^ = up-stroke", "-5v--7^--5v--7^---|", "5v--7^--5v--7^-", "5---7-"},
		{"slap before, pop behind", "(s) slap\n(o) pop", "-s5--7o--s5--7o---|", "s5---7o-s5---7o-", "slap pop"},
		{"harmonics", "NH = natural harmonic", "-12NH----7NH------|", "12NH----7NH-", "<12>"},
		{"dead notes and vibrato", "~ = dead note, w = vibrato", "-5---~---7w--~----|", "5---~---7w--~-", "5---x---7~--x-"},
		{"a usual sign that has another meaning", "h = harmonic", "-5h7--12h---8-----|", "5H7", ""},
	} {
		text0 := c.legend + "\n\ne|" + c.row + "\nB|" + silence(c.row) + "\nG|" + silence(c.row) + "\n"
		d := readText(t, text0)
		s := d.Score().Clone()
		for ch := range s.Parts[0].Measures[0].Chords() {
			if !ch.IsRest() {
				ch.Notes[0].Finger = score.Index // what makes a row of its own
				break
			}
		}
		edited, err := d.Apply(s)
		require.NoError(t, err, c.name)
		out := text(t, edited)
		assert.Contains(t, out, "(fingers)", c.name)
		assert.Contains(t, out, c.want, c.name)
		assert.Contains(t, out, c.legend, c.name)
		var fresh strings.Builder
		require.NoError(t, Write(&fresh, d.Score(), score.WriteOptions{}))
		assert.Contains(t, fresh.String(), c.plain, c.name)
		checkLens(t, d, []byte(text0))
	}
}

// TestLegendUnmet: a sign that the file explains in words that mean nothing here is read
// as usual, and this is said once; not for signs that stand nowhere, nor for prose.
func TestLegendUnmet(t *testing.T) {
	for _, c := range []struct {
		legend string
		want   bool
	}{{"x = ghost note", true}, {"* = staccato", true}, {"x = dead note", false}, {"x = muted string", false}, {"w = whole note", false}, {"x: see below", false}, {"X = mute, / = slide up", false}} {
		_, said := found(t, c.legend+"\n"+c.legend+"\n\ne|-5-x-7*-5/7-x-7*-5-|\nB|------------------|\nG|------------------|\n")
		assert.Equal(t, c.want, slices.Contains(said, "tab-legend"), c.legend)
	}
}
