// Package fingering puts notes on the neck: for a phrase it finds the strings,
// frets and fingers that cost a hand least, exactly.
//
// A [Problem] is groups of notes that are struck together, with what is
// prescribed for them and what neck and hand there are. Its solution is a path
// through states: where each sounding note is stopped and by which finger,
// and at which fret the hand stands. What a hand cannot do is no state or no
// step (state.go, gadget.go); everything else has a price, a sum of the named
// terms of cost.go times the [Weights].
//
// One trellis (trellis.go) is walked by several algebras (algebra.go): the
// best path ([Solve]), the best k ([Alternatives]), how many there are
// ([Count]), the least of the widest stretches ([LeastStretch]), and the
// likelihood with its gradient, from which the weights are learnt (learn.go).
// [WhyNot] says by which terms another fingering loses, or which rule it
// breaks.
//
// The package knows no score and no file but its own weights. All functions
// may be called from several goroutines at once.
package fingering
