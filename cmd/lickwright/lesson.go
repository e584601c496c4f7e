package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
)

const lessonLong = `Lesson makes everything that a lesson file asks for: a small text file in YAML
that names the lick and the steps. Run again, it makes only what is not there
as it would be made now, so a correction in the lick reaches every page.

  lesson: Amber Street, week 14     what it is called
  source: amber-street.tab          the lick, or a list of them
  key: A minor                      what the lick leaves out, as the flags of
                                    other commands say it: key, tuning, capo …
  into: week-14                     folder; the name of the file if not said
  steps:
    - step: every key               what it is called, if others refer to it
      transpose:                    a command, and below it its flags
        all-keys: true
        order: fourths
      to: keys/                     a folder for many files
      as: [tab, musicxml]           formats, with a folder
    - annotate: {show: [degrees]}
      to: [named.musicxml, named.html]
    - routine: {scheme: chord-shape}
      of: A dorian                  what the command works on, if it is not the
      to: sheet.html                source: words, a file, {step: NAME} for its
                                    files; scales and diagram always need it

    - transpose: {all-keys: true, worksheet: true, backing: true}
      to: [keys.html, keys.mid]     a flag about one format is for it alone
      answers: keys-answers.html    the answers apart from the worksheet

Any command that makes files can be a step, with any of its flags but those
that say where to write. What a step makes is written when all of it is there.
A step that fails is named, with its line and column, and the others are made;
--stop-on-error ends with it.

What a step has made that is not in the lesson any more stays and is named;
--remove-old removes it, if nobody has changed it.

Beside the pages stands lesson-manifest.json, which says what each of them
promises; lickwright lesson check FOLDER proves that.`

const lessonExample = `  # make a lesson, correct the lick, make it again
  lickwright lesson testdata/examples/week-14.yaml -d week-14
  lickwright lesson testdata/examples/week-14.yaml -d week-14

  # prove what was made
  lickwright lesson check week-14`

// newLessonCmd makes lessons, and is the parent of what else is done with them.
func newLessonCmd(a *app) *cobra.Command {
	w, removeOld := &writeFlags{}, false
	cmd := &cobra.Command{
		Use:     "lesson [flags] FILE",
		Short:   "Make, and make again, everything that a lesson file asks for",
		Long:    lessonLong,
		Example: lessonExample,
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 && didYouMean(args[0], []string{"check"}) != "" {
				return unknownCommand(cmd, args[0])
			}
			return runLesson(a, w, removeOld, args)
		},
	}
	fl := cmd.Flags()
	fl.StringVarP(&w.dir, "dir", "d", "", "write into this folder and not into that which the lesson names")
	fl.BoolVar(&w.force, "force", false, "overwrite files that exist")
	fl.BoolVar(&removeOld, "remove-old", false, "remove what no step makes any more, if nobody has changed it")
	fl.BoolVar(&w.strict, "strict", false, "let warnings, and what cannot be done, fail: nothing is written of a step then")
	fl.BoolVar(&w.stopOnError, "stop-on-error", false, "stop at the first step that fails")
	fl.BoolVarP(&w.quiet, "quiet", "q", false, "say only what was not done")
	cmd.AddCommand(newLessonCheckCmd(a))
	return cmd
}

func runLesson(a *app, w *writeFlags, removeOld bool, paths []string) error {
	if len(paths) != 1 {
		return &usageError{fmt.Sprintf("one lesson is made, and %s given", wasOrWere(len(paths))), "lickwright lesson --help shows what a lesson file looks like"}
	}
	data, err := readFile(paths[0])
	if err != nil {
		return err
	}
	l, err := readLesson(data, paths[0], stepCommands(a))
	if err != nil {
		return err
	}
	switch {
	case w.dir != "":
		l.into = w.dir
	case l.into == "":
		l.into = baseOf(paths[0])
		if l.into == paths[0] {
			l.into += "-made"
		}
	default:
		l.into = filepath.Join(filepath.Dir(paths[0]), filepath.FromSlash(l.into))
	}
	if info, err := os.Stat(l.into); err == nil && !info.IsDir() {
		return &fileError{l.into, "it is a file", "name a folder with -d, or with into: in the lesson"}
	}
	stop := a.heedInterrupts()
	defer stop()
	rec, err := openRecord(l.into, []byte(a.version+programSum()))
	if err != nil {
		return err
	}
	defer rec.close()
	m := &lessonMaker{app: a, lesson: l, write: w, removeOldFiles: removeOld, record: rec, made: map[*lessonStep][]string{},
		sources: &remarks{to: a.errOut, said: map[score.Diagnostic]bool{}}}
	return m.run()
}

// A lessonMaker makes a lesson.
type lessonMaker struct {
	app    *app
	lesson *lessonFile
	write  *writeFlags
	// removeOldFiles says that what no step makes any more goes.
	removeOldFiles bool
	record         *record
	// made lists the files of the steps that are there, below the lesson's
	// folder with slashes, in the order of the step's targets.
	made     map[*lessonStep][]string
	promises []promise
	sources  *remarks
	count    struct{ made, same, files, notDone int }
	failed   []string
}

func (m *lessonMaker) run() error {
	for _, s := range m.lesson.steps {
		if m.app.interrupted() != nil {
			break
		}
		err := m.step(s)
		if err == nil {
			continue
		}
		m.app.sayError(m.lesson.name, err)
		m.failed = append(m.failed, s.title())
		if m.write.stopOnError {
			break
		}
	}
	if len(m.failed) == 0 && m.app.interrupted() == nil {
		if err := m.writeManifest(); err != nil {
			return err
		}
		m.old()
	}
	return m.end()
}

// end says what was made.
func (m *lessonMaker) end() error {
	say := func(format string, args ...any) { fmt.Fprintf(m.app.errOut, format+"\n", args...) }
	if !m.write.quiet {
		what := fmt.Sprintf("%s in %s: %s written", plural(len(m.lesson.steps), "step"), m.lesson.into, plural(m.count.files, "file"))
		if m.count.same > 0 {
			what += fmt.Sprintf("; %s unchanged", plural(m.count.same, "step"))
		}
		say("%s", what)
	}
	switch {
	case m.app.interrupted() != nil:
		say("interrupted: what was written is whole; the same again goes on from there")
		return errFailed
	case len(m.failed) > 0:
		say("%s failed: %s", plural(len(m.failed), "step"), strings.Join(m.failed, ", "))
		return errFailed
	case m.count.notDone > 0:
		say("%s not done; everything else was", plural(m.count.notDone, "thing"))
		return errPartly
	}
	return nil
}
