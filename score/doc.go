// Package score is the note model: what is written, when, and how it is
// played. Readers make it, transforms make a new one from it, writers show
// it. It knows no format and no file.
//
// The tree is [Score] → [Part] → [Measure] → [Event] → [Note]. Times are
// exact rational quarter notes ([Quarters]). Pitches are spelled and at the
// sounding octave; how the page writes them (octave clef, transposing
// instrument) is said by [PageTranspose] events, and where they lie on the
// neck by [Note.Place] under the [NeckChange] in force.
//
// A score that was read is not to be changed in place: clone it
// ([Score.Clone]) and change the clone. Reading a score from several
// goroutines at once is safe.
package score
