package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const diagramLong = `Diagram draws the neck: a scale, a chord, the frets of a chord, or the phrase in a
file, in the order in which it is played.

  lickwright diagram C major       the scale on the whole neck
  lickwright diagram Am7           the chord as a hand holds it, in five places
  lickwright diagram "x 3 2 0 1 0" these frets, the last string first
  lickwright diagram lick.tab      the phrase, cut at bars and where the hand moves

With a scheme of lickwright scales (--scheme chord-shape, --shape E, --scheme
notes-per-string --notes 3, --position 5, --strings 1-3) the neck shows the
positions and how they join, and each position is drawn. The five chord shapes
are what method books spell as one word, CAGED; three notes per string is 3NPS.

What a note is to the chord is told by its shape: the root is a house, a chord
tone a tile, any other note a disc. --over names the chord, or several, which
gives a picture for each.

The picture goes to the terminal as text, or with -o or --as into SVG or PNG;
with -d every diagram into a file of its own. --frames makes pictures for a
video, 16 to 9 and transparent round the neck, all with one crop and scale: one
for each diagram, or one for each note of a phrase.`

const diagramExample = `  lickwright diagram C major --scheme chord-shape -o shapes.svg
  lickwright diagram A minor pentatonic --shape E --show degrees,fingers
  lickwright diagram C major --scheme notes-per-string --notes 3 --frets 0-12 -o patterns.png
  lickwright diagram Am7 --shape E
  lickwright diagram "x 3 2 0 1 0" --upright --left-handed
  lickwright diagram C major --position 5 --over "Dm7 | G7 | Cmaj7" -o guide.svg
  lickwright diagram testdata/examples/amber-street.tab --show fingers -o lick.svg
  lickwright diagram testdata/examples/amber-street.tab --frames -d frames
  lickwright diagram C major --shape E --draw chain --frames -d steps`

type diagramOptions struct {
	what   []string
	scheme schemeFlags
	read   readFlags
	scale  float64
	write  writeFlags
	show   []string
	draw   []string
	over   string
	home   string
	look   diagram.Options
	space  string
	legend bool
	frames bool
	pixels int
	given  func(name string) bool
}

func newDiagramCmd(a *app) *cobra.Command {
	var opt diagramOptions
	cmd := &cobra.Command{
		Use:     "diagram [flags] SCALE | CHORD | FRETS | FILE...",
		Short:   "Draw the neck: positions, chords, the notes of a phrase",
		Long:    diagramLong,
		Example: diagramExample,
		RunE: func(_ *cobra.Command, args []string) error {
			opt.what = args
			return runDiagram(a, opt)
		},
	}
	fl := cmd.Flags()
	fl.StringSliceVar(&opt.show, "show", nil, "what stands in each dot and, after a comma, below it: "+strings.Join(diagram.LabelNames(), ", "))
	fl.StringSliceVar(&opt.draw, "draw", nil, "what is drawn of a scale or chord: neck, positions, boxes (chords as they are held), chain (chord, arpeggios, pentatonic and scale of each position)")
	fl.StringVar(&opt.over, "over", "", `chord that the notes are heard over, or several ("Dm7 | G7 | Cmaj7"): its tones are marked`)
	fl.StringVar(&opt.home, "home", "", `tonic that the degrees count from, if it is another one ("D" for the dorian view of C major)`)
	fl.BoolVar(&opt.look.Upright, "upright", false, "the nut on top and the strings downwards")
	fl.BoolVar(&opt.look.LeftHanded, "left-handed", false, "for a left-handed player")
	fl.StringVar(&opt.space, "spacing", "even", "distances between frets: even, or true as on the instrument")
	fl.BoolVar(&opt.look.Dark, "dark", false, "for a dark page or screen")
	fl.BoolVar(&opt.legend, "legend", true, "say below what the shapes mean")
	fl.BoolVar(&opt.frames, "frames", false, "pictures for a video, with -d")
	fl.IntVar(&opt.pixels, "pixels", 0, "width of a PNG in pixels (0 for its natural size)")
	opt.scheme.add(cmd)
	opt.read.add(cmd)
	fl.Float64Var(&opt.scale, "scale-length", fretboard.ScaleLength, "length of the open strings in millimetres, for stretches")
	opt.write.add(cmd)
	fl.Lookup("as").Usage = "format of the picture: text, svg or png"
	opt.given = fl.Changed
	return cmd
}

