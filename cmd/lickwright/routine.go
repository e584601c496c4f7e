package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
	"example.org/lickwright/transform/routine"
)

const routineLong = `Routine makes practice sheets from a scale and a scheme of positions: for each
position a page that names its frets, fingers and mode, and what --show asks
for:

  chord         the chord on the tonic, as it is held, and its seventh chord
  arpeggio      triad and seventh chord, note by note
  pentatonic    the pentatonic between arpeggio and scale, where one fits
  scale         the whole scale
  neighbours    the modes that differ in a single note; that note has an accent
  sweeps        all triads and seventh chords of the scale, one stroke through
                the strings
  sequences     groups of three and four, thirds, fourths, sixths, triads
  formula       --formula "1 2 3 5" over each chord of --over "Dm7 | G7 | Cmaj7"
  guide-tones   lines of thirds and sevenths through --over
  views         the same notes as chord shapes, as notes per string, as degrees
  joins         the way to the next position: where to shift, with which finger
  all           all of these

Without --show, chord shapes and positions get the chain from chord to scale
and the joins, patterns of notes per string their mode, its neighbours, the
sweeps and the joins.

The schemes are those of lickwright scales; without one it is the five chord
shapes, which method books spell as one word, CAGED. 3NPS is --scheme
notes-per-string --notes 3.

The scale is named with or without a tonic; --key says the tonic, or, without
a scale, the scale of that key. With --all-keys everything comes in twelve
keys, in an order of practice.

The sheet comes as tab, or as --as or the extension of -o says; with -d a file
for each page.`

const routineExample = `  lickwright routine C major
  lickwright routine --scale "natural minor" --key A --shape E
  lickwright routine D dorian --scheme notes-per-string --notes 3 -o dorian.musicxml
  lickwright routine A minor pentatonic --position 5 --show scale,sequences --value 1/12
  lickwright routine C major --shape E --show formula,guide-tones --over "Dm7 | G7 | Cmaj7 | %" --formula "1 2 3 5"
  lickwright routine --key G --shape A --show scale --all-keys --order fourths -d sheets
  lickwright routine C major --shape A --tempo 60 --tempo-step 8 --tempo-goal 100 --time 6/8`

type routineOptions struct {
	scale    string
	key      string
	scheme   schemeFlags
	neck     neckFlags
	write    writeFlags
	show     []string
	run      string
	octaves  int
	home     string
	time     string
	value    string
	tempo    float64
	step     float64
	goal     float64
	over     string
	formula  string
	allKeys  bool
	order    string
	givenOne func(name string) bool
}

func newRoutineCmd(a *app) *cobra.Command {
	var opt routineOptions
	cmd := &cobra.Command{
		Use:     "routine [flags] [SCALE]",
		Short:   "Make practice sheets: chord, arpeggio, scale, sequences and joins in every position",
		Long:    routineLong,
		Example: routineExample,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 && opt.scale != "" {
				return &usageError{"the scale is named twice", "leave out --scale or the words after the flags"}
			}
			if len(args) > 0 {
				opt.scale = strings.Join(args, " ")
			}
			return runRoutine(a, opt)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&opt.scale, "scale", "", `scale to practise, with or without a tonic ("C major", "dorian", "A 1 b3 4 5 b7")`)
	fl.StringVar(&opt.key, "key", "", `key to practise in ("Eb", "F# minor")`)
	fl.StringSliceVar(&opt.show, "show", nil, "what to practise: "+strings.Join(routine.KindNames(), ", ")+"; or all")
	fl.StringVar(&opt.run, "run", "both", "way of the runs: up, down or both")
	fl.IntVar(&opt.octaves, "octaves", 0, "octaves of the runs from the lowest tonic of a position; 0 for all notes of the position")
	fl.StringVar(&opt.home, "home", "", `tonic that the degrees count from, if it is another one ("D" for the dorian view of C major)`)
	fl.StringVar(&opt.time, "time", "4/4", `metre of the sheet ("4/4", "6/8", "7/8")`)
	fl.StringVar(&opt.value, "value", "1/8", "length of the notes of a run: 1/4, 1/8, 1/16, or 1/12 for triplet eighths")
	fl.Float64Var(&opt.tempo, "tempo", 0, "quarter notes per minute to begin with")
	fl.Float64Var(&opt.step, "tempo-step", 0, "quarter notes per minute to add each time")
	fl.Float64Var(&opt.goal, "tempo-goal", 0, "quarter notes per minute to arrive at")
	fl.StringVar(&opt.over, "over", "", `chords to play over: "Dm7 | G7 | Cmaj7 | %", or numerals of the key: "ii7 | V7 | I"`)
	fl.StringVar(&opt.formula, "formula", "", `degrees to play over each of these chords, from its root ("1 2 3 5")`)
	fl.BoolVar(&opt.allKeys, "all-keys", false, "a sheet in each of the twelve keys, the one named first")
	fl.StringVar(&opt.order, "order", "semitones", "order of the keys: "+strings.Join(transform.OrderNames(), ", "))
	opt.scheme.add(cmd)
	opt.neck.add(cmd)
	opt.write.add(cmd)
	opt.givenOne = fl.Changed
	return cmd
}

