// Package fretboard knows fretted instruments: tunings, places on the neck
// and what sounds there, harmonic nodes, and distances in millimetres.
//
// It holds pure values: no music in time, no files, no formats. Everything
// is safe for concurrent use as long as nobody writes to a Tuning's strings.
package fretboard
