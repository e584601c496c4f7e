package main

import (
	"io"
	"slices"
	"strings"

	"example.org/lickwright/render/handout"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// bindHandout writes one result or several as a sheet to hand out.
func bindHandout(w io.Writer, b binding, opt score.WriteOptions) error {
	sheet := handout.Sheet{Title: b.title, Practise: b.practise}
	b.worksheet.set(&sheet)
	if sheet.Title == "" && !slices.ContainsFunc(b.pages, func(p page) bool { return p.score != nil && p.score.Title != "" }) {
		sheet.Title = b.name
	}
	for _, p := range b.pages {
		heading := prettyHeading(p.heading)
		if len(b.pages) == 1 {
			heading = ""
		}
		sheet.Sections = append(sheet.Sections, handout.Section{Heading: heading, Score: p.score, Layouts: p.layouts, Remarks: p.remarks})
	}
	return handout.WriteSheet(w, sheet, opt)
}

// prettyHeading writes the keys in a heading with the signs of music: a sheet
// is for readers, and no shell has to take its words.
func prettyHeading(heading string) string {
	words := strings.Split(heading, ", ")
	for i, w := range words {
		if k, modeSaid, err := theory.ParseKey(w); err == nil && modeSaid && k.String() == w {
			words[i] = k.Pretty()
		}
	}
	return strings.Join(words, ", ")
}
