package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"example.org/lickwright/score"
)

// Many files are worked on beside each other, and everything that can be seen
// from outside happens in their order: what is said, which of two results of
// one name is there first, where --stop-on-error stops. A file's results are
// staged as they are made and take their names when all of them are there.

// A batchFile is a file of a batch once its results are staged.
type batchFile struct {
	source  source
	job     *job // that has said what there is to say about it
	staged  []stagedFile
	key     string // of what it was made from, for the record
	err     error
	skipped bool // it is no music
	same    *recordEntry
}

// batch works on files and writes their results into a folder.
func (j *job) batch(sources []source) error {
	stop := j.app.heedInterrupts()
	defer stop()
	st, err := newStage(j.write.dir)
	if err != nil {
		return err
	}
	defer st.close()
	var rec *record
	if j.write.skipUnchanged {
		if rec, err = openRecord(j.write.dir, j.command()); err != nil {
			return err
		}
		defer rec.close()
	}
	show := j.app.newProgress("file", len(sources))
	defer show.end()
	if len(sources) == 1 {
		j.progress = show
	}
	t := tally{many: len(sources) > 1 || sources[0].found}
	taken := map[uint64]string{} // the sources of what is written
	for f := range j.stageAll(sources, st, rec) {
		show.clear()
		f.job.say.list.Sort()
		f.job.flush()
		if f.err == nil && !f.skipped && f.same == nil && !f.job.withheld() {
			st.disk.Lock()
			f.err = j.commit(f, taken, rec)
			st.disk.Unlock()
			t.written += len(f.staged)
		}
		if !t.many && f.err != nil {
			return f.err
		}
		t.count(f)
		if f.err != nil && !errors.Is(f.err, errInterrupted) {
			j.app.sayError(f.source.path, f.err)
		}
		if f.err != nil && (j.write.stopOnError || errors.Is(f.err, errInterrupted)) {
			t.left = len(sources) - t.files
			break
		}
		show.step(len(sources) > 1)
	}
	show.end()
	return t.end(j)
}

// ahead is how many files more than workers may be staged before the first
// of them is committed. It bounds memory and open stages.
const ahead = 4

// stageAll stages the results of files beside each other and yields them in
// their order.
func (j *job) stageAll(sources []source, st *stage, rec *record) func(yield func(*batchFile) bool) {
	return func(yield func(*batchFile) bool) {
		quit := make(chan struct{})
		queue := make(chan chan *batchFile, cap(j.workers)+ahead)
		go func() {
			defer close(queue)
			for _, src := range sources {
				done := make(chan *batchFile, 1)
				select {
				case queue <- done:
				case <-quit:
					return
				}
				go func() { done <- j.stageOne(src, st, rec) }()
			}
		}()
		more := true
		for done := range queue { // to the end, so that nothing works on when this returns
			f := <-done
			if more && !yield(f) {
				more = false
				st.abandon()
				close(quit)
			}
		}
	}
}

// stageOne makes the results of a file and stages them.
func (j *job) stageOne(src source, st *stage, rec *record) *batchFile {
	k := j.apart()
	f := &batchFile{source: src, job: k}
	if f.err = st.stopped(); f.err != nil {
		return f
	}
	var in *input
	k.working(func() {
		var data []byte
		if data, f.err = k.content(src.path); f.err != nil {
			return
		}
		if src.found && !src.isMusic(data) {
			f.skipped = true
			return
		}
		if rec != nil {
			f.key = rec.keyOf(data)
			if f.same = rec.upToDate(src.name(), f.key); f.same != nil {
				return
			}
		}
		in, f.err = k.open(src.path, data)
	})
	if f.err != nil || f.skipped || f.same != nil {
		return f
	}
	if src.path != "-" {
		in.base = src.base
	}
	var form format
	var results []result
	k.working(func() { form, results, f.err = k.planned(in) })
	if f.err != nil {
		return f
	}
	j.progress.total("version", len(results))
	f.staged = make([]stagedFile, len(results))
	f.err = k.each(in, form, results, func(i int, out output) (err error) {
		f.staged[i], err = st.put(out)
		j.progress.step(true)
		return err
	})
	return f
}

// commit gives the staged results of a file their names, if every one of them
// can have it.
func (j *job) commit(f *batchFile, taken map[uint64]string, rec *record) error {
	ours := rec.owner(f.source.name())
	for _, s := range f.staged {
		if other, ok := taken[s.id()]; ok {
			return &fileError{s.path, fmt.Sprintf("both %s and %s would be written to it", other, f.source.path), "write them into different folders"}
		}
		if err := checkTarget(s.path, j.write.force || ours(s.path)); err != nil {
			return err
		}
		taken[s.id()] = f.source.path
	}
	if rec != nil {
		err := rec.add(recordEntry{Source: f.source.name(), Key: f.key, NotDone: f.job.say.list.Count(score.NotDone), Files: sumsOf(j.write.dir, f.staged)})
		if err != nil {
			return err
		}
	}
	for _, s := range f.staged {
		if err := s.commit(); err != nil {
			return err
		}
		j.app.delivered(s.path, s.promise)
	}
	return nil
}

