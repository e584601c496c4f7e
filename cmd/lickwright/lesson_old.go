package main

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// The record of the folder is the lesson's own list of what it has made. A
// step that was taken out of the lesson file, or got another target, leaves its
// entry there, and so its files can be told from those of other people.

// An oldFile is a file of which no step of the lesson is the maker any more.
type oldFile struct {
	path    string
	changed bool // by somebody, since it was made
}

// oldFiles lists what steps have made that are not in the lesson any more,
// below the lesson's folder and in order, and the names of these steps in the
// record. What is gone, and what another step makes now, does not count.
func (m *lessonMaker) oldFiles() (files []oldFile, steps []string) {
	begins := filepath.Base(m.lesson.name) + ": "
	now := map[string]bool{begins + manifestName: true}
	for _, s := range m.lesson.steps {
		now[m.recordName(s)] = true
	}
	made := map[string]bool{}
	sums := map[string][]string{}
	for _, source := range m.record.sources() {
		entries := m.record.entries(source)
		switch {
		case now[source] && len(entries) > 0:
			for file := range entries[len(entries)-1].Files {
				made[file] = true
			}
		case strings.HasPrefix(source, begins):
			steps = append(steps, source)
			for _, e := range entries {
				for file, sum := range e.Files {
					sums[file] = append(sums[file], sum)
				}
			}
		}
	}
	for _, file := range slices.Sorted(maps.Keys(sums)) {
		p := filepath.Join(m.lesson.into, filepath.FromSlash(file))
		if made[file] || !filepath.IsLocal(filepath.FromSlash(file)) {
			continue
		}
		if info, err := os.Lstat(p); err != nil || !info.Mode().IsRegular() {
			continue
		}
		files = append(files, oldFile{p, !slices.Contains(sums[file], sumOfFile(p))})
	}
	return files, steps
}

// mostNamed is how many files are named before the others are counted.
const mostNamed = 5

// old says which files no step makes any more, or removes them if that was
// said: those that are as they were made, and nothing else.
func (m *lessonMaker) old() {
	files, steps := m.oldFiles()
	say := func(format string, args ...any) { fmt.Fprintf(m.app.errOut, format+"\n", args...) }
	if !m.removeOldFiles {
		if len(files) == 0 {
			m.record.forget(steps...)
			return
		}
		if m.write.quiet {
			return
		}
		for _, f := range files[:min(mostNamed, len(files))] {
			why := ""
			if f.changed {
				why = " (and was changed since)"
			}
			say("%s is made by no step any more%s", f.path, why)
		}
		if n := len(files) - mostNamed; n > 0 {
			say("%s more of the same", plural(n, "file"))
		}
		say("  hint: --remove-old removes those that nobody has changed")
		return
	}
	left := false
	for _, f := range files {
		switch {
		case f.changed:
			say("%s is made by no step any more; it was changed since, so it stays", f.path)
		default:
			if err := os.Remove(f.path); err != nil {
				say("%s is made by no step any more and cannot be removed: %s", f.path, plain(err))
				left = true
				continue
			}
			say("%s is made by no step any more and was removed", f.path)
			m.removeEmpty(filepath.Dir(f.path))
		}
	}
	if !left {
		m.record.forget(steps...)
	}
}

// removeEmpty removes folders inside of the lesson's in which nothing is left.
func (m *lessonMaker) removeEmpty(dir string) {
	into := filepath.Clean(m.lesson.into)
	for strings.HasPrefix(dir, into+string(filepath.Separator)) && os.Remove(dir) == nil {
		dir = filepath.Dir(dir)
	}
}
