package main

import (
	"fmt"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const relocateLong = `Relocate lists where else on the neck a phrase can be played: every distinct
way, the easiest first, with its frets and strings, the chord shape that holds
it where there is one, where the index finger begins, the widest stretch, shifts
of the hand, changes of string and open strings. Two ways are distinct if a
quarter of the notes or more lie elsewhere. The way that the file has is marked.
Ways that cost more than two and a half times as much as the easiest, and more
than 10 beyond it, are left out; --all lists them too.

--pick N writes the phrase the way that has this number in the list; if you said
--all or --fold for the list, say it with --pick too, since it changes the
numbers. --frets 9-13 moves the phrase between these frets. What has no place
there is named or, with --fold, comes back by octaves. In the list, --fold adds
the ways in which everything lies an octave higher or lower.

Ways are ranked by what they cost a hand, as lickwright refinger reckons it. With
--json the list is written for programs, under names that stay.`

const relocateExample = `  lickwright relocate testdata/examples/amber-street.tab
  lickwright relocate --pick 2 testdata/examples/amber-street.tab
  lickwright relocate --frets 9-13 --fold testdata/examples/amber-street.tab
  lickwright relocate --json testdata/examples/amber-street.musicxml`

type relocateFlags struct {
	hand  handFlags
	scale string
	pick  int
	frets string
	fold  bool
	all   bool
	json  bool
	given func(name string) bool
}

func newRelocateCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var f relocateFlags
	cmd := &cobra.Command{
		Use:     "relocate [flags] [FILE...]",
		Short:   "List where else on the neck a phrase can be played, and move it there",
		Long:    relocateLong,
		Example: relocateExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runRelocate(j, f, args) },
	}
	fl := cmd.Flags()
	fl.IntVar(&f.pick, "pick", 0, "write the way with this number in the list")
	fl.StringVar(&f.frets, "frets", "", `move it between these frets ("9-13")`)
	fl.BoolVar(&f.fold, "fold", false, "allow octaves: list them too, and move what lies beyond the frets")
	fl.BoolVar(&f.all, "all", false, "all ways, not the sensible ones only")
	fl.StringVar(&f.scale, "scale", "", `scale by whose tonic shapes are named ("A minor pentatonic"); that of the key if not said`)
	fl.BoolVar(&f.json, "json", false, "write JSON, for programs")
	f.given = fl.Changed
	f.hand.add(cmd)
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	j.write.addDiff(cmd)
	return cmd
}

func runRelocate(j *job, f relocateFlags, paths []string) error {
	hand, err := f.hand.hand()
	if err != nil {
		return err
	}
	opt := transform.RefingerOptions{Hand: hand, ScaleLength: f.hand.scaleLength, Fold: f.fold}
	moves := f.given("pick") || f.given("frets")
	switch {
	case f.given("pick") && f.given("frets"):
		return &usageError{"--pick and --frets say two places to move to", "say one of them"}
	case f.given("pick") && f.pick < 1:
		return &usageError{"--pick: ways are numbered from 1", "lickwright relocate FILE lists them"}
	case f.given("all") && f.given("frets"):
		return &usageError{"--all is for the list of ways, and --frets does not go by it", "leave out one of them"}
	case moves && f.json:
		return &usageError{"--json is for the list, and nothing is listed", "leave out --json, --pick and --frets, or say --as for the music"}
	case moves:
		return f.move(j, opt, paths)
	}
	for _, flag := range []string{"output", "dir", "as", "width", "force", "diff", "strict"} {
		if f.given(flag) {
			return &usageError{fmt.Sprintf("--%s is for music, and what is written is the list of ways", flag), "say which way with --pick N, or --frets 9-13"}
		}
	}
	return f.list(j, opt, paths)
}

