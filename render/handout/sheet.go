package handout

import (
	"io"
	"slices"

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
	// Ask names what a worksheet asks for, of [TaskNames]; everything if empty.
	Ask []string
	// Answers says where those of a worksheet stand.
	Answers Answers
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

// Answers is where the answers of a worksheet stand.
type Answers int

// The places of answers. Both are drawn from one value whatever is written, so
// a sheet without answers and the answers alone belong together.
const (
	AnswersBehind Answers = iota // on pages of their own behind the sheet
	AnswersLeftOut
	AnswersOnly // without the sheet: the teacher's key
)

// The things that a worksheet asks for.
const (
	TaskName  = "name"  // write the degrees, or names, of notes
	TaskFind  = "find"  // find a degree wherever it stands
	TaskShape = "shape" // fill in the notes on the neck
)

// TaskNames lists what a worksheet can ask for, in its order on the page.
func TaskNames() []string { return []string{TaskName, TaskFind, TaskShape} }

// asks tells whether the worksheet asks for a thing.
func (s Sheet) asks(name string) bool { return len(s.Ask) == 0 || slices.Contains(s.Ask, name) }

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