// textForm stands for the terminal among the formats of pictures.
func textForm() format { return format{name: "text", about: "text", extensions: []string{".txt"}} }

func runDiagram(a *app, opt diagramOptions) error {
	form, err := opt.form()
	if err != nil {
		return err
	}
	if err := opt.checkLook(form); err != nil {
		return err
	}
	if len(opt.what) == 0 {
		return &usageError{"there is nothing to draw", `name a scale ("C major"), a chord (Am7), frets ("x 3 2 0 1 0") or a file`}
	}
	j := &job{app: a, read: opt.read, write: opt.write, say: &collector{}, sources: map[string][]byte{}}
	title, ds, err := opt.diagrams(j)
	if err != nil {
		if len(j.say.list) > 0 {
			j.flush()
		}
		return err
	}
	var outs []output
	switch {
	case form.name == "text":
		outs = opt.text(title, ds)
	case opt.frames:
		outs, err = opt.frameFiles(title, ds, form)
	default:
		outs, err = pictureFiles(title, ds, opt.look, form, &opt.write, opt.pixels)
	}
	if err != nil {
		return err
	}
	return j.finishLayout(outs)
}

// form finds the format of the pictures.
func (o *diagramOptions) form() (format, error) {
	if err := o.write.check(); err != nil {
		return format{}, err
	}
	name := o.write.as
	if name == "" {
		name = strings.TrimPrefix(strings.ToLower(filepath.Ext(o.write.output)), ".")
		if name == "" && (o.frames || o.write.dir != "") {
			name = "png"
		}
	}
	switch name {
	case "", "text", "txt":
		return textForm(), nil
	case "svg", "png":
		return formatNamed(name)
	}
	hint := "pictures are text, svg or png"
	if _, err := formatNamed(name); err == nil {
		hint += "; lickwright scales, chords and convert write " + name
	}
	return format{}, &usageError{fmt.Sprintf("%q is no format of pictures", name), hint}
}

// checkLook reads the flags that say how pictures look.
func (o *diagramOptions) checkLook(form format) error {
	for _, s := range o.show {
		l, err := diagram.ParseLabel(s)
		if err != nil {
			u := flagError("show", err).(*usageError)
			if near := didYouMean(s, diagram.LabelNames()); near != "" {
				u.hint = near
			}
			return u
		}
		o.look.Show = append(o.look.Show, l)
	}
	if len(o.show) > 2 {
		return &usageError{"--show: a dot has room for one thing inside and one below", "name one or two"}
	}
	for _, d := range o.draw {
		if !slices.Contains(drawNames(), d) {
			hint := didYouMean(d, drawNames())
			if hint == "" {
				hint = "there are " + strings.Join(drawNames(), ", ")
			}
			return &usageError{fmt.Sprintf("--draw: %q is nothing that can be drawn", d), hint}
		}
	}
	switch o.space {
	case "even":
	case "true":
		o.look.TrueFrets = true
	default:
		return &usageError{fmt.Sprintf("--spacing: %q is neither even nor true", o.space), didYouMean(o.space, []string{"even", "true"})}
	}
	o.look.NoLegend = !o.legend
	switch {
	case o.pixels < 0 || o.pixels > 20000:
		return &usageError{"--pixels: a picture is 1 to 20000 pixels wide", ""}
	case o.pixels > 0 && form.name != "png":
		return &usageError{"--pixels is for png", "say -o picture.png or --as png"}
	case o.frames && (o.write.dir == "" || form.name == "text"):
		return &usageError{"--frames makes many pictures", "say -d FOLDER for them, and --as svg if they are not to be png"}
	case form.name == "text" && o.write.dir != "":
		return &usageError{"-d is for svg and png", "leave out --as text"}
	}
	return nil
}

