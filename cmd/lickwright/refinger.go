package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const refingerLong = `Refinger puts music on the neck anew: of all strings, frets and fingers that
play it, those that cost a hand least. What sounds stays as it is. Notation
without strings and frets is given them.

With a scheme the notes lie where you want them:

  --scheme chord-shape        in one of the five positions that come from the
                              open chords C, A, G, E and D, which method books
                              spell as one word, CAGED; --shape E for that one
  --scheme notes-per-string   in a pattern: --notes 3 (books write 3NPS), from
                              the degree that suits best or --degree 2
  --position 5                one finger per fret, and a stretch either side
  --frets 5-9, --strings 1-3  in a window, on a set of strings; with another
                              scheme they narrow it
  --scheme open               in open position
  --scheme-file FILE          in a scheme of your own, see lickwright scales --help

A scheme that goes by a scale takes that of the key, or --scale. What has no
place in it goes to the nearest place under the same hand. A phrase that is
wider goes on in the position beside it or, with --fold, comes back by octaves:
whole phrases or halves rather than a few notes of them. With --fold, notes that
are joined to one inside stay in their octave: a slide goes as far as it goes, a
hammer-on, pull-off or bend up to two frets. All such notes are named.

--follow-chords plays under each chord symbol in a shape of that chord, and of
its shapes in the one that lies nearest, so that a whole progression stays in
one region; --frets says in which. With --fold, chords that are written out are
voiced anew inside of their shapes.

What no hand can play is named by bar and beat, with the nearest thing that
could be played; the rest is done, and the exit code is 1.

--why-not FILE does not finger anything. FILE has the music in a fingering that
you prefer; printed are the terms of the cost by which it loses against the
best one, or the rules that it breaks, bar by bar.`

const refingerExample = `  # the most natural way, with the fingers of the left hand
  lickwright refinger --fingers testdata/examples/seven-stairs.tab

  # the same lick in the E shape, and between the frets 9 and 13
  lickwright refinger --scheme chord-shape --shape E testdata/examples/amber-street.tab
  lickwright refinger --frets 9-13 testdata/examples/amber-street.tab

  # a whole progression in one region
  lickwright refinger --follow-chords --frets 4-9 testdata/examples/amber-street.tab

  # three other ways, and why not mine
  lickwright refinger --alternatives 3 testdata/examples/amber-street.tab
  lickwright refinger --why-not testdata/examples/amber-street.tab`

type refingerFlags struct {
	scheme       schemeFlags
	hand         handFlags
	scale        string
	keep         []string
	alternatives int
	fold         bool
	fingers      bool
	follow       bool
	allPositions bool
	whyNot       string
	given        func(name string) bool
}

func newRefingerCmd(a *app) *cobra.Command {
	j := &job{app: a, manyHint: "say -d FOLDER for one file each, or --as tab"}
	f := refingerFlags{scheme: schemeFlags{free: true}}
	cmd := &cobra.Command{
		Use:     "refinger [flags] [FILE...]",
		Short:   "Put music on the neck in the best way, or in a position",
		Long:    refingerLong,
		Example: refingerExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runRefinger(j, f, args) },
	}
	f.scheme.add(cmd)
	f.hand.add(cmd)
	fl := cmd.Flags()
	fl.StringVar(&f.scale, "scale", "", `scale that the scheme is laid over ("A minor pentatonic", "dorian"); if not said that of the key, or a neighbour on its tonic that holds the notes`)
	fl.IntVar(&f.alternatives, "alternatives", 0, "write this many ways, the best first, each different in a place")
	fl.BoolVar(&f.allPositions, "all-positions", false, "write one version for each position of the scheme")
	fl.BoolVar(&f.fold, "fold", false, "move what lies beyond the scheme or the neck by octaves")
	fl.BoolVar(&f.fingers, "fingers", false, "write the fingers of the left hand")
	fl.BoolVar(&f.follow, "follow-chords", false, "play under each chord symbol in the nearest shape of that chord")
	fl.StringSliceVar(&f.keep, "keep", nil, "keep what is written: strings, frets, fingers, or several with commas")
	fl.StringVar(&f.whyNot, "why-not", "", "say why the fingering in this file is not the best one")
	f.given = fl.Changed
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	j.write.addDiff(cmd)
	return cmd
}

