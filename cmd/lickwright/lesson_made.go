package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// record name of a step: what it makes, so that steps can be renamed and put
// in another order.
func (m *lessonMaker) recordName(s *lessonStep) string {
	var list []string
	for _, t := range s.targets {
		list = append(list, t.String())
	}
	return filepath.Base(m.lesson.name) + ": " + strings.Join(list, ", ")
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
		fmt.Fprintln(&b, t, t.answers)
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
		at := s.at
		for _, f := range m.settings(s) {
			if strings.HasPrefix(usage.msg, "--"+f.flag+":") {
				at = f.at
			}
		}
		return score.Diagnostics{{Severity: score.Error, Code: "lesson", Pos: at, Msg: usage.msg, Hint: usage.hint}}
	case errors.As(err, &file):
		return m.at(s, file.Error(), file.hint)
	}
	return err
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
				p.Of, p.Semitones, p.Exact, p.Sections = "", nil, false, nil
			} else {
				p.Of = filepath.ToSlash(of)
			}
		}
		list = append(list, p)
	}
	m.likeTheirSiblings(s, list)
	return list
}

// likeTheirSiblings lets sheets and MIDI files that promise no music promise
// that of a file beside them, which the same step has made of the same results.
func (m *lessonMaker) likeTheirSiblings(s *lessonStep, list []promise) {
	readable := func(name string) bool {
		f, ok := formatOfPath(name)
		return ok && f.read != nil && slices.ContainsFunc(s.targets, func(t stepTarget) bool { return !t.folder && t.path == name })
	}
	i := slices.IndexFunc(list, func(p promise) bool { return readable(p.File) })
	if i < 0 {
		return
	}
	same := 0
	for k := range list {
		p := &list[k]
		f, _ := formatOfPath(p.File)
		whole := slices.ContainsFunc(s.targets, func(t stepTarget) bool { return !t.folder && t.path == p.File })
		if p.Of == "" && whole && (f.name == "html" || f.name == "mid" && p.pieces < 2) {
			p.Of, p.Semitones, p.Exact = list[i].File, &same, true
		}
	}
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
		Lesson  string            `json:"lesson"`
		Sources map[string]string `json:"sources,omitempty"`
		Files   []promise         `json:"files"`
	}{title, sourceSums(m.lesson.into, m.promises), append([]promise{}, m.promises...)}, "", "  ")
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
