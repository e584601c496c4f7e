package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

const tuningsLong = `Tunings lists the tunings that have a name here, with the strings from low to
high: what --tuning understands. With a tuning, by name or by its strings, it
shows that one string by string.

Any other tuning of 3 to 12 strings can be given by its strings. Octaves may
be left out; each string is then taken where a guitar would have it.`

const tuningsExample = `  lickwright tunings
  lickwright tunings drop-d
  lickwright tunings "D A D G A D"`

func newTuningsCmd(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "tunings [TUNING]",
		Short:   "List and spell tunings",
		Long:    tuningsLong,
		Example: tuningsExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runTunings(a, args) },
	}
}

func runTunings(a *app, args []string) error {
	var text strings.Builder
	if len(args) == 0 {
		listTunings(&text)
		return writeAll(a.out, []byte(text.String()))
	}
	name := strings.Join(args, " ")
	t, err := fretboard.ParseTuning(name)
	if err != nil {
		return tuningError("", name, err)
	}
	showTuning(&text, t)
	return writeAll(a.out, []byte(text.String()))
}

func listTunings(text *strings.Builder) {
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "NAME\tSTRINGS, LOW TO HIGH\tINSTRUMENT\tALSO")
	for _, p := range fretboard.Presets() {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", p.Key, p.Tuning, p.Group, strings.Join(p.Aliases, " "))
	}
	_ = w.Flush() // a strings.Builder takes everything
	trimLines(text)
}

// trimLines takes spaces off the ends of lines.
func trimLines(text *strings.Builder) {
	lines := strings.Split(text.String(), "\n")
	text.Reset()
	for i, l := range lines {
		if i > 0 {
			text.WriteByte('\n')
		}
		text.WriteString(strings.TrimRight(l, " "))
	}
}

func showTuning(text *strings.Builder, t fretboard.Tuning) {
	if t.Name != "" {
		fmt.Fprintf(text, "%s: ", t.Name)
	}
	fmt.Fprintln(text, t)
	if t.ReEntrant() {
		fmt.Fprintln(text, "re-entrant: not every string is higher than the one before")
	}
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "STRING\tNOTE\tMIDI\tHERTZ\tTO THE NEXT\t")
	for s := 1; s <= t.Len(); s++ {
		p, step := t.Open(s), ""
		if s > 1 {
			step = upTo(p, t.Open(s-1)).String()
		}
		fmt.Fprintf(w, "%d\t%s\t%d\t%.2f\t%s\t\n", s, p, p.MIDI(), p.Hertz(), step)
	}
	_ = w.Flush() // a strings.Builder takes everything
	trimLines(text)
}

// upTo returns the interval from a string to the one above.
func upTo(p, q theory.Pitch) theory.Interval { return p.To(q) }
