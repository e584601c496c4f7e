// Package typo finds the name that a mistyped word most likely means.
package typo

import "strings"

// Nearest returns the index of the name nearest to a word, the first of equal
// ones, and -1 if none is within so many slips of a finger, or if as many as
// the word has letters would be needed. Capitals count as small letters. It may
// be called by several goroutines.
func Nearest(word string, names []string, most int) int {
	letters := []rune(strings.ToLower(word))
	best, fewest := -1, min(most+1, len(letters))
	for i, name := range names {
		other := []rune(strings.ToLower(name))
		if max(len(other)-len(letters), len(letters)-len(other)) >= fewest {
			continue // each letter too many is a slip
		}
		if n := slips(letters, other); n < fewest {
			best, fewest = i, n
		}
	}
	return best
}

// slips counts the letters to insert, delete, replace, or swap with their
// neighbour, to turn x into y.
// Source: optimal string alignment (Damerau 1964; Wagner & Fischer 1974).
func slips(x, y []rune) int {
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			other := 1
			if x[i-1] == y[j-1] {
				other = 0
			}
			row[j] = min(row[j-1]+1, last[j]+1, last[j-1]+other)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(y)]
}
