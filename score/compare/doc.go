// Package compare finds the musical differences of two scores: notes (pitch,
// time, place, technique, fingers), chord symbols, keys, metre and the other
// things that make the structure.
//
// # What is a difference
//
// Two scores differ in what both of them say. What one of them leaves open is
// no difference: a place on the neck where the other has notation only, a
// letter for a sound that tab gives by its fret, a key, tempo or tuning that
// only one of them states ([Differences] reads a key that ends as stated).
// What a format cannot hold at all is taken out of both with [Options.Skip],
// so that a score equals its own conversion.
//
// Music is compared as it is heard and played, not as it is engraved: voices,
// rests, stems, beams, clefs, page transpositions, the way in which a duration
// is divided into note values, the frets beyond the last note and the numbers
// of bars make no difference. Where a note is heard counts as time; a rest is
// where none is. Tied notes are compared one by one, since the tie tells where
// the player keeps holding.
//
// # What is one difference
//
// Bars are aligned first, so that one bar put in is one difference and moves
// nothing after it. The parts of a score are aligned together. Inside two
// aligned bars the notes are aligned, each with at most one of the other side.
// Changes of the same kind on notes that follow each other are one difference
// if they are one change: the times of a tuplet that became even, a palm mute
// over five notes. A key, metre, tempo or neck that stays changed from a
// point on is one difference at that point, as are all bars of a run that
// only one of the two has.
//
// The package reads no files and knows no formats.
package compare
