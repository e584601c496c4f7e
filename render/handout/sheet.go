package handout

import (
	"io"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// CodeEmpty is the code of a section that has nothing to engrave.
const CodeEmpty = "sheet-empty"

// A Sheet is what is handed out. The zero value of each field leaves it out.
type Sheet struct {
	Title    string // of the first section's music if ""
	Subtitle string
	Author   string
	// Practise is what the teacher says about it, a paragraph each.
	Practise []string
	Sections []Section
	// Worksheet leaves half of it blank, asks for it, and adds the answers.
	Worksheet bool
}

// A Section is one key or position of a sheet.
type Section struct {
	Heading string       // "" for a sheet of one section
	Score   *score.Score // nil for pictures alone
	// Layouts are pictured on the neck: the positions that the section is
	// about. Without them the places of the music are pictured.
	Layouts []fretboard.Layout
	Remarks []string // said under the heading, a line each
}

// Write writes a score as a sheet of one section, as all formats do.
func Write(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	return WriteSheet(w, Sheet{Sections: []Section{{Score: s}}}, opt)
}

// WriteSheet writes a sheet as one file of HTML in UTF-8. What it cannot show
// goes to opt.Report: parts without strings and frets, and as
// [score.NotDone] a section that has nothing to engrave, or a sheet without
// sections. opt.Width has no meaning here. Errors are those of w.
func WriteSheet(w io.Writer, s Sheet, opt score.WriteOptions) error {
	return page(s, opt).write(w)
}
