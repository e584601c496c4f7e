package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// readFlags say what an input leaves out. They are the same for all commands
// that read.
type readFlags struct {
	tuning    string
	capo      int
	neckFrets int
	key       string
	time      string
	tempo     float64
	parts     []string
	trust     string
	given     func(name string) bool
}

func (f *readFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.tuning, "tuning", "", `tuning of the input: a name ("drop-d", see lickwright tunings) or strings from low to high ("D A D G A D")`)
	fl.IntVar(&f.capo, "capo", 0, "fret of the capo in the input")
	fl.IntVar(&f.neckFrets, "neck-frets", fretboard.DefaultFrets, "number of frets of the neck, counted from the nut")
	fl.StringVar(&f.key, "key", "", `key of the input ("Eb", "F# minor", "D dorian")`)
	fl.StringVar(&f.time, "time", "", `metre of the input ("4/4", "6/8", "3+2/8")`)
	fl.Float64Var(&f.tempo, "tempo", 0, "quarter notes per minute of the input")
	fl.StringSliceVar(&f.parts, "part", nil, "these parts only: number, name or ID")
	fl.StringVar(&f.trust, "trust", "fret", "where pitch and fret of a note in MusicXML contradict each other, read this one: fret or pitch")
	f.given = fl.Changed
}

// options turns the flags into what readers take.
func (f *readFlags) options() (score.ReadOptions, error) {
	opt := score.ReadOptions{Tempo: f.tempo, Time: f.time}
	if f.given("neck-frets") {
		opt.Frets = f.neckFrets
	}
	if f.given("neck-frets") && (f.neckFrets < 1 || f.neckFrets > fretboard.MaxFrets) {
		return opt, flagError("neck-frets", fmt.Errorf("a neck has 1 to %d frets", fretboard.MaxFrets))
	}
	if f.given("tuning") {
		t, err := fretboard.ParseTuning(f.tuning)
		if err != nil {
			return opt, tuningError("--tuning", f.tuning, err)
		}
		opt.Tuning = &t
	}
	if f.given("capo") {
		if f.capo < 0 || f.capo >= f.neckFrets {
			return opt, flagError("capo", fmt.Errorf("the capo stands at fret 0 to %d", f.neckFrets-1))
		}
		opt.Capo = &f.capo
	}
	if f.given("key") {
		k, said, err := theory.ParseKey(f.key)
		if err != nil {
			return opt, flagError("key", err)
		}
		opt.Key, opt.TonicOnly = &k, !said
	}
	if f.given("time") {
		if err := checkMetre(f.time); err != nil {
			return opt, err
		}
	}
	if f.given("tempo") && !(f.tempo > 0 && f.tempo < 10000) {
		return opt, flagError("tempo", fmt.Errorf("%v is no number of quarter notes per minute", f.tempo))
	}
	switch f.trust {
	case "fret":
	case "pitch":
		opt.PitchWins = true
	default:
		return opt, &usageError{fmt.Sprintf("--trust: %q is neither fret nor pitch", f.trust), didYouMean(f.trust, []string{"fret", "pitch"})}
	}
	return opt, nil
}

// tuningError is the usage error for a tuning, with the preset it may mean.
func tuningError(where, text string, err error) error {
	u := flagError(strings.TrimPrefix(where, "--"), err).(*usageError)
	if where == "" {
		u.msg = err.Error()
	}
	var names []string
	for _, p := range fretboard.Presets() {
		names = append(names, p.Key)
	}
	if near := didYouMean(text, names); near != "" {
		u.hint = near
	}
	return u
}

func checkMetre(s string) error {
	if t, ok := score.ParseMetre(s); !ok || t.Length.IsZero() {
		return &usageError{fmt.Sprintf("--time: %q is no metre", s), "write beats and what gets a beat, as in 4/4, 6/8 or 3+2/8"}
	}
	return nil
}

// selectParts returns the IDs of the parts that --part names; nil for all.
func (f *readFlags) selectParts(s *score.Score) ([]string, error) {
	if len(f.parts) == 0 {
		return nil, nil
	}
	var ids []string
	for _, want := range f.parts {
		found := false
		for i, p := range s.Parts {
			if want == strconv.Itoa(i+1) || want == p.ID || strings.EqualFold(oneLine(want), p.SpokenName()) {
				ids, found = append(ids, p.ID), true
			}
		}
		if !found {
			var have []string
			for i, p := range s.Parts {
				have = append(have, strings.TrimSpace(fmt.Sprintf("%d %s", i+1, p.SpokenName())))
			}
			return nil, &usageError{fmt.Sprintf("--part: there is no part %q", want), "the parts are: " + strings.Join(have, ", ")}
		}
	}
	return ids, nil
}

