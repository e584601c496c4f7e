package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

const annotateLong = `Annotate names every note: its degree in the key, what it is against the
chord, what it does if it is no chord tone. In tab the labels are rows under
each system, in MusicXML lyric lines; a legend explains them. --clear takes
labels, colours and legend off again, and the file is as it was.

--show takes a list of
  degrees      1 b3 5, counted from the tonic; with --scale what is outside
               of it stands in brackets
  chord-tones  R b3 5 b7 as the chord has them, and in brackets what is no
               chord tone: (9) (11) (13), altered (b9) (#11)
  roles        of notes that are no chord tones:
               p passing, n neighbour, s suspension, r retardation,
               app appoggiatura, e escape, ant anticipation, ped pedal,
               enc enclosure, da and ca diatonic and chromatic approach,
               f free (none of these); > before it: accented
  names        F#, Bb
  intervals    from the note before: m3, -P4
Without --show, degrees, chord tones and roles are shown, the last two if chords
are known.

Degrees count from the tonic of --scale, else of the key: --key, or what the
file says, or what its notes speak for, which is reported. --home D counts
them from D: the notes of C major with D as home are D dorian.

Chords are those of the file, in tab a row of symbols over the music. --chords
"Am7 | D7 G7 | %" lays others over the bars: | divides bars, the chords of a
bar share it equally (Am7 D7 half and half; a / holds a chord for another
share: Am7 / / D7), % repeats the bar before. They begin again when they are
through; a pickup belongs to the first. With a key, numerals are understood.

A bend is named by the note it reaches. Notes struck together are named from
top to bottom: joined by commas in tab, in lines one below the other in
MusicXML.`

const annotateExample = `  # degrees, chord tones and roles, from the chords of the file
  lickwright annotate testdata/examples/amber-street.tab

  # over other chords, with coloured noteheads
  lickwright annotate --chords "Am7 | D7 | Am7 | E7" --color testdata/examples/amber-street.musicxml

  # degrees against another home
  lickwright annotate --show degrees --home D testdata/examples/amber-street.tab

  # take all of it off again
  lickwright annotate --clear labelled.tab`

// labelNames are what --show calls the kinds of labels, in the order of
// score.LabelKinds.
func labelNames() []string {
	return []string{"degrees", "chord-tones", "roles", "names", "intervals"}
}

type annotateFlags struct {
	show          []string
	scale         string
	chords, home  string
	color, remove bool
}

func newAnnotateCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var f annotateFlags
	cmd := &cobra.Command{
		Use:     "annotate [flags] [FILE...]",
		Short:   "Name every note: degree, chord tone, role",
		Long:    annotateLong,
		Example: annotateExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runAnnotate(j, f, args) },
	}
	fl := cmd.Flags()
	fl.StringSliceVar(&f.show, "show", nil, "labels to put on: "+strings.Join(labelNames(), ", ")+" (or with --clear, to take off)")
	fl.StringVar(&f.scale, "scale", "", `scale that degrees count in ("A minor pentatonic", "dorian"); that of the key if not said`)
	fl.StringVar(&f.chords, "chords", "", `chords by bars, in place of those of the file ("Am7 | D7 G7 | %")`)
	fl.StringVar(&f.home, "home", "", `tonic that the degrees count from, if it is another one ("D" for the dorian view of C major)`)
	fl.BoolVar(&f.color, "color", false, "colour the noteheads of chord tones (MusicXML), beside their labels")
	fl.BoolVar(&f.remove, "clear", false, "take labels, colours and legend off again")
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	j.write.addDiff(cmd)
	return cmd
}

// kinds returns the kinds of labels that --show lists, nil for none said.
func (f annotateFlags) kinds() ([]string, error) {
	var kinds []string
	for _, name := range f.show {
		name = strings.TrimSpace(strings.ToLower(name))
		i := slices.IndexFunc(labelNames(), func(n string) bool { return n == name || strings.TrimSuffix(n, "s") == name })
		if i < 0 {
			hint := didYouMean(name, labelNames())
			if hint == "" {
				hint = "there are " + strings.Join(labelNames(), ", ")
			}
			return nil, &usageError{fmt.Sprintf("--show: there are no labels called %q", name), hint}
		}
		if kind := score.LabelKinds()[i]; !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	return kinds, nil
}

// options turns the flags into what the transform takes, as far as they do not
// depend on the input.
func (f annotateFlags) options() (opt transform.AnnotateOptions, err error) {
	if opt.Show, err = f.kinds(); err != nil {
		return opt, err
	}
	if f.remove {
		for _, flag := range []struct{ name, value string }{{"scale", f.scale}, {"chords", f.chords}, {"home", f.home}} {
			if flag.value != "" {
				return opt, &usageError{"--clear takes labels off; --" + flag.name + " is for putting them on", "leave one of them out"}
			}
		}
		if f.color {
			return opt, &usageError{"--clear and --color exclude each other", "--clear takes colours off too"}
		}
	}
	opt.Color = f.color
	if opt.Home, err = parseHome(f.home); err != nil {
		if _, _, _, scaleErr := theory.ParseScale(f.home); scaleErr == nil {
			err.(*usageError).hint += fmt.Sprintf("; for a scale say --scale %q", f.home)
		}
	}
	return opt, err
}

func runAnnotate(j *job, f annotateFlags, paths []string) error {
	opt, err := f.options()
	if err != nil {
		return err
	}
	j.transform = j.onParts(func(in *input, s *score.Score, parts []string, say *collector) ([]result, error) {
		opt := opt
		opt.Parts = parts
		if f.remove {
			return []result{{score: transform.ClearAnnotations(s, opt.Show, opt.Parts)}}, nil
		}
		if f.scale != "" {
			tonic, scale, err := scaleOf(in.name, s, f.scale)
			if err != nil {
				return nil, err
			}
			opt.Scale = &transform.ScaleOn{Tonic: tonic, Scale: scale}
		}
		key := keyOf(s)
		if f.chords != "" {
			var err error
			if opt.Chords, err = theory.ParseProgression(f.chords, key); err != nil {
				return nil, flagError("chords", err)
			}
		}
		labelled, ds := transform.Annotate(s, opt)
		say.addAll(ds)
		none := 0
		p := promise{Of: in.name, Semitones: &none, Exact: true}
		switch {
		case opt.Home != nil:
			p.Home = opt.Home.String()
		case opt.Scale != nil:
			p.Home = opt.Scale.Tonic.String()
		case key != nil:
			p.Home = key.Tonic.String()
		}
		return []result{{score: labelled, promise: p}}, nil
	})
	return j.run(paths)
}
