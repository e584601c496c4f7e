// Package prove checks lesson material by what is written in it, and marks
// what students write.
//
// It takes music as readers give it (strings, frets, times, techniques) and
// knows the facts of music by itself: which letters sound how, which steps a
// scale has, which signature a key has (facts.go). It shares no code with
// what makes lessons, neither scales and chords (theory) nor positions
// (theory/fretboard) nor transforms, so that a mistake there does not pass
// here as well.
//
// [Sound] asks whether music is well formed; [Claim] whether it is what it is
// said to be; [Pages] takes what a practice sheet says of itself and proves it;
// [Mark] compares a student's tab with the task. All of them are pure
// functions and safe for concurrent use.
package prove
