package main

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

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
	var err error
	if popt.Home, err = parseHome(o.home); err != nil {
		return "", nil, err
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
			steps = append(steps, diagram.StepFrames(d, o.steps)...)
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
	s = j.prepare(in, format{onNeck: true, letters: true}, result{score: s})
	if slices.Contains(o.look.Show, diagram.Fingers) {
		var said score.Diagnostics
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
