package main

import (
	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const remapLong = `Remap takes a phrase from one scale to another (--from, --to), or from the
chord that it was made over to others (--over). Rhythm stays.

--map degree keeps the number of each degree: b3 becomes 3. What the new scale
has no number for becomes its nearest note in the direction of the line.
--map step keeps the place in the scale: the second note becomes the second
note. Where the two differ, the notes are named on standard error, bar by bar.

Chromatic notes stay a semitone from the note that they lead to. A bend is two
notes, the fretted one and its target; both are mapped, so a bend of a whole
tone may become one of a semitone. Quarter tones stay as they are. Hammer-ons
that go down become pull-offs, and the other way round.

--from may be left out if the key of the input is known; a scale without a
tonic has that of the key, and --to without one that of --from.

--over takes chords as they are written in a chart, bars divided by |. The
phrase is laid over them bar by bar, and whichever is shorter begins again.
Thirds become thirds and sevenths sevenths; other notes follow the scales that
handbooks give for the chords. --from is then the chord that the phrase was
made over; without it the chord symbols of the input say it.

Tab is fingered near the old hand or, with --scheme and the flags beside it,
inside of a position.`

const remapExample = `  # the same lick in the parallel major pentatonic
  lickwright remap --from "A minor pentatonic" --to "A major pentatonic" testdata/examples/amber-street.tab

  # what one note changes: from the key of the file to its dorian
  lickwright remap --to dorian --diff testdata/examples/amber-street.tab

  # bar by bar over other chords, from the chord symbols of the file
  lickwright remap --over "Dm7 | G7 | Cmaj7 | %" testdata/examples/amber-street.tab`

type remapFlags struct {
	from, to, how, over, respell string
	up, down                     bool
	scheme                       schemeFlags
}

func newRemapCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var f remapFlags
	cmd := &cobra.Command{
		Use:     "remap [flags] [FILE...]",
		Short:   "Take music to another scale, or over other chords",
		Long:    remapLong,
		Example: remapExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runRemap(j, f, args) },
	}
	fl := cmd.Flags()
	fl.StringVar(&f.from, "from", "", `scale of the input ("A minor pentatonic"); with --over the chord it was made over ("Am7")`)
	fl.StringVar(&f.to, "to", "", `scale to take it to ("A major pentatonic", "lydian", "1 b3 4 5 b7")`)
	fl.StringVar(&f.how, "map", "degree", "what a note keeps: degree (its number) or step (its place in the scale)")
	fl.StringVar(&f.over, "over", "", `chords to make the phrase over ("Dm7 | G7 | Cmaj7")`)
	fl.BoolVar(&f.up, "up", false, "go up to another tonic")
	fl.BoolVar(&f.down, "down", false, "go down to another tonic")
	fl.StringVar(&f.respell, "respell", "auto", "write a tonic beyond seven sharps or flats as a readable one: auto or never")
	f.scheme.add(cmd)
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	j.write.addDiff(cmd)
	return cmd
}

// check finds what does not go together.
func (f remapFlags) check() (opt transform.RemapOptions, err error) {
	switch {
	case f.to == "" && f.over == "":
		return opt, &usageError{"it is not said where to", `say --to SCALE, as in --to "A major pentatonic", or --over CHORDS`}
	case f.to != "" && f.over != "":
		return opt, &usageError{"--to and --over exclude each other", "say one of them"}
	case f.up && f.down:
		return opt, &usageError{"--up and --down exclude each other", "say one of them, or none for the nearer way"}
	case f.over != "" && f.how != "degree":
		return opt, &usageError{"--map goes with --to", "over chords, tones keep their job in the chord"}
	}
	if opt.Map, err = transform.ParseMapping(f.how); err != nil {
		return opt, near(flagError("map", err), f.how, []string{"degree", "step"})
	}
	switch {
	case f.up:
		opt.Tonic = theory.Up
	case f.down:
		opt.Tonic = theory.Down
	}
	opt.Respell, err = parseRespell(f.respell)
	return opt, err
}

func runRemap(j *job, f remapFlags, paths []string) error {
	opt, err := f.check()
	if err != nil {
		return err
	}
	j.transform = j.onParts(func(in *input, s *score.Score, parts []string, say *collector) ([]result, error) {
		opt := opt
		opt.Parts = parts
		var err error
		var mapped *score.Score
		var ds score.Diagnostics
		if f.over != "" {
			mapped, ds, err = f.remapOver(in.name, s, opt)
		} else {
			mapped, ds, err = f.remapTo(in.name, s, opt)
		}
		if err != nil {
			return nil, err
		}
		say.addAll(ds)
		return []result{{score: mapped}}, nil
	})
	return j.run(paths)
}

func (f remapFlags) remapTo(name string, s *score.Score, opt transform.RemapOptions) (*score.Score, score.Diagnostics, error) {
	from, err := f.source(name, s)
	if err != nil {
		return nil, nil, err
	}
	tonic, hasTonic, sc, err := parseScale("to", f.to)
	if err != nil {
		return nil, nil, err
	}
	if !hasTonic {
		tonic = from.Tonic
	}
	to := transform.ScaleOn{Tonic: tonic, Scale: sc}
	if opt.Scheme, err = f.schemeFor(s, opt.Parts, fretboard.ScaleTones(to.Tonic, to.Scale)); err != nil {
		return nil, nil, err
	}
	mapped, ds := transform.Remap(s, from, to, opt)
	return mapped, ds, nil
}

// source returns the scale that the input is in.
func (f remapFlags) source(name string, s *score.Score) (from transform.ScaleOn, err error) {
	key := keyOf(s)
	hasTonic := false
	if f.from != "" {
		if from.Tonic, hasTonic, from.Scale, err = parseScale("from", f.from); err != nil || hasTonic {
			return from, err
		}
	}
	if key == nil {
		return from, &fileError{name, "its key is not known", `say --from with a tonic, as in --from "A minor pentatonic", or --key`}
	}
	from.Tonic = key.Tonic
	if f.from == "" {
		from.Scale = key.Scale()
	}
	return from, nil
}

func (f remapFlags) remapOver(name string, s *score.Score, opt transform.RemapOptions) (*score.Score, score.Diagnostics, error) {
	over, err := theory.ParseProgression(f.over, keyOf(s)) // the key is for Roman numerals
	if err != nil {
		return nil, nil, flagError("over", err)
	}
	var home *theory.Chord
	if f.from != "" {
		c, err := theory.ParseChord(f.from)
		if err != nil {
			return nil, nil, flagError("from", err)
		}
		home = &c
	} else if !hasHarmony(s) {
		return nil, nil, &fileError{name, "it is not said over which chord it was made", "say it with --from, as in --from Am7, or write chord symbols over the phrase"}
	}
	var tones fretboard.ToneSet
	if chords := over.Chords(); len(chords) > 0 {
		tones = fretboard.ChordTones(chords[0])
	}
	if opt.Scheme, err = f.schemeFor(s, opt.Parts, tones); err != nil {
		return nil, nil, err
	}
	mapped, ds := transform.RemapOver(s, home, over, opt)
	return mapped, ds, nil
}

// schemeFor returns the scheme that is asked for, nil for none.
func (f remapFlags) schemeFor(s *score.Score, parts []string, tones fretboard.ToneSet) (fretboard.Scheme, error) {
	if !f.scheme.asked() {
		return nil, nil
	}
	neck, ok := firstNeck(s, parts)
	if !ok {
		return nil, &usageError{"--scheme: the input is for no neck", "say --tuning"}
	}
	return f.scheme.build(neck, tones)
}