// diagrams finds out what is to be drawn, and draws it.
func (o *diagramOptions) diagrams(j *job) (string, []diagram.Diagram, error) {
	if paths := o.files(); paths != nil {
		return o.phrases(j, paths)
	}
	text := strings.Join(o.what, " ")
	for _, flag := range []string{"time", "tempo", "part", "trust"} {
		if o.given(flag) {
			return "", nil, &usageError{fmt.Sprintf("--%s is for files", flag), "leave it out, or name a file"}
		}
	}
	opt, err := o.read.options()
	if err != nil {
		return "", nil, err
	}
	nf := neckFlags{read: o.read, scale: o.scale}
	n, err := nf.neck()
	if err != nil {
		return "", nil, err
	}
	over, err := o.chordsOver(opt.Key)
	if err != nil {
		return "", nil, err
	}
	p := pictured{neck: n, scale: o.scale, draw: o.draw, over: over, to: n.TopFret(), say: j.say.add, fingers: slices.Contains(o.look.Show, diagram.Fingers)}
	if frets, ok := givenFrets(text); ok {
		return o.grip(p, text, frets)
	}
	items, title, err := o.items(text, opt.Key)
	if err != nil {
		return "", nil, err
	}
	if err := o.layOut(&p, items); err != nil {
		return "", nil, err
	}
	if len(items) == 1 && title == "" {
		title = items[0].tones.Title
	}
	ds, err := p.diagrams(items)
	if err == nil && len(ds) == 0 {
		err = &usageError{fmt.Sprintf("there is nothing of %s to draw that way", title), "leave out --draw"}
	}
	for i := range ds {
		if ds[i].Title == title && (o.write.dir == "" && !o.frames) {
			ds[i].Title = "" // it stands over the picture
		}
	}
	return title, ds, err
}

func (o *diagramOptions) chordsOver(key *theory.Key) ([]theory.Chord, error) {
	if o.over == "" {
		return nil, nil
	}
	p, err := parseChords("over", o.over, key)
	if err != nil {
		return nil, err
	}
	var over []theory.Chord
	for _, c := range p.Chords() {
		if !c.NoChord && !slices.Contains(over, c) {
			over = append(over, c)
		}
	}
	return over, nil
}

// files returns the arguments if they name files: what exists, what has the
// extension of a format that is read, and standard input.
func (o *diagramOptions) files() []string {
	for _, path := range o.what {
		if path == "-" {
			continue
		}
		if f, ok := formatOfPath(path); ok && f.read != nil {
			continue
		}
		if _, err := os.Stat(path); err != nil {
			return nil
		}
	}
	return o.what
}

// items reads chords or a scale. What can be both is a chord if it is one word,
// as C, and a scale if it is several, as C major.
func (o *diagramOptions) items(text string, key *theory.Key) ([]layoutItem, string, error) {
	tonic, has, s, err := theory.ParseScale(text)
	word := len(strings.Fields(text)) == 1
	prog, chordErr := theory.ParseProgression(text, key)
	if chordErr == nil && (word || err != nil || !has) {
		var items []layoutItem
		for _, c := range prog.Chords() {
			if c.NoChord || slices.ContainsFunc(items, func(it layoutItem) bool { return *it.chord == c }) {
				continue
			}
			items = append(items, layoutItem{tones: fretboard.ChordTones(c), chord: &c})
		}
		if len(items) == 0 {
			return nil, "", &usageError{fmt.Sprintf("%q names no chord", text), ""}
		}
		return items, prog.String(), nil
	}
	if err != nil {
		if word {
			err = chordErr
		}
		u := argError("", err).(*usageError)
		u.hint = strings.Join(slices.DeleteFunc([]string{u.hint, `a scale is written as in "C major", a chord as in Am7, a file with its path`}, func(s string) bool { return s == "" }), "; ")
		return nil, "", u
	}
	if !has && key != nil {
		tonic, has = key.Tonic, true
	}
	if !has {
		return nil, "", &usageError{fmt.Sprintf("%q has no tonic, and a neck needs one", text), fmt.Sprintf("say it before the scale, as in C %s", text)}
	}
	chain := fretboard.ChainOf(tonic, s)
	return []layoutItem{{tones: chain.Scale, chain: &chain}}, "", nil
}

