package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/render/handout"
)

// worksheetFlags say what a sheet asks the student to fill in, and where the
// answers go. They are the same for all commands that write.
type worksheetFlags struct {
	ask     string
	answers string
}

// everyTask is what --worksheet stands for when it names nothing.
const everyTask = "all"

func (f *worksheetFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.ask, "worksheet", "", "with html: leave half of the sheet blank, to be filled in: "+strings.Join(handout.TaskNames(), ", ")+", or all if nothing is said")
	fl.Lookup("worksheet").NoOptDefVal = everyTask
	fl.StringVar(&f.answers, "answers", "", "with a worksheet: where its answers stand: behind it (if not said), none for nowhere, only for the answers without the sheet")
}

// answerPlaces are the values of --answers.
func answerPlaces() []string { return []string{"behind", "none", "only"} }

// given tells whether anything but a plain sheet is asked for.
func (f worksheetFlags) given() bool { return f.on() || f.answers != "" }

func (f worksheetFlags) on() bool { return f.ask != "" && f.ask != "false" }

// tasks lists what is asked for; nil for everything.
func (f worksheetFlags) tasks() (list []string, err error) {
	for name := range strings.SplitSeq(f.ask, ",") {
		switch name = strings.ToLower(strings.TrimSpace(name)); {
		case name == everyTask, name == "true", name == "false", name == "":
		case slices.Contains(handout.TaskNames(), name):
			list = append(list, name)
		default:
			hint := didYouMean(name, append(handout.TaskNames(), everyTask))
			if hint == "" {
				hint = "a worksheet can ask to name notes, find a degree, and fill in the shape: name, find, shape"
			}
			return nil, &usageError{fmt.Sprintf("--worksheet: a worksheet cannot ask for %q", name), hint}
		}
	}
	return list, nil
}

func (f worksheetFlags) check() error {
	if _, err := f.tasks(); err != nil {
		return err
	}
	switch {
	case f.answers == "":
	case !slices.Contains(answerPlaces(), f.answers):
		hint := didYouMean(f.answers, answerPlaces())
		if hint == "" {
			hint = "there are " + strings.Join(answerPlaces(), ", ")
		}
		return &usageError{fmt.Sprintf("--answers: answers are not put %q", f.answers), hint}
	case !f.on():
		return &usageError{"--answers goes with --worksheet", "say --worksheet, which asks what is answered"}
	}
	return nil
}

// set puts what the flags ask for into a sheet.
func (f worksheetFlags) set(s *handout.Sheet) {
	s.Worksheet = f.on()
	s.Ask, _ = f.tasks() // checked already
	s.Answers = handout.Answers(max(slices.Index(answerPlaces(), f.answers), 0))
}
