package main

import (
	"bytes"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"example.org/lickwright/tabtext"
	"example.org/lickwright/tabtext/degrees"
)

// A source is a file to be worked on.
type source struct {
	path string // as it is opened and named
	base string // what names of results begin with, with slashes, below the output folder
	// found marks a file that was found in a folder and not named: if it is
	// no music, it is passed over.
	found bool
}

// name is what the record calls the file.
func (s source) name() string { return s.base + filepath.Ext(s.path) }

// expand returns the files that paths name. A folder stands for all files in
// it and below whose extension is that of music, in order of their names; of
// them the place in the folder is kept. Hidden ones are left out, and so is
// the output folder.
func (j *job) expand(paths []string) ([]source, error) {
	var list []source
	for _, p := range paths {
		info, err := os.Stat(p)
		if p == "-" || err != nil || !info.IsDir() { // what is wrong with it is said when it is read
			list = append(list, source{path: p, base: baseOf(filepath.Base(p))})
			continue
		}
		found, err := j.filesBelow(p)
		if err != nil {
			return nil, err
		}
		if len(found) == 0 {
			return nil, &fileError{p, "there is no music in this folder", "music has one of the extensions " + strings.Join(readExtensions(), " ")}
		}
		list = append(list, found...)
	}
	toldApart(list)
	return list, nil
}

// toldApart gives sources whose results would have one name their extension
// into it: lick.tab and lick.xml make lick-tab and lick-xml. All of them get
// it, so that names depend on what there is and not on the order in which it is
// named, and stay from run to run.
func toldApart(list []source) {
	alike := map[string][]int{}
	for i, s := range list {
		alike[s.base] = append(alike[s.base], i)
	}
	for _, same := range alike {
		if len(same) < 2 {
			continue
		}
		same = slices.DeleteFunc(same, func(i int) bool { return !list[i].counts() })
		extensions := map[string]bool{}
		for _, i := range same {
			extensions[filepath.Ext(list[i].path)] = true
		}
		if len(extensions) < 2 {
			continue
		}
		for _, i := range same {
			list[i].base += strings.Replace(filepath.Ext(list[i].path), ".", "-", 1)
		}
	}
}

// counts tells whether a file will be worked on: one that was found may be no
// music.
func (s source) counts() bool {
	if !s.found {
		return s.path != "-"
	}
	data, err := os.ReadFile(s.path)
	return err != nil || s.isMusic(data) // what is wrong is said when it is read
}

func baseOf(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }

func (j *job) filesBelow(folder string) ([]source, error) {
	out, err := os.Stat(j.write.dir)
	into := err == nil && j.write.dir != ""
	var list []source
	err = filepath.WalkDir(folder, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return &fileError{p, "cannot be read: " + plain(err), ""}
		}
		hidden := strings.HasPrefix(d.Name(), ".") && p != folder
		if d.IsDir() {
			if info, err := d.Info(); hidden || err == nil && into && p != folder && os.SameFile(info, out) {
				return fs.SkipDir
			}
			return nil
		}
		if f, ok := formatOfPath(p); hidden || !ok || f.read == nil {
			return nil
		}
		rel, err := filepath.Rel(folder, p)
		if err != nil {
			return err
		}
		list = append(list, source{path: p, base: path.Join(path.Dir(filepath.ToSlash(rel)), baseOf(d.Name())), found: true})
		return nil
	})
	return list, err
}

// readExtensions lists the extensions of the formats that can be read.
func readExtensions() []string {
	var list []string
	for _, f := range formats() {
		if f.read != nil {
			list = append(list, f.extensions...)
		}
	}
	return list
}

// isMusic tells whether a file that was found in a folder is what its
// extension promises: a text may be a letter, and XML may be anything.
func (s source) isMusic(data []byte) bool {
	switch strings.ToLower(filepath.Ext(s.path)) {
	case ".txt":
		return tabtext.Looks(data) || degrees.Looks(data)
	case ".xml":
		return bytes.Contains(bytes.ReplaceAll(data[:min(len(data), 4096)], []byte{0}, nil), []byte("<score-"))
	}
	return true
}
