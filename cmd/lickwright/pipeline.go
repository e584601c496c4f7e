package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/score/compare"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// All commands that turn files into files go one way: find the format, read
// everything, transform, render into memory, and only when all of that has
// succeeded write, or show what would change. Commands supply the transform.

// An input is a file that was read.
type input struct {
	name   string // for messages: the path, or "standard input"
	base   string // what names of results begin with
	data   []byte
	format format
	doc    document
}

// A result is one thing that a command makes of an input.
type result struct {
	score   *score.Score
	key     string // for a file's name: "Eb-major"; "" if there is one result only
	heading string // said above it where several results share a text
}

// A transformer makes results of an input. What it has to say goes to the
// collector.
type transformer func(in *input, say *collector) ([]result, error)

// A job is a command's work on files.
type job struct {
	app       *app
	read      readFlags
	write     writeFlags
	transform transformer
	// manyHint says what to do with several results that cannot share a text.
	manyHint string

	say     *collector
	sources map[string][]byte
}

// begin makes the job ready to load inputs.
func (j *job) begin() {
	j.say = &collector{}
	j.sources = map[string][]byte{}
}

func (j *job) run(paths []string) error {
	j.begin()
	if err := j.write.check(); err != nil {
		return err
	}
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	if len(paths) > 1 && j.write.dir == "" && !j.write.diff {
		return &usageError{"several files need a folder to write to", "say -d FOLDER, or give one file"}
	}
	var outs []output
	for _, path := range paths {
		in, err := j.load(path)
		if err != nil {
			j.flush()
			return err
		}
		made, err := j.make(in)
		if err != nil {
			j.flush()
			return err
		}
		outs = append(outs, made...)
	}
	j.say.list.Sort()
	j.flush()
	if j.write.strict && j.say.list.Count(score.Warning) > 0 {
		fmt.Fprintf(j.app.errOut, "%s, and --strict was said: nothing was written\n", plural(j.say.list.Count(score.Warning), "warning"))
		return errPartly
	}
	changed, err := j.deliver(outs)
	if err != nil {
		return err
	}
	if n := j.say.list.Count(score.NotDone); n > 0 {
		fmt.Fprintf(j.app.errOut, "%s not done; everything else was\n", plural(n, "thing"))
		return errPartly
	}
	if changed {
		return errPartly
	}
	return nil
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// flush prints what was said, without what the user does not want to hear.
func (j *job) flush() {
	list := j.say.list
	if j.write.quiet && !j.write.strict {
		list = slices.DeleteFunc(slices.Clone(list), func(d score.Diagnostic) bool { return d.Severity < score.NotDone })
	}
	j.app.printAll(list, j.sources)
}

const stdinName = "standard input"

// load reads an input; "-" is standard input.
func (j *job) load(path string) (*input, error) {
	in := &input{name: path, base: strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))}
	var err error
	if path == "-" {
		in.name, in.base = stdinName, "stdin"
		in.data, err = io.ReadAll(j.app.in)
	} else {
		in.data, err = readFile(path)
	}
	if err != nil {
		return nil, err
	}
	if len(bytes.TrimSpace(in.data)) == 0 {
		return nil, &fileError{in.name, "there is nothing in it", "give a file with tab or MusicXML"}
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
	opt.Report = j.say.add
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
		return nil, &fileError{path, "it is a folder", "name the files in it"}
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

// An output is a text to be written.
type output struct {
	path string // "" for standard output
	data []byte
	from *input
	was  []byte // what it is compared with by --diff
	// music is what --diff compares with the input's, and what the format it
	// is shown in cannot hold.
	music *score.Score
	lacks compare.Lacks
}

// outputFormat returns the format that results are to have.
func (j *job) outputFormat(in *input) (format, error) {
	if j.write.as != "" {
		return formatNamed(j.write.as)
	}
	if j.write.output != "" && j.write.output != "-" {
		f, ok := formatOfPath(j.write.output)
		if !ok && filepath.Ext(j.write.output) != "" {
			return f, &usageError{fmt.Sprintf("-o: the extension of %q names no format", j.write.output), "say --as " + formatNames()}
		}
		if ok {
			return f, nil
		}
	}
	return in.format, nil
}

// make transforms an input and renders the results.
func (j *job) make(in *input) ([]output, error) {
	f, err := j.outputFormat(in)
	if err != nil {
		return nil, err
	}
	results, err := j.transform(in, j.say)
	if err != nil {
		return nil, err
	}
	defer func() { j.say.prefix = "" }()
	var outs []output
	var was []byte
	if j.write.diff {
		if !f.text { // compare what is in the wrapping
			if f, err = formatNamed("musicxml"); err != nil {
				return nil, err
			}
		}
		if was, err = j.render(in, f, result{score: in.doc.Score()}); err != nil {
			return nil, err
		}
	}
	if f.bind != nil {
		return j.bindAll(in, f, results)
	}
	for _, r := range results {
		if len(results) > 1 {
			j.say.prefix = r.heading + ": "
		}
		data, err := j.render(in, f, r)
		if err != nil {
			return nil, err
		}
		out := output{data: data, from: in, was: was}
		if j.write.diff {
			out.music = r.score
			if f.name != in.format.name {
				out.lacks = f.lacks
			}
		}
		switch {
		case j.write.dir != "":
			out.path = filepath.Join(j.write.dir, in.base+nonEmpty("-", r.key)+f.extensions[0])
		case j.write.output != "-":
			out.path = j.write.output
		}
		outs = append(outs, out)
	}
	if len(results) < 2 || j.write.dir != "" || j.write.diff {
		return outs, nil
	}
	if !f.joins {
		return nil, &usageError{fmt.Sprintf("%d results do not fit into one %s file", len(results), f.about), j.manyHint}
	}
	var all bytes.Buffer
	for i, r := range results {
		if i > 0 {
			all.WriteString("\n")
		}
		fmt.Fprintf(&all, "== %s ==\n\n", r.heading)
		all.Write(outs[i].data)
		if !bytes.HasSuffix(outs[i].data, []byte("\n")) {
			all.WriteString("\n")
		}
	}
	return []output{{path: outs[0].path, data: all.Bytes(), from: in}}, nil
}

func nonEmpty(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

// render writes a result into memory: into the text of its own document if
// that can have the format, else as a new text.
func (j *job) render(in *input, f format, r result) ([]byte, error) {
	if in.doc.Keeps(f.name) {
		return in.doc.Edit(r.score, f.name)
	}
	var buf bytes.Buffer
	err := f.write(&buf, j.prepare(in, f, r), j.writeOptions())
	return buf.Bytes(), err
}

func (j *job) writeOptions() score.WriteOptions {
	return score.WriteOptions{Width: j.write.width, Report: j.say.add}
}

// prepare returns a result as a format can have it that is not the input's:
// on a neck if need be. What the format cannot hold is reported.
func (j *job) prepare(in *input, f format, r result) *score.Score {
	if u, ok := in.doc.(interface{ Unheld() score.Diagnostics }); ok && f.bind == nil { // a binding holds the prose
		for _, d := range u.Unheld() {
			j.say.add(d)
		}
	}
	s := r.score
	if f.onNeck {
		neck := fretboard.Guitar()
		neck.Frets = max(j.read.neckFrets, 1)
		var said score.Diagnostics
		s, said = transform.PutOnNeck(s, neck)
		for _, d := range said {
			j.say.add(d)
		}
	}
	return s
}

// deliver writes the outputs, or shows what they change. Nothing is written
// if one of them cannot be.
func (j *job) deliver(outs []output) (changed bool, err error) {
	if j.write.diff {
		return j.showChanges(outs)
	}
	if j.write.dir != "" {
		if err := os.MkdirAll(j.write.dir, 0o777); err != nil {
			return false, wrapFile(j.write.dir, err)
		}
	}
	taken := map[string]string{}
	for _, o := range outs {
		if o.path == "" {
			continue
		}
		if other, ok := taken[o.path]; ok {
			return false, &fileError{o.path, fmt.Sprintf("both %s and %s would be written to it", other, o.from.name), "write them into different folders"}
		}
		taken[o.path] = o.from.name
		if err := checkTarget(o.path, j.write.force); err != nil {
			return false, err
		}
	}
	for _, o := range outs {
		if o.path != "" {
			err = writeAtomic(o.path, o.data)
		} else {
			err = writeAll(j.app.out, o.data)
		}
		if err != nil {
			return false, err
		}
	}
	if j.write.dir != "" && !j.write.quiet {
		fmt.Fprintf(j.app.errOut, "%s written to %s\n", plural(len(outs), "file"), j.write.dir)
	}
	return false, nil
}

func writeAll(w io.Writer, data []byte) error {
	if _, err := w.Write(data); err != nil {
		return wrapFile("standard output", err)
	}
	return nil
}

// showChanges prints the difference that each output makes: in the music, and
// line by line in the text.
func (j *job) showChanges(outs []output) (changed bool, err error) {
	for _, o := range outs {
		d, err := unifiedDiff(o.from.name, o.from.name+" (changed)", string(o.was), string(o.data))
		if err != nil {
			return changed, &fileError{o.from.name, err.Error(), "write the result to a file and compare parts of it"}
		}
		changed = changed || d != ""
		if found := compare.Differences(o.from.doc.Score(), o.music, compare.Options{B: o.lacks}); len(found) > 0 {
			d = fmt.Sprintf("%s: %s\n%s", o.from.name, plural(len(found), "difference"), listed(found)) + d
		}
		if j.app.outTTY && j.app.color {
			d = colored(d)
		}
		if err := writeAll(j.app.out, []byte(d)); err != nil {
			return changed, err
		}
	}
	return changed, nil
}