// options turns the flags that need no file into options.
func (f *refingerFlags) options() (opt transform.RefingerOptions, err error) {
	if opt.Hand, err = f.hand.hand(); err != nil {
		return opt, err
	}
	opt.ScaleLength, opt.Fold, opt.Fingers, opt.FollowChords = f.hand.scaleLength, f.fold, f.fingers, f.follow
	for _, k := range f.keep {
		switch k {
		case "strings":
			opt.KeepStrings = true
		case "frets":
			opt.KeepFrets = true
		case "fingers":
			opt.KeepFingers = true
		default:
			return opt, &usageError{fmt.Sprintf("--keep: %q is none of strings, frets and fingers", k), didYouMean(k, []string{"strings", "frets", "fingers"})}
		}
	}
	if f.given("alternatives") && (f.alternatives < 1 || f.alternatives > maxAlternatives) {
		return opt, &usageError{fmt.Sprintf("--alternatives: it takes 1 to %d, not %d", maxAlternatives, f.alternatives), ""}
	}
	if f.allPositions {
		switch {
		case !f.scheme.asked():
			return opt, &usageError{"--all-positions goes with a scheme", "say --scheme chord-shape, or another one"}
		case f.follow || f.given("alternatives"):
			return opt, &usageError{"--all-positions says where to play, and so do --follow-chords and --alternatives", "say one of them"}
		}
	}
	_, err = f.scheme.kind()
	return opt, err
}

// inAllPositions returns a result for each position of the scheme.
func (f *refingerFlags) inAllPositions(in *input, s *score.Score, opt transform.RefingerOptions) ([]result, error) {
	tones := opt.Tones
	if key, _, ok := transform.KeyAtStart(s); ok && len(tones.Tones) == 0 {
		tones = fretboard.ScaleTones(key.Tonic, transform.ScaleInKey(s, key))
	}
	neck, _ := firstNeck(s, opt.Parts)
	regions, err := f.scheme.positions(neck, tones)
	if err != nil {
		return nil, err
	}
	var list []result
	for i, region := range regions {
		opt := opt
		opt.Scheme, opt.Region = nil, &region
		list = append(list, result{
			key: fmt.Sprintf("%02d-%s", i+1, fileWord(region.Name)), heading: region.Name, promise: f.promise(in), frets: []int{region.Low, region.High},
			make: func(say *collector) (*score.Score, error) {
				out, ds := transform.Refinger(s, opt)
				say.addAll(ds)
				return out, nil
			},
		})
	}
	return list, nil
}

// promise says that what is fingered sounds as it did, octaves aside where it
// is folded.
func (f *refingerFlags) promise(in *input) promise {
	none := 0
	return promise{Of: in.name, Semitones: &none, Exact: !f.fold}
}

// maxAlternatives bounds --alternatives.
const maxAlternatives = 100

func runRefinger(j *job, f refingerFlags, paths []string) error {
	opt, err := f.options()
	if err != nil {
		return err
	}
	if f.given("why-not") {
		return f.sayWhyNot(j, opt, paths)
	}
	j.transform = func(in *input, say *collector) ([]result, error) {
		s, opt, err := f.prepare(j, in.name, in.doc.Score(), opt, say)
		if err != nil {
			return nil, err
		}
		if f.allPositions {
			return f.inAllPositions(in, s, opt)
		}
		if f.alternatives > 0 {
			return f.ways(in.name, s, opt, say)
		}
		out, ds := transform.Refinger(s, opt)
		say.addAll(ds)
		return []result{{score: out, promise: f.promise(in)}}, nil
	}
	return j.run(paths)
}