func runRoutine(a *app, opt routineOptions) error {
	if err := opt.write.check(); err != nil {
		return err
	}
	base, first, err := opt.parse()
	if err != nil {
		return err
	}
	keys := []theory.Key{first}
	if opt.allKeys {
		order, err := parseOrder(opt.order)
		if err != nil {
			return err
		}
		keys = transform.AllKeys(first, order)
	}
	var sheets []*routine.Sheet
	for _, k := range keys {
		o := base
		o.Tonic = k.Tonic
		by := first.Tonic.To(k.Tonic)
		o.Over = base.Over.Transpose(by)
		if base.Home != nil {
			home := base.Home.Transpose(by)
			o.Home = &home
		}
		if o.Scheme, err = opt.schemeFor(o); err != nil {
			return err
		}
		s, err := routine.New(o)
		if err != nil {
			return &usageError{err.Error(), opt.hintFor(err)}
		}
		sheets = append(sheets, s)
	}
	return a.writeRoutine(opt, sheets)
}

// schemeFor returns the scheme, the chord shapes if none is asked for.
func (opt *routineOptions) schemeFor(o routine.Options) (fretboard.Scheme, error) {
	if !opt.scheme.asked() {
		return fretboard.ChordShape{}, nil
	}
	return opt.scheme.build(o.Neck, fretboard.ScaleTones(o.Tonic, o.Scale))
}

func (opt *routineOptions) hintFor(err error) string {
	switch msg := err.Error(); {
	case strings.Contains(msg, "no formula"):
		return `say it as in --formula "1 2 3 5"`
	case strings.Contains(msg, "progression"):
		return `say it as in --over "Dm7 | G7 | Cmaj7"`
	case strings.Contains(msg, "note value"):
		return "use 1/1 1/2 1/4 1/8 1/16, 1/12 for triplet eighths, 3/8 for dotted quarters"
	}
	return ""
}

