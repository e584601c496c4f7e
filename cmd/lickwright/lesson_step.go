package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
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

// A watch is told what a step makes and leaves undone.
type watch struct {
	promises map[string]promise // by path
	order    []string           // of the paths
	notDone  int
}

func (w *watch) delivered(path string, p promise) {
	w.promises[path] = p
	w.order = append(w.order, path)
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

// record name of a step: what it makes, so that steps can be renamed and put
// in another order.
func (m *lessonMaker) recordName(s *lessonStep) string {
	var list []string
	for _, t := range s.targets {
		list = append(list, t.String())
	}
	return filepath.Base(m.lesson.name) + ": " + strings.Join(list, ", ")
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
	ours := m.record.owner(name)
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

// key sums up all that decides about what a step makes.
func (m *lessonMaker) key(s *lessonStep, args, files []string) (string, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s %q\n", s.command, args)
	for _, f := range m.settings(s) {
		fmt.Fprintf(&b, "%s=%q\n", f.flag, f.values)
		if strings.HasSuffix(f.flag, "-file") {
			files = append(slices.Clip(files), f.values...)
		}
	}
	for _, t := range s.targets {
		fmt.Fprintln(&b, t)
	}
	contents := [][]byte{b.Bytes()}
	for _, f := range files {
		data, err := readFile(f)
		if err != nil {
			return "", m.because(s, err)
		}
		sum := sha256.Sum256(data)
		contents = append(contents, sum[:])
	}
	return m.record.keyOf(contents...), nil
}

// because says at the place of a step why it failed.
func (m *lessonMaker) because(s *lessonStep, err error) error {
	var usage *usageError
	var file *fileError
	switch {
	case errors.As(err, &usage):
		return m.at(s, usage.msg, usage.hint)
	case errors.As(err, &file):
		return m.at(s, file.Error(), file.hint)
	}
	return err
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
	w := &watch{promises: map[string]promise{}}
	to := &headed{to: m.app.errOut, head: s.title() + ":\n"}
	for _, t := range s.targets {
		sub := *m.app
		sub.in, sub.out, sub.errOut, sub.errTTY, sub.outTTY, sub.watch = strings.NewReader(""), io.Discard, to, false, false, w
		cmd := s.kind.make(&sub)
		for _, f := range m.settings(s) {
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

// gathered lists the files that were made in a folder, with the paths that
// they are to have in another.
func gathered(dir, into string) ([]stagedFile, error) {
	var list []stagedFile
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist) && p == dir:
			return fs.SkipAll
		case err != nil:
			return wrapFile(p, err)
		case d.IsDir():
			return nil
		}
		data, err := os.ReadFile(p)
		if err != nil {
			return &fileError{p, "cannot be read: " + plain(err), ""}
		}
		rel, err := filepath.Rel(dir, p)
		list = append(list, stagedFile{path: filepath.Join(into, rel), temp: p, sum: sha256.Sum256(data)})
		return err
	})
	return list, err
}

// promised returns what the files of a step promise, as the manifest says it.
func (m *lessonMaker) promised(s *lessonStep, staged []stagedFile) []promise {
	var list []promise
	for _, f := range staged {
		p := f.promise
		rel, err := filepath.Rel(m.lesson.into, f.path)
		if err != nil {
			continue
		}
		p.File = filepath.ToSlash(rel)
		if p.Of != "" {
			of, err := relative(m.lesson.into, p.Of)
			if err != nil || m.readOtherwise(s) {
				p.Of, p.Semitones, p.Exact = "", nil, false
			} else {
				p.Of = filepath.ToSlash(of)
			}
		}
		list = append(list, p)
	}
	return list
}

// relative returns the way from a folder to a file.
func relative(from, to string) (string, error) {
	from, err := filepath.Abs(from)
	if err != nil {
		return "", err
	}
	if to, err = filepath.Abs(to); err != nil {
		return "", err
	}
	return filepath.Rel(from, to)
}

// readOtherwise tells whether a step reads its files otherwise than somebody
// who knows the files only.
func (m *lessonMaker) readOtherwise(s *lessonStep) bool {
	return slices.ContainsFunc(m.settings(s), func(f setting) bool {
		return slices.Contains([]string{"tuning", "capo", "part", "trust", "time"}, f.flag)
	})
}

// removeOld removes what a step made before and makes no more, if nobody has
// changed it since.
func (m *lessonMaker) removeOld(before []recordEntry, now recordEntry) {
	for _, e := range before {
		for file, sum := range e.Files {
			p := filepath.Join(m.lesson.into, filepath.FromSlash(file))
			if _, still := now.Files[file]; !still && sumOfFile(p) == sum && os.Remove(p) == nil {
				fmt.Fprintf(m.app.errOut, "%s is not made any more and was removed\n", p)
				_ = os.Remove(filepath.Dir(p)) // if nothing else is in it
			}
		}
	}
}

// manifestName is the file that says what the files of a lesson promise.
const manifestName = "lesson-manifest.json"

// writeManifest writes what the files of the lesson promise.
func (m *lessonMaker) writeManifest() error {
	title := m.lesson.title
	if title == "" {
		title = baseOf(path.Base(filepath.ToSlash(m.lesson.name)))
	}
	data, err := json.MarshalIndent(struct {
		Lesson string    `json:"lesson"`
		Files  []promise `json:"files"`
	}{title, append([]promise{}, m.promises...)}, "", "  ")
	if err != nil {
		return err
	}
	data = append(data, '\n')
	at := filepath.Join(m.lesson.into, manifestName)
	name := filepath.Base(m.lesson.name) + ": " + manifestName
	file := stagedFile{path: at, sum: sha256.Sum256(data)}
	key := m.record.keyOf(data)
	if m.record.upToDate(name, key) != nil {
		return nil
	}
	if err := checkTarget(at, m.write.force || m.record.owner(name)(at)); err != nil {
		return err
	}
	if err := m.record.add(recordEntry{Source: name, Key: key, Files: sumsOf(m.lesson.into, []stagedFile{file})}); err != nil {
		return err
	}
	return writeAtomic(at, data)
}