// layOut lays the items out and chooses what is drawn of them.
func (o *diagramOptions) layOut(p *pictured, items []layoutItem) error {
	var home *theory.NoteName
	if o.home != "" {
		name, err := theory.ParseNoteName(o.home)
		if err != nil {
			return flagError("home", err)
		}
		home = &name
	}
	scheme := o.scheme.asked()
	onlyFrets := scheme && o.scheme.frets != ""
	if onlyFrets {
		w, err := fretboard.ParseWindow(o.scheme.frets)
		if err != nil {
			return flagError("frets", err)
		}
		if w.To > p.neck.TopFret() {
			return &usageError{fmt.Sprintf("--frets: the frets of this neck are 0 to %d", p.neck.TopFret()), ""}
		}
		p.from, p.to = w.From, w.To
	}
	kind, err := o.scheme.kind()
	if err != nil {
		return err
	}
	window := scheme && (kind == "" || kind == "window") && o.scheme.strings == ""
	for i := range items {
		it := &items[i]
		it.home = home
		var s fretboard.Scheme = fretboard.ChordShape{}
		if scheme {
			if s, err = o.scheme.build(p.neck, it.tones); err != nil {
				return err
			}
		} else if it.chord == nil {
			p.all = append(p.all, nil)
			continue
		}
		regions, err := s.Regions(p.neck, it.tones)
		if err != nil {
			return &usageError{err.Error(), ""}
		}
		tones := it.tones
		if home != nil {
			tones = tones.Against(*home)
		}
		var all []fretboard.Layout
		for _, r := range regions {
			all = append(all, r.Lay(tones))
		}
		it.made = all
		if o.scheme.frets == "" {
			it.made = nil
			for _, r := range fretboard.Once(regions) {
				it.made = append(it.made, r.Lay(tones))
			}
		}
		p.all = append(p.all, all)
	}
	several := len(items[0].made) > 1
	isChord := items[0].chord != nil
	switch {
	case len(p.draw) > 0:
		if !scheme && !isChord && !slices.Equal(p.draw, []string{drawNeck}) {
			return &usageError{"positions, boxes and chains need a scheme", "say --scheme chord-shape, or --position 5"}
		}
		if !scheme || window {
			p.all = make([][]fretboard.Layout, len(items)) // no positions to mark
		}
	case isChord && !scheme:
		p.draw = []string{drawBoxes}
	case isChord && window:
		p.draw = []string{drawBoxes, drawNeck}
		p.all = make([][]fretboard.Layout, len(items))
	case isChord:
		p.draw = []string{drawBoxes, drawPositions}
	case !scheme || window:
		p.draw = []string{drawNeck}
		p.all = make([][]fretboard.Layout, len(items))
	case several:
		p.draw = []string{drawNeck, drawPositions}
	default:
		p.draw = []string{drawPositions}
	}
	return nil
}

// givenFrets reads frets string by string, the last one first: "x 3 2 0 1 0"
// or x32010. -1 is a string that is not played.
func givenFrets(text string) ([]int, bool) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '-' })
	if len(fields) == 1 && regexp.MustCompile(`^[xX0-9]{3,12}$`).MatchString(text) {
		fields = strings.Split(text, "")
	}
	if len(fields) < fretboard.MinStrings {
		return nil, false
	}
	var frets []int
	for _, f := range fields {
		n, err := strconv.Atoi(f)
		switch {
		case strings.EqualFold(f, "x"):
			n = -1
		case err != nil || n < 0:
			return nil, false
		}
		frets = append(frets, n)
	}
	return frets, true
}

