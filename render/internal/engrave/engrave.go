package engrave

import (
	"example.org/lickwright/score"
)

// Codes of what is reported.
const (
	CodeNoNeck  = "tab-page-no-neck"  // a part that has no strings and frets
	CodeNoPlace = "tab-page-no-place" // a note that has none
)

// Lengths of the page, in units.
const (
	stringGap = 11.0 // between two strings
	fretSize  = 12.0 // of the numbers on the strings
	smallFret = 9.0  // of grace notes and cues
	chordSize = 13.5
	labelSize = 9.0 // of degrees, fingers and names of strings
	wordSize  = 10.0
)

// Options say how music is engraved.
type Options struct {
	// Width of the page in units; systems are as wide. 0 is 680 (180 mm).
	Width float64
	// Blank tells whether a label of a note is left to be filled in. kind is
	// the annotation's, or "fingers". It may be nil.
	Blank func(n *score.Note, kind string) bool
	// Filled tells the same of the answers: the label stands on the line of its
	// blank, bold, so that it is told from those that were given without colour.
	// It may be nil.
	Filled func(n *score.Note, kind string) bool
	// Ring tells whether a note has a ring around it. It may be nil.
	Ring func(n *score.Note) bool
	// Report is told what cannot be shown. It may be nil.
	Report func(score.Diagnostic)
}

// lines tells whether a label has a line under it: blank, or filled in.
func (o Options) lines(n *score.Note, kind string) (line, filled bool) {
	filled = o.Filled != nil && o.Filled(n, kind)
	return filled || o.Blank != nil && o.Blank(n, kind), filled
}

// An Engraving is music laid out as systems.
type Engraving struct {
	Systems []System
	// Signs are the names of the signs that were used, in order of their first
	// use; see [SignMeaning].
	Signs []string
}

// A System is one line of music across the page, of all parts.
type System struct {
	Scene
	First, Last int     // bars, from 0
	Used        float64 // width that the music takes; Width is that of the page
}

// Engrave lays the parts of a score that have a neck out as tab. Parts that
// have none are reported and left out; if none has one there are no systems.
func Engrave(s *score.Score, opt Options) Engraving {
	if opt.Width <= 0 {
		opt.Width = 680
	}
	c := collect(s, opt)
	if len(c.staves) == 0 || len(c.bars) == 0 {
		return Engraving{}
	}
	l := newLayouter(c)
	var out Engraving
	used := &signs{}
	for _, sys := range l.systems() {
		out.Systems = append(out.Systems, l.draw(sys, used))
	}
	out.Signs = used.names
	return out
}
