// Package transform holds the transforms: pure functions from a score to a
// new score and a list of what there is to say about it. The score that goes
// in is never changed, so one score can be taken to twelve keys at once, from
// several goroutines.
//
// Transforms know no format and no file. What they cannot do they name, note
// by note, as diagnostics of severity [score.NotDone]; what they decided
// where there was a choice they report as warnings.
package transform