// A tally counts what became of the files of a batch.
type tally struct {
	many     bool
	files    int
	written  int
	same     int // files that were made before and are unchanged
	skipped  []string
	failed   []string
	withheld int // by --strict
	warnings int
	refused  int // things not done, where --strict withheld
	notDone  int
	left     int // not begun
	wrong    int // of those that failed, by wrong usage
	stopped  bool
	changed  bool // --diff showed something
}

func (t *tally) count(f *batchFile) {
	switch {
	case f.skipped:
		t.files++
		t.skipped = append(t.skipped, f.source.path)
	case f.same != nil:
		t.files++
		t.same++
		t.notDone += f.same.NotDone
	default:
		t.add(f.source, f.job, f.err)
	}
}

// add counts a file that was worked on.
func (t *tally) add(src source, k *job, err error) {
	if errors.Is(err, errInterrupted) {
		t.stopped = true
		return
	}
	t.files++
	if err != nil {
		t.failed = append(t.failed, src.path)
		var usage *usageError
		if errors.As(err, &usage) {
			t.wrong++
		}
		return
	}
	if k.withheld() {
		t.withheld++
		t.warnings += k.say.list.Count(score.Warning)
		t.refused += k.say.list.Count(score.NotDone)
		return
	}
	t.notDone += k.say.list.Count(score.NotDone)
}

// maxNamed is how many files a closing line names.
const maxNamed = 10

func named(paths []string) string {
	if len(paths) > maxNamed {
		return strings.Join(paths[:maxNamed], ", ") + fmt.Sprintf(" and %d more", len(paths)-maxNamed)
	}
	return strings.Join(paths, ", ")
}

// end says what became of everything, and returns what the exit code says.
func (t *tally) end(j *job) error {
	say := func(format string, args ...any) { fmt.Fprintf(j.app.errOut, format+"\n", args...) }
	if !j.write.quiet && j.write.dir != "" && j.app.watch == nil && (t.withheld == 0 || t.written > 0) {
		what := plural(t.written, "file") + " written to " + j.write.dir
		if t.many {
			what = plural(t.files, "file") + " read, " + what
		}
		if t.same > 0 {
			what += fmt.Sprintf("; %s unchanged", plural(t.same, "source"))
		}
		say("%s", what)
		if len(t.skipped) > 0 {
			say("%s passed over, in which there is no music: %s", plural(len(t.skipped), "file"), named(t.skipped))
		}
	}
	switch {
	case t.withheld > 0 && !t.many:
		say("%s, and --strict was said: nothing was written", faultWords(t.warnings, t.refused))
	case t.withheld > 0:
		say("%s in %s, and --strict was said: nothing was written of %s", faultWords(t.warnings, t.refused), plural(t.withheld, "file"), themOrIt(t.withheld))
	}
	if len(t.failed) > 0 && t.many {
		say("%d of %s failed: %s", len(t.failed), plural(t.files, "file"), named(t.failed))
	}
	switch {
	case t.stopped:
		say("interrupted: what was written is whole; --skip-unchanged goes on from there")
		return errFailed
	case t.left > 0:
		say("stopped at the first that failed; %s left", plural(t.left, "file"))
	}
	switch {
	case len(t.failed) > 0 && t.wrong == len(t.failed):
		return errWrong
	case len(t.failed) > 0:
		return errFailed
	}
	if err := j.notDone(t.notDone); err != nil {
		return err
	}
	if t.changed || t.withheld > 0 {
		return errPartly
	}
	return nil
}

func themOrIt(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

// sayError says why a file failed, beginning with its name.
func (a *app) sayError(path string, err error) {
	var usage *usageError
	var file *fileError
	var ds score.Diagnostics
	switch {
	case errors.As(err, &ds):
		a.printAll(ds, nil)
	case errors.As(err, &file):
		fmt.Fprintln(a.errOut, file.Error())
		a.hint(file.hint)
	case errors.As(err, &usage):
		fmt.Fprintf(a.errOut, "%s: %s\n", path, usage.msg)
		a.hint(usage.hint)
	default:
		fmt.Fprintf(a.errOut, "%s: %v\n", path, err)
	}
}

// command names what is done, with all that decides about the results: the
// command, its flags and the files that they name.
func (j *job) command() []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, j.app.version, programSum())
	j.write.visit(func(name, value string) {
		fmt.Fprintf(&b, "%s=%q\n", name, value)
		if strings.HasSuffix(name, "-file") {
			data, err := os.ReadFile(value)
			fmt.Fprintf(&b, "%q %v\n", data, err)
		}
	})
	return b.Bytes()
}