// grip draws frets that were given, read as the chord of --over or as the one
// that they most likely are.
func (o *diagramOptions) grip(p pictured, text string, frets []int) (string, []diagram.Diagram, error) {
	if n := p.neck.Tuning.Len(); len(frets) != n {
		return "", nil, &usageError{fmt.Sprintf("%q names %s, and the neck has %s", text, plural(len(frets), "fret"), plural(n, "string")), "write x for a string that is not played"}
	}
	if o.scheme.asked() || len(o.draw) > 0 {
		return "", nil, &usageError{"given frets need no scheme", "leave out --scheme, --draw and their like"}
	}
	var notes []theory.WeightedNote
	var places []fretboard.Place
	for i, f := range frets {
		place := fretboard.Place{String: len(frets) - i, Fret: f}
		if f < 0 {
			continue
		}
		if !p.neck.Has(place) {
			return "", nil, &usageError{fmt.Sprintf("fret %d is not on this neck, which ends at %d", f, p.neck.TopFret()), ""}
		}
		places = append(places, place)
		notes = append(notes, theory.WeightedNote{MIDI: p.neck.Stopped(place), Weight: 1})
	}
	if len(notes) == 0 {
		return "", nil, &usageError{"no string is played", ""}
	}
	var chord theory.Chord
	if len(p.over) > 0 {
		chord = p.over[0]
	} else if guesses := theory.FindChords(notes, nil); len(guesses) > 0 {
		chord = guesses[0].Chord
	}
	tones := fretboard.ChordTones(chord)
	v := fretboard.Voicing{}
	for i, place := range places {
		midi := notes[i].MIDI
		name := theory.SpellIn(theory.Key{Tonic: chord.Root}, midi).NoteName
		if tone, ok := tones.At(midi); ok {
			name = tone.Name
		}
		pitch := theory.Pitch{NoteName: name, Octave: (midi - theory.Pitch{NoteName: name}.MIDI()) / 12}
		d, _ := chord.DegreeOf(name)
		v.Spots = append(v.Spots, fretboard.Spot{Place: place, Pitch: pitch, Degree: d})
	}
	d := p.box(v, chord, strings.ToLower(text))
	return "", []diagram.Diagram{d}, nil
}

// phrases draws the music of files.
func (o *diagramOptions) phrases(j *job, paths []string) (string, []diagram.Diagram, error) {
	for _, flag := range []string{"scheme", "scheme-file", "shape", "notes", "degree", "hold-position", "position", "strings", "draw"} {
		if o.given(flag) {
			return "", nil, &usageError{fmt.Sprintf("--%s chooses places for a scale or a chord, and a phrase has its own", flag), "lickwright refinger puts a phrase into a position"}
		}
	}
	var window *fretboard.Window
	if o.scheme.frets != "" {
		w, err := fretboard.ParseWindow(o.scheme.frets)
		if err != nil {
			return "", nil, flagError("frets", err)
		}
		window = &w
	}
	popt := diagram.PhraseOptions{Whole: o.frames}
	if o.home != "" {
		name, err := theory.ParseNoteName(o.home)
		if err != nil {
			return "", nil, flagError("home", err)
		}
		popt.Home = &name
	}
	over, err := o.chordsOver(nil)
	if err != nil {
		return "", nil, err
	}
	if len(over) > 1 {
		return "", nil, &usageError{"--over: a phrase is read over one chord here, or over the chords that its file has", ""}
	}
	if len(over) == 1 {
		popt.Chord = &over[0]
	}
	title := ""
	var ds []diagram.Diagram
	for _, path := range paths {
		in, err := j.load(path)
		if err != nil {
			return "", nil, err
		}
		s, err := o.prepare(j, in)
		if err != nil {
			return "", nil, err
		}
		of, said := diagram.OfPhrase(s, popt)
		if len(of) > 0 {
			j.say.addAll(said)
		}
		name := s.Title
		if name == "" {
			name = in.base
		}
		for i := range of {
			if len(paths) > 1 {
				of[i].Title = name + ", " + of[i].Title
			}
			if o.frames {
				of[i].Title = name
			}
			if window != nil {
				of[i].From, of[i].To = window.From, min(window.To, of[i].Neck.TopFret())
				if out := beyond(of[i]); out > 0 {
					return "", nil, &usageError{fmt.Sprintf("--frets: %s of the phrase lie beyond frets %d to %d", plural(out, "place"), window.From, window.To), "show more frets"}
				}
			}
		}
		ds = append(ds, of...)
		if title == "" {
			title = name
		}
	}
	if len(ds) == 0 {
		return "", nil, &fileError{strings.Join(paths, ", "), "there is no note on a neck to draw", "give music with strings and frets"}
	}
	if o.frames {
		var steps []diagram.Diagram
		for _, d := range ds {
			steps = append(steps, diagram.StepFrames(d)...)
		}
		ds = steps
	}
	if len(paths) > 1 {
		title = ""
	}
	return title, ds, nil
}

