package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/theory"
)

const diagramLong = `Diagram draws the neck: a scale, a chord, the frets of a chord, or the phrase in a
file, in the order in which it is played.

  lickwright diagram C major       the scale on the whole neck
  lickwright diagram Am7           the chord as a hand holds it, in five places
  lickwright diagram "x 3 2 0 1 0" these frets, the last string first
  lickwright diagram lick.tab      the phrase, cut at bars and where the hand moves

With a scheme of lickwright scales (--scheme chord-shape, --shape E, --scheme
notes-per-string --notes 3, --position 5, --strings 1-3) one neck shows where the
positions lie and how the hand moves between them; below it is a row for each
position, which shows its notes on the same frets. The five chord shapes
are what method books spell as one word, CAGED; three notes per string is 3NPS.

What a note is to the chord is told by its shape: the root of the chord is a
house, another tone of it a tile, any other note a disc. The chord is that of
the music, of --over, or the triad on the tonic of a scale; where there is none
the house is the tonic. --over names the chord, or several, which gives a picture
for each. Over the chords of a phrase and of --over a dot says its place in the
chord (R, 3, 5, 9), else the degree of the key or scale, unless --show says
otherwise. A neck that is not a guitar in standard tuning says what it is; where
its shapes have no letters they are named by the string of the root and the
finger that has it there. A phrase is numbered in the order of playing, on from picture to
picture; hammer-ons (H), pull-offs (P) and slides (sl.) name the numbers that
they join. Labels that lickwright annotate put on a phrase stand below its dots,
and words over it below the picture.

The picture goes to the terminal as text, or with -o or --as into SVG or PNG;
with -d every diagram into a file of its own. --frames makes pictures for a
video, 16 to 9 and transparent round the neck, all with one crop and scale: one
for each diagram, or one for each note of a phrase, with what was just played
(--trail 2) and what comes next (--ahead 1) beside it; what is due is filled.`

const diagramExample = `  lickwright diagram C major --scheme chord-shape -o shapes.svg
  lickwright diagram A minor pentatonic --shape E --show degrees,fingers
  lickwright diagram C major --scheme notes-per-string --notes 3 --frets 0-12 -o patterns.png
  lickwright diagram Am7 --shape E
  lickwright diagram "x 3 2 0 1 0" --upright --left-handed
  lickwright diagram C major --position 5 --over "Dm7 | G7 | Cmaj7" -o guide.svg
  lickwright diagram testdata/examples/amber-street.tab --show fingers -o lick.svg
  lickwright diagram testdata/examples/amber-street.tab --frames --trail 2 --ahead 1 -d frames
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
	steps  diagram.StepOptions
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
	fl.StringSliceVar(&opt.show, "show", nil, "what stands in each dot and, after commas, line by line below it: "+strings.Join(diagram.LabelNames(), ", "))
	fl.StringSliceVar(&opt.draw, "draw", nil, "what is drawn of a scale or chord: neck (with a row for each position), overview (one neck), positions, boxes (chords as they are held), chain (chord, arpeggios, pentatonic and scale of each position)")
	fl.StringVar(&opt.over, "over", "", `chord that the notes are heard over, or several ("Dm7 | G7 | Cmaj7"): its tones are marked`)
	fl.StringVar(&opt.home, "home", "", `tonic that the degrees count from, if it is another one ("D" for the dorian view of C major)`)
	fl.BoolVar(&opt.look.Upright, "upright", false, "the nut on top and the strings downwards")
	fl.BoolVar(&opt.look.LeftHanded, "left-handed", false, "for a left-handed player")
	fl.StringVar(&opt.space, "spacing", "even", "distances between frets: even, or true as on the instrument")
	fl.BoolVar(&opt.look.Dark, "dark", false, "for a dark page or screen")
	fl.BoolVar(&opt.legend, "legend", true, "say below what the shapes mean")
	fl.BoolVar(&opt.frames, "frames", false, "pictures for a video, with -d")
	fl.IntVar(&opt.steps.Trail, "trail", 0, "with --frames of a phrase: so many notes just played stay in outline")
	fl.IntVar(&opt.steps.Ahead, "ahead", 0, "with --frames of a phrase: so many notes that come next are shown in dashes")
	fl.IntVar(&opt.pixels, "pixels", 0, "width of a PNG in pixels (0 for its natural size); what could not be read is left out")
	opt.scheme.add(cmd)
	opt.read.add(cmd)
	fl.Float64Var(&opt.scale, "scale-length", 0, "length of the open strings in millimetres, for stretches (0 for the usual one of the instrument of the tuning)")
	opt.write.add(cmd)
	fl.Lookup("as").Usage = "format of the picture: text, svg or png"
	for _, name := range notOfPictures() {
		_ = fl.MarkHidden(name) // it is there
	}
	opt.given = fl.Changed
	return cmd
}

// notOfPictures are flags of all commands that write which say nothing about
// pictures of the neck.
func notOfPictures() []string {
	return []string{"answers", "backing", "click", "count-in", "loop", "swing", "tempo", "width", "worksheet"}
}

// textForm stands for the terminal among the formats of pictures.
func textForm() format { return format{name: "text", about: "text", extensions: []string{".txt"}} }

func runDiagram(a *app, opt diagramOptions) error {
	for _, name := range notOfPictures() {
		if opt.given(name) {
			return &usageError{fmt.Sprintf("--%s is about music that is written or heard, and a picture of the neck has none", name), "leave it out; lickwright convert makes sheets (--as html), sound (--as mid) and tab"}
		}
	}
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
		outs, err = pictureFiles(title, ds, opt.look, form, &opt.write, opt.pixels, j.say.add)
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
			return near(flagError("show", err), s, diagram.LabelNames())
		}
		o.look.Show = append(o.look.Show, l)
	}
	if len(o.show) > 4 {
		return &usageError{"--show: a dot has room for one thing inside and three below", "name fewer"}
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
	case (o.given("trail") || o.given("ahead")) && !o.frames:
		return &usageError{"--trail and --ahead are for --frames of a phrase", "say --frames -d FOLDER as well"}
	case o.steps.Trail < 0 || o.steps.Ahead < 0:
		return &usageError{"--trail and --ahead count notes: 0 or more", ""}
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
	for _, flag := range []string{"time", "part", "trust", "trail", "ahead"} {
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
	p := pictured{neck: n, scale: nf.scale, draw: o.draw, over: over, to: n.TopFret(), say: j.say.add, fingers: slices.Contains(o.look.Show, diagram.Fingers)}
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
	held := !slices.ContainsFunc(ds, func(d diagram.Diagram) bool { return !d.Held })
	for i := range ds {
		if asTyped(ds[i].Title) == asTyped(title) && (o.write.dir == "" && !o.frames) {
			ds[i].Title, ds[i].Subtitle = ds[i].Subtitle, "" // it stands over the picture
			if ds[i].Held && !held && ds[i].Title != "" {
				ds[i].Subtitle = "chord"
			}
		}
	}
	return title, ds, err
}

// asTyped writes the accidentals of a title as they are typed, so that E♭maj7 is
// found to be Ebmaj7.
func asTyped(title string) string { return strings.NewReplacer("♭", "b", "♯", "#").Replace(title) }

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
