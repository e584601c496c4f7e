package main

import (
	"bytes"
	"io"
	"path/filepath"

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
	pages []page
	// practise is what the teacher says about it, a paragraph each.
	practise  []string
	worksheet bool
}

// bindAll puts the results of an input into one file, or with -d each into
// one of its own.
func (j *job) bindAll(in *input, f format, results []result) ([]output, error) {
	defer func() { j.say.prefix = "" }()
	var pages []page
	for _, r := range results {
		if len(results) > 1 {
			j.say.prefix = r.heading + ": "
		}
		pages = append(pages, page{heading: r.heading, score: j.prepare(in, f, r)})
	}
	j.say.prefix = ""
	groups := [][]page{pages}
	if j.write.dir != "" {
		groups = nil
		for i := range pages {
			groups = append(groups, pages[i:i+1])
		}
	}
	var practise []string
	if p, ok := in.doc.(interface{ Prose() []string }); ok {
		practise = p.Prose()
	}
	var outs []output
	for i, group := range groups {
		var buf bytes.Buffer
		if err := f.bind(&buf, binding{pages: group, practise: practise, worksheet: j.write.worksheet}, j.writeOptions()); err != nil {
			return nil, err
		}
		out := output{data: buf.Bytes(), from: in}
		switch {
		case j.write.dir != "":
			out.path = filepath.Join(j.write.dir, in.base+nonEmpty("-", results[i].key)+f.extensions[0])
		case j.write.output != "-":
			out.path = j.write.output
		}
		outs = append(outs, out)
	}
	return outs, nil
}

// A binder writes several scores as one file.
type binder func(w io.Writer, b binding, opt score.WriteOptions) error
