package typo

import (
	"testing"
	"testing/quick"

	"github.com/sergi/go-diff/diffmatchpatch"
	"github.com/stretchr/testify/assert"
)

// The values are textbook ones: kitten to sitting is 3 (Levenshtein's worked
// example in handbooks), CA to ABC is 3 for optimal string alignment, since no
// letter is touched twice.
func TestSlips(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"CA", "ABC", 3},
		{"A♭", "A♭", 0}, {"", "lick", 4}, {"dorain", "dorian", 1},
	} {
		assert.Equal(t, tt.want, slips([]rune(tt.a), []rune(tt.b)), "%s, %s", tt.a, tt.b)
		assert.Equal(t, tt.want, slips([]rune(tt.b), []rune(tt.a)), "%s, %s", tt.b, tt.a)
	}
}

// What a line comparison finds is one way from one word to the other, so its
// count is never less; and no word is nearer than the lengths differ.
func TestSlipsAreBounded(t *testing.T) {
	dmp := diffmatchpatch.New()
	law := func(a, b []bool) bool {
		x, y := letters(a), letters(b)
		n := slips([]rune(x), []rune(y))
		upper := dmp.DiffLevenshtein(dmp.DiffMain(x, y, false))
		return n <= upper && n >= max(len(x)-len(y), len(y)-len(x)) && (n == 0) == (x == y)
	}
	assert.NoError(t, quick.Check(law, nil))
}

func letters(bits []bool) string {
	var s []byte
	for _, b := range bits {
		if b {
			s = append(s, 'a')
		} else {
			s = append(s, 'b')
		}
	}
	return string(s)
}

func TestNearest(t *testing.T) {
	names := []string{"convert", "transpose", "tunings", "tuning"}
	for _, tt := range []struct {
		word string
		most int
		want int
	}{
		{"covnert", 1, 0}, {"CONVERT", 0, 0}, {"tuningz", 2, 2}, {"tuning", 0, 3}, {"play", 2, -1}, {"transport", 1, -1}, {"transport", 2, 1}, {"", 2, -1},
	} {
		assert.Equal(t, tt.want, Nearest(tt.word, names, tt.most), "%q", tt.word)
	}
	assert.Equal(t, -1, Nearest("x", []string{"y"}, 2), "another word altogether")
}
