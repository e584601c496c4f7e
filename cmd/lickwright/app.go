package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"example.org/lickwright/score"
)

// An app is the world that commands see. Nothing else touches the process.
type app struct {
	in      io.Reader
	out     io.Writer
	errOut  io.Writer
	outTTY  bool // standard output is a terminal
	errTTY  bool // standard error is a terminal
	color   bool // the user has not said NO_COLOR
	version string
	// work is cancelled when the user interrupts; nil if nobody heeds it.
	work context.Context
	// watch is told what a command makes that is a step of a lesson, which
	// says itself what it made; nil for all others.
	watch *watch
}

// delivered tells who wants to know of a file that was written.
func (a *app) delivered(path string, p promise) {
	if a.watch != nil && path != "" {
		a.watch.delivered(path, p)
	}
}

func newApp() *app {
	_, noColor := os.LookupEnv("NO_COLOR")
	a := &app{
		in: os.Stdin, out: os.Stdout, errOut: os.Stderr,
		outTTY: isTerminal(os.Stdout), errTTY: isTerminal(os.Stderr), color: !noColor,
		version: "(unknown)",
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		a.version = info.Main.Version
	}
	return a
}

// heedInterrupts lets work end in good order when the user interrupts it, by
// cancelling app.work; who interrupts twice ends it at once. It returns what
// is to be called when the work is done.
func (a *app) heedInterrupts() (done func()) {
	if a.work != nil {
		return func() {}
	}
	work, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(work, stop)
	a.work = work
	return func() { stop(); a.work = nil }
}

// interrupted returns an error once the user has interrupted.
func (a *app) interrupted() error {
	if a.work != nil && a.work.Err() != nil {
		return errInterrupted
	}
	return nil
}

func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

const rootLong = `lickwright takes a lick, phrase or scale as MusicXML or plain-text tab and
makes lesson material of it: in every key and every position of the neck, with
degrees and chord tones named, with exercises, variations, pictures, sheets to
print and sound to play along with, correct and playable.

Without a file, or with -, it reads standard input. The result goes to
standard output, everything else to standard error.`

// fault begins what is said when the program itself is wrong.
const fault = "this is a fault of the program"

// run runs the program on its arguments and returns the exit code.
func (a *app) run(args []string) (code int) {
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(a.errOut, "%s: %v\n  hint: nothing was overwritten; please report it, with the file and these lines\n%s", fault, r, debug.Stack())
			code = exitFailure
		}
	}()
	root := &cobra.Command{
		Use:           "lickwright COMMAND [flags] [FILE...]",
		Short:         "Make lesson material out of licks",
		Long:          rootLong,
		Version:       a.version,
		Args:          cobra.ArbitraryArgs,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return cmd.Help()
		}
		return unknownCommand(root, args[0])
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		if unknown := mistypedCommand(root, cmd, args); unknown != nil {
			return unknown
		}
		return unknownFlag(cmd, err)
	})
	root.AddCommand(newConvertCmd(a), newTransposeCmd(a), newRemapCmd(a), newVaryCmd(a), newAnnotateCmd(a), newInspectCmd(a), newRefingerCmd(a), newRelocateCmd(a), newCompareCmd(a), newTuningsCmd(a), newScalesCmd(a), newChordsCmd(a), newRoutineCmd(a), newLessonCmd(a), newDiagramCmd(a))
	root.SetArgs(args)
	root.SetIn(a.in)
	root.SetOut(a.out)
	root.SetErr(a.errOut)
	cmd, err := root.ExecuteC()
	return a.finish(cmd, err)
}

// finish says an error, once, and returns the exit code for it.
func (a *app) finish(cmd *cobra.Command, err error) int {
	var usage *usageError
	var file *fileError
	var ds score.Diagnostics
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errPartly):
		return exitPartly
	case errors.Is(err, errWrong):
		return exitUsage
	case errors.Is(err, errFailed):
		return exitFailure
	case errors.As(err, &usage):
		fmt.Fprintf(a.errOut, "%s: %s\n", cmd.CommandPath(), usage.msg)
		a.hint(usage.hint)
		fmt.Fprintf(a.errOut, "usage: %s\nSee %s --help.\n", cmd.UseLine(), cmd.CommandPath())
		return exitUsage
	case errors.As(err, &ds):
		a.printAll(ds, nil)
		return exitFailure
	case errors.As(err, &file):
		fmt.Fprintln(a.errOut, file.Error())
		a.hint(file.hint)
		return exitFailure
	}
	fmt.Fprintf(a.errOut, "%s: %v\n", cmd.CommandPath(), err)
	return exitFailure
}

func unknownCommand(root *cobra.Command, name string) error {
	var names []string
	for _, c := range root.Commands() {
		if !c.Hidden {
			names = append(names, c.Name())
		}
	}
	hint := didYouMean(name, names)
	if hint == "" {
		hint = "lickwright --help lists the commands"
	}
	return &usageError{fmt.Sprintf("there is no command %q", name), hint}
}

// mistypedCommand returns an error if flags are unknown only because the name of
// their command is mistyped: the flags are then looked for in the command above.
func mistypedCommand(root, cmd *cobra.Command, args []string) error {
	if len(args) > 0 && cmd == root && !strings.HasPrefix(args[0], "-") {
		return unknownCommand(root, args[0])
	}
	if len(args) < 2 || args[0] != cmd.Name() {
		return nil
	}
	var names []string
	for _, c := range cmd.Commands() {
		names = append(names, c.Name())
	}
	if hint := didYouMean(args[1], names); hint != "" {
		return &usageError{fmt.Sprintf("%s has no command %q", cmd.Name(), args[1]), hint}
	}
	return nil
}

// unknownFlag turns what the flag parser says into a usage error.
func unknownFlag(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
		slices.Sort(names)
		return &usageError{err.Error(), didYouMean("--"+unknown.GetSpecifiedName(), names)}
	case errors.As(err, &invalid):
		kind := map[string]string{"int": "whole number", "float64": "number", "bool": "yes or no (true, false)"}[invalid.GetFlag().Value.Type()]
		if kind == "" {
			return &usageError{msg: err.Error()}
		}
		return &usageError{msg: fmt.Sprintf("--%s: %q is no %s", invalid.GetFlag().Name, invalid.GetValue(), kind)}
	}
	return &usageError{msg: err.Error()}
}
