package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"example.org/lickwright/score"
)

// A stepKind is a command that can be a step of a lesson. A step is the
// command itself with its own flags, so a lesson can do what the command line
// can, and a new command is one more row.
type stepKind struct {
	name string
	make func(*app) *cobra.Command
	// words marks a command that works on words, such as a scale, and not on
	// the source; needless one whose flags can say them instead.
	words, needless bool
}

// stepCommands lists the commands that can be steps.
func stepCommands(*app) []stepKind {
	return []stepKind{
		{name: "convert", make: newConvertCmd},
		{name: "transpose", make: newTransposeCmd},
		{name: "refinger", make: newRefingerCmd},
		{name: "relocate", make: newRelocateCmd},
		{name: "remap", make: newRemapCmd},
		{name: "annotate", make: newAnnotateCmd},
		{name: "vary", make: newVaryCmd},
		{name: "routine", make: newRoutineCmd, words: true, needless: true},
		{name: "scales", make: newScalesCmd, words: true},
		{name: "chords", make: newChordsCmd, words: true, needless: true},
		{name: "diagram", make: newDiagramCmd, words: true},
	}
}

// flagNames lists the flags that a step may have.
func (k stepKind) flagNames() []string {
	var names []string
	k.make(&app{}).Flags().VisitAll(func(f *pflag.Flag) {
		if _, own := lessonsOwn()[f.Name]; !own {
			names = append(names, f.Name)
		}
	})
	return names
}

// try tells what is wrong with a setting, as far as the flag's type tells it.
func (k stepKind) try(s setting) error { return s.apply(k.make(&app{})) }

// apply sets the flag of a command.
func (s setting) apply(cmd *cobra.Command) error {
	fl := cmd.Flags()
	f := fl.Lookup(s.flag)
	if f == nil {
		return &usageError{fmt.Sprintf("%s has no flag --%s", cmd.Name(), s.flag), ""}
	}
	values := s.values
	switch f.Value.Type() {
	case "stringSlice":
	case "string":
		values = []string{strings.Join(values, ",")}
	default:
		if s.list {
			return &usageError{fmt.Sprintf("%s takes one value and no list", s.flag), ""}
		}
	}
	for _, v := range values {
		if v == "true" && f.NoOptDefVal != "" && f.Value.Type() != "bool" {
			v = f.NoOptDefVal // as when the flag is said without a value
		}
		if err := fl.Set(s.flag, v); err != nil {
			return unknownFlag(cmd, err)
		}
	}
	return nil
}

// A headed writer says whose lines follow, before the first of them.
type headed struct {
	to   io.Writer
	head string
	said bool
}

func (h *headed) Write(p []byte) (int, error) {
	if !h.said {
		h.said = true
		if _, err := io.WriteString(h.to, h.head); err != nil {
			return 0, err
		}
	}
	return h.to.Write(p)
}

func (t stepTarget) String() string {
	if !t.folder {
		return t.path
	}
	return t.path + "/" + nonEmpty(" as ", t.format)
}

// step makes what a step asks for, if it is not there as it would be made.
func (m *lessonMaker) step(s *lessonStep) error {
	args, files, err := m.inputs(s)
	if err != nil {
		return err
	}
	key, err := m.key(s, args, files)
	if err != nil {
		return err
	}
	name := m.recordName(s)
	if e := m.record.upToDate(name, key); e != nil {
		m.count.same++
		m.keep(s, *e)
		return nil
	}
	stage, err := newStage(m.lesson.into)
	if err != nil {
		return err
	}
	defer stage.close()
	w, err := m.run1(s, args, stage.dir)
	if err != nil {
		return err
	}
	staged, err := gathered(stage.dir, m.lesson.into)
	if err != nil {
		return err
	}
	if len(staged) == 0 {
		return m.at(s, "the step made nothing", "")
	}
	// A step that gets another target is another one to the record, and its
	// files are those of the lesson as before.
	ours := m.record.ownerOfAll(filepath.Base(m.lesson.name) + ": ")
	for i, f := range staged {
		if err := checkTarget(f.path, m.write.force || ours(f.path)); err != nil {
			return err
		}
		staged[i].promise = w.promises[f.temp]
	}
	before := m.record.entries(name)
	e := recordEntry{Source: name, Key: key, NotDone: w.notDone, Files: sumsOf(m.lesson.into, staged), Promises: m.promised(s, staged)}
	if err := m.record.add(e); err != nil {
		return err
	}
	for _, f := range staged {
		if err := f.commit(); err != nil {
			return err
		}
	}
	m.removeOld(before, e)
	m.count.made++
	m.count.files += len(staged)
	m.keep(s, e)
	return nil
}

// keep remembers what a step has made, now or before.
func (m *lessonMaker) keep(s *lessonStep, e recordEntry) {
	for _, p := range e.Promises {
		m.made[s] = append(m.made[s], p.File)
	}
	m.promises = append(m.promises, e.Promises...)
	m.count.notDone += e.NotDone
}

// at is an error at the place of a step.
func (m *lessonMaker) at(s *lessonStep, msg, hint string) error {
	return score.Diagnostics{{Severity: score.Error, Code: "lesson", Pos: s.at, Msg: msg, Hint: hint}}
}

