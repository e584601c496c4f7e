package tabtext

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestTupletNumbers: a number without a bracket makes a tuplet where it has a group of
// even notes and the bar comes out. Common practice; what is meant is what a
// player takes the row for.
func TestTupletNumbers(t *testing.T) {
	const triplets = "0+1/3(3:2)=1.5 1/3+1/3(3:2)=1.7 2/3+1/3(3:2)=1.8"
	for _, c := range []struct {
		name, over, row, under, want string
		used                         bool
	}{
		{"in the middle, twice, then quarters", "     3     3", "-5-7-8-5-7-8-7-----5-----|", "", triplets + " 1+1/3(3:2)=1.5 4/3+1/3(3:2)=1.7 5/3+1/3(3:2)=1.8 2+1=1.7 3+1=1.5", true},
		{"under the tab", "", "-5-7-8-5-7-8-7-----5-----|", "     3     3", triplets + " 1+1/3(3:2)=1.5 4/3+1/3(3:2)=1.7 5/3+1/3(3:2)=1.8 2+1=1.7 3+1=1.5", true},
		{"at the first notes", "   3     3", "-5-7-8-5-7-8-7-----5-----|", "", triplets + " 1+1/3(3:2)=1.5 4/3+1/3(3:2)=1.7 5/3+1/3(3:2)=1.8 2+1=1.7 3+1=1.5", true},
		{"one, over the tab", "     3", "-5-7-8-7---8---7---|", "", triplets + " 1+1=1.7 2+1=1.8 3+1=1.7", true},
		{"one, under the tab", "", "-5-7-8-7---8---7---|", "     3", triplets + " 1+1=1.7 2+1=1.8 3+1=1.7", true},
		{"later in the bar", "             3", "-7---8---5-7-8-7---|", "", "0+1=1.7 1+1=1.8 2+1/3(3:2)=1.5 7/3+1/3(3:2)=1.7 8/3+1/3(3:2)=1.8 3+1=1.7", true},
		{"beside eighths", "     3", "-5-7-8-7---5-8-7---|", "", triplets + " 1+1=1.7 2+1/2=1.5 5/2+1/2=1.8 3+1=1.7", true},
		{"all four beats", "     3     3     3     3", "-5-7-8-5-7-8-5-7-8-5-7-8-|", "", "3+1/3(3:2)=1.5 10/3+1/3(3:2)=1.7 11/3+1/3(3:2)=1.8", true},
		{"no group there", "              3              3", "-5---7---8---7---|-5---7---8---7---|", "", "0+1=1.5 1+1=1.7 2+1=1.8 3+1=1.7", false},
		{"the bar does not come out", "     3     3", "-5-7-8-7-5-8-7-5-|", "", "0+1/2=1.5 1/2+1/2=1.7 1+1/2=1.8 3/2+1/2=1.7", false},
	} {
		text := ""
		if c.over != "" {
			text = c.over + "\n"
		}
		text += "e|" + c.row + "\nB|" + silence(c.row) + "\nG|" + silence(c.row) + "\n"
		if c.under != "" {
			text += c.under + "\n"
		}
		got, said := found(t, text)
		assert.Contains(t, got, c.want, "%s\n%s", c.name, text)
		assert.Equal(t, !c.used, slices.Contains(said, "tab-tuplet-numbers"), "%s %v", c.name, said)
	}
	// With counts the counts hold, and the numbers are reported.
	got, said := found(t, "e|-5-7-8-7---8---7---|\nB|-------------------|\nG|-------------------|\n   1 & 2 &   3   4\n     3     3\n")
	assert.Contains(t, got, "0+1/2=1.5 1/2+1/2=1.7")
	assert.Contains(t, said, "tab-tuplet-numbers")
}

// silence is a row as long as another, with its bar lines and nothing on it.
func silence(row string) string {
	out := []byte(row)
	for i, c := range out {
		if c != '|' {
			out[i] = '-'
		}
	}
	return string(out)
}