// prepare fills in what depends on the music: parts, tones, the scheme on its
// neck; and gives a neck to what has none.
func (f *refingerFlags) prepare(j *job, name string, s *score.Score, opt transform.RefingerOptions, say *collector) (*score.Score, transform.RefingerOptions, error) {
	s, parts, neck, err := onNeck(j, name, s, say)
	if err != nil {
		return nil, opt, err
	}
	opt.Parts = parts
	if f.scale != "" {
		if opt.Tones, err = scaleTones(name, s, f.scale); err != nil {
			return nil, opt, err
		}
	}
	if !f.scheme.asked() {
		if f.follow && !hasHarmony(s) {
			return nil, opt, noHarmony(name)
		}
		return s, opt, nil
	}
	tones := opt.Tones
	if key, _, ok := transform.KeyAtStart(s); ok && len(tones.Tones) == 0 {
		tones = fretboard.ScaleTones(key.Tonic, transform.ScaleInKey(s, key))
	}
	if kind, _ := f.scheme.kind(); f.allPositions && kind == "position" && !f.scheme.given("position") {
		return s, opt, nil // there is one for every fret
	}
	if opt.Scheme, err = f.scheme.build(neck, tones); err != nil {
		return nil, opt, err
	}
	if f.follow {
		if opt.Scheme, err = f.following(opt.Scheme); err != nil {
			return nil, opt, err
		}
		if !hasHarmony(s) {
			return nil, opt, noHarmony(name)
		}
		return s, opt, nil
	}
	if opt.Scheme != nil {
		if len(tones.Tones) == 0 && fretboard.NeedsTones(opt.Scheme) {
			return nil, opt, keyUnknown(name)
		}
		if len(tones.Tones) == 0 {
			tones = fretboard.ChordTones(theory.Chord{}) // any notes will do
		}
		// What the neck cannot have is wrong usage, before anything is written.
		if _, err := opt.Scheme.Regions(neck, tones); err != nil {
			return nil, opt, &usageError{err.Error(), ""}
		}
	}
	return s, opt, nil
}

func noHarmony(name string) error {
	return &fileError{name, "there are no chord symbols to follow", "write them over the music"}
}

// following makes a scheme one that follows chords: a window or a set of
// strings says where the shapes are to be.
func (f *refingerFlags) following(scheme fretboard.Scheme) (fretboard.Scheme, error) {
	switch s := scheme.(type) {
	case nil:
		return nil, nil
	case fretboard.Window:
		return fretboard.Within{Scheme: fretboard.ChordShape{}, Frets: &s}, nil
	case fretboard.Strings:
		return fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: s}, nil
	case fretboard.Within:
		if w, ok := s.Scheme.(fretboard.Window); ok {
			s.Scheme, s.Frets = fretboard.ChordShape{}, &w
			return s, nil
		}
		if set, ok := s.Scheme.(fretboard.Strings); ok {
			s.Scheme, s.Strings = fretboard.ChordShape{}, set
			return s, nil
		}
	}
	if !fretboard.NeedsTones(scheme) {
		return nil, &usageError{fmt.Sprintf("--follow-chords: %s stays where it is, whatever the chord", scheme), "chord-shape follows chords, notes-per-string, and a scheme file with a root"}
	}
	return scheme, nil
}

// ways returns the alternatives as results.
func (f *refingerFlags) ways(name string, s *score.Score, opt transform.RefingerOptions, say *collector) ([]result, error) {
	part, err := onePart(s, opt.Parts)
	if err != nil {
		return nil, err
	}
	list, _, err := transform.RefingerWays(s, part, f.alternatives, opt)
	if err != nil {
		return nil, &fileError{name, err.Error(), ""}
	}
	var results []result
	for i, w := range list {
		way, err := transform.WayOf(w, part, opt)
		heading := fmt.Sprintf("way %d", i+1)
		if err == nil {
			heading += ": " + wayWords(way)
			if way.Caution {
				say.add(stretchCaution(name, i+1, way))
			}
		}
		results = append(results, result{score: w, key: fmt.Sprintf("way-%02d", i+1), heading: heading})
	}
	if len(results) < f.alternatives {
		say.add(score.Diagnostic{Severity: score.Info, Code: "refinger-fewer", Pos: score.Pos{File: name},
			Msg: fmt.Sprintf("%s, and no more than that", plural(len(results), "way"))})
	}
	return results, nil
}

// stretchCaution is the usual word of caution about a wide stretch.
func stretchCaution(name string, number int, w transform.Way) score.Diagnostic {
	return score.Diagnostic{Severity: score.Warning, Code: transform.CodeRefingerStretch, Pos: score.Pos{File: name},
		Msg:  fmt.Sprintf("way %d takes a stretch of %.0f mm in one place of the hand", number, w.Stretch),
		Hint: "warm up first and stop if it hurts or tingles; if it keeps hurting, see a teacher or a clinician"}
}
