package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// schemeFlags choose a position scheme. They are the same for all commands
// that work with one.
type schemeFlags struct {
	scheme   string
	file     string
	shape    string
	notes    string
	degree   string
	hold     bool
	position int
	frets    string
	strings  string
	given    func(name string) bool
	holding  bool // the command has --holding
	free     bool // the command knows the scheme free, which is none
}

// schemeNames are the values of --scheme, each with the flag that says which
// one of its kind is meant, and that therefore chooses it too.
var schemeNames = [...]struct{ name, flag string }{
	{"chord-shape", "shape"}, {"notes-per-string", "notes"}, {"position", "position"}, {"window", "frets"}, {"strings", "strings"}, {"open", ""},
}

// add adds the flags.
func (f *schemeFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	free := ""
	if f.free {
		free = "free (anywhere), "
	}
	fl.StringVar(&f.scheme, "scheme", "", "lay out on the neck by a scheme: "+free+"chord-shape, notes-per-string, position, window, strings or open")
	fl.StringVar(&f.file, "scheme-file", "", "lay out by the scheme that this text file describes")
	fl.StringVar(&f.shape, "shape", "", `one chord shape: C, A, G, E or D, or string and finger of its root ("5 little")`)
	fl.StringVar(&f.notes, "notes", "", `notes on each string ("3", "2,1")`)
	fl.StringVar(&f.degree, "degree", "", `where a pattern of notes per string begins ("2", "b3"); all degrees if not said`)
	fl.BoolVar(&f.hold, "hold-position", false, "with notes per string: keep the hand in place, naming what sounds twice")
	fl.IntVar(&f.position, "position", 0, "fixed position: fret of the index finger")
	fl.StringVar(&f.frets, "frets", "", `only these frets ("5-9")`)
	fl.StringVar(&f.strings, "strings", "", `only these strings, 1 the thinnest ("1-3", "2", "1,3,5")`)
	f.given = fl.Changed
}

// asked tells whether any of the flags ask for a layout.
func (f *schemeFlags) asked() bool {
	for _, name := range []string{"scheme", "scheme-file", "shape", "notes", "degree", "hold-position", "position", "frets", "strings"} {
		if f.given(name) {
			return true
		}
	}
	return false
}

// kind returns the name of the scheme that the flags ask for, "" for none but
// strings and frets.
func (f *schemeFlags) kind() (string, error) {
	kind := ""
	if f.given("scheme") {
		var names []string
		for _, s := range schemeNames {
			names = append(names, s.name)
			if s.name == f.scheme {
				kind = s.name
			}
		}
		if f.free {
			names = append(names, "free")
		}
		switch strings.ToLower(f.scheme) {
		case "free":
			if f.free {
				kind = "free"
			}
		case "caged", "chord-shapes", "shapes":
			kind = "chord-shape"
		case "3nps":
			kind = "notes-per-string"
			if f.notes == "" {
				f.notes = "3"
			}
		}
		if kind == "" {
			hint := didYouMean(f.scheme, names)
			if hint == "" {
				hint = "the schemes are " + strings.Join(names, ", ")
			}
			return "", &usageError{fmt.Sprintf("--scheme: there is no scheme %q", f.scheme), hint}
		}
	}
	for _, implied := range []struct{ flag, kind string }{
		{"scheme-file", "file"}, {"shape", "chord-shape"}, {"position", "position"}, {"degree", "notes-per-string"}, {"hold-position", "notes-per-string"}, {"notes", "notes-per-string"},
	} {
		if !f.given(implied.flag) {
			continue
		}
		if kind != "" && kind != implied.kind {
			return "", &usageError{fmt.Sprintf("--%s does not go with the scheme %s", implied.flag, kind), "leave one of them out; --strings and --frets go with all"}
		}
		kind = implied.kind
	}
	return kind, nil
}

// build returns the scheme for a neck and what is laid out on it.
func (f *schemeFlags) build(n fretboard.Neck, t fretboard.ToneSet) (fretboard.Scheme, error) {
	kind, err := f.kind()
	if err != nil {
		return nil, err
	}
	var w fretboard.Within
	if f.strings != "" {
		if w.Strings, err = fretboard.ParseStrings(f.strings); err != nil {
			return nil, flagError("strings", err)
		}
	}
	if f.frets != "" {
		win, err := fretboard.ParseWindow(f.frets)
		if err != nil {
			return nil, flagError("frets", err)
		}
		w.Frets = &win
	}
	switch kind {
	case "chord-shape":
		w.Scheme, err = f.chordShape(n)
	case "notes-per-string":
		w.Scheme, err = f.perString(t)
	case "position":
		if !f.given("position") {
			return nil, &usageError{"the scheme position needs the fret of the index finger", "say --position 5"}
		}
		w.Scheme = fretboard.Position{Fret: f.position}
	case "open":
		w.Scheme = fretboard.Open{}
	case "file":
		var data []byte
		if data, err = readFile(f.file); err == nil {
			w.Scheme, err = readScheme(data, f.file)
		}
	case "window", "free", "":
		switch {
		case kind == "free" && w.Frets == nil && w.Strings == nil:
			return nil, nil
		case w.Frets != nil:
			w.Scheme, w.Frets = *w.Frets, nil
		case kind != "window" && w.Strings != nil:
			w.Scheme, w.Strings = w.Strings, nil
		default:
			return nil, &usageError{"the scheme window needs its frets", "say --frets 5-9"}
		}
	case "strings":
		if w.Strings == nil {
			return nil, &usageError{"the scheme strings needs the strings", "say --strings 1-3"}
		}
		w.Scheme, w.Strings = w.Strings, nil
	}
	if err != nil {
		return nil, err
	}
	if w.Strings == nil && w.Frets == nil {
		return w.Scheme, nil
	}
	return w, nil
}