// inputs returns the arguments of a step's command, and those of them that are
// files.
func (m *lessonMaker) inputs(s *lessonStep) (args, files []string, err error) {
	switch {
	case len(s.ofSteps) > 0:
		for _, o := range s.ofSteps {
			made := m.readable(o)
			if len(made) == 0 {
				return nil, nil, m.at(s, fmt.Sprintf("%s has made no file that could be read", o.title()), "only tab, MusicXML and degrees can be worked on")
			}
			for _, p := range made {
				files = append(files, filepath.Join(m.lesson.into, filepath.FromSlash(p)))
			}
		}
		return files, files, nil
	case s.kind.words:
		for _, w := range s.of {
			p := filepath.Join(filepath.Dir(m.lesson.name), filepath.FromSlash(w))
			if info, err := os.Stat(p); s.command == "diagram" && err == nil && !info.IsDir() {
				w, files = p, append(files, p)
			}
			args = append(args, w)
		}
		return args, files, nil
	}
	files = s.of
	if files == nil {
		files = m.lesson.sources
	}
	if len(files) > 1 && slices.ContainsFunc(s.targets, func(t stepTarget) bool { return !t.folder }) {
		return nil, nil, m.at(s, "several files do not fit into one", "say to: with a folder, as in to: keys/")
	}
	return files, files, nil
}

// readable lists the files that a step has made in the first of its formats
// that can be read.
func (m *lessonMaker) readable(s *lessonStep) []string {
	for _, t := range s.targets {
		var list []string
		for _, p := range m.made[s] {
			f, ok := formatOfPath(p)
			if !ok || f.read == nil || t.folder && t.format != "" && f.name != formatName(t.format) {
				continue
			}
			if p == t.path || t.folder && (t.path == "." || strings.HasPrefix(p, t.path+"/")) {
				list = append(list, p)
			}
		}
		if len(list) > 0 {
			return list
		}
	}
	return nil
}

// formatName is the name of a format that may be named by its extension.
func formatName(s string) string {
	f, err := formatNamed(s)
	if err != nil {
		return s
	}
	return f.name
}

// settings are the flags of a step: its own and, where it works on the source,
// what the lesson says of that.
func (m *lessonMaker) settings(s *lessonStep) []setting {
	var list []setting
	for _, f := range s.flags {
		if strings.HasSuffix(f.flag, "-file") {
			for i, v := range f.values {
				f.values = slices.Clone(f.values)
				f.values[i] = filepath.Join(filepath.Dir(m.lesson.name), filepath.FromSlash(v))
			}
		}
		list = append(list, f)
	}
	if s.kind.words || s.of != nil || len(s.ofSteps) > 0 {
		return list
	}
	for _, f := range m.lesson.reading {
		if !slices.ContainsFunc(list, func(o setting) bool { return o.flag == f.flag }) {
			list = append(list, f)
		}
	}
	return list
}

// run1 runs the command of a step, once for each of its targets, into a
// folder.
func (m *lessonMaker) run1(s *lessonStep, args []string, dir string) (*watch, error) {
	w := &watch{promises: map[string]promise{}, said: map[score.Diagnostic]bool{}, sources: m.sources}
	to := &headed{to: m.app.errOut, head: s.title() + ":\n"}
	for _, t := range s.targets {
		sub := *m.app
		sub.in, sub.out, sub.errOut, sub.errTTY, sub.outTTY, sub.watch = strings.NewReader(""), io.Discard, to, false, false, w
		cmd := s.kind.make(&sub)
		for _, f := range m.settings(s) {
			if format, only := formatOfFlag(f.flag); only && !t.is(format) {
				continue // it is for another target
			}
			if err := f.apply(cmd); err != nil {
				var u *usageError
				if errors.As(err, &u) {
					return nil, score.Diagnostics{{Severity: score.Error, Code: "lesson", Pos: f.at, Msg: u.msg, Hint: u.hint}}
				}
				return nil, err
			}
		}
		target := filepath.Join(dir, filepath.FromSlash(t.path))
		own := []setting{{flag: "output", values: []string{target}}}
		if t.folder {
			own = []setting{{flag: "dir", values: []string{target}}, {flag: "as", values: []string{t.format}}}
			own = own[:1+min(1, len(t.format))]
		}
		if t.answers != "" {
			own = append(own, setting{flag: "answers", values: []string{t.answers}})
		}
		for flag, on := range map[string]bool{"strict": m.write.strict, "quiet": m.write.quiet} {
			if on && cmd.Flags().Lookup(flag) != nil {
				own = append(own, setting{flag: flag, values: []string{strconv.FormatBool(on)}})
			}
		}
		for _, f := range own {
			if err := f.apply(cmd); err != nil {
				return nil, m.because(s, err)
			}
		}
		if err := os.MkdirAll(filepath.Dir(target), 0o777); err != nil {
			return nil, wrapFile(m.lesson.into, err)
		}
		made := len(w.order)
		switch err := cmd.RunE(cmd, args); {
		case errors.Is(err, errPartly) && len(w.order) == made:
			return nil, m.at(s, "the step was not written: its warnings, and --strict was said", "")
		case errors.Is(err, errPartly):
		case errors.Is(err, errFailed), errors.Is(err, errWrong):
			return nil, m.at(s, "the step failed", "")
		case err != nil:
			return nil, m.because(s, err)
		}
	}
	return w, nil
}
