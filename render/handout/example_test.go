package handout_test

import (
	"bytes"
	"fmt"
	"strings"

	"example.org/lickwright/render/handout"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
)

// A tab becomes a sheet with a section for each thing to practise.
func ExampleWriteSheet() {
	const tab = `Title: Low Lamp
Key: G major
Time: 4/4

e|-----------------|
B|-----------------|
G|-----------------|
D|---------0---2---|
A|-----2-----------|
E|-3---------------|
   1   2   3   4
`
	doc, err := tabtext.Read(strings.NewReader(tab), "low-lamp.tab", score.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	sheet := handout.Sheet{
		Practise: []string{"Let each note ring into the next."},
		Sections: []handout.Section{
			{Heading: "As it is", Score: doc.Score()},
			{Heading: "Once more", Score: doc.Score(), Remarks: []string{"With a swing."}},
		},
	}
	var page bytes.Buffer
	if err := handout.WriteSheet(&page, sheet, score.WriteOptions{}); err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(page.String()) {
		if strings.HasPrefix(line, "<h") && !strings.HasPrefix(line, "<html") && strings.Contains(line, "</h") {
			fmt.Print(line)
		}
	}
	// Output:
	// <h1>Low Lamp</h1>
	// <h2 id="practise">What to practise</h2>
	// <h2 id="contents">One by one</h2>
	// <h2>As it is</h2>
	// <h2>Once more</h2>
	// <h2 id="section-signs">Signs</h2>
}
