package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const varyLong = `Vary makes new phrases of one, so that a lick is not practised one way only.

The steps below are done in the order in which they are said, each on what the
one before made of the phrase; any of them may come several times:

  --in thirds           each note is followed by the one a third above it in the
                        scale, in half of its time: a scale becomes C E D F E G.
                        Also fourths, fifths, sixths, sevenths, octaves; "thirds
                        down" for below
  --sequence 3          the first three notes again and again, each time a step
                        further along the scale; "3 down" says which way
  --group 3             the first three notes over and over in the rhythm that
                        there is, as threes over fours; anew with each chord
  --permute="2 1 4 3"   the notes of each bar in this order, by fours; --permute
                        alone leaves the order to --seed
  --start-on 5          moved along the scale, to start on another degree or on
                        the root, third, fifth or seventh of the chord
  --target              notes on strong beats, and the last one, become tones of
                        the chord
  --invert              turned over at its first note, in the scale;
                        --invert=chromatic semitone by semitone
  --retrograde          from the last note to the first; hammer-ons become
                        pull-offs, and what was bent up is let down
  --octave-jump         every second note an octave up, or down where the neck
                        ends; --octave-jump=3 every third
  --displace 1/8        an eighth later; -1/8 earlier; "beat" or "-2 beats" by
                        those of the metre: dotted quarters in 6/8, 9/8 and
                        12/8, the groups in 7/8
  --augment 2           all times twice as long; --diminish 2 half as long

Bars stay whole, and chord symbols stay over their bars. New notes are fingered
by the optimiser, near the frets of the phrase or, with --strings 2-4, --scheme and
the flags beside it, where you want them. A bend that would lie where it is not
easy (a whole tone on a low string or at a low fret, or with the first finger
alone) becomes a slide; a hammer-on, pull-off or slide that got wider than the hand
and the phrase have it is struck. What each step did is said on standard error.

--count N makes the N variations that are most different from the phrase and
from each other, that can be played, and in which the phrase is still heard: of
these steps, alone, two or three together. They make no wider leap than the phrase
does and end within its bars; where it has chord symbols they have as many chord
tones on strong beats, and they end on one. Half of its turns or of its rhythm is
left, and none rocks between two notes for more than a bar. At most four notes are
moved to chord tones; where a step would leap too far the line goes on in another
octave; where it breaks off between strong beats a few notes at the end are left out, or
one is added; the last note is held as long as the phrase's where there is room; bends
and vibrato that came to short notes are struck plainly. Against which much speaks,
such as notes held off the chord, a lost bend and a lost close, or jumps of the hand,
is left out. Of each ten asked for at most three are of one kind, and one has the notes
of the phrase at other times; so there may be fewer than N, which is said. How
different two phrases are is measured by contour, rhythm, degrees on strong beats and
place on the neck; the documentation of the library gives the formula. The same --seed
gives the same variations.

Long repetition can hurt a hand. If it hurts or tingles, stop, rest, and ask a
teacher or a clinician.`

const varyExample = `  # a lick in thirds, an octave apart, and backwards
  lickwright vary --in thirds testdata/examples/amber-street.tab
  lickwright vary --octave-jump --retrograde testdata/examples/amber-street.tab

  # on the middle strings, an eighth later
  lickwright vary --displace 1/8 --strings 2-4 testdata/examples/amber-street.tab

  # the five most different variations
  lickwright vary --count 5 --seed 3 testdata/examples/amber-street.tab`

// stepFlags gathers the steps in the order in which they are said.
type stepFlags struct{ said []saidStep }

type saidStep struct{ name, value string }

// A stepFlag is the flag of one kind of step.
type stepFlag struct {
	name  string
	steps *stepFlags
}

// String is the default, none.
func (f stepFlag) String() string { return "" }

// Type is shown in the help.
func (f stepFlag) Type() string { return "string" }

// Set notes a step; it is read when all flags are there.
func (f stepFlag) Set(value string) error {
	f.steps.said = append(f.steps.said, saidStep{f.name, value})
	return nil
}