// parse turns the flags into what they ask for; the key has the tonic and a
// mode by whose habits the twelve tonics are named.
func (opt *routineOptions) parse() (o routine.Options, first theory.Key, err error) {
	if o.Neck, err = opt.neck.neck(); err != nil {
		return o, first, err
	}
	o.ScaleLength = opt.neck.scale
	o.Everywhere = opt.scheme.frets != ""
	if o.Tonic, o.Scale, err = opt.scaleAndTonic(); err != nil {
		return o, first, err
	}
	first = theory.Key{Tonic: o.Tonic}
	if k, ok := transform.KeyForTones(fretboard.ScaleTones(o.Tonic, o.Scale)); ok {
		first.Mode = k.Mode
	}
	for _, name := range opt.shown() {
		k, err := routine.ParseKind(name)
		if err != nil {
			return o, first, near(flagError("show", err), name, routine.KindNames())
		}
		if !slices.Contains(o.Show, k) {
			o.Show = append(o.Show, k)
		}
	}
	way := layoutFlags{run: opt.run}
	if o.Run, err = way.way(); err != nil {
		return o, first, err
	}
	if opt.octaves < 0 {
		return o, first, &usageError{fmt.Sprintf("--octaves: %d is no number of octaves", opt.octaves), "say 1 or more, or leave it out for all notes of a position"}
	}
	o.Octaves = opt.octaves
	if o.Home, err = parseHome(opt.home); err != nil {
		return o, first, err
	}
	if err := opt.parseTime(&o); err != nil {
		return o, first, err
	}
	if opt.order != "semitones" && !opt.allKeys {
		return o, first, &usageError{"--order goes with --all-keys", ""}
	}
	return o, first, opt.parseOver(&o)
}

// shown lists the kinds that are asked for by name; all stands for those that
// the other flags give what they need.
func (opt *routineOptions) shown() []string {
	var names []string
	for _, name := range opt.show {
		if name != "all" {
			names = append(names, name)
			continue
		}
		for _, k := range routine.KindNames() {
			if k == routine.Formula.String() && (opt.formula == "" || opt.over == "") || k == routine.GuideTones.String() && opt.over == "" {
				continue
			}
			names = append(names, k)
		}
	}
	return names
}

// scaleAndTonic finds what is practised.
func (opt *routineOptions) scaleAndTonic() (theory.NoteName, theory.Scale, error) {
	key, err := parseKey(opt.key)
	if err != nil {
		return theory.NoteName{}, theory.Scale{}, err
	}
	if opt.scale == "" {
		if key == nil {
			return theory.NoteName{}, theory.Scale{}, &usageError{"it is not said what to practise", `name a scale with its tonic, as in "C major", or say --key`}
		}
		return key.Tonic, key.Scale(), nil
	}
	tonic, has, s, err := parseScale("", opt.scale)
	switch {
	case err != nil:
		return tonic, s, err
	case !has && key == nil:
		u := noTonic(opt.scale)
		u.hint += ", or say --key C"
		return tonic, s, u
	case !has:
		return key.Tonic, s, nil
	case key != nil && key.Tonic != tonic:
		return tonic, s, &usageError{fmt.Sprintf("--key says %s and the scale %s", key.Tonic, tonic), "leave one of them out"}
	}
	return tonic, s, nil
}

func (opt *routineOptions) parseTime(o *routine.Options) error {
	t, ok := score.ParseMetre(opt.time)
	if !ok || t.Length.IsZero() {
		return &usageError{fmt.Sprintf("--time: %q is no metre for a sheet", opt.time), "write beats and unit, as in 4/4, 6/8 or 3+2/8"}
	}
	o.Time = t
	value, ok := score.ParseQuarters(opt.value)
	if !ok || value.Sign() <= 0 {
		return &usageError{fmt.Sprintf("--value: %q is no length of a note", opt.value), "say a part of a whole note: 1/8, 1/16, or 1/12 for triplet eighths"}
	}
	o.Value = value.Mul(score.Q(4, 1))
	for name, v := range map[string]float64{"tempo": opt.tempo, "tempo-step": opt.step, "tempo-goal": opt.goal} {
		if opt.givenOne(name) && !(v > 0 && v < 10000) {
			return &usageError{fmt.Sprintf("--%s: %v is no number of quarter notes per minute", name, v), ""}
		}
	}
	switch {
	case (opt.step > 0) != (opt.goal > 0):
		return &usageError{"--tempo-step and --tempo-goal go together", "say --tempo 60 --tempo-step 5 --tempo-goal 100"}
	case opt.goal > 0 && opt.tempo == 0:
		return &usageError{"a ladder of tempi needs a beginning", "say --tempo 60 --tempo-step 5 --tempo-goal 100"}
	}
	o.Ladder = routine.Ladder{Start: opt.tempo, Step: opt.step, Goal: opt.goal}
	return nil
}

