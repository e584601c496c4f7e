package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

const inspectLong = `Inspect says what music is made of and what it asks of a player: its key and
the scales that hold its notes, degrees, range, the chords that its bars
outline, how many chord tones fall on strong beats, which guide tones are hit
and missed; and on the neck its positions, shifts, widest stretch, string
changes, pitches repeated on neighbouring strings, and the hardest bars.

Scales are listed that hold all notes, with those of their notes that are not
played: on the tonic of the key, and on other tonics. Lists are cut short where
they get long; --json has all of them.

What is a guess carries its confidence. A key is guessed from how long each
note sounds; bars outline the chord whose tones they hold, and few notes fit
several. Positions belong to the cheapest fingers for the places that the
music has; a player may well stand elsewhere.

A string change is inside if the pick stays between the two strings (on the way
to thinner ones: up, then down), outside if it goes around them (down, then up),
swept if it goes on in the same direction. That depends on how the pick is used:
--picking strict alternates whatever the strings; swept goes on in the same
direction across strings; legato strikes each string once.

With --json the same is written for programs, under names that stay.`

const inspectExample = `  lickwright inspect testdata/examples/amber-street.tab
  lickwright inspect --picking swept testdata/examples/seven-stairs.tab
  lickwright inspect --json testdata/examples/amber-street.musicxml`

type inspectFlags struct {
	picking     string
	scaleLength float64
	json        bool
}

func newInspectCmd(a *app) *cobra.Command {
	j := &job{app: a}
	var f inspectFlags
	cmd := &cobra.Command{
		Use:     "inspect [flags] [FILE...]",
		Short:   "Say what music is made of and what it asks of a player",
		Long:    inspectLong,
		Example: inspectExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runInspect(j, f, args) },
	}
	fl := cmd.Flags()
	fl.StringVar(&f.picking, "picking", "strict", "how the pick is used: strict, swept or legato")
	fl.Float64Var(&f.scaleLength, "scale-length", fretboard.ScaleLength, "length of the open strings in millimetres, for stretches")
	fl.BoolVar(&f.json, "json", false, "write JSON, for programs")
	fl.BoolVarP(&j.write.quiet, "quiet", "q", false, "do not say what was assumed in reading")
	j.read.add(cmd)
	return cmd
}

// inspections is what --json writes.
type inspections struct {
	Files []fileInspection `json:"files"`
}

type fileInspection struct {
	File string `json:"file"`
	transform.Inspection
}

func runInspect(j *job, f inspectFlags, paths []string) error {
	policy, err := fretboard.ParseStrokePolicy(f.picking)
	if err != nil {
		return flagError("picking", err)
	}
	if !(f.scaleLength >= 100 && f.scaleLength <= 2000) {
		return &usageError{fmt.Sprintf("--scale-length: %v mm is no length of a string", f.scaleLength), "a guitar has about 648, a bass 864, a ukulele 350"}
	}
	j.begin()
	if len(paths) == 0 {
		paths = []string{"-"}
	}
	sources, err := j.expand(paths)
	if err != nil {
		return err
	}
	all := inspections{Files: []fileInspection{}}
	for _, src := range sources {
		data, err := j.content(src.path)
		if err == nil && src.found && !src.isMusic(data) {
			continue
		}
		var in *input
		if err == nil {
			in, err = j.open(src.path, data)
		}
		if err != nil {
			j.flush()
			return err
		}
		s := in.doc.Score()
		parts, err := j.read.selectParts(s)
		if err != nil {
			return err
		}
		all.Files = append(all.Files, fileInspection{in.name, transform.Inspect(s, transform.InspectOptions{Policy: policy, ScaleLength: f.scaleLength, Parts: parts})})
	}
	j.say.list.Sort()
	j.flush()
	return writeFiles(j.app, f.json, all, all.Files)
}

// writeFiles writes what was found in each file, one after the other, or all
// of it as JSON.
func writeFiles[F interface{ write(*strings.Builder) }](a *app, asJSON bool, all any, files []F) error {
	var text strings.Builder
	for i, file := range files {
		if i > 0 {
			text.WriteByte('\n')
		}
		file.write(&text)
	}
	return a.writeView(asJSON, all, &text)
}
