package main

import (
	"slices"
	"strings"
)

// maxTypos is how many letters a word may be off to be taken for another.
const maxTypos = 2

// didYouMean returns a hint with the names nearest to a word, "" if none is
// near.
func didYouMean(word string, names []string) string {
	type near struct {
		name string
		off  int
	}
	var list []near
	for _, n := range names {
		if d := editDistance(strings.ToLower(word), strings.ToLower(n)); d <= maxTypos && d < len(word) {
			list = append(list, near{n, d})
		}
	}
	if len(list) == 0 {
		return ""
	}
	slices.SortStableFunc(list, func(a, b near) int { return a.off - b.off })
	return "did you mean " + list[0].name + "?"
}

// editDistance counts the letters to insert, delete or replace to get from
// one word to another (Levenshtein 1966).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			diagonal, row[j+1] = row[j+1], min(diagonal+cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
