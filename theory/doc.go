// Package theory holds the music theory that everything else stands on:
// spelled pitches, named intervals, keys and degrees, scales and chords, and
// the arithmetic between them; and the questions that are put to them: which
// scale holds these notes, which key is this in, how is a line spelled that
// came without letters.
//
// Everything here is a pure value or a pure function: no necks, no files, no
// mutable package state. All of it is safe for concurrent use, and slices
// that are returned belong to the caller.
//
// Spelling is kept throughout. F♯ and G♭ are different names with one sound;
// functions that compare sound say so. Transposing a spelled pitch by a named
// interval is exact arithmetic on two integers (letters and semitones), which
// is the line of fifths in other coordinates: one fifth up is 4 letters and
// 7 semitones.
//
// The front doors: [ParsePitch], [ParseInterval] and [ParseKey]; [ParseScale],
// [FindScales] and [Scale.Neighbours]; [ParseChord], [Chord.Kind] and
// [Chord.Scales]; [ParseProgression] and [Key.Roman]; [FindKey], [FindChords]
// and [SpellLine]. Every parser returns a [*ParseError] that points into the
// text and hints at what to write.
//
// Where a function must choose, such as spelling a sound that came without a
// letter, it says by which published rule. Where it guesses, as the Find
// functions do, it ranks its guesses and says how far it believes each.
package theory
