package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"

	"example.org/lickwright/score"
)

// An input is a file that was read.
type input struct {
	name   string // for messages: the path, or "standard input"
	base   string // what names of results begin with; with slashes below the output folder
	data   []byte
	format format
	doc    document
}

const stdinName = "standard input"

// load reads an input; "-" is standard input.
func (j *job) load(path string) (*input, error) {
	data, err := j.content(path)
	if err != nil {
		return nil, err
	}
	return j.open(path, data)
}

// content reads a file, or standard input, that has to have something in it.
func (j *job) content(path string) (data []byte, err error) {
	name := path
	if path == "-" {
		name = stdinName
		data, err = io.ReadAll(j.app.in)
	} else {
		data, err = readFile(path)
	}
	if err == nil && len(bytes.TrimSpace(data)) == 0 {
		err = &fileError{name, "there is nothing in it", "give a file with tab or MusicXML"}
	}
	return data, err
}

// open reads the music that a file has.
func (j *job) open(path string, data []byte) (*input, error) {
	in := &input{name: path, base: baseOf(filepath.Base(path)), data: data}
	if path == "-" {
		in.name, in.base = stdinName, "stdin"
	}
	byContent, sure := formatOfContent(in.data)
	in.format = byContent
	if byPath, ok := formatOfPath(path); ok && byPath.read != nil && !sure {
		in.format = byPath
	}
	opt, err := j.read.options()
	if err != nil {
		return nil, err
	}
	opt.Report = func(d score.Diagnostic) {
		j.say.add(d)
		j.app.watch.read(d)
	}
	if in.format.text {
		j.sources[in.name] = in.data
	}
	in.doc, err = in.format.read(bytes.NewReader(in.data), in.name, opt)
	if err != nil {
		return nil, err
	}
	return in, nil
}

func readFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err == nil && info.IsDir() {
		return nil, &fileError{path, "it is a folder", "name a file in it"}
	}
	if err != nil {
		return nil, &fileError{path, "cannot be read: " + plain(err), ""}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, &fileError{path, "cannot be read: " + plain(err), ""}
	}
	return data, nil
}

// onlyParts returns the music of an input, without the parts that --part
// leaves out.
func (j *job) onlyParts(in *input) (*score.Score, error) {
	s := in.doc.Score()
	ids, err := j.read.selectParts(s)
	if err != nil || ids == nil {
		return s, err
	}
	s = s.Clone()
	s.Parts = slices.DeleteFunc(s.Parts, func(p *score.Part) bool { return !slices.Contains(ids, p.ID) })
	return s, nil
}
