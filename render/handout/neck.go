package handout

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
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

// given says which places the houses of the picture are.
func (n neckPicture) given() string {
	what := n.house("its chord", true)
	if len(n.nowAndThen()) == 0 {
		return "every place that is " + what + " is there"
	}
	return "the places that are always " + strings.ReplaceAll(what, "its chord", "their chord") + " are there"
}

// house says what a house is: the root of a chord, that is named where there is
// only one, or the tonic where there is none.
func (n neckPicture) house(of string, alone bool) string {
	var chords, none, labelled bool
	for _, d := range n.diagram.Dots {
		chords = chords || d.Role == diagram.Root && n.diagram.Over != nil
		for _, s := range d.Steps {
			labelled = labelled || slices.ContainsFunc(s.Labels, func(a score.Annotation) bool { return a.Kind == score.LabelChordTone && a.Text != "" })
			chords = chords || s.Chord != ""
			none = none || isRoot(s) && s.Chord == "" && n.diagram.Over == nil
		}
	}
	switch {
	case !chords && labelled:
	case !chords:
		return "the tonic"
	case none:
		return "the root of " + of + ", or without one the tonic"
	case len(n.chords) == 1 && alone:
		return "the root of " + n.chords[0]
	}
	return "the root of " + of
}

// nowAndThen returns the dots that are the root when they are played at one
// time and not at another one.
func (n neckPicture) nowAndThen() []diagram.Dot {
	var out []diagram.Dot
	for _, d := range n.diagram.Dots {
		if d.Role != diagram.Root && slices.ContainsFunc(d.Steps, isRoot) {
			out = append(out, d)
		}
	}
	return out
}

func isRoot(s diagram.Step) bool { return s.Role == diagram.Root }

// nowAndThenText names the places that are the root now and then, "" for none:
// who has drawn them as roots is right.
func (n neckPicture) nowAndThenText() string {
	var places []string
	for _, d := range n.nowAndThen() {
		text := n.diagram.Neck.Tuning.StringName(d.Place.String, theory.NoteName.Pretty) + " string, "
		if d.Place.Fret == 0 {
			text += "open"
		} else {
			text += "fret " + strconv.Itoa(d.Place.Fret)
		}
		var of []string
		for _, s := range d.Steps {
			if isRoot(s) && s.Chord != "" && !slices.Contains(of, s.Chord) {
				of = append(of, s.Chord)
			}
		}
		if len(of) > 0 {
			text += " (of " + strings.Join(of, ", ") + ")"
		}
		places = append(places, text)
	}
	if len(places) == 0 {
		return ""
	}
	what := "a root"
	if n.house("its chord", true) == "the tonic" {
		what = "the tonic"
	}
	return "Sometimes " + what + ": " + strings.Join(places, "; ") + "."
}

// bent tells whether a note of the picture is bent: its place has another name
// than what is heard.
func (n neckPicture) bent() bool {
	return slices.ContainsFunc(n.diagram.Dots, func(d diagram.Dot) bool {
		return slices.ContainsFunc(d.Steps, func(s diagram.Step) bool { return s.Bend.Kind != diagram.NoBend })
	})
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
	var disc struct{ never, among, mixed bool } // what discs are to their chords
	for _, d := range n.diagram.Dots {
		roles[d.Role] = true
		if d.Role != diagram.Other {
			continue
		}
		was := [3]bool{}
		for _, step := range d.Steps {
			was[step.Role] = true
		}
		tone := was[diagram.Root] || was[diagram.ChordTone]
		disc.never = disc.never || !tone
		disc.among = disc.among || tone && !was[diagram.Other]
		disc.mixed = disc.mixed || tone && was[diagram.Other]
	}
	house, of := n.house("its chord", alone), "its chord"
	switch {
	case house == "the tonic":
		house = "the tonic: 1, from which degrees count"
	case len(n.chords) == 1 && alone:
		of = n.chords[0]
	}
	if roles[diagram.Root] {
		add(sign{"house on the neck", house})
	}
	if roles[diagram.ChordTone] {
		add(sign{"square on the neck", "another note of " + of})
	}
	if roles[diagram.Other] && len(n.chords) > 0 && (roles[diagram.Root] || roles[diagram.ChordTone]) {
		var all []string
		for _, m := range []struct {
			is   bool
			says string
		}{
			{disc.never, "not a note of " + of},
			{disc.among, "now the root of its chord, now another note of it"},
			{disc.mixed, "now a note of " + of + ", now not"},
		} {
			if m.is {
				all = append(all, m.says)
			}
		}
		add(sign{"disc on the neck", strings.Join(all, orElse)})
	}
	if slices.ContainsFunc(n.diagram.Dots, func(d diagram.Dot) bool { return d.Reach > 0 }) {
		add(sign{"hook beside a dot", "a finger reaches out for it"})
	}
	if n.label() == diagram.Degrees {
		home := "the tonic"
		if alone && n.diagram.Home != nil {
			home = n.diagram.Home.Pretty()
		}
		if n.bent() {
			add(sign{"number on the neck", "degree of the fret, before any bend"})
		}
		add(degreeSign(home))
	}
	if n.diagram.Index >= 0 {
		add(sign{"marked fret number", "where the index finger stands"})
	}
	return out
}

// orElse stands between the meanings of a sign that has several on a page.
const orElse = "; or "

// degreeSign says what degrees are. Source: common practice; degrees are those
// of the major scale on the tonic, in minor too.
func degreeSign(tonic string) sign {
	return sign{"degrees 1 to 7", "the major scale on " + tonic + "; ♭ is one fret lower, ♯ one higher"}
}
