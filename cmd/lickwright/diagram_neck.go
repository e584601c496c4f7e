package main

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// items reads chords or a scale. What can be both is a chord if it is one word,
// as C, and a scale if it is several, as C major.
func (o *diagramOptions) items(text string, key *theory.Key) ([]layoutItem, string, error) {
	tonic, has, s, err := theory.ParseScale(text)
	word := len(strings.Fields(text)) == 1
	prog, chordErr := theory.ParseProgression(text, key)
	if chordErr == nil && (word || err != nil || !has) {
		items, err := chordItems(prog)
		if err != nil {
			return nil, "", err
		}
		return items, prog.String(), nil
	}
	if err != nil {
		if word {
			err = chordErr
		}
		u := argError("", err).(*usageError)
		u.hint = strings.Join(slices.DeleteFunc([]string{u.hint, `a scale is written as in "C major", a chord as in Am7, a file with its path`}, func(s string) bool { return s == "" }), "; ")
		return nil, "", u
	}
	if !has && key != nil {
		tonic, has = key.Tonic, true
	}
	if !has {
		return nil, "", noTonic(text)
	}
	chain := fretboard.ChainOf(tonic, s)
	return []layoutItem{{tones: chain.Scale, chain: &chain}}, "", nil
}

// layOut lays the items out and chooses what is drawn of them.
func (o *diagramOptions) layOut(p *pictured, items []layoutItem) error {
	home, err := parseHome(o.home)
	if err != nil {
		return err
	}
	scheme := o.scheme.asked()
	onlyFrets := scheme && o.scheme.frets != ""
	if onlyFrets {
		w, err := fretboard.ParseWindow(o.scheme.frets)
		if err != nil {
			return flagError("frets", err)
		}
		if w.To > p.neck.TopFret() {
			return &usageError{fmt.Sprintf("--frets: the frets of this neck are 0 to %d", p.neck.TopFret()), ""}
		}
		p.from, p.to = w.From, w.To
	}
	kind, err := o.scheme.kind()
	if err != nil {
		return err
	}
	window := scheme && (kind == "" || kind == "window") && o.scheme.strings == ""
	for i := range items {
		it := &items[i]
		it.home = home
		var s fretboard.Scheme = fretboard.ChordShape{}
		if scheme {
			if s, err = o.scheme.build(p.neck, it.tones); err != nil {
				return err
			}
		} else if it.chord == nil {
			p.all = append(p.all, nil)
			continue
		}
		regions, err := s.Regions(p.neck, it.tones)
		if err != nil {
			return &usageError{err.Error(), ""}
		}
		tones := it.tones
		if home != nil {
			tones = tones.Against(*home)
		}
		var all []fretboard.Layout
		for _, r := range regions {
			all = append(all, r.Lay(tones))
		}
		it.made = all
		if o.scheme.frets == "" {
			it.made = nil
			for _, r := range fretboard.Once(regions) {
				it.made = append(it.made, r.Lay(tones))
			}
		}
		// A neck that is cut shows where its positions go on.
		if w, ok := s.(fretboard.Within); ok && w.Frets != nil {
			w.Frets = nil
			if regions, err := w.Regions(p.neck, it.tones); err == nil {
				all = nil
				for _, r := range regions {
					all = append(all, r.Lay(tones))
				}
			}
		}
		p.all = append(p.all, all)
	}
	several := len(items[0].made) > 1
	isChord := items[0].chord != nil
	switch {
	case len(p.draw) > 0:
		if !scheme && !isChord && !slices.Equal(p.draw, []string{drawNeck}) && !slices.Equal(p.draw, []string{drawOverview}) {
			return &usageError{"positions, boxes and chains need a scheme", "say --scheme chord-shape, or --position 5"}
		}
		if !scheme || window {
			p.all = make([][]fretboard.Layout, len(items)) // no positions to mark
		}
	case isChord && !scheme:
		p.draw = []string{drawBoxes}
	case isChord && window:
		p.draw = []string{drawBoxes, drawNeck}
		p.all = make([][]fretboard.Layout, len(items))
	case isChord:
		p.draw = []string{drawBoxes, drawPositions}
	case !scheme || window:
		p.draw = []string{drawNeck}
		p.all = make([][]fretboard.Layout, len(items))
	case several && o.write.dir != "" && !o.frames:
		p.draw = []string{drawOverview, drawPositions} // a file each
	case several:
		p.draw = []string{drawNeck}
	default:
		p.draw = []string{drawPositions}
	}
	return nil
}

// givenFrets reads frets string by string, the last one first: "x 3 2 0 1 0"
// or x32010. -1 is a string that is not played.
func givenFrets(text string) ([]int, bool) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '-' })
	if len(fields) == 1 && regexp.MustCompile(`^[xX0-9]{3,12}$`).MatchString(text) {
		fields = strings.Split(text, "")
	}
	if len(fields) < fretboard.MinStrings {
		return nil, false
	}
	var frets []int
	for _, f := range fields {
		n, err := strconv.Atoi(f)
		switch {
		case strings.EqualFold(f, "x"):
			n = -1
		case err != nil || n < 0:
			return nil, false
		}
		frets = append(frets, n)
	}
	return frets, true
}

// grip draws frets that were given, read as the chord of --over or as the one
// that they most likely are.
func (o *diagramOptions) grip(p pictured, text string, frets []int) (string, []diagram.Diagram, error) {
	if n := p.neck.Tuning.Len(); len(frets) != n {
		return "", nil, &usageError{fmt.Sprintf("%q names %s, and the neck has %s", text, plural(len(frets), "fret"), plural(n, "string")), "write x for a string that is not played"}
	}
	if o.scheme.asked() || len(o.draw) > 0 {
		return "", nil, &usageError{"given frets need no scheme", "leave out --scheme, --draw and their like"}
	}
	var notes []theory.WeightedNote
	var places []fretboard.Place
	for i, f := range frets {
		place := fretboard.Place{String: len(frets) - i, Fret: f}
		if f < 0 {
			continue
		}
		if !p.neck.Has(place) {
			return "", nil, &usageError{fmt.Sprintf("fret %d is not on this neck, which ends at %d", f, p.neck.TopFret()), ""}
		}
		places = append(places, place)
		notes = append(notes, theory.WeightedNote{MIDI: p.neck.Stopped(place), Weight: 1})
	}
	if len(notes) == 0 {
		return "", nil, &usageError{"no string is played", ""}
	}
	var chord theory.Chord
	if len(p.over) > 0 {
		chord = p.over[0]
	} else if guesses := theory.FindChords(notes, nil); len(guesses) > 0 {
		chord = guesses[0].Chord
	}
	tones := fretboard.ChordTones(chord)
	v := fretboard.Voicing{}
	for i, place := range places {
		midi := notes[i].MIDI
		name := theory.SpellIn(theory.Key{Tonic: chord.Root}, midi).NoteName
		if tone, ok := tones.At(midi); ok {
			name = tone.Name
		}
		pitch := theory.Pitch{NoteName: name, Octave: (midi - theory.Pitch{NoteName: name}.MIDI()) / 12}
		d, _ := chord.DegreeOf(name)
		v.Spots = append(v.Spots, fretboard.Spot{Place: place, Pitch: pitch, Degree: d})
	}
	d := p.box(v, chord, strings.ToLower(text))
	return "", []diagram.Diagram{d}, nil
}
