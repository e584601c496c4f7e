package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/score/compare"
	"example.org/lickwright/transform"
)

const compareLong = `Compare tells how the music of two files differs: notes (pitch, time, place,
technique, fingers), chord symbols, keys, metre, tempo, repeats, labels. The
files may have any formats. The exit code is 1 if they differ.

Bars are aligned, so that one bar put in is one difference. Voices, rests,
layout and bar numbers make none. What one of the files leaves open makes none
either: letters of notes in tab, places on the neck in notation, a key or tempo
that only one of them says. What the format of one of them cannot hold is not
looked at: with tab that is words over the music, how long a note lasts under
the next one, and techniques that have no sign there. So a file does not
differ from its own conversion.

--only looks at some of it: --only pitch,time tells whether the same notes are
played at other places.

The flags that say what an input leaves out count for both files.`

const compareExample = `  # is the notation the same music as the tab?
  lickwright compare testdata/examples/amber-street.tab testdata/examples/amber-street.musicxml

  # for programs
  lickwright compare --json testdata/examples/amber-street.tab testdata/examples/slow-harbour.tab

  # the notes alone
  lickwright compare --only note,pitch,time testdata/examples/amber-street.tab testdata/examples/lantern-riff.tab`

type compareFlags struct {
	json bool
	only []string
}

func newCompareCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var f compareFlags
	cmd := &cobra.Command{
		Use:     "compare [flags] FILE FILE",
		Short:   "Tell how the music of two files differs",
		Long:    compareLong,
		Example: compareExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runCompare(j, f, args) },
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.json, "json", false, "write JSON, for programs")
	fl.StringSliceVar(&f.only, "only", nil, "look at these only: "+strings.Join(aspectNames(), ", "))
	j.read.add(cmd)
	fl.BoolVarP(&j.write.quiet, "quiet", "q", false, "say only what was not done")
	return cmd
}

func aspectNames() []string {
	var names []string
	for _, a := range compare.Aspects() {
		names = append(names, string(a))
	}
	return names
}

func (f compareFlags) aspects() ([]compare.Aspect, error) {
	var list []compare.Aspect
	for _, name := range f.only {
		name = strings.TrimSpace(name)
		if !slices.Contains(aspectNames(), name) {
			hint := didYouMean(name, aspectNames())
			if hint == "" {
				hint = "there are " + strings.Join(aspectNames(), ", ")
			}
			return nil, &usageError{fmt.Sprintf("--only: there is nothing called %q to look at", name), hint}
		}
		list = append(list, compare.Aspect(name))
	}
	return list, nil
}

func runCompare(j *job, f compareFlags, paths []string) error {
	only, err := f.aspects()
	if err != nil {
		return err
	}
	if len(paths) != 2 {
		return &usageError{fmt.Sprintf("two files are compared, and %s given", wasOrWere(len(paths))), "- is standard input"}
	}
	if paths[0] == "-" && paths[1] == "-" {
		return &usageError{"standard input can be one of the two only", ""}
	}
	j.begin()
	var ins [2]*input
	for i, path := range paths {
		if ins[i], err = j.load(path); err != nil {
			j.flush()
			return err
		}
	}
	var scores [2]*score.Score
	for i, in := range ins {
		if scores[i], err = j.onlyParts(in); err != nil {
			return err
		}
		scores[i] = transform.ChooseLetters(scores[i]) // a note of tab has one name everywhere
	}
	j.flush()
	found := compare.Differences(scores[0], scores[1], compare.Options{Only: only, A: ins[0].lacks(ins[1]), B: ins[1].lacks(ins[0])})
	if f.json {
		err = writeCompareJSON(j.app.out, ins, found)
	} else {
		err = writeDifferences(j.app.out, ins[0].name, ins[1].name, found)
	}
	if err == nil && len(found) > 0 {
		err = errPartly
	}
	return err
}

func wasOrWere(n int) string {
	if n == 1 {
		return "1 was"
	}
	return fmt.Sprintf("%d were", n)
}

// lacks returns what an input cannot hold, as against another: two files of
// one format are compared in everything that their readers tell.
func (in *input) lacks(other *input) compare.Lacks {
	if in.format.name == other.format.name {
		return compare.Lacks{}
	}
	return in.format.lacks
}

// writeDifferences writes differences for people.
func writeDifferences(w io.Writer, a, b string, found []compare.Difference) error {
	var text strings.Builder
	if len(found) == 0 {
		fmt.Fprintf(&text, "%s and %s are the same music\n", a, b)
	} else {
		fmt.Fprintf(&text, "%s and %s: %s\n", a, b, plural(len(found), "difference"))
		text.WriteString(listed(found))
	}
	return writeAll(w, []byte(text.String()))
}

// listed writes differences one per line, under a line for each place.
func listed(found []compare.Difference) string {
	var text strings.Builder
	before := ""
	for i, d := range found {
		where := d.Where()
		if where == "" {
			where = "as a whole"
		}
		if i == 0 || where != before {
			text.WriteString(where + "\n")
		}
		before = where
		text.WriteString("  " + folded(d.What()) + "\n")
	}
	return text.String()
}

// comparedWidth is how many columns a difference has before it takes two lines.
const comparedWidth = 80

// folded puts what is now under what was if both are too long for one line.
func folded(what string) string {
	if utf8.RuneCountInString(what) <= comparedWidth-2 {
		return what
	}
	return strings.Replace(what, " → ", "\n    → ", 1)
}

// The JSON form of a comparison.
type (
	jsonComparison struct {
		A           string           `json:"a"`
		B           string           `json:"b"`
		Same        bool             `json:"same"`
		Differences []jsonDifference `json:"differences"`
	}
	jsonDifference struct {
		Aspect compare.Aspect `json:"aspect"`
		Change compare.Change `json:"change"`
		Part   string         `json:"part,omitempty"`
		A      *jsonMoment    `json:"a,omitempty"`
		B      *jsonMoment    `json:"b,omitempty"`
		Of     string         `json:"of,omitempty"`
		Was    string         `json:"was,omitempty"`
		Is     string         `json:"is,omitempty"`
		Notes  int            `json:"notes,omitempty"`
		Bars   int            `json:"bars,omitempty"`
	}
	jsonMoment struct {
		Measure int    `json:"measure"` // from 1
		Bar     string `json:"bar"`
		Onset   string `json:"onset"` // in quarter notes, "3/2"
		Beat    string `json:"beat,omitempty"`
		Line    int    `json:"line,omitempty"`
		Column  int    `json:"column,omitempty"`
	}
)

func jsonAt(m *compare.Moment) *jsonMoment {
	if m == nil {
		return nil
	}
	return &jsonMoment{m.Measure + 1, m.Bar, m.Onset.String(), m.Beat, m.Pos.Line, m.Pos.Col}
}

func writeCompareJSON(w io.Writer, ins [2]*input, found []compare.Difference) error {
	c := jsonComparison{A: ins[0].name, B: ins[1].name, Same: len(found) == 0, Differences: []jsonDifference{}}
	for _, d := range found {
		c.Differences = append(c.Differences, jsonDifference{d.Aspect, d.Change, d.Part, jsonAt(d.A), jsonAt(d.B), d.Of, d.Was, d.Is, d.Notes, d.Bars})
	}
	data, err := json.MarshalIndent(c, "", "  ")
	if err != nil {
		return err
	}
	return writeAll(w, append(data, '\n'))
}
