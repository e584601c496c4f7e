package handout

import (
	_ "embed" // the template and the style sheet
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

//go:embed sheet.html
var sheetHTML string

//go:embed sheet.css
var sheetCSS string

// A pageData is what the template is filled with.
type pageData struct {
	CSS       template.CSS
	Title     string
	Subtitle  string
	Author    string
	Facts     []fact
	Practise  []string
	Steps     []string
	Cautions  []string
	Strain    string // "" where no caution is due
	Contents  []link
	Sheets    []sheetData // one, and for a worksheet the answers too
	Worksheet bool
	Kind      string // "Worksheet", "Answers"; "" for a sheet
	Key       bool   // answers alone
	Own       *own   // nil without room for it
}

type link struct{ ID, Text string }

type sign struct{ Sign, Meaning string }

// A sheetData is the sections once: as they are, with blanks, or with answers.
type sheetData struct {
	Heading  string // "Answers"; "" for the sheet itself
	ID       string
	Sections []sectionData
	Signs    []sign // that this sheet has and those before it have not
}

type sectionData struct {
	ID       string
	Heading  string
	Facts    []fact
	Remarks  []string
	Cautions []string
	Tasks    []task
	Answers  bool // shows the answers of its tasks
	Necks    []figure
	Systems  []template.HTML
	Narrow   template.HTML // the music again for narrow screens; "" if Systems fit there too
	Legend   []string      // of the labels
	Whole    bool          // short enough that a page holds it undivided
	// height is that of its music and pictures, in CSS pixels, and phone the
	// same on narrow screens.
	height, phone float64
}

// SignsFirst tells whether the signs are explained before the sections: a
// worksheet of several pages is to be read on its first one.
func (p pageData) SignsFirst() bool { return p.Worksheet && len(p.Contents) > 0 }

// longPage is the height, in CSS pixels, from which a page is long: of a shorter
// one all is laid out at once, so that a picture of the whole page is whole.
const longPage = 4000

// Class returns the classes of the whole page.
func (p pageData) Class() string {
	var all []string
	if p.Worksheet {
		all = append(all, "sheet-to-fill")
	}
	height := 0.0
	for _, s := range p.Sheets {
		for _, d := range s.Sections {
			height += max(d.height, d.phone) + headRoom
		}
	}
	if height > longPage {
		all = append(all, "long")
	}
	return strings.Join(all, " ")
}

// HasText tells whether words stand beside the pictures of the neck.
func (d sectionData) HasText() bool {
	return len(d.Facts)+len(d.Remarks)+len(d.Cautions)+len(d.Tasks) > 0
}

// HasIntro tells whether anything stands before the music.
func (d sectionData) HasIntro() bool { return len(d.Necks) > 0 || d.HasText() }

// headRoom is about what the heading and the words of a section add to the
// height of its music and pictures, in CSS pixels.
const headRoom = 90

// Room returns how high a section will be, on wide and on narrow screens.
func (d sectionData) Room() template.CSS {
	return template.CSS(fmt.Sprintf("--wide:%.0fpx;--narrow:%.0fpx", d.height+headRoom, d.phone+headRoom))
}

// A figure is a picture with the words under it.
type figure struct {
	SVG     template.HTML
	Caption string
	Width   float64 // CSS pixels of a picture of the neck
}

// page turns a sheet into what the template takes.
func page(s Sheet, opt score.WriteOptions) pageData {
	p := pageData{
		CSS: template.CSS(sheetCSS), Title: s.Title, Subtitle: s.Subtitle, Author: s.Author,
		Practise: s.Practise, Steps: stepsOf(s), Worksheet: s.Worksheet && s.Answers != AnswersOnly, Key: s.Worksheet && s.Answers == AnswersOnly,
	}
	switch {
	case p.Key:
		p.Kind = "Answers to the worksheet"
	case p.Worksheet:
		p.Kind = "Worksheet"
	}
	for _, sec := range s.Sections {
		if sec.Score == nil {
			continue
		}
		if p.Title == "" {
			p.Title = sec.Score.Title
		}
		if p.Subtitle == "" && s.Title == "" {
			p.Subtitle = sec.Score.Subtitle
		}
		if p.Author == "" {
			p.Author = sec.Score.Composer
		}
	}
	if p.Title == "" {
		p.Title = "Practice sheet"
	}
	b := newBuilder(s, opt.Report)
	if len(s.Sections) == 0 {
		b.nothing(sectionData{}, Section{})
	}
	p.Facts = b.common
	p.Practise = append(slices.Clone(p.Practise), b.shared...)
	p.Sheets = b.sheets()
	for _, sec := range p.Sheets[0].Sections {
		if len(s.Sections) > 1 && sec.Heading != "" {
			p.Contents = append(p.Contents, link{sec.ID, sec.Heading})
		}
		for _, c := range sec.Cautions {
			if len(s.Sections) == 1 {
				p.Cautions = append(p.Cautions, c)
			}
		}
		if len(sec.Cautions) > 0 || len(s.Sections) > 1 {
			p.Strain = strain
		}
	}
	if p.Strain != "" {
		p.sayStrainOnce()
	}
	p.CSS += template.CSS(b.looks.css())
	if !p.Key && len(p.Sheets[0].Sections) > 0 {
		p.Own = ownOf(s, p.Sheets[0].Sections[0])
	}
	return p
}

// sayStrainOnce takes the word of caution out of what is remarked.
func (p *pageData) sayStrainOnce() {
	once := func(remarks []string) (out []string) {
		for _, r := range remarks {
			if short := withoutStrain(r); short != "" || r == "" {
				out = append(out, short)
			}
		}
		return out
	}
	p.Practise = once(p.Practise)
	for i := range p.Sheets {
		for k := range p.Sheets[i].Sections {
			p.Sheets[i].Sections[k].Remarks = once(p.Sheets[i].Sections[k].Remarks)
		}
	}
}

func (p pageData) write(w io.Writer) error {
	t, err := template.New("sheet").Parse(sheetHTML)
	if err != nil {
		return err
	}
	return t.Execute(w, p)
}

// commonFacts returns the facts that all sections share.
func commonFacts(sections []Section) []fact {
	var common []fact
	for i, sec := range sections {
		facts := factsOf(sec.Score)
		if i == 0 {
			common = facts
			continue
		}
		common = slices.DeleteFunc(common, func(f fact) bool { return !slices.Contains(facts, f) })
	}
	return common
}
