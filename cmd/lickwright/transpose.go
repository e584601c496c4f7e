package main

import (
	"fmt"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const transposeLong = `Transpose moves music by a named interval (--by), to a key (--to), or through
all twelve keys (--all-keys). Pitches, key signatures, chord symbols and tab
all move; rhythm, words and layout stay as they are.

Tab moves as a shape along the neck. Where it would leave the neck it moves
by an octave as well; where a hand could not hold it any more it is fingered
anew; both are said on standard error. Nothing is ever written at a fret that
the neck does not have.

Intervals are m2 M2 m3 M3 P4 A4 d5 P5 m6 M6 m7 M7 P8 and so on, up to seven
octaves, with a minus sign for down. A semitone is m2 (C to Db) or A1 (C to
C#). --to and --all-keys have to know the key of the input: if it does not
say it, say --key. --to takes the nearer way; --up and --down choose one.

Keys beyond seven sharps or flats are written as their enharmonic ones;
--respell never keeps them.

With a scheme, what has moved is put on the neck anew: in a chord shape, a
pattern, a position (lickwright refinger --help says which there are). With
--all-positions there is one version for each position of the scheme; with
--all-keys as well, for each of them in each key.

With -d, --all-keys writes one file for each key, numbered in the order of
practice. Without, a tab gets a heading for each key; MusicXML has no place
for several keys side by side, so there -d is needed.`

const transposeExample = `  # one lick in all twelve keys, as one text
  lickwright transpose --all-keys testdata/examples/amber-street.tab

  # a file for each key, through the circle of fourths
  lickwright transpose --all-keys --order fourths -d keys testdata/examples/amber-street.musicxml

  # every key in each of the five chord shapes, sixty files
  lickwright transpose --all-keys --scheme chord-shape --all-positions -d keys testdata/examples/amber-street.tab

  # every lick of a folder in all keys; a second time only what has changed
  lickwright transpose --all-keys --skip-unchanged -d keys testdata/examples --key "A minor"

  # up a minor third; what would change
  lickwright transpose --by m3 --diff testdata/examples/lantern-riff.tab

  # to E flat, downwards
  lickwright transpose --to Eb --down testdata/examples/amber-street.tab`

// transposeFlags are the flags of its own.
type transposeFlags struct {
	by      string
	to      string
	allKeys bool
	up      bool
	down    bool
	order   string
	respell string
	place   placing
	given   func(name string) bool
}

func newTransposeCmd(a *app) *cobra.Command {
	j := &job{app: a, manyHint: "say -d FOLDER, which gets one file for each key"}
	var f transposeFlags
	cmd := &cobra.Command{
		Use:     "transpose [flags] [FILE...]",
		Short:   "Move music to another key, or to all twelve",
		Long:    transposeLong,
		Example: transposeExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runTranspose(j, f, args) },
	}
	fl := cmd.Flags()
	fl.StringVar(&f.by, "by", "", "interval to move by (m3, -P4, A1, M9)")
	fl.StringVar(&f.to, "to", "", `key to move to ("Eb", "F# minor"); without a mode, that of the input`)
	fl.BoolVar(&f.allKeys, "all-keys", false, "move to all twelve keys, the input's own first")
	fl.BoolVar(&f.up, "up", false, "with --to and --all-keys: upwards")
	fl.BoolVar(&f.down, "down", false, "with --to and --all-keys: downwards")
	fl.StringVar(&f.order, "order", "semitones", "order of the keys: "+strings.Join(transform.OrderNames(), ", "))
	fl.StringVar(&f.respell, "respell", "auto", "write keys beyond seven sharps or flats as readable ones: auto or never")
	f.place.scheme.add(cmd)
	fl.BoolVar(&f.place.all, "all-positions", false, "write one version for each position of the scheme")
	fl.StringVar(&f.place.scale, "scale", "", `scale that the scheme is laid over ("minor pentatonic"); that of the key if not said`)
	fl.BoolVar(&f.place.fold, "fold", false, "move what lies beyond the scheme or the neck by octaves")
	fl.BoolVar(&f.place.fingers, "fingers", false, "write the fingers of the left hand")
	f.given = fl.Changed
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	j.write.addDiff(cmd)
	return cmd
}

// A transposition is what the flags ask for.
type transposition struct {
	by      theory.Interval
	to      *theory.Key // nil unless --to
	toMode  bool        // --to said a mode
	all     bool
	dir     theory.Direction
	order   transform.Order
	respell transform.Respell
}

// parse turns the flags into what they ask for.
func (f transposeFlags) parse() (t transposition, err error) {
	asked := 0
	for _, given := range []bool{f.by != "", f.to != "", f.allKeys} {
		if given {
			asked++
		}
	}
	switch {
	case asked == 0:
		return t, &usageError{"it is not said where to", "say --by INTERVAL, --to KEY or --all-keys"}
	case asked > 1:
		return t, &usageError{"--by, --to and --all-keys exclude each other", "say one of them"}
	case f.up && f.down:
		return t, &usageError{"--up and --down exclude each other", "say one of them, or none for the nearer way"}
	case f.by != "" && (f.up || f.down):
		return t, &usageError{"--up and --down go with --to and --all-keys", "--by takes a minus sign for down: --by -m3"}
	case f.order != "semitones" && !f.allKeys:
		return t, &usageError{"--order goes with --all-keys", ""}
	}
	if err := f.place.check(f.given); err != nil {
		return t, err
	}
	t.all = f.allKeys
	switch {
	case f.up:
		t.dir = theory.Up
	case f.down:
		t.dir = theory.Down
	}
	if f.by != "" {
		if t.by, err = theory.ParseInterval(f.by); err != nil {
			return t, flagError("by", err)
		}
	}
	if f.to != "" {
		key, said, err := theory.ParseKey(f.to)
		if err != nil {
			return t, flagError("to", err)
		}
		t.to, t.toMode = &key, said
	}
	if t.order, err = parseOrder(f.order); err != nil {
		return t, err
	}
	t.respell, err = parseRespell(f.respell)
	return t, err
}

