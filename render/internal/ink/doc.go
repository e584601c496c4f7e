// Package ink is what pictures are made of: shapes and text with colours,
// collected in a [Picture] that is written as SVG ([Picture.WriteSVG], or
// [Picture.Inline] for a page) and as PNG ([Picture.WritePNG]).
//
// Lengths are user units, of which one is a CSS pixel at natural size (96 to
// the inch); x grows to the right and y downwards. Text stays text in SVG; in
// PNG it is drawn with the Go fonts. What is drawn is the same in both, and the
// same on every run.
//
// It knows nothing of music. All types are values that the caller owns;
// writing them is safe for concurrent use as long as nobody changes them.
package ink
