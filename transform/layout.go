package transform

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A Passage is notes on the neck that are to be written out, without rhythm:
// a run through a position, a chord.
type Passage struct {
	Title string        // written over it; "" for none
	Chord *theory.Chord // symbol written over it; nil for none
	// Groups sound one after the other, the notes of a group together.
	Groups [][]fretboard.Spot
	// Fingers are those of the places, for fingers to be written; nil for none.
	Fingers map[fretboard.Place]fretboard.Finger
}

// Direction is the way in which a run goes.
type Direction int8

// The ways. UpAndDown strikes the highest note once.
const (
	Rising Direction = iota
	Falling
	UpAndDown
)

// Run makes a passage of a layout, one note after the other.
func Run(l fretboard.Layout, way Direction) Passage {
	spots := slices.Clone(l.Spots)
	switch way {
	case Falling:
		slices.Reverse(spots)
	case UpAndDown:
		for i := len(spots) - 2; i >= 0; i-- {
			spots = append(spots, spots[i])
		}
	}
	p := Passage{Title: l.Region.Name}
	if l.Region.Index >= 0 || l.Region.IsPattern() {
		p.Fingers = l.Fingers()
	}
	for _, s := range spots {
		p.Groups = append(p.Groups, []fretboard.Spot{s})
	}
	return p
}

// Held makes a passage of a chord that is held, under its symbol.
func Held(v fretboard.Voicing, c theory.Chord, title string) Passage {
	return Passage{Title: title, Chord: &c, Groups: [][]fretboard.Spot{v.Spots}}
}

// LayOutOptions say how passages are written out.
type LayOutOptions struct {
	Title   string
	Neck    fretboard.Neck
	Key     *theory.Key // nil for no key signature
	Fingers bool        // write the fingers of the hand on the neck where it stands in one place, and in patterns
}

// The bars of a written-out passage are in 4/4, runs in eighths.
func layoutBar() score.Quarters  { return score.Q(4, 1) }
func layoutStep() score.Quarters { return score.Q(1, 2) }
func layoutBeat() score.Quarters { return score.Q(1, 1) }

// LayOut writes passages out as a new score in 4/4: runs in eighth notes,
// chords alone in whole notes, each passage from a bar line on, with its
// degrees as annotations. The rhythm is there for the page; it is nobody's
// music.
func LayOut(passages []Passage, opt LayOutOptions) *score.Score {
	part := &score.Part{ID: "P1", Name: opt.Neck.Tuning.Instrument().PartName(), Staves: 1}
	for _, p := range passages {
		layOutPassage(part, p, opt)
	}
	if len(part.Measures) > 0 {
		first, last := part.Measures[0], part.Measures[len(part.Measures)-1]
		head := []score.Event{&score.NeckChange{Neck: opt.Neck}}
		if opt.Key != nil {
			head = append(head, &score.KeySignature{Key: *opt.Key, ModeSaid: true})
		}
		head = append(head, &score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: layoutBar()})
		first.Events = append(head, first.Events...)
		last.Events = append(last.Events, &score.Barline{Common: score.Common{Onset: layoutBar()}, Style: "light-heavy"})
	}
	return &score.Score{Title: opt.Title, Parts: []*score.Part{part}}
}

func layOutPassage(part *score.Part, p Passage, opt LayOutOptions) {
	if len(p.Groups) == 0 {
		return
	}
	var m *score.Measure
	var at score.Quarters
	open := func() {
		m = &score.Measure{Number: strconv.Itoa(len(part.Measures) + 1), Length: layoutBar(), Nominal: layoutBar()}
		part.Measures = append(part.Measures, m)
		at = score.Quarters{}
	}
	open()
	if p.Title != "" {
		m.Events = append(m.Events, &score.Words{Kind: "words", Text: p.Title})
	}
	if p.Chord != nil {
		m.Events = append(m.Events, &score.Harmony{Chord: *p.Chord})
	}
	step, value := layoutStep(), score.NoteValue{Log: 3, Known: true}
	if len(p.Groups) == 1 {
		step, value = layoutBar(), score.NoteValue{Known: true}
	}
	for _, group := range p.Groups {
		if at == layoutBar() {
			open()
		}
		c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: step, Voice: 1, Value: value}
		for _, s := range group {
			n := &score.Note{Pitch: s.Pitch, Place: s.Place, Annotations: []score.Annotation{{Kind: "degree", Text: s.Degree.String()}}}
			if f, ok := p.Fingers[s.Place]; ok && opt.Fingers {
				n.Finger = score.Index + score.Finger(f)
			}
			c.Notes = append(c.Notes, n)
		}
		m.Events = append(m.Events, c)
		at = at.Add(step)
	}
	fillWithRests(m, at)
}

// fillWithRests fills a bar from a time on, to the beat first.
func fillWithRests(m *score.Measure, at score.Quarters) {
	for at.Less(layoutBar()) {
		length, value := layoutStep(), score.NoteValue{Log: 3, Known: true}
		switch {
		case at == score.Q(2, 1):
			length, value = score.Q(2, 1), score.NoteValue{Log: 1, Known: true}
		case at.Den() == 1:
			length, value = layoutBeat(), score.NoteValue{Log: 2, Known: true}
		}
		m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: length, Voice: 1, Value: value})
		at = at.Add(length)
	}
}

// KeyForTones returns the key whose signature suits tones that are laid out:
// that of a church mode where they are one, minor where they have a minor and
// no major third, else major. ok is false if that key has more than seven
// sharps or flats.
func KeyForTones(t fretboard.ToneSet) (k theory.Key, ok bool) {
	k.Tonic = t.Tonic
	set := t.Set()
	_, minor := t.At(t.Tonic.Class() + 3)
	_, major := t.At(t.Tonic.Class() + 4)
	if minor && !major {
		k.Mode = theory.Minor
	}
	for _, mode := range []theory.Mode{theory.Major, theory.Minor, theory.Dorian, theory.Phrygian, theory.Lydian, theory.Mixolydian, theory.Locrian} {
		of := theory.Key{Tonic: t.Tonic, Mode: mode}
		if of.Scale().Set().Transpose(t.Tonic.Class()) == set {
			k = of
			break
		}
	}
	f := k.Fifths()
	return k, -7 <= f && f <= 7
}
