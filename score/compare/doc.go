// Package compare finds the musical differences of two scores: notes (pitch,
// time, place, technique, fingers), chord symbols, keys, metre and the other
// things that make the structure.
//
// # What is a difference
//
// Two scores differ in what both of them say. What one of them leaves open is
// no difference: a place on the neck where the other has notation only, a
// letter for a sound that tab gives by its fret, a key, tempo or tuning that
// only one of them states. What a format cannot hold at all is taken out of
// both scores; [Options] says it, as [Lacks]. So a score does not differ from
// its own conversion.
//
// Music is compared as it is heard and played, not as it is engraved: voices,
// rests, stems, beams, clefs, page transpositions, the note values that a
// duration is written in, the numbers of bars, the bar line at the very end and
// the frets of the neck beyond those that are played make no difference. A
// note that is tied on inside its bar is one note. Across a bar line a tie
// makes the second note one that is held, and only that is compared. Two chord
// symbols that mean the same are the same.
//
// # What is one difference
//
// Bars are aligned first, so that one bar put in is one difference and moves
// nothing after it. The parts of a score are aligned together. Inside two
// aligned bars the notes are aligned, each with at most one of the other side.
// Changes of the same kind on notes that follow each other are one difference
// if they are one change: the times of a tuplet that became uneven, notes that
// all moved by one interval, a palm mute over five notes. A key, metre, tempo
// or neck that stays changed from a point on is one difference at that point,
// as are all bars of a run that only one of the two has.
//
// The package reads no files and knows no formats.
package compare
