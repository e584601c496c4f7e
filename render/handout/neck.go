package handout

import (
	"slices"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A neckPicture is a picture of the neck and the words under it.
type neckPicture struct {
	diagram diagram.Diagram
	caption string
	music   bool     // it is of music, not of a layout
	chords  []string // to which the notes have their shapes; none if houses are the tonic
}

// necksOf pictures a section on the neck: its layouts, or where its music
// lies.
func necksOf(sec Section) []neckPicture {
	var out []neckPicture
	for _, l := range sec.Layouts {
		if len(l.Spots) == 0 {
			continue
		}
		d := diagram.OfLayout(l, diagram.ReadingOf(l.Tones), fretboard.ToneSet{})
		caption := l.Tones.Title
		if l.Region.Name != "" {
			caption += ", " + l.Region.Name
		}
		out = append(out, neckPicture{d, caption, false, chordsOf(d)})
	}
	if len(out) == 1 {
		out[0].caption = "" // the heading says it
	}
	if len(out) > 0 || sec.Score == nil {
		return out
	}
	ds, _ := diagram.OfPhrase(sec.Score, diagram.PhraseOptions{Whole: true})
	if !slices.ContainsFunc(ds, hasRoot) {
		ds, _ = diagram.OfPhrase(withoutChords(sec.Score), diagram.PhraseOptions{Whole: true})
	}
	for _, d := range ds {
		d.Links = nil // the tab below says them in their order; on one neck they lie over each other
		caption := ""
		if len(ds) > 1 {
			caption = d.Title
		}
		out = append(out, neckPicture{d, caption, true, chordsOf(d)})
	}
	return out
}

func hasRoot(d diagram.Diagram) bool {
	return slices.ContainsFunc(d.Dots, func(dot diagram.Dot) bool { return dot.Role == diagram.Root })
}

// withoutChords returns the music without its chord symbols, to be read against
// its key where none of its notes is the root of its chord.
func withoutChords(s *score.Score) *score.Score {
	s = s.Clone()
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
				_, ok := e.(*score.Harmony)
				return ok
			})
		}
	}
	return s
}

// chordsOf names the chords to which the notes of a picture have their shapes.
func chordsOf(d diagram.Diagram) []string {
	var out []string
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if d.Over != nil {
		add(d.Over.Pretty())
	}
	for _, dot := range d.Dots {
		for _, s := range dot.Steps {
			add(s.Chord)
		}
	}
	return out
}

// roots says that the houses of the picture are there.
func (n neckPicture) roots() string {
	switch {
	case len(n.chords) > 1:
		return "the roots of the chords are"
	case len(n.chords) == 1:
		return "the root of " + n.chords[0] + " is"
	}
	return "the tonic is"
}

// label returns what the dots of a picture say: degrees where there is a tonic
// to count from, else names.
func (n neckPicture) label() diagram.Label {
	for _, d := range n.diagram.Dots {
		if d.Degree.Number > 0 {
			return diagram.Degrees
		}
	}
	return diagram.Names
}

// rootsOnly returns the picture with its roots alone, for the rest to be
// filled in, and how many notes that leaves out; ok is false if it has no
// root, or nothing else.
func (n neckPicture) rootsOnly() (blank neckPicture, left int, ok bool) {
	d := n.diagram
	d.Dots = nil
	for _, dot := range n.diagram.Dots {
		if dot.Role == diagram.Root {
			d.Dots = append(d.Dots, dot)
		} else {
			left++
		}
	}
	n.diagram = d
	return n, left, len(d.Dots) > 0 && left > 0
}

// draw draws the picture.
func (n neckPicture) draw(id string) diagram.Picture {
	pic := diagram.Draw("", []diagram.Diagram{n.diagram}, diagram.Options{
		Show: []diagram.Label{n.label(), diagram.Nothing}, Plain: true, NoLegend: true, Small: true, ID: id,
	})
	pic.Title = "The neck"
	if n.caption != "" {
		pic.Title += ": " + n.caption
	}
	return pic
}

// signs explains the shapes of the picture. Of one that is alone on its page the
// chord and the tonic are named.
func (n neckPicture) signs(alone bool) []sign {
	var out []sign
	add := func(s sign) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	var roles [3]bool
	changes := false // a note is now a tone of its chord and now none
	for _, d := range n.diagram.Dots {
		roles[d.Role] = true
		for _, step := range d.Steps {
			changes = changes || step.Role != d.Role
		}
	}
	house, of := "the root of its chord", "its chord"
	switch {
	case len(n.chords) == 0:
		house = "the tonic: 1, from which degrees count"
	case len(n.chords) == 1 && alone:
		house, of = "the root of "+n.chords[0], n.chords[0]
	}
	if roles[diagram.Root] {
		add(sign{"house on the neck", house})
	}
	if roles[diagram.ChordTone] {
		add(sign{"square on the neck", "another note of " + of})
	}
	if roles[diagram.Other] && len(n.chords) > 0 && (roles[diagram.Root] || roles[diagram.ChordTone]) {
		meaning := "not a note of " + of
		if changes {
			meaning += ", or not always"
		}
		add(sign{"disc on the neck", meaning})
	}
	if slices.ContainsFunc(n.diagram.Dots, func(d diagram.Dot) bool { return d.Reach > 0 }) {
		add(sign{"hook beside a dot", "a finger reaches out for it"})
	}
	if n.label() == diagram.Degrees && n.music && n.diagram.Home != nil && len(n.chords) > 0 {
		home := "the tonic"
		if alone {
			home = n.diagram.Home.Pretty()
		}
		add(sign{"number on the neck", "degree, counted from " + home})
	}
	if n.diagram.Index >= 0 {
		add(sign{"marked fret number", "where the index finger stands"})
	}
	return out
}