// stepHelp says what a step does, and what value stands for its flag without
// one; "" if it needs one.
func stepHelp(k transform.VariationKind) (usage, alone string) {
	switch k {
	case transform.Invert:
		return "turn over at the first note: diatonic (in the scale) or chromatic", "diatonic"
	case transform.Retrograde:
		return "play backwards", "true"
	case transform.InIntervals:
		return `follow each note by the one so far above it: thirds, fourths, … ("thirds down" for below)`, ""
	case transform.Sequence:
		return "repeat so many first notes along the scale", ""
	case transform.Group:
		return "repeat so many first notes in the rhythm that there is", ""
	case transform.Permute:
		return `put the notes of each bar in this order ("2 1 4 3")`, " "
	case transform.StartOn:
		return "start on this degree, or on the root, third, fifth or seventh of the chord", ""
	case transform.Target:
		return "move notes on strong beats to chord tones", "true"
	case transform.OctaveJump:
		return "move every second note by an octave, or every so manieth", "2"
	case transform.Displace:
		return `begin later by a note value (1/8), or earlier (-1/8); or by beats ("beat", "-2 beats")`, ""
	case transform.Augment:
		return "make all times so many times as long (2, 3/2)", ""
	case transform.Diminish:
		return "make all times so many times as short", ""
	}
	return "", ""
}

type varyFlags struct {
	steps  stepFlags
	count  int
	seed   uint64
	scale  string
	fold   bool
	scheme schemeFlags
	given  func(name string) bool
}

func newVaryCmd(a *app) *cobra.Command {
	j := &job{app: a, manyHint: "say -d FOLDER for one file each, or --as tab"}
	f := &varyFlags{}
	cmd := &cobra.Command{
		Use:     "vary [flags] [FILE...]",
		Short:   "Make new phrases of one",
		Long:    varyLong,
		Example: varyExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runVary(j, f, args) },
	}
	fl := cmd.Flags()
	for _, k := range transform.VariationKinds() {
		usage, alone := stepHelp(k)
		fl.Var(stepFlag{k.String(), &f.steps}, k.String(), usage)
		fl.Lookup(k.String()).NoOptDefVal = alone
	}
	fl.IntVar(&f.count, "count", 0, "make this many variations, the most different ones")
	fl.Uint64Var(&f.seed, "seed", 1, "of what is left to chance; the same seed gives the same")
	fl.StringVar(&f.scale, "scale", "", `scale in which steps are counted ("A minor pentatonic", "dorian"); if not said that of the key, or a neighbour on its tonic that holds the notes`)
	fl.BoolVar(&f.fold, "fold", false, "move what lies beyond the scheme or the neck by octaves")
	f.scheme.add(cmd)
	f.given = fl.Changed
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	j.write.addDiff(cmd)
	return cmd
}

// maxVariations bounds --count.
const maxVariations = 100

// check reads the steps and finds what does not go together.
func (f *varyFlags) check(paths []string) ([]transform.Variation, error) {
	var steps []transform.Variation
	for _, s := range f.steps.said {
		v, err := transform.ParseVariation(s.name, s.value)
		if err != nil {
			return nil, flagError(s.name, err)
		}
		steps = append(steps, v)
	}
	switch {
	case f.given("count") && (f.count < 1 || f.count > maxVariations):
		return nil, &usageError{fmt.Sprintf("--count: it takes 1 to %d, not %d", maxVariations, f.count), ""}
	case f.given("count") && len(steps) > 0:
		return nil, &usageError{"--count chooses the steps by itself", "leave out --" + f.steps.said[0].name + ", or --count"}
	case !f.given("count") && len(steps) == 0 && !f.scheme.asked():
		return nil, &usageError{"it is not said how to vary", "say a step such as --in thirds or --retrograde, or --count 5"}
	}
	if len(steps) > 0 && len(paths) > 0 {
		// A value after a flag that needs none is taken for a file.
		last := f.steps.said[len(f.steps.said)-1]
		if _, alone := stepHelp(steps[len(steps)-1].Kind); alone != "" && alone != "true" {
			if _, err := os.Stat(paths[0]); err != nil {
				if _, err := transform.ParseVariation(last.name, paths[0]); err == nil {
					return nil, &usageError{fmt.Sprintf("there is no file %q", paths[0]), fmt.Sprintf("did you mean --%s=%q?", last.name, paths[0])}
				}
			}
		}
	}
	return steps, nil
}

