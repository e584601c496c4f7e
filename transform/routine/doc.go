// Package routine makes practice sheets: what is played in each position of a
// scheme, from a scale, a neck and what is to be shown.
//
// [New] makes a [Sheet] of pages, one for each position; a page holds
// exercises, an exercise lines of notes on the neck. [Sheet.Score] writes
// them out in a metre as a score, which every format can show. Nothing here
// guesses at music: all notes come from the scale, the chords and the scheme
// ([fretboard.Scheme]) that are asked for, and what does not fit is said on
// the page.
//
// Everything is a pure function of its options; sheets for several keys may be
// made at once.
package routine
