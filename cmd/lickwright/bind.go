package main

import (
	"bytes"
	"io"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A page is one of the things that a file for several of them holds, under a
// heading of its own.
type page struct {
	heading string // "" if it stands alone
	score   *score.Score
	// layouts are pictured beside the music: the positions that it is in.
	layouts []fretboard.Layout
	remarks []string // said under the heading, a line each
}

// A binding is what is put into one file: a sheet of several keys or
// positions.
type binding struct {
	title string // of the whole; "" for that of its music
	name  string // of the file that it comes from, for what has no title; "" for none
	pages []page
	// practise is what the teacher says about it, a paragraph each.
	practise  []string
	worksheet worksheetFlags
}

// bindAll puts results of an input into one file.
func (j *job) bindAll(in *input, f format, results []result) ([]output, error) {
	pages := make([]page, len(results))
	err := j.beside(len(results), func(k *job, i int) error {
		r := results[i]
		if len(results) > 1 {
			k.say.prefix = r.heading + ": "
		}
		if err := r.finish(k.say); err != nil {
			return err
		}
		pages[i] = page{heading: r.heading, score: k.prepare(in, f, r)}
		return nil
	})
	if err != nil {
		return nil, err
	}
	data, err := j.bound(in, f, pages)
	if err != nil {
		return nil, err
	}
	out := output{data: data, from: in, promise: boundPromise(results)}
	if j.write.output != "-" {
		out.path = j.write.output
	}
	return []output{out}, nil
}

// bound writes pages into one file, with what the input says in words.
func (j *job) bound(in *input, f format, pages []page) ([]byte, error) {
	var practise []string
	if p, ok := in.doc.(interface{ Prose() []string }); ok {
		practise = p.Prose()
	}
	var buf bytes.Buffer
	err := f.bind(&buf, binding{name: titleOfFile(in), pages: pages, practise: practise, worksheet: j.write.worksheet}, j.writeOptions())
	return buf.Bytes(), err
}

// titleOfFile is the name of an input as a title: "two_doors-down" is Two doors
// down.
func titleOfFile(in *input) string {
	if in.name == stdinName {
		return ""
	}
	name := strings.Join(strings.FieldsFunc(path.Base(in.base), func(r rune) bool { return strings.ContainsRune("-_ ", r) }), " ")
	r, n := utf8.DecodeRuneInString(name)
	return string(unicode.ToUpper(r)) + name[n:]
}

// A binder writes several scores as one file.
type binder func(w io.Writer, b binding, opt score.WriteOptions) error
