package fretboard

import "math"

// A Node is a spot at which a lightly touched string sounds a natural
// harmonic.
type Node struct {
	Fret      int     // the nearest fret above the open string (or the capo)
	At        float64 // the exact spot in frets: 3.86 for the node called fret 4
	Partial   int     // which partial sounds, 2 to maxPartial
	Semitones int     // above the open string, rounded: 12, 19, 24, 28, …
}

// maxPartial is the highest partial that is looked for. Above it the nodes
// lie closer than a fingertip and players do not name them by frets.
const maxPartial = 6

// nodeTolerance is how far, in frets, a node may lie from the fret that it is
// called by.
const nodeTolerance = 0.2

// Nodes returns the natural harmonics of a string up to a fret, by fret. When
// several partials have a node at a fret, the lowest partial sounds.
//
// Computed from the vibrating string: partial p has nodes at k/p of the
// length, which is -12·log2(1−k/p) frets from the open end, and sounds
// 12·log2(p) semitones above it.
func Nodes(topFret int) []Node {
	var nodes []Node
	for fret := 1; fret <= topFret; fret++ {
		if n, ok := NodeAt(fret); ok {
			nodes = append(nodes, n)
		}
	}
	return nodes
}

// NodeAt returns the natural harmonic that is called by a fret, and whether
// there is one.
func NodeAt(fret int) (Node, bool) {
	for p := 2; p <= maxPartial; p++ {
		for k := 1; k < p; k++ {
			at := -12 * math.Log2(1-float64(k)/float64(p))
			if math.Abs(at-float64(fret)) <= nodeTolerance {
				return Node{fret, at, p, int(math.Round(12 * math.Log2(float64(p))))}, true
			}
		}
	}
	return Node{}, false
}

// HarmonicPlaces returns every place at which a natural harmonic sounds the
// MIDI key number, string 1 first and low frets first. Place.Fret is the node.
func (n Neck) HarmonicPlaces(midi int) []Place {
	var places []Place
	nodes := Nodes(n.TopFret())
	for s := 1; s <= n.Tuning.Len(); s++ {
		over := midi - n.Tuning.Open(s).MIDI() - n.Capo
		for _, node := range nodes {
			if node.Semitones == over {
				places = append(places, Place{s, node.Fret})
			}
		}
	}
	return places
}