func runTranspose(j *job, f transposeFlags, paths []string) error {
	t, err := f.parse()
	if err != nil {
		return err
	}
	j.transform = j.onParts(func(in *input, s *score.Score, parts []string, say *collector) ([]result, error) {
		moves, err := t.moves(in.name, s, say)
		if err != nil {
			return nil, err
		}
		var results []result
		from, _, known := transform.KeyAtStart(s)
		scale := transform.ScaleInKey(s, from)
		for _, m := range moves {
			semitones := ((m.by.Semitones % 12) + 12) % 12
			r := result{key: m.label, heading: m.heading, promise: promise{Of: in.name, Semitones: &semitones}}
			if known {
				r.promise.Key = t.arrival(from.Transpose(m.by)).String()
			}
			moved := func() (*score.Score, score.Diagnostics) {
				return transform.Transpose(s, m.by, transform.TransposeOptions{Respell: t.respell, Parts: parts})
			}
			if !f.place.scheme.asked() {
				r.make = func(say *collector) (*score.Score, error) {
					out, ds := moved()
					say.addAll(ds)
					return out, nil
				}
				results = append(results, r)
				continue
			}
			var tones fretboard.ToneSet
			if known {
				key := t.arrival(from.Transpose(m.by))
				tones = fretboard.ScaleTones(key.Tonic, scale)
			}
			placed, err := f.place.into(j, in, r, tones, m.by, sync.OnceValues(moved))
			if err != nil {
				return nil, err
			}
			results = append(results, placed...)
		}
		return results, nil
	})
	return j.run(paths)
}

// A move is one interval to go and what the place is called that it leads to.
type move struct {
	by      theory.Interval
	label   string // in file names
	heading string
}

// moves returns the moves that are asked for, for a score in its key.
func (t transposition) moves(name string, s *score.Score, say *collector) ([]move, error) {
	from, modeSaid, known := transform.KeyAtStart(s)
	if t.to == nil && !t.all {
		label := strings.TrimPrefix(t.by.String(), "-")
		if t.by.String() != label {
			label += "-down"
		}
		if known {
			label = fileLabel(t.arrival(from.Transpose(t.by)))
		}
		return []move{{t.by, label, t.by.Words()}}, nil
	}
	if !known {
		return nil, &fileError{name, "its key is not known", `say it with --key, as in --key "A minor"; or move by an interval with --by`}
	}
	if !modeSaid && !t.toMode {
		say.add(score.Diagnostic{Severity: score.Info, Code: "key-mode-assumed", Pos: score.Pos{File: name},
			Msg:  "the file does not say whether it is in major or minor; taken for " + from.Pretty(),
			Hint: "say --key if it is in another mode: " + relativeMinor(from).String()})
	}
	if t.to != nil {
		from, to, err := t.target(name, from, modeSaid)
		if err != nil {
			return nil, err
		}
		return []move{{from.Tonic.IntervalTo(to.Tonic, t.dir), fileLabel(to), to.Pretty()}}, nil
	}
	var moves []move
	for i, to := range transform.AllKeys(from, t.order) {
		by := from.Tonic.IntervalTo(to.Tonic, t.dir)
		moves = append(moves, move{by, fmt.Sprintf("%02d-%s", i+1, fileLabel(to)), to.String()})
	}
	return moves, nil
}

// arrival returns the key that is written in the end.
func (t transposition) arrival(k theory.Key) theory.Key {
	if t.respell == transform.RespellAuto {
		return k.Practical()
	}
	return k
}

// target returns the keys between which --to moves. A mode that only one of
// the two says counts for both: a signature of no sharps or flats that is to
// go to "E minor" is taken for A minor.
func (t transposition) target(name string, from theory.Key, modeSaid bool) (theory.Key, theory.Key, error) {
	to := *t.to
	switch {
	case !t.toMode:
		to.Mode = from.Mode
	case !modeSaid:
		from = theory.KeyOf(from.Fifths(), to.Mode)
	case sameMode(from.Mode, to.Mode):
	default:
		return from, to, &usageError{
			fmt.Sprintf("--to %q would change the mode: %s is in %s", to, name, from.Pretty()),
			fmt.Sprintf("transposing keeps the mode: say --to %q", theory.Key{Tonic: to.Tonic, Mode: from.Mode}),
		}
	}
	return from, to, nil
}

// relativeMinor returns the minor key of the same signature.
func relativeMinor(k theory.Key) theory.Key { return theory.KeyOf(k.Fifths(), theory.Minor) }

// sameMode tells whether two modes have the same notes: major is Ionian and
// minor is Aeolian.
func sameMode(a, b theory.Mode) bool {
	return theory.Key{Mode: a}.Fifths() == theory.Key{Mode: b}.Fifths()
}

// fileLabel writes a key for a file name, without signs that shells and web
// addresses read as something else: "Eb-major", "Fsharp-minor".
func fileLabel(k theory.Key) string {
	return strings.ReplaceAll(strings.ReplaceAll(k.String(), "#", "sharp"), " ", "-")
}