// move writes the phrase elsewhere.
func (f *relocateFlags) move(j *job, opt transform.RefingerOptions, paths []string) error {
	if f.given("frets") {
		w, err := fretboard.ParseWindow(f.frets)
		if err != nil {
			return flagError("frets", err)
		}
		opt.Scheme = w
	}
	j.transform = func(in *input, say *collector) ([]result, error) {
		s, opt, err := f.prepare(j, in, opt, say)
		if err != nil {
			return nil, err
		}
		if opt.Scheme != nil {
			out, ds := transform.Refinger(s, opt)
			say.addAll(ds)
			return []result{{score: out, promise: f.promise(in)}}, nil
		}
		part, err := onePart(s, opt.Parts)
		if err != nil {
			return nil, err
		}
		ways, _, err := f.ways(s, part, opt)
		if err != nil {
			return nil, &fileError{in.name, err.Error(), ""}
		}
		if f.pick > len(ways) {
			return nil, &usageError{fmt.Sprintf("--pick: there are %s to play %s, and no number %d", plural(len(ways), "way"), in.name, f.pick), "lickwright relocate lists them, with --all the hardest too"}
		}
		way := ways[f.pick-1]
		out, ds := transform.Relocate(s, part, way, opt)
		say.addAll(ds)
		return []result{{score: out, promise: f.promise(in)}}, nil
	}
	return j.run(paths)
}

// ways lists the ways that are asked for, and says how many it leaves out.
func (f *relocateFlags) ways(s *score.Score, part int, opt transform.RefingerOptions) (ways []transform.Way, left int, err error) {
	all, err := transform.Ways(s, part, opt)
	if err != nil || f.all {
		return all, 0, err
	}
	ways = transform.Sensible(all)
	return ways, len(all) - len(ways), nil
}

// promise says that what is played elsewhere sounds as it did, but for octaves.
func (f *relocateFlags) promise(in *input) promise {
	none := 0
	return promise{Of: in.name, Semitones: &none}
}

func (f *relocateFlags) prepare(j *job, in *input, opt transform.RefingerOptions, say *collector) (*score.Score, transform.RefingerOptions, error) {
	s, parts, neck, err := onNeck(j, in.name, in.doc.Score(), say)
	if err != nil {
		return nil, opt, err
	}
	opt.Parts = parts
	if f.scale != "" {
		if opt.Tones, err = scaleTones(in.name, s, f.scale); err != nil {
			return nil, opt, err
		}
	}
	if w, ok := opt.Scheme.(fretboard.Window); ok && w.To > neck.TopFret() {
		return nil, opt, &usageError{fmt.Sprintf("--frets: the neck ends at fret %d", neck.TopFret()), "say --neck-frets if it is longer"}
	}
	return s, opt, nil
}

// relocations is what --json writes.
type relocations struct {
	Files []fileRelocations `json:"files"`
}

type fileRelocations struct {
	File   string `json:"file"`
	Title  string `json:"title"`
	Part   string `json:"part"` // ID
	Tuning string `json:"tuning"`
	Notes  int    `json:"notes"` // struck
	// LeftOut is how many ways are not listed for what they cost.
	LeftOut int             `json:"leftOut"`
	Ways    []transform.Way `json:"ways"`
}

func (f *relocateFlags) list(j *job, opt transform.RefingerOptions, paths []string) error {
	j.say, j.sources = &collector{}, map[string][]byte{}
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	all := relocations{Files: []fileRelocations{}}
	for _, path := range paths {
		in, err := j.load(path)
		if err != nil {
			j.flush()
			return err
		}
		s, opt, err := f.prepare(j, in, opt, j.say)
		if err != nil {
			return err
		}
		part, err := onePart(s, opt.Parts)
		if err != nil {
			return err
		}
		ways, left, err := f.ways(s, part, opt)
		if err != nil {
			return &fileError{in.name, err.Error(), ""}
		}
		p := s.Parts[part]
		file := fileRelocations{File: in.name, Title: s.Title, Part: p.ID, LeftOut: left, Ways: ways}
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					if file.Tuning == "" {
						file.Tuning = e.Neck.Tuning.String()
					}
				case *score.Chord:
					for _, n := range e.Notes {
						if !n.TieStop {
							file.Notes++
						}
					}
				}
			}
		}
		all.Files = append(all.Files, file)
	}
	j.say.list.Sort()
	j.flush()
	return writeFiles(j.app, f.json, all, all.Files)
}

