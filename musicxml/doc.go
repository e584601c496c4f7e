// Package musicxml reads, edits in place and writes MusicXML, versions 1.0 to
// 4.0, plain and compressed.
//
// [Read] makes a [Document], which owns the bytes of the file.
// [Document.Score] is the music in them. [Document.Apply] takes a changed
// score and edits only what differs; everything else, down to quotes, white
// space and comments, stays byte for byte. [Write] makes a new file from a
// score that has no file.
//
// The package does not transpose, finger or lay out music, and it does not
// repair files: what is odd is read as well as it can be, reported, and left
// as it is.
//
// # How it works
//
// One pass over the tokens of encoding/xml makes a flat list of element
// records over the source text (see index.go). The reader walks the records;
// every node of the model that comes from an element carries a handle that
// leads back to it. Apply compares the score with the one that was read,
// handle by handle, and turns differences into replacements of byte ranges,
// each the smallest element that can hold the change. etree writes the
// fragments that are new and whole new files.
//
// # Pitch, page and tab
//
// Pitches in the model are at the sounding octave. How the page writes them
// is decided staff by staff: a stated transposition applies, and an octave clef
// does not (MusicXML's <pitch> has it already), except where a staff's own strings and frets show that it does not (programs differ on
// whether it holds for tab). A staff of notation and a tab staff that show
// the same music are one music in the model, and edits reach both. A guitar
// in a plain treble clef, with nothing to say which octave it means, is read
// an octave below. Each of these decisions is reported.
//
// Where pitch and fret of a note contradict each other, the fret is read,
// since it is what a player of the tab plays, unless the caller wants the
// pitch (PitchWins); both values are reported.
package musicxml