func (opt *routineOptions) parseOver(o *routine.Options) error {
	if opt.over != "" {
		key := theory.Key{Tonic: o.Tonic}
		p, err := theory.ParseProgression(opt.over, &key)
		if err != nil {
			return flagError("over", err)
		}
		o.Over = p
	}
	for _, field := range strings.FieldsFunc(opt.formula, func(r rune) bool { return r == ' ' || r == ',' }) {
		d, err := theory.ParseDegree(field)
		if err != nil {
			return flagError("formula", err)
		}
		o.Formula = append(o.Formula, d)
	}
	shows := func(k routine.Kind) bool { return slices.Contains(o.Show, k) }
	switch {
	case opt.formula != "" && !shows(routine.Formula):
		return &usageError{"--formula is for the exercise formula", "say --show formula"}
	case opt.over != "" && !shows(routine.Formula) && !shows(routine.GuideTones):
		return &usageError{"--over is for the exercises formula and guide-tones", "say --show guide-tones, or --show formula --formula \"1 2 3 5\""}
	}
	return nil
}

// writeRoutine writes the sheets: all in one file or, with -d, a file for
// each page.
func (a *app) writeRoutine(opt routineOptions, sheets []*routine.Sheet) error {
	j := &job{app: a, write: opt.write}
	j.begin()
	f, err := j.outputFormat(&input{format: formats()[0]})
	if err != nil {
		return err
	}
	for _, s := range sheets {
		j.say.addAll(s.Said)
	}
	title := sheets[0].Title
	if len(sheets) > 1 {
		_, name, _ := strings.Cut(title, " ")
		title = upperFirst(name) + ", all keys"
	}
	outs, err := j.routineOutputs(f, title, sheets)
	if err != nil {
		return err
	}
	return j.finishLayout(outs)
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// routineOutputs renders the sheets in a format.
func (j *job) routineOutputs(f format, title string, sheets []*routine.Sheet) ([]output, error) {
	from := &input{name: title, base: fileWord(title), format: formats()[0]}
	var ones []*routine.Sheet
	for _, s := range sheets {
		for i := range s.Pages {
			ones = append(ones, s.Only(i))
		}
	}
	render := func(path, title string, sheets ...*routine.Sheet) (output, error) {
		var buf bytes.Buffer
		var err error
		pages := 0
		for _, s := range sheets {
			pages += len(s.Pages)
		}
		if f.bind != nil {
			b := binding{title: title, worksheet: j.write.worksheet}
			for _, s := range sheets {
				for i := range s.Pages {
					one := s.Only(i)
					b.pages = append(b.pages, page{heading: one.Title, score: routine.Score(one.Title, one), layouts: []fretboard.Layout{s.Pages[i].Layout}})
				}
			}
			err = f.bind(&buf, b, j.writeOptions())
		} else {
			err = f.write(&buf, routine.Score(title, sheets...), j.writeOptions())
		}
		return output{path: path, data: buf.Bytes(), from: from, promise: promise{Pages: pages, pieces: pages}}, err
	}
	if j.write.dir == "" {
		path := j.write.output
		if path == "-" {
			path = ""
		}
		out, err := render(path, title, sheets...)
		return []output{out}, err
	}
	width := len(fmt.Sprint(len(ones)))
	var outs []output
	for i, s := range ones {
		name := fileWord(s.Title)
		if len(ones) > 1 { // in the order of practice
			name = fmt.Sprintf("%0*d-%s", max(width, 2), i+1, name)
		}
		out, err := render(filepath.Join(j.write.dir, name+f.extensions[0]), s.Title, s)
		if err != nil {
			return nil, err
		}
		outs = append(outs, out)
	}
	return outs, nil
}