func (f fileRelocations) write(text *strings.Builder) {
	fmt.Fprint(text, f.File)
	if f.Title != "" {
		fmt.Fprintf(text, ": %s", f.Title)
	}
	fmt.Fprintf(text, "\n%s, %s\n\n", plural(f.Notes, "note"), plural(len(f.Ways), "way"))
	octaves, unplaced := false, false
	for _, w := range f.Ways {
		octaves, unplaced = octaves || w.Octaves != 0, unplaced || w.Unplaced > 0
	}
	t := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "  \tFRETS\tSTRINGS\tSHAPE\tINDEX\tSTRETCH\tSHIFTS\tSTRING CHANGES\tOPEN\t")
	if octaves {
		fmt.Fprint(t, "OCTAVE\t")
	}
	if unplaced {
		fmt.Fprint(t, "NO PLACE\t")
	}
	fmt.Fprintln(t)
	caution := false
	for i, w := range f.Ways {
		caution = caution || w.Caution
		fmt.Fprintf(t, "%2d\t%s\t%s\t%s\t%s\t%s\t%s\t%d\t%s\t", i+1, fretWords(w), stringWords(w.Strings), shapeWords(w), indexWords(w),
			stretchWords(w), shiftWords(w), w.Changes, count(w.Open))
		if octaves {
			fmt.Fprintf(t, "%s\t", octaveSign(w.Octaves))
		}
		if unplaced {
			fmt.Fprintf(t, "%s\t", count(w.Unplaced))
		}
		if w.Written {
			fmt.Fprint(t, "as written")
		}
		fmt.Fprintln(t)
	}
	_ = t.Flush() // a strings.Builder takes everything
	if f.LeftOut > 0 {
		fmt.Fprintf(text, "\n%s that would be much harder left out (--all lists them)\n", plural(f.LeftOut, "way"))
	}
	if caution {
		fmt.Fprintf(text, "\n!  wider than is comfortable (%.0f mm): warm up first and stop if it hurts or tingles;\n   if it keeps hurting, see a teacher or a clinician\n", fretboard.ComfortableSpan)
	}
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// shapeWords names the shape, and how many notes lie beyond it.
func shapeWords(w transform.Way) string {
	if w.Beyond > 0 {
		return fmt.Sprintf("%s, %d beyond", w.Shape, w.Beyond)
	}
	return orDash(w.Shape)
}

func count(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}

func octaveSign(n int) string {
	switch {
	case n > 0:
		return "up"
	case n < 0:
		return "down"
	}
	return "-"
}

func fretWords(w transform.Way) string {
	switch {
	case w.Low == 0:
		return "open"
	case w.Low == w.High:
		return strconv.Itoa(w.Low)
	}
	return fmt.Sprintf("%d-%d", w.Low, w.High)
}

// stringWords writes strings as --strings reads them.
func stringWords(list []int) string {
	var parts []string
	for i := 0; i < len(list); {
		k := i
		for k+1 < len(list) && list[k+1] == list[k]+1 {
			k++
		}
		if k > i {
			parts = append(parts, fmt.Sprintf("%d-%d", list[i], list[k]))
		} else {
			parts = append(parts, strconv.Itoa(list[i]))
		}
		i = k + 1
	}
	return orDash(strings.Join(parts, ","))
}

func indexWords(w transform.Way) string {
	if w.Index == 0 {
		return "-"
	}
	return fretboard.Roman(w.Index)
}

func stretchWords(w transform.Way) string {
	if w.Stretch == 0 {
		return "-"
	}
	s := fmt.Sprintf("%.0f mm", w.Stretch)
	if w.Caution {
		s += " !"
	}
	return s
}

func shiftWords(w transform.Way) string {
	if w.Shifts == 0 {
		return "-"
	}
	return fmt.Sprintf("%d (%.0f mm)", w.Shifts, w.ShiftMM)
}

// wayWords describes a way in a heading.
func wayWords(w transform.Way) string {
	words := "open strings"
	switch {
	case w.Low > 0 && w.Low == w.High:
		words = fmt.Sprintf("fret %d", w.Low)
	case w.Low > 0:
		words = fmt.Sprintf("frets %d to %d", w.Low, w.High)
	}
	if len(w.Strings) > 0 {
		words += ", " + fretboard.Strings(w.Strings).String()
	}
	if w.Shape != "" {
		words += ", " + shapeWords(w)
	}
	return words
}
