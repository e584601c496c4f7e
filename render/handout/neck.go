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
	tonic   bool // it is of music: its root is the tonic of the key, under all chords
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
		out = append(out, neckPicture{d, caption, false})
	}
	if len(out) == 1 {
		out[0].caption = "" // the heading says it
	}
	if len(out) > 0 || sec.Score == nil {
		return out
	}
	ds, _ := diagram.OfPhrase(withoutChords(sec.Score), diagram.PhraseOptions{Whole: true})
	for _, d := range ds {
		caption := ""
		if len(ds) > 1 {
			caption = d.Title
		}
		out = append(out, neckPicture{d, caption, true})
	}
	return out
}

// withoutChords returns the music without its chord symbols: one picture of
// the whole is read against the key, since the root changes with the chord.
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
	d.Links = nil
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

// signs explains the shapes of the picture.
func (n neckPicture) signs() []sign {
	var out []sign
	add := func(s sign) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, d := range n.diagram.Dots {
		switch d.Role {
		case diagram.Root:
			meaning := "the root"
			if n.tonic {
				meaning = "the tonic, from which degrees count"
			}
			add(sign{"house on the neck", meaning})
		case diagram.ChordTone:
			add(sign{"tile on the neck", "another note of the chord"})
		}
		if d.Reach > 0 {
			add(sign{"hook beside a dot", "a finger reaches out for it"})
		}
	}
	if n.diagram.Index >= 0 {
		add(sign{"marked fret number", "where the index finger stands"})
	}
	for _, l := range n.diagram.Links {
		switch l.Kind {
		case diagram.Slide:
			add(sign{"arrow with a curve on the neck", "slide, not struck again"})
		case diagram.StruckSlide:
			add(sign{"arrow without a curve on the neck", "slide, then struck"})
		case diagram.Glissando:
			add(sign{"wave with an arrow on the neck", "glissando"})
		case diagram.Slur:
			if l.To.Fret > l.From.Fret {
				add(sign{"curve with H on the neck", "hammer-on"})
			} else {
				add(sign{"curve with P on the neck", "pull-off"})
			}
		}
	}
	return out
}
