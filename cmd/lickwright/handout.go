package main

import (
	"io"

	"example.org/lickwright/render/handout"
	"example.org/lickwright/score"
)

// bindHandout writes one result or several as a sheet to hand out.
func bindHandout(w io.Writer, b binding, opt score.WriteOptions) error {
	sheet := handout.Sheet{Title: b.title, Practise: b.practise, Worksheet: b.worksheet}
	for _, p := range b.pages {
		heading := p.heading
		if len(b.pages) == 1 {
			heading = ""
		}
		sheet.Sections = append(sheet.Sections, handout.Section{Heading: heading, Score: p.score, Layouts: p.layouts, Remarks: p.remarks})
	}
	return handout.WriteSheet(w, sheet, opt)
}
