// Package diagram draws pictures of the neck: a scale, an arpeggio or a
// pattern where it lies ([OfLayout]), the whole neck with its positions and
// the joins between them ([OfNeck]), a chord as a hand holds it ([OfVoicing]),
// a phrase in the order in which it is played ([OfPhrase]). [Draw] makes a
// picture for SVG and PNG of them, [Text] the same for a terminal, [Frames] the
// pictures of a video.
//
// What a note is to its chord is told by shape: the root is a house, for it is
// home, a chord tone a tile, any other note a disc. So pictures need no colour.
//
// A [Diagram] holds no music of its own and is never read back. All values are
// plain; drawing them is safe for concurrent use as long as nobody changes
// them.
package diagram
