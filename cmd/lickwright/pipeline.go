package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// All commands that turn files into files go one way: find the format, read
// everything, transform, render into memory, and only when all of that has
// succeeded write, or show what would change. Commands supply the transform.

// A result is one thing that a command makes of an input.
type result struct {
	score   *score.Score
	key     string // for a file's name: "Eb-major"; "" if there is one result only
	heading string // said above it where several results share a text
	// make makes the score, if it is not there yet. So many results are made
	// at once and none is kept longer than it takes to write it. It may be
	// called while others are.
	make func(say *collector) (*score.Score, error)
	// promise is what a file of it alone claims, for the manifest of a lesson.
	promise promise
	// frets are the lowest and the highest that the promise names as well, if
	// nothing was said of notes that have no place between them.
	frets []int
}

// A transformer makes results of an input. What it has to say goes to the
// collector. It may run on several inputs at once.
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
	workers chan struct{} // has room for as many as work at once
	// progress counts the results of the only file, if there is one only.
	progress *progress
}

// onParts is a transformer for the music of an input: work gets its score and
// the IDs of the parts that --part names, nil for all.
func (j *job) onParts(work func(in *input, s *score.Score, parts []string, say *collector) ([]result, error)) transformer {
	return func(in *input, say *collector) ([]result, error) {
		s := in.doc.Score()
		parts, err := j.read.selectParts(s)
		if err != nil {
			return nil, err
		}
		return work(in, s, parts, say)
	}
}

// begin makes the job ready to load inputs.
func (j *job) begin() {
	j.say = &collector{}
	j.sources = map[string][]byte{}
	if j.workers == nil {
		j.workers = make(chan struct{}, runtime.GOMAXPROCS(0))
	}
}

// apart returns the job with nothing said yet, for work beside that of
// others.
func (j *job) apart() *job {
	k := *j
	k.begin()
	return &k
}

// working runs work when a worker is free for it.
func (j *job) working(work func()) {
	j.workers <- struct{}{}
	defer func() { <-j.workers }()
	work()
}

func (j *job) run(paths []string) error {
	j.begin()
	if err := j.write.check(); err != nil {
		return err
	}
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	sources, err := j.expand(paths)
	if err != nil {
		return err
	}
	switch {
	case j.write.dir != "":
		return j.batch(sources)
	case j.write.diff:
		return j.diffAll(sources)
	case len(paths) > 1:
		return &usageError{"several files need a folder to write to", "say -d FOLDER, or give one file"}
	case len(sources) > 1 || sources[0].found:
		return &usageError{fmt.Sprintf("%s is a folder, and its files need one to be written to", paths[0]), "say -d FOLDER, or give one file"}
	}
	in, err := j.load(sources[0].path)
	if err != nil {
		j.flush()
		return err
	}
	outs, err := j.make(in)
	if err != nil {
		j.flush()
		return err
	}
	j.say.list.Sort()
	j.flush()
	if j.withheld() {
		fmt.Fprintf(j.app.errOut, "%s, and --strict was said: nothing was written\n", faultWords(j.say.list.Count(score.Warning), j.say.list.Count(score.NotDone)))
		return errPartly
	}
	if _, err := j.deliver(outs); err != nil {
		return err
	}
	return j.notDone(j.say.list.Count(score.NotDone))
}

// withheld tells whether warnings, or what was not done, keep the results from
// being written.
func (j *job) withheld() bool {
	return j.write.strict && j.say.list.Count(score.Warning)+j.say.list.Count(score.NotDone) > 0
}

// faultWords counts what --strict does not let pass.
func faultWords(warnings, undone int) string {
	var words []string
	if warnings > 0 {
		words = append(words, plural(warnings, "warning"))
	}
	if undone > 0 {
		words = append(words, plural(undone, "thing")+" not done")
	}
	return strings.Join(words, " and ")
}

// notDone counts what was not done, as the last thing that is said.
func (j *job) notDone(n int) error {
	if n == 0 {
		return nil
	}
	if j.app.watch != nil {
		j.app.watch.notDone += n
		return errPartly
	}
	fmt.Fprintf(j.app.errOut, "%s not done; everything else was\n", plural(n, "thing"))
	return errPartly
}

