package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// An OutlinedChord is the chord that the notes of a bar may outline. It is a
// guess: one line seldom says all. Bars with fewer than three different notes
// say nothing.
type OutlinedChord struct {
	Bar        string          `json:"bar"`
	Chord      theory.Chord    `json:"chord"`
	Confidence float64         `json:"confidence"` // 0 to 1, among all chords that were considered
	Missing    []theory.Degree `json:"missing"`    // chord tones that do not sound
	Others     []theory.Chord  `json:"others"`     // the next best, two at most
	Said       []theory.Chord  `json:"said"`       // chord symbols over the bar
}

// StrongBeats says how the notes that are struck on strong beats go with the
// chord symbols. Notes before the first symbol do not count.
type StrongBeats struct {
	Notes      int     `json:"notes"`
	ChordTones int     `json:"chordTones"`
	Share      float64 `json:"share"`    // 0 if there are no notes
	AllNotes   int     `json:"allNotes"` // under chord symbols, on any beat
	AllTones   int     `json:"allChordTones"`
}

// A GuideToneReport says which guide tones of a chord, its third and seventh
// or what stands for them, the line has while it lasts.
type GuideToneReport struct {
	Moment
	Chord  theory.Chord      `json:"chord"`
	Hit    []theory.NoteName `json:"hit"`
	Missed []theory.NoteName `json:"missed"`
	// OnChange tells whether the first note that is struck over the chord, if
	// it is struck alone, is one of them: then the line shows the change.
	OnChange bool `json:"onChange"`
}

// A chordSpan is a chord symbol with how long it is in force.
type chordSpan struct {
	chord    theory.Chord
	measure  int
	onset    score.Quarters
	from, to score.Quarters // from the start of the part
}

// A chordPoint is a chord symbol at its place.
type chordPoint struct {
	measure int
	onset   score.Quarters
	chord   theory.Chord
}

// harmonyPoints lists the chord symbols of a part.
func harmonyPoints(p *score.Part) []chordPoint {
	var points []chordPoint
	for i, m := range p.Measures {
		for _, e := range m.Events {
			if h, ok := e.(*score.Harmony); ok {
				points = append(points, chordPoint{i, h.Onset, h.Chord})
			}
		}
	}
	return points
}

// starts returns the time at which each measure begins, and at the end that
// at which the part is over.
func starts(p *score.Part) []score.Quarters {
	list := make([]score.Quarters, len(p.Measures)+1)
	for i, m := range p.Measures {
		list[i+1] = list[i].Add(m.Length)
	}
	return list
}

// spans lists the chord symbols of the part.
func (v *inspector) spans() []chordSpan { return chordSpans(v.part, harmonyPoints(v.part)) }

// chordSpans says how long each chord is in force in a part. A chord that is
// written again goes on.
func chordSpans(p *score.Part, points []chordPoint) []chordSpan {
	var list []chordSpan
	begins := starts(p)
	for _, c := range points {
		if c.measure >= len(p.Measures) {
			break
		}
		at := begins[c.measure].Add(c.onset)
		if n := len(list); n == 0 || !list[n-1].chord.Same(c.chord) {
			list = append(list, chordSpan{chord: c.chord, measure: c.measure, onset: c.onset, from: at, to: begins[len(p.Measures)]})
		}
	}
	for i := range list[:max(0, len(list)-1)] {
		list[i].to = list[i+1].from
	}
	return list
}

// soundsOn is how many notes before a chord are looked at for those that sound
// on into it.
const soundsOn = 32

// harmony looks at chords, those that are said and those that are outlined.
func (v *inspector) harmony(pi *PartInspection) {
	pi.Chords, pi.GuideTones = []OutlinedChord{}, []GuideToneReport{}
	inBar := make([][]heardNote, len(v.part.Measures))
	for _, n := range v.notes {
		inBar[n.measure] = append(inBar[n.measure], n)
	}
	for i, m := range v.part.Measures {
		said := []theory.Chord{}
		for _, e := range m.Events {
			if h, ok := e.(*score.Harmony); ok {
				said = append(said, h.Chord)
			}
		}
		notes := inBar[i]
		var set theory.PitchSet
		for _, n := range notes {
			set = set.With(n.pitch.Class())
		}
		guesses := theory.FindChords(weighted(notes), pi.Key)
		for i := range guesses {
			guesses[i].Chord.Root = usualRoot(guesses[i].Chord.Root, pi.Key)
		}
		if len(guesses) == 0 || set.Len() < 3 {
			continue
		}
		o := OutlinedChord{Bar: v.rep.bar(i), Chord: guesses[0].Chord, Confidence: round3(guesses[0].Confidence),
			Missing: append([]theory.Degree{}, guesses[0].Missing...), Others: []theory.Chord{}, Said: said}
		for _, g := range guesses[1:min(3, len(guesses))] {
			o.Others = append(o.Others, g.Chord)
		}
		pi.Chords = append(pi.Chords, o)
	}
	spans := v.spans()
	if len(spans) == 0 {
		return
	}
	pi.Strong = &StrongBeats{}
	for _, s := range spans {
		tones := s.chord.Classes()
		if tones == 0 {
			continue
		}
		r := GuideToneReport{Moment: v.moment(s.measure, s.onset), Chord: s.chord, Hit: []theory.NoteName{}, Missed: []theory.NoteName{}}
		var sounded theory.PitchSet
		first := true
		var guides theory.PitchSet
		for _, d := range s.chord.GuideTones() {
			guides = guides.With(d.Name(s.chord.Root).Class())
		}
		begin, _ := slices.BinarySearchFunc(v.notes, s.from, func(n heardNote, at score.Quarters) int { return n.at.Cmp(at) })
		for _, n := range v.notes[max(0, begin-soundsOn):begin] {
			if s.from.Less(n.at.Add(n.length)) {
				sounded = sounded.With(n.pitch.Class())
			}
		}
		for _, n := range v.notes[begin:] {
			if !n.at.Less(s.to) {
				break
			}
			class := n.pitch.Class()
			sounded = sounded.With(class)
			if first {
				r.OnChange, first = guides.Has(class) && len(n.chord.Notes) == 1, false
			}
			is := 0
			if tones.Has(class) {
				is = 1
			}
			pi.Strong.AllNotes++
			pi.Strong.AllTones += is
			if n.chord.Grace == score.NotGrace && v.strong(n.measure, n.chord.Onset) {
				pi.Strong.Notes++
				pi.Strong.ChordTones += is
			}
		}
		for _, d := range s.chord.GuideTones() {
			if name := d.Name(s.chord.Root); sounded.Has(name.Class()) {
				r.Hit = append(r.Hit, name)
			} else {
				r.Missed = append(r.Missed, name)
			}
		}
		if len(r.Hit)+len(r.Missed) > 0 {
			pi.GuideTones = append(pi.GuideTones, r)
		}
	}
	if pi.Strong.Notes > 0 {
		pi.Strong.Share = round3(float64(pi.Strong.ChordTones) / float64(pi.Strong.Notes))
	}
}

// usualRoot names a root that the key has not as a lead sheet does: C for B#,
// A for B double flat. Source: common practice.
func usualRoot(n theory.NoteName, k *theory.Key) theory.NoteName {
	at := n.Fifths()
	if -7 < at && at < 11 { // from Gb to A#
		return n
	}
	if k != nil && k.Fifths()-1 <= at && at <= k.Fifths()+5 {
		return n
	}
	return theory.Pitch{NoteName: n, Octave: 4}.Simplest().NoteName
}
