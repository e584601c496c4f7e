// Package midi writes music as Standard MIDI Files, to be heard and played
// along with. [Write] writes a score as it stands; [WriteAll] writes several
// one after the other, with a count-in, clicks, chords, swing and repetition.
//
// The file is of format 1: a track with title, tempo, metre and key, one for
// each part, one for clicks and one for chords. It is as long as its music.
//
// # Time
//
// Ticks are exact: the division is a multiple of the least common multiple of
// all denominators of the times that are written. Only music whose multiple
// goes beyond 32767, the most that a file can say, is rounded, and that is
// reported. Bends and slides are curves and are sampled.
//
// Repeats, endings and the words D.C., D.S., Fine, Segno, To Coda and Coda are
// followed; after D.C. and D.S. repeats are not taken again and the last ending
// is played. Parts that have the same bars are played in one order.
//
// # Notes
//
// Each string of a fretted part has a channel of its own, so that a bend leaves
// its neighbours alone; channel 10 is for clicks. Where channels do not suffice,
// the strings of the later parts share one, which is reported. The range of the pitch
// wheel is set to [BendRange] semitones by registered parameter 0.
//
// A note sounds for as long as it is written, or until its string is struck
// again. Tied and held notes are not struck again; under "let ring" a note sounds on
// to the end of it. Shorter than written are palm-muted and staccato notes (half)
// and dead notes (a thirty-second). Grace notes take a sixteenth of a quarter
// note each from the time before their note. Trills and tremolos are played out
// in thirty-seconds. Hammer-ons, pull-offs and legato slides are softer than what is
// struck. Bends reach their target in a quarter of the note, slides leave in its
// last quarter. These are decisions of ours; the model says that such signs
// are there, not how long they take.
//
// What cannot be heard (percussion without pitch, cue notes) is left out and reported.
package midi