// diffAll shows what would change, file by file.
func (j *job) diffAll(sources []source) error {
	var t tally
	for _, src := range sources {
		k := j.apart()
		in, err := k.load(src.path)
		var outs []output
		if err == nil {
			outs, err = k.make(in)
		}
		k.say.list.Sort()
		k.flush()
		changed := false
		if err == nil && !k.withheld() {
			changed, err = k.showChanges(outs)
		}
		if err != nil && len(sources) == 1 {
			return err
		}
		t.add(src, k, err)
		t.changed = t.changed || changed
		if err != nil {
			j.app.sayError(src.path, err)
			if j.write.stopOnError {
				break
			}
		}
	}
	return t.end(j)
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

// planned returns what is to be made of an input: the results and the format
// that they are to have.
func (j *job) planned(in *input) (format, []result, error) {
	f, err := j.outputFormat(in)
	if err != nil {
		return f, nil, err
	}
	if j.write.diff && !f.text { // compare what is in the wrapping
		if f, err = formatNamed("musicxml"); err != nil {
			return f, nil, err
		}
	}
	results, err := j.transform(in, j.say)
	if err == nil && !in.doc.Keeps(f.name) && !f.prose {
		if u, ok := in.doc.(interface{ Unheld() score.Diagnostics }); ok {
			j.say.addAll(u.Unheld())
		}
	}
	return f, results, err
}

// make transforms an input and renders the results.
func (j *job) make(in *input) ([]output, error) {
	f, results, err := j.planned(in)
	if err != nil {
		return nil, err
	}
	if f.bind != nil && !j.write.diff {
		return j.bindAll(in, f, results)
	}
	var was []byte
	if j.write.diff {
		if was, err = j.render(in, f, result{score: in.doc.Score()}); err != nil {
			return nil, err
		}
	}
	outs := make([]output, len(results))
	err = j.each(in, f, results, func(i int, out output) error {
		out.was = was
		outs[i] = out
		return nil
	})
	if err != nil {
		return nil, err
	}
	if len(results) < 2 || j.write.diff {
		return outs, nil
	}
	if !f.joins {
		return nil, &usageError{fmt.Sprintf("%d results do not fit into one %s file", len(results), f.about), j.manyHint}
	}
	headings := make([]string, len(results))
	for i, r := range results {
		headings[i] = r.heading
	}
	return []output{{path: outs[0].path, data: joinUnderHeadings(headings, outs), from: in}}, nil
}

// each renders the results of an input, as many at once as there are workers,
// and hands them on as they are made, in any order and at once.
func (j *job) each(in *input, f format, results []result, take func(i int, out output) error) error {
	return j.beside(len(results), func(k *job, i int) error {
		out, err := k.version(in, f, results[i], len(results) > 1)
		if err != nil {
			return err
		}
		return take(i, out)
	})
}

// beside does n pieces of work, as many at once as there are workers, each
// with a job of its own to say things with. What they say is said in their
// order, up to the first that fails, whose error is returned.
func (j *job) beside(n int, work func(k *job, i int) error) error {
	said := make([]*collector, n)
	errs := make([]error, n)
	var all sync.WaitGroup
	for i := range n {
		said[i] = &collector{}
		all.Go(func() {
			j.working(func() {
				if errs[i] = j.app.interrupted(); errs[i] != nil {
					return
				}
				k := j.apart()
				said[i] = k.say
				errs[i] = work(k, i)
			})
		})
	}
	all.Wait()
	for i := range n {
		j.say.list = append(j.say.list, said[i].list...)
		if errs[i] != nil {
			return errs[i]
		}
	}
	return nil
}

// version makes and renders one result.
func (j *job) version(in *input, f format, r result, several bool) (output, error) {
	if several {
		j.say.prefix = r.heading + ": "
	}
	if err := r.finish(j.say); err != nil {
		return output{}, err
	}
	j.widthKept(in, f)
	out := output{from: in, promise: r.promise}
	if len(r.frets) == 2 && !j.say.tells(transform.CodeRefingerScheme, transform.CodeRefingerSpill, transform.CodeRefingerNoPlace) {
		out.promise.Frets = r.frets
	}
	var err error
	if f.bind != nil && !j.write.diff {
		out.data, err = j.bound(in, f, []page{{heading: r.heading, score: j.prepare(in, f, r)}})
	} else {
		out.data, err = j.render(in, f, r)
	}
	if err != nil {
		return out, err
	}
	if j.write.diff {
		out.music = r.score
		if f.name != in.format.name {
			out.lacks = f.lacks
		}
	}
	switch {
	case j.write.dir != "":
		out.path = filepath.Join(j.write.dir, filepath.FromSlash(in.base+nonEmpty("-", r.key)+f.extensions[0]))
	case j.write.output != "-":
		out.path = j.write.output
	}
	return out, nil
}

// finish makes the score of a result that has none yet.
func (r *result) finish(say *collector) (err error) {
	if r.score == nil && r.make != nil {
		r.score, err = r.make(say)
	}
	return err
}

// render writes a result into memory: into the text of its own document if
// that can have the format, else as a new text.
func (j *job) render(in *input, f format, r result) ([]byte, error) {
	if in.doc.Keeps(f.name) {
		data, err := in.doc.Edit(r.score, f.name)
		if err != nil || j.write.width == 0 || f.name != "tab" {
			return data, err
		}
		return j.narrow(in, data)
	}
	var buf bytes.Buffer
	err := f.write(&buf, j.prepare(in, f, r), j.writeOptions())
	return buf.Bytes(), err
}

// narrow cuts the lines of a tab that keeps its own to the width that is asked for.
func (j *job) narrow(in *input, data []byte) ([]byte, error) {
	opt, err := j.read.options()
	if err != nil {
		return nil, err
	}
	opt.Report = func(d score.Diagnostic) {
		d.Pos = score.Pos{File: in.name} // lines of the result are none of the file
		j.say.add(d)
	}
	return tabtext.Narrow(data, in.name, j.write.width, opt)
}

// widthKept says where a width that is asked for has no effect.
func (j *job) widthKept(in *input, f format) {
	fresh := f.name == "degrees" && !in.doc.Keeps(f.name)
	if j.write.width > 0 && f.name != "tab" && !fresh {
		j.say.add(score.Diagnostic{Severity: score.Warning, Code: "width-kept", Pos: score.Pos{File: in.name},
			Msg: "--width is for the lines of tab, and the result is " + f.about + ": it has no effect", Hint: "leave it out, or say --as tab"})
	}
}

func (j *job) writeOptions() score.WriteOptions {
	opt := j.write.options(j.say.add)
	opt.Sound.Tempo = j.read.tempo
	return opt
}

// prepare returns a result as a format can have it that is not the input's:
// on a neck if need be, and with letters that suit the music where it is to show
// letters and had none. What the format cannot hold is reported.
func (j *job) prepare(in *input, f format, r result) *score.Score {
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
	switch {
	case f.letters:
		s = transform.ChooseLetters(s)
	case f.name == "tab":
		for _, d := range transform.LettersLost(s) {
			j.say.add(d)
		}
	}
	return s
}
