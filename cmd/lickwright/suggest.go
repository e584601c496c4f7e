package main

import "example.org/lickwright/internal/typo"

// maxTypos is how many letters a word may be off to be taken for another.
const maxTypos = 2

// didYouMean returns a hint with the name nearest to a word, "" if none is
// near.
func didYouMean(word string, names []string) string {
	if i := typo.Nearest(word, names, maxTypos); i >= 0 {
		return "did you mean " + names[i] + "?"
	}
	return ""
}
