package tabtext

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestHeldOverACut: in a line without bar lines a note lasts until the next one,
// over the bars that the reader cuts (common practice). Dead notes do not last, and tab has
// no sign for a harmonic that is held.
func TestHeldOverACut(t *testing.T) {
	rows := func(b, g string) string { return "e|" + dashes(b) + "\nB|" + b + "\nG|" + g + "\n" }
	for _, c := range []struct{ name, text string }{
		{"bar 2, 4: 0+1/2=~2.5 1/2+1/2=2.8", rows("-5-8-5-8-5-8-5-5---8-5-8-5-8-5--", "--------------------------------")},
		{"bar 2, 4: 0+4=~2.5\nbar 3, 4: 0+1/2=~2.5 1/2+1/2=2.8", rows("-5-8-5-8-5-8-5-5-------------------8-5-", "---------------------------------------")},
		{"bar 2, 4: 0+1/2=~2.5,~3.7", rows("-5-8-5-8-5-8-5-5---8-5-8-5-8-5--", "---------------7----------------")},
		{"bar 2, 4: 0+1/2=~3.7 1/2+1/2=2.8", rows("-5-8-5-8-5-8-5-x---8-5-8-5-8-5--", "---------------7----------------")},
		{"bar 2, 4: 0+1/2=rest 1/2+1/2=2.8", rows("-5-8-5-8-5-8-5-x---8-5-8-5-8-5--", "--------------------------------")},
		{"7/2+1/2=2.5\nbar 2, 4: 0+1/2=~2.5/h> 1/2+1/2=2.8/>h", rows("-5-8-5-8-5-8-5-5h--8-5-8-5-8-5--", "--------------------------------")},
		{"7/2+1/2=2.5/bend2\nbar 2, 4: 0+1/2=~2.5 1/2+1/2=2.8", rows("-5-8-5-8-5-8-5-5b7-8-5-8-5-8-5--", "--------------------------------")},
		{"7/2+1/2=3.12/harm1:0:0\nbar 2, 4: 0+1/2=rest 1/2+1/2=2.8", rows("-5-8-5-8-5-8-5-----8-5-8-5-8-5--", "--------------<12>--------------")},
	} {
		text := c.text
		got, said := found(t, text)
		assert.Contains(t, got, c.name, text)
		assert.Contains(t, said, "tab-no-bars")
	}
	// A line that begins with room, and one that ends, are not held over anything.
	got, _ := found(t, rows("-5-8-5-8-5-8-5-5", "----------------")+"\n"+rows("---------8-5-8-5", "----------------"))
	assert.Contains(t, got, "bar 2, 4: 0+2=rest 2+1/2=2.8")
}

func dashes(s string) string {
	out := []byte(s)
	for i := range out {
		out[i] = '-'
	}
	return string(out)
}