// beyond counts the dots beyond the frets that are shown.
func beyond(d diagram.Diagram) int {
	n := 0
	for _, dot := range d.Dots {
		if dot.Place.Fret < d.From || dot.Place.Fret > d.To {
			n++
		}
	}
	return n
}

// prepare puts the music on the neck if it is on none, and finds its fingers
// if they are to be shown.
func (o *diagramOptions) prepare(j *job, in *input) (*score.Score, error) {
	s := in.doc.Score()
	ids, err := j.read.selectParts(s)
	if err != nil {
		return nil, err
	}
	neck := fretboard.Guitar()
	neck.Frets = max(j.read.neckFrets, 1)
	s, said := transform.PutOnNeck(s, neck)
	j.say.addAll(said)
	if slices.Contains(o.look.Show, diagram.Fingers) {
		s, said = transform.Refinger(s, transform.RefingerOptions{KeepStrings: true, KeepFrets: true, KeepFingers: true, Fingers: true, ScaleLength: o.scale})
		j.say.addAll(said)
	}
	if ids == nil {
		return s, nil
	}
	part := *s
	part.Parts = nil
	for _, p := range s.Parts {
		if slices.Contains(ids, p.ID) {
			part.Parts = append(part.Parts, p)
		}
	}
	return &part, nil
}

// text draws for the terminal.
func (o *diagramOptions) text(title string, ds []diagram.Diagram) []output {
	var b strings.Builder
	if title != "" {
		b.WriteString(title + "\n")
	}
	for i, d := range ds {
		if i > 0 || title != "" {
			b.WriteByte('\n')
		}
		b.WriteString(diagram.Text(d, o.look))
	}
	if legend := diagram.TextLegend(ds, o.look); legend != "" && o.legend {
		b.WriteString("\n" + legend + "\n")
	}
	out := output{data: []byte(b.String()), from: &input{name: title}}
	if o.write.output != "-" {
		out.path = o.write.output
	}
	return []output{out}
}

// frameFiles makes the pictures of a video, all of one crop.
func (o *diagramOptions) frameFiles(title string, ds []diagram.Diagram, form format) ([]output, error) {
	held := !slices.ContainsFunc(ds, func(d diagram.Diagram) bool { return !d.Held })
	var names []string
	for i, d := range ds {
		if !d.Neck.Equal(ds[0].Neck) {
			return nil, &usageError{"frames of different necks cannot have one crop", "draw one part or file at a time"}
		}
		ds[i].Held = held
		name := d.Title
		if name == title {
			name = ""
		}
		names = append(names, name)
	}
	pixels := o.pixels
	if pixels == 0 {
		pixels = int(diagram.FrameWidth)
	}
	from := &input{name: title, base: fileWord(title)}
	return numberedFiles(from, diagram.Frames(ds, o.look), names, form, &o.write, pixels)
}
