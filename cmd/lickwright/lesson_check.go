package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/internal/prove"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const lessonCheckLong = `Check proves lesson material by what is written in it, with code that shares
nothing with what makes lessons: bars are as long as their metre, every note
lies on the neck and sounds what is written, hammer-ons rise and pull-offs
fall, ties join equal notes. A practice sheet is held to what its pages say:
the notes of the scale and no others, all in the frets that are named, degrees
that are right, runs in steps, sequences cell by cell, modes that differ in the
one note that is named. --scale and --frets say what else files have to keep
to. A folder with a lesson-manifest.json, as lickwright lesson writes it, is
held to what that promises of each file: key, scale, frets, pages, and of what
music it is a version. Sheets in html are proved by their numbers, string by
string, MIDI files by what is struck, how long it sounds and how far it is bent.
What the check cannot judge it lists as not proved; pictures are only counted.

With --task it marks what students send instead: FILE is a student's tab beside
the task that it answers. It tells bar by bar which notes are wrong, missing or
too many, which lie outside of the scale or the position, what comes early or
late, and which techniques are forgotten. A folder stands for all that is in
it, a class for instance. The position is the frets of the
task unless --frets says another one, the scale that of --scale.

The exit code is 1 if anything is wrong.`

const lessonCheckExample = `  # is everything right in this sheet?
  lickwright routine C major -o sheet.tab
  lickwright lesson check sheet.tab

  # mark a student's tab
  lickwright lesson check --task testdata/examples/amber-street.tab --scale "A dorian" student.tab`

type lessonCheckOptions struct {
	task  string
	scale string
	frets string
	json  bool
}

func newLessonCheckCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var opt lessonCheckOptions
	cmd := &cobra.Command{
		Use:     "check [flags] FILE...",
		Short:   "Prove lesson material, or mark a student's tab",
		Long:    lessonCheckLong,
		Example: lessonCheckExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runLessonCheck(j, opt, args) },
	}
	fl := cmd.Flags()
	fl.StringVar(&opt.task, "task", "", "mark the files as students' answers to this one")
	fl.StringVar(&opt.scale, "scale", "", `scale that all notes have to be of ("A minor pentatonic", "C 1 b3 4 5 b7")`)
	fl.StringVar(&opt.frets, "frets", "", `frets that all notes have to lie in ("5-9")`)
	fl.BoolVar(&opt.json, "json", false, "write JSON")
	fl.BoolVarP(&j.write.quiet, "quiet", "q", false, "say only what is wrong")
	j.read.add(cmd)
	return cmd
}

func runLessonCheck(j *job, opt lessonCheckOptions, paths []string) error {
	j.begin()
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	var scale *prove.Scale
	if opt.scale != "" {
		s, ok := prove.ParseScale(opt.scale)
		if !ok {
			return &usageError{fmt.Sprintf("--scale: the check does not know the scale %q", opt.scale), `say its tonic and degrees, as in --scale "C 1 b3 4 5 b7"`}
		}
		scale = &s
	}
	var frets *[2]int
	if opt.frets != "" {
		w, err := fretboard.ParseWindow(opt.frets)
		if err != nil {
			return flagError("frets", err)
		}
		frets = &[2]int{w.From, w.To}
	}
	if opt.task != "" {
		return j.markStudents(opt, scale, frets, paths)
	}
	return j.proveFiles(opt, frets, paths)
}

// loadMusic reads a file and the music of the parts that --part leaves.
func (j *job) loadMusic(path string) (*input, *score.Score, error) {
	in, err := j.load(path)
	if err != nil {
		return nil, nil, err
	}
	s, err := j.onlyParts(in)
	return in, s, err
}

// A fileProof is what was found in a file.
type fileProof struct {
	File      string      `json:"file"`
	Pages     []pageProof `json:"pages"` // of a practice sheet
	Exercises int         `json:"exercises"`
	Bars      int         `json:"bars"`
	Notes     int         `json:"notes"` // that are struck
	Faults    []faultView `json:"faults"`
	Unproved  []string    `json:"unproved"` // what the check cannot judge
	Written   bool        `json:"written"`  // in a format that cannot be read
	Source    bool        `json:"source"`   // no file of the lesson but one that it is made of
}

type pageProof struct {
	Title     string `json:"title"`
	Exercises int    `json:"exercises"`
	Notes     int    `json:"notes"`
	Faults    int    `json:"faults"`
}

type faultView struct {
	Kind string `json:"kind"`
	Page string `json:"page"`
	Pos  string `json:"pos"`
	Bar  string `json:"bar"`
	Beat string `json:"beat"`
	Msg  string `json:"message"`
}

func viewFault(page string, f prove.Fault) faultView {
	v := faultView{Kind: string(f.Kind), Page: page, Bar: f.Bar, Beat: f.Beat, Msg: f.String()}
	if f.Pos.IsValid() {
		v.Pos = f.Pos.String()
	}
	return v
}

// proveFile proves one file: its form, the pages that it has, and a claim.
func proveFile(in *input, s *score.Score, claim prove.Claim) fileProof {
	p := fileProof{File: in.name, Notes: prove.Struck(s), Pages: []pageProof{}, Faults: []faultView{}, Unproved: []string{}}
	for _, part := range s.Parts {
		p.Bars += len(part.Measures)
	}
	for _, f := range append(prove.Sound(s), claim.Check(s)...) {
		p.Faults = append(p.Faults, viewFault("", f))
	}
	text := ""
	if in.format.name == "tab" {
		text = string(in.data)
	}
	for _, page := range prove.Pages(s, text) {
		p.Pages = append(p.Pages, pageProof{page.Title, page.Exercises, page.Notes, len(page.Faults)})
		p.Exercises += page.Exercises
		for _, f := range page.Faults {
			p.Faults = append(p.Faults, viewFault(page.Title, f))
		}
		for _, u := range page.Unproved {
			p.Unproved = append(p.Unproved, page.Title+": "+u)
		}
	}
	return p
}

func (j *job) proveFiles(opt lessonCheckOptions, frets *[2]int, paths []string) error {
	claim := prove.Claim{Scale: opt.scale, Frets: frets}
	proofs := []fileProof{}
	failed, err := j.eachMusic(paths, func(in *input, s *score.Score) error {
		proofs = append(proofs, proveFile(in, s, claim))
		return nil
	}, func(manifest string) error {
		made, err := j.proveLesson(manifest)
		proofs = append(proofs, made...)
		return err
	})
	if err != nil {
		return err
	}
	faults := 0
	for _, p := range proofs {
		faults += len(p.Faults)
	}
	j.flush()
	var text strings.Builder
	for _, p := range proofs {
		p.write(&text, j.write.quiet)
	}
	if !j.write.quiet {
		text.WriteString(onlyWritten(proofs))
	}
	if len(proofs) > 1 && !j.write.quiet {
		fmt.Fprintln(&text, sumUp(proofs, faults))
	}
	if err := j.app.writeView(opt.json, proofs, &text); err != nil {
		return err
	}
	return verdict(failed, faults)
}

// verdict is how a check ends.
func verdict(failed, faults int) error {
	switch {
	case failed > 0:
		return errFailed
	case faults > 0:
		return errPartly
	}
	return nil
}

// sumUp counts what was proved.
func sumUp(proofs []fileProof, faults int) string {
	only, notes := 0, 0
	for _, p := range proofs {
		notes += p.Notes
		if p.Written || p.Source {
			only++
		}
	}
	text := fmt.Sprintf("%s, %s: ", plural(len(proofs)-only, "file"), plural(notes, "note"))
	if faults == 0 {
		text += "nothing wrong"
	} else {
		text += plural(faults, "fault")
	}
	return text
}

// onlyWritten says how many files are there that cannot be proved: pictures; ""
// for none.
func onlyWritten(proofs []fileProof) string {
	n := 0
	for _, p := range proofs {
		if p.Written && len(p.Faults) == 0 {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return "not proved: " + plural(n, "picture") + "\n"
}

// eachMusic takes the files that paths name, and all music of the folders
// among them, one after the other; a folder with a manifest goes to lesson if
// that is not nil. Where there are several, one that cannot be read is said
// and counted, and the others are taken.
func (j *job) eachMusic(paths []string, take func(*input, *score.Score) error, lesson func(manifest string) error) (failed int, err error) {
	var files []source
	for _, path := range paths {
		if manifest, ok := manifestOf(path); ok && lesson != nil {
			if err := lesson(manifest); err != nil {
				return failed, err
			}
			continue
		}
		found, err := j.expand([]string{path})
		if err != nil {
			return failed, err
		}
		files = append(files, found...)
	}
	for _, f := range files {
		data, err := j.content(f.path)
		if err == nil && f.found && !f.isMusic(data) {
			continue
		}
		var in *input
		var s *score.Score
		if err == nil {
			in, err = j.open(f.path, data)
		}
		if err == nil {
			s, err = j.onlyParts(in)
		}
		if err == nil {
			err = take(in, s)
		}
		switch {
		case err == nil:
		case len(files) == 1:
			return failed, err
		default:
			failed++
			j.app.sayError(f.path, err)
		}
	}
	return failed, nil
}

// manifestOf returns the manifest that a path names: itself, or that in a
// folder.
func manifestOf(path string) (string, bool) {
	if filepath.Base(path) == prove.ManifestName {
		return path, true
	}
	inside := filepath.Join(path, prove.ManifestName)
	info, err := os.Stat(inside)
	return inside, err == nil && !info.IsDir()
}

// proveLesson proves every file of a manifest by what it promises.
func (j *job) proveLesson(path string) ([]fileProof, error) {
	data, err := readFile(path)
	if err != nil {
		return nil, err
	}
	manifest, err := prove.ReadManifest(bytes.NewReader(data), path)
	if err != nil {
		return nil, err
	}
	dir := filepath.Dir(path)
	sources := map[string]*score.Score{}
	stale := &staleSources{dir: dir, made: manifest.Sources}
	var proofs []fileProof
	for _, e := range manifest.Files {
		file := filepath.Join(dir, filepath.FromSlash(e.File))
		f, known := formatOfPath(file)
		written := known && f.read == nil
		var of *score.Score
		if e.Of != "" {
			if of = sources[e.Of]; of == nil {
				if _, of, err = j.loadMusic(filepath.Join(dir, filepath.FromSlash(e.Of))); err != nil {
					return nil, err
				}
				sources[e.Of] = of
			}
		}
		if written {
			proofs = append(proofs, stale.judge(e.Of, func(held bool) fileProof {
				if held {
					return j.proveWritten(file, f, e, of)
				}
				return j.proveWritten(file, f, e, nil)
			}))
			continue
		}
		in, s, err := j.loadMusic(file)
		if err != nil {
			return nil, err
		}
		p := stale.judge(e.Of, func(held bool) fileProof {
			claim := e.Claim(of)
			if !held {
				claim.Moved, claim.Semitones, claim.Exact = nil, nil, false
			}
			return proveFile(in, s, claim)
		})
		if e.Pages != 0 && len(p.Pages) != e.Pages {
			p.Faults = append(p.Faults, faultView{Kind: string(prove.Unknown), Msg: fmt.Sprintf("it has %s in place of %d", plural(len(p.Pages), "page"), e.Pages)})
		}
		proofs = append(proofs, p)
	}
	return append(proofs, stale.proofs()...), nil
}

// proveWritten proves a file in a format that is only written by its bytes:
// sheets and MIDI files. Of pictures it says that they are there.
func (j *job) proveWritten(path string, f format, e prove.Entry, of *score.Score) fileProof {
	p := fileProof{File: path, Pages: []pageProof{}, Faults: []faultView{}, Unproved: []string{}}
	data, err := readFile(path)
	var proof prove.Proof
	switch {
	case err != nil:
		proof.Faults = []prove.Fault{{Kind: prove.Unknown, Msg: "it is not there, or cannot be read"}}
	case len(data) == 0:
		proof.Faults = []prove.Fault{{Kind: prove.Unknown, Msg: "there is nothing in it"}}
	case f.name == "mid":
		proof = prove.PlayedMIDI(data, e.Versions(of))
	case f.name == "html":
		proof = prove.PrintedHTML(data, e.Versions(of))
	default:
		p.Written = true
		proof.Unproved = []string{"what it shows, since " + f.name + " cannot be read"}
	}
	p.Notes, p.Unproved = proof.Notes, append(p.Unproved, proof.Unproved...)
	for _, x := range proof.Faults {
		p.Faults = append(p.Faults, viewFault("", x))
	}
	return p
}

func (p fileProof) write(text *strings.Builder, quiet bool) {
	for _, f := range p.Faults {
		where := f.Pos
		if where == "" {
			where = p.File
		}
		fmt.Fprintf(text, "%s: ", where)
		if f.Page != "" {
			fmt.Fprintf(text, "%s: ", f.Page)
		}
		fmt.Fprintln(text, f.Msg)
	}
	if quiet {
		return
	}
	if p.Written || p.Source {
		return // nothing in it was counted
	}
	for _, u := range p.Unproved {
		fmt.Fprintf(text, "%s: not proved: %s\n", p.File, u)
	}
	what := plural(p.Bars, "bar") + ", "
	switch {
	case len(p.Pages) > 0:
		what = plural(len(p.Pages), "page") + ", " + plural(p.Exercises, "exercise") + ", "
	case p.Bars == 0:
		what = ""
	}
	found := "nothing wrong"
	if n := len(p.Faults); n > 0 {
		found = plural(n, "fault")
	}
	fmt.Fprintf(text, "%s: %s%s: %s\n", p.File, what, plural(p.Notes, "note"), found)
}

// A markView is a student's mark for programs.
type markView struct {
	File    string       `json:"file"`
	Task    string       `json:"task"`
	Whole   []string     `json:"whole"`
	Notes   int          `json:"notes"`
	Right   int          `json:"right"`
	OffTime int          `json:"offTime"`
	InPlace int          `json:"inPlace"`
	Extra   int          `json:"extra"`
	Bars    []barMarking `json:"bars"`
}

type barMarking struct {
	Bar     string       `json:"bar"`   // of the task; "" where it has none like it
	Yours   string       `json:"yours"` // of the student; "" where it is missing
	Notes   int          `json:"notes"`
	Right   int          `json:"right"`
	Remarks []remarkView `json:"remarks"`
}

type remarkView struct {
	Kind string `json:"kind"`
	Pos  string `json:"pos"`
	Beat string `json:"beat"`
	Text string `json:"text"`
}

func (j *job) markStudents(opt lessonCheckOptions, scale *prove.Scale, frets *[2]int, paths []string) error {
	in, task, err := j.loadMusic(opt.task)
	if err != nil {
		return err
	}
	if key, _, ok := transform.KeyAtStart(task); ok && !j.read.given("key") { // names of notes are those of the task
		given := j.read.given
		j.read.key = key.String()
		j.read.given = func(name string) bool { return name == "key" || given(name) }
	}
	views := []markView{}
	var text strings.Builder
	remarks := 0
	failed, err := j.eachMusic(paths, func(student *input, s *score.Score) error {
		r, err := prove.Mark(prove.Task{Score: task, Scale: scale, Frets: frets}, s)
		if err != nil {
			return &fileError{student.name, err.Error(), "give a tab, or notation with strings and frets"}
		}
		remarks += r.Faults()
		views = append(views, viewMark(student.name, in.name, r))
		if len(views) > 1 {
			text.WriteByte('\n')
		}
		fmt.Fprintf(&text, "%s, marked against %s\n%s", student.name, in.name, r.Text())
		return nil
	}, nil)
	if err != nil {
		return err
	}
	j.flush()
	if err := j.app.writeView(opt.json, views, &text); err != nil {
		return err
	}
	return verdict(failed, remarks)
}

func viewMark(file, task string, r prove.Report) markView {
	v := markView{File: file, Task: task, Whole: append([]string{}, r.Whole...), Notes: r.Notes, Right: r.Right, OffTime: r.OffTime, InPlace: r.InPlace, Extra: r.Extra, Bars: []barMarking{}}
	for _, b := range r.Bars {
		bm := barMarking{b.Bar, b.Yours, b.Notes, b.Right, []remarkView{}}
		for _, k := range b.Remarks {
			rv := remarkView{Kind: string(k.Kind), Beat: k.Beat, Text: k.Text}
			if k.Pos.IsValid() {
				rv.Pos = k.Pos.String()
			}
			bm.Remarks = append(bm.Remarks, rv)
		}
		v.Bars = append(v.Bars, bm)
	}
	return v
}
