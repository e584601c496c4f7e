package tabtext

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLabelsInWords: names of strings as people write them out. Common practice.
func TestLabelsInWords(t *testing.T) {
	const row = "|-5---7---8---7---|"
	rest := silence(row)
	for _, names := range [][]string{
		{"high e", "B", "G", "D", "A", "low E"}, {"hi E ", "B ", "G ", "D ", "A ", "lo E "}, {"e string", "B string", "G string", "D string", "A string", "E string"},
		{"E-string ", "B-string ", "G-string ", "D-string ", "A-string ", "E-string "}, {"High E: ", "B: ", "G: ", "D: ", "A: ", "Low E: "},
		{"top e ", "B ", "G ", "D ", "A ", "bottom E "}, {"string 1 ", "string 2 ", "string 3 ", "string 4 ", "string 5 ", "string 6 "},
	} {
		wide := 0
		for _, n := range names {
			wide = max(wide, len(n))
		}
		text := ""
		for i, n := range names {
			line := rest
			if i == 0 {
				line = row
			}
			text += strings.Repeat(" ", wide-len(n)) + n + line + "\n"
		}
		got, _ := found(t, text)
		assert.Equal(t, "part \"\"\nbar 1, 4: (E2 A2 D3 G3 B3 E4) 0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7\n", got, text)
	}
	for _, line := range []string{"high e - the thin one", "low E is tuned down", "top - bottom", "string theory - a primer", "G string - broken"} {
		_, _, ok := parseRow(newSource("x", []byte(line+"\n")).columns(0))
		assert.False(t, ok, line)
	}
}

// TestOtherSigns: letters and dashes that stand for the signs of a row; an edit keeps
// them where it can.
func TestOtherSigns(t *testing.T) {
	for _, c := range []struct{ name, text, want, said string }{
		{"I", "eI-5---7---8---7---I\nBI-----------------I\nGI-----------------I\n", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", ""},
		{"l", "el-5---7---l-8-------l\nBl---------l---------l\nGl---------l---------l\n", "", ""},
		{"!", "e!-5---7---8---7---!\nB!-----------------!\nG!-----------------!\n", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", ""},
		{"O", "e|-O---7---1O--7---|\nB|-O---------------|\nG|-----------------|\n", "0+1=1.0,2.0 1+1=1.7 2+1=1.10 3+1=1.7", "tab-letter-o"},
		{"O that the file explains", "O = natural harmonic\n\ne|-5---7---12O-7---|\nB|-----------------|\nG|-----------------|\n", "2+1=1.12/harm", ""},
		{"long dashes", "e|-5—-7—-8—-7—-|\nB|————————-|\nG|————————-|\n", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", "tab-long-dash"},
		{"dashes of print", "e|—5———7———8———7———|\nB|—————————————————|\nG|—————————————————|\n", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", ""},
		{"counts from the edge", "1   2   3   4\ne|-5---7---8---7---|\nB|-----------------|\nG|-----------------|\n", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", "tab-count-shifted"},
		{"counts under their notes", "e|-5---7---8---7---|\nB|-----------------|\nG|-----------------|\n   1   2   3   4\n", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", ""},
	} {
		got, said := found(t, c.text)
		assert.Contains(t, got, c.want, c.name)
		for _, code := range []string{"tab-letter-o", "tab-long-dash", "tab-count-shifted"} {
			assert.Equal(t, code == c.said, slices.Contains(said, code), "%s %s", c.name, code)
		}
	}
	d := readText(t, "eI-5---7---8---7---I\nBI-----------------I\nGI-----------------I\n")
	edited, err := d.Apply(shift(d.Score(), 2))
	require.NoError(t, err)
	assert.Equal(t, "eI-7---9---10--9---I\nBI-----------------I\nGI-----------------I\n", text(t, edited))
}