func runVary(j *job, f *varyFlags, paths []string) error {
	steps, err := f.check(paths)
	if err != nil {
		return err
	}
	j.transform = func(in *input, say *collector) ([]result, error) {
		s := in.doc.Score()
		opt, err := f.options(j, in.name, s)
		if err != nil {
			return nil, err
		}
		if f.count == 0 {
			out, ds := transform.Vary(s, steps, opt)
			say.addAll(ds)
			return []result{{score: out}}, nil
		}
		list, ds := transform.Variations(s, f.count, opt)
		say.addAll(ds)
		var results []result
		for i, v := range list {
			name := v.Name()
			results = append(results, result{
				score: v.Score, key: fmt.Sprintf("%02d-%s", i+1, stepsWord(v.Steps)), heading: fmt.Sprintf("%d: %s", i+1, name),
			})
			for _, d := range v.Said {
				d.Result = fmt.Sprint(i + 1)
				d.Msg = d.Result + ": " + d.Msg
				say.add(d)
			}
		}
		if len(results) == 0 {
			return nil, &fileError{in.name, "it has no variation that is good enough", strings.TrimSpace("another --seed may find one; single steps are always done")}
		}
		return results, nil
	}
	return j.run(paths)
}

// stepsWord names the steps in a file name: "retrograde-late4", for what begins
// a quarter note later. That notes were moved to chord tones is left out after
// other steps, since it is said inside and by most.
func stepsWord(steps []transform.Variation) string {
	var list []string
	for _, s := range steps {
		if s.Kind != transform.Target || len(list) == 0 {
			list = append(list, stepWord(s))
		}
	}
	return strings.Join(list, "-")
}

func stepWord(s transform.Variation) string {
	name := s.Kind.String()
	switch s.Kind {
	case transform.Displace:
		if s.Beats != 0 {
			when := "late"
			if s.Beats < 0 {
				when = "early"
			}
			return fmt.Sprintf("%s%dbeat", when, max(s.Beats, -s.Beats))
		}
		by, when := s.By.Mul(score.Q(1, 4)), "late"
		if by.Sign() < 0 {
			by, when = by.Neg(), "early"
		}
		if by.Num() == 1 {
			return fmt.Sprintf("%s%d", when, by.Den())
		}
		return fmt.Sprintf("%s%d-%d", when, by.Num(), by.Den())
	case transform.StartOn:
		name = "on"
	case transform.OctaveJump:
		name = "jump"
	case transform.Permute:
		return name + strings.Trim(strings.ReplaceAll(fmt.Sprint(s.Order), " ", ""), "[]")
	}
	_, value, _ := strings.Cut(s.String(), " ")
	return name + strings.ReplaceAll(fileWord(value), "-", "")
}

// options fills in what depends on the music.
func (f *varyFlags) options(j *job, name string, s *score.Score) (opt transform.VaryOptions, err error) {
	opt.Seed = f.seed
	if opt.Parts, err = j.read.selectParts(s); err != nil {
		return opt, err
	}
	key, _, keyKnown := transform.KeyAtStart(s)
	if f.scale != "" {
		tonic, hasTonic, scale, err := parseScale("scale", f.scale)
		if err != nil {
			return opt, err
		}
		if !hasTonic && !keyKnown {
			return opt, &fileError{name, "its key is not known", `say --scale with a tonic, as in --scale "A minor pentatonic", or --key`}
		}
		if !hasTonic {
			tonic = key.Tonic
		}
		opt.Scale = &transform.ScaleOn{Tonic: tonic, Scale: scale}
	} else if !keyKnown {
		return opt, &fileError{name, "its key is not known, so that steps of a scale cannot be counted", `say --key "A minor", or --scale "A minor pentatonic"`}
	} else {
		opt.Scale = &transform.ScaleOn{Tonic: key.Tonic, Scale: transform.ScaleInKey(s, key)}
	}
	opt.Refinger.Fold = f.fold
	if !f.scheme.asked() {
		return opt, nil
	}
	tones := fretboard.ScaleTones(opt.Scale.Tonic, opt.Scale.Scale)
	neck, ok := firstNeck(s, opt.Parts)
	if !ok {
		return opt, &usageError{"--scheme: the input is for no neck", "say --tuning"}
	}
	opt.Refinger.Tones = tones
	opt.Refinger.Scheme, err = f.scheme.build(neck, tones)
	return opt, err
}
