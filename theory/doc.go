// Package theory holds the music theory that everything else stands on:
// spelled pitches, named intervals, keys, degrees and chord symbols, and the
// arithmetic between them.
//
// Everything here is a pure value or a pure function: no necks, no files, no
// mutable package state. All of it is safe for concurrent use.
//
// Spelling is kept throughout. F♯ and G♭ are different names with one sound;
// functions that compare sound say so. Transposing a spelled pitch by a named
// interval is exact arithmetic on two integers (letters and semitones), which
// is the line of fifths in other coordinates: one fifth up is 4 letters and
// 7 semitones.
//
// The package does not guess. A function that must choose, such as spelling
// a sound that came without a letter, says by which rule it chooses.
package theory