// readScheme reads the description of a scheme; what is wrong with it is a
// diagnostic with its place.
func readScheme(data []byte, name string) (fretboard.Scheme, error) {
	scheme, err := fretboard.ParseScheme(string(data), name)
	if se, ok := err.(*fretboard.SchemeError); ok {
		return nil, score.Diagnostics{{Severity: score.Error, Code: "scheme-file", Pos: score.Pos{File: se.File, Line: se.Line, Col: se.Col}, Msg: se.Msg, Hint: se.Hint}}
	}
	return scheme, err
}

func (f *schemeFlags) chordShape(n fretboard.Neck) (fretboard.Scheme, error) {
	if f.shape == "" {
		return fretboard.ChordShape{}, nil
	}
	s, err := fretboard.ParseShape(n.Tuning, f.shape)
	if err != nil {
		return nil, flagError("shape", err)
	}
	return fretboard.ChordShape{Shapes: []fretboard.Shape{s}}, nil
}

func (f *schemeFlags) perString(t fretboard.ToneSet) (fretboard.Scheme, error) {
	p := fretboard.PerString{Hold: f.hold}
	if f.notes == "" {
		return nil, &usageError{"how many notes per string is not said", "say --notes 3"}
	}
	var err error
	if p.Notes, err = f.counts(); err != nil {
		return nil, err
	}
	if f.degree != "" {
		d, err := theory.ParseDegree(f.degree)
		if err != nil {
			return nil, flagError("degree", err)
		}
		p.Degree = degreeIn(t, d)
	}
	return p, nil
}

// counts reads --notes.
func (f *schemeFlags) counts() (list []int, err error) {
	for field := range strings.FieldsFuncSeq(f.notes, func(r rune) bool { return r == ',' || r == ' ' || r == '-' }) {
		k, err := strconv.Atoi(field)
		if err != nil || k < 1 || k > fretboard.MaxPerString {
			return nil, &usageError{fmt.Sprintf("--notes: %q is no number of notes on a string", field), f.notesHint()}
		}
		list = append(list, k)
	}
	return list, nil
}

// notesHint says what --notes takes, and where note names go that were given
// to it.
func (f *schemeFlags) notesHint() string {
	if _, err := parseNotes(f.notes); err == nil && f.holding {
		return fmt.Sprintf("what holds these notes is found by --holding %q", f.notes)
	}
	return fmt.Sprintf("say 1 to %d, or several as in 3,2", fretboard.MaxPerString)
}

// degreeIn returns the degree of the tones that is meant: the degree itself
// or, for a bare number, the only one of that number: 3 in a minor scale.
func degreeIn(t fretboard.ToneSet, d theory.Degree) theory.Degree {
	var same []theory.Degree
	for _, tone := range t.Tones {
		if tone.Degree == d {
			return d
		}
		if d.Alter == 0 && tone.Degree.Number == d.Number {
			same = append(same, tone.Degree)
		}
	}
	if len(same) == 1 {
		return same[0]
	}
	return d
}

// neckFlags say on what neck something is laid out.
type neckFlags struct {
	read  readFlags
	scale float64
}

func (f *neckFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.read.tuning, "tuning", "", `tuning of the neck: a name ("drop-d", see lickwright tunings) or strings from low to high ("D A D G A D")`)
	fl.IntVar(&f.read.capo, "capo", 0, "fret of the capo; frets count from it")
	fl.IntVar(&f.read.neckFrets, "neck-frets", fretboard.DefaultFrets, "number of frets of the neck, counted from the nut")
	fl.Float64Var(&f.scale, "scale-length", 0, "length of the open strings in millimetres, for stretches (0 for the usual one of the instrument of the tuning)")
	f.read.trust = "fret" // of inputs, which a layout has none of
	f.read.given = func(name string) bool {
		return (name == "tuning" || name == "capo" || name == "neck-frets") && fl.Changed(name)
	}
}

func (f *neckFlags) neck() (fretboard.Neck, error) {
	opt, err := f.read.options()
	if err != nil {
		return fretboard.Neck{}, err
	}
	n := fretboard.Neck{Tuning: fretboard.Standard(), Frets: opt.FretCount()}
	if opt.Tuning != nil {
		n.Tuning = *opt.Tuning
	}
	if opt.Capo != nil {
		n.Capo = *opt.Capo
	}
	if f.scale == 0 {
		f.scale = n.Tuning.Instrument().ScaleLength
	}
	if !(f.scale >= 100 && f.scale <= 2000) {
		return n, &usageError{fmt.Sprintf("--scale-length: %v mm is no length of a string", f.scale), "a guitar has about 648, a bass 864, a ukulele 350"}
	}
	if err := n.Validate(); err != nil {
		return n, &usageError{err.Error(), ""}
	}
	return n, nil
}
