// Package fretboard knows fretted instruments: tunings, places on the neck
// and what sounds there, harmonic nodes, distances in millimetres, and the
// schemes by which players divide a neck.
//
// A [Scheme] finds [Region]s of a neck for a [ToneSet] (a scale, a chord): the
// five chord shapes ([ChordShape]), so many notes per string ([PerString]), a
// [Position], a [Window] of frets, [Strings], the [Open] position, one that a
// player describes in a text ([ParseScheme]), and any of them [Within] some
// strings and frets. A region says of each place whether it belongs and how
// well ([Region.Fit]), lays tones out as a rising run ([Region.Lay]) and holds
// chords ([Region.Voicings]). [ChainOf], [Joins], [Overlaps] and [Strokes] say
// how such layouts are practised.
//
// It holds pure values: no music in time, no files, no formats. Everything
// is safe for concurrent use as long as nobody writes to a Tuning's strings.
package fretboard