// writeFlags say where results go. They are the same for all commands that
// write.
type writeFlags struct {
	output    string
	dir       string
	as        string
	width     int
	force     bool
	strict    bool
	quiet     bool
	diff      bool
	worksheet worksheetFlags
	sound     soundFlags
	// skipUnchanged and stopOnError are about many files.
	skipUnchanged bool
	stopOnError   bool
	cmd           *cobra.Command
}

func (f *writeFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVarP(&f.output, "output", "o", "", "write to this file; its extension says the format")
	fl.StringVarP(&f.dir, "dir", "d", "", "write one file for each result into this folder")
	fl.StringVar(&f.as, "as", "", "format of the output: "+formatNames())
	fl.IntVar(&f.width, "width", 0, "with tab: columns of a line (0 for the usual number); a tab that keeps its lines is cut where they are longer")
	fl.BoolVar(&f.force, "force", false, "overwrite files that exist")
	fl.BoolVar(&f.strict, "strict", false, "let warnings, and what cannot be done, fail: nothing is written then")
	f.worksheet.add(cmd)
	fl.BoolVarP(&f.quiet, "quiet", "q", false, "say only what was not done")
	f.sound.add(cmd)
}

// addBatch adds the flags of commands that work on any number of files.
func (f *writeFlags) addBatch(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.BoolVar(&f.skipUnchanged, "skip-unchanged", false, "with -d: make only what is not there yet as it would be made now")
	fl.BoolVar(&f.stopOnError, "stop-on-error", false, "with several files: stop at the first that fails")
	f.cmd = cmd
}

// visit calls back with the command and with each flag that was given and
// decides about the results, in order of their names.
func (f *writeFlags) visit(found func(name, value string)) {
	if f.cmd == nil {
		return
	}
	found("command", f.cmd.CommandPath())
	f.cmd.Flags().Visit(func(fl *pflag.Flag) {
		switch fl.Name {
		case "dir", "force", "quiet", "strict", "skip-unchanged", "stop-on-error":
		default:
			found(fl.Name, fl.Value.String())
		}
	})
}

func (f *writeFlags) addDiff(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.diff, "diff", false, "show what would change, in the music and line by line, instead of writing")
}

// asksFor tells whether a format is asked for, by name or by extension.
func (f *writeFlags) asksFor(format string) bool {
	if f.as != "" {
		found, err := formatNamed(f.as)
		return err != nil || found.name == format // a wrong name is reported as such
	}
	found, ok := formatOfPath(f.output)
	return ok && found.name == format
}

// check finds flags that contradict each other.
func (f *writeFlags) check() error {
	switch {
	case f.output != "" && f.dir != "":
		return &usageError{"-o and -d say two places to write to", "use -o for one file, -d for many"}
	case f.skipUnchanged && f.dir == "":
		return &usageError{"--skip-unchanged goes with -d", "it remembers in the output folder what was made from what"}
	case f.worksheet.given() && !f.asksFor("html"):
		return &usageError{"--worksheet and --answers are about a sheet in html, which is not asked for", "say -o sheet.html or --as html"}
	case f.sound.given() && !f.asksFor("mid"):
		return &usageError{"--loop, --count-in, --click, --backing and --swing are about sound, which is not asked for", "say -o play.mid or --as mid"}
	case f.diff && (f.output != "" || f.dir != ""):
		return &usageError{"--diff shows changes instead of writing them", "leave out -o and -d"}
	case f.width < 0 || f.width > 0 && f.width < 20:
		return &usageError{"--width: a tab needs 20 columns or more", ""}
	}
	if err := f.worksheet.check(); err != nil {
		return err
	}
	_, err := f.sound.sound()
	return err
}

// options are how new files are written, with where to report to.
func (f *writeFlags) options(report func(score.Diagnostic)) score.WriteOptions {
	sound, _ := f.sound.sound() // checked already
	return score.WriteOptions{Width: f.width, Sound: sound, Report: report}
}
