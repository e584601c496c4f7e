package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// An Inspection is what can be computed about a score. Its JSON names are
// stable. What is a guess says so and carries its confidence.
type Inspection struct {
	Title string           `json:"title"`
	Parts []PartInspection `json:"parts"`
}

// A PartInspection is what can be computed about one part. Lists are empty
// rather than nil; pointers are nil where the question does not arise.
type PartInspection struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Bars  int    `json:"bars"`
	Notes int    `json:"notes"` // struck, so without the ends of ties

	Key        *theory.Key       `json:"key"`         // that degrees are counted against; nil if there is nothing to count
	KeyFrom    string            `json:"keyFrom"`     // "score", "signature" (the mode is guessed), "notes" (all is guessed); "" for none
	KeyGuesses []GuessedKey      `json:"keyGuesses"`  // by the notes alone, the best first, three at most
	Degrees    []DegreeUse       `json:"degrees"`     // of the key's tonic, rising
	Scales     []HoldingScale    `json:"scales"`      // on the key's tonic that hold all notes, closest first, eight at most
	Elsewhere  []HoldingScale    `json:"elsewhere"`   // the same on other tonics
	ScaleCount int               `json:"scaleCount"`  // of all that hold the notes, the chromatic one aside
	Range      *Compass          `json:"range"`       // nil without notes
	Chords     []OutlinedChord   `json:"chords"`      // bar by bar
	Strong     *StrongBeats      `json:"strongBeats"` // nil without chord symbols
	GuideTones []GuideToneReport `json:"guideTones"`  // by chord symbol
	Neck       *NeckInspection   `json:"neck"`        // nil if the part is for no neck
}

// A GuessedKey is a key with how far it is to be believed, see
// [theory.KeyGuess].
type GuessedKey struct {
	Key        theory.Key `json:"key"`
	Confidence float64    `json:"confidence"` // 0 to 1
}

// A DegreeUse is how much a degree is used.
type DegreeUse struct {
	Degree   theory.Degree   `json:"degree"`
	Note     theory.NoteName `json:"note"`
	Count    int             `json:"count"`
	Quarters float64         `json:"quarters"` // how long it sounds, in quarter notes
}

// A HoldingScale is a scale that holds all notes.
type HoldingScale struct {
	Tonic theory.NoteName   `json:"tonic"`
	Scale theory.Scale      `json:"scale"`
	Extra []theory.NoteName `json:"extra"` // its notes that do not occur
}

// A Compass is the lowest and the highest sounding pitch.
type Compass struct {
	Lowest    theory.Pitch `json:"lowest"`
	Highest   theory.Pitch `json:"highest"`
	Semitones int          `json:"semitones"`
}

// A Moment is a place in the music as players name it.
type Moment struct {
	Bar  string `json:"bar"`
	Beat string `json:"beat"`
}

// InspectOptions steer [Inspect]. The zero value judges strict alternate
// picking on a scale length of 648 mm.
type InspectOptions struct {
	Policy      fretboard.StrokePolicy
	ScaleLength float64  // millimetres; 0 for [fretboard.ScaleLength]
	Parts       []string // IDs of the parts to look at; nil for all
}

// Inspect looks a score over: what it is made of, and what it asks of a
// player. The score is not changed, and Inspect may be called from several
// goroutines at once.
func Inspect(s *score.Score, opt InspectOptions) Inspection {
	in := Inspection{Title: s.Title, Parts: []PartInspection{}}
	clone := s.Clone() // the fingering works on a copy
	for i, p := range s.Parts {
		if opt.Parts != nil && !slices.Contains(opt.Parts, p.ID) || onlyUnpitched(p) {
			continue
		}
		rep := &reporter{score: s, parts: 1}
		rep.enter(p)
		v := &inspector{part: p, rep: rep, opt: opt}
		v.collect()
		pi := PartInspection{ID: p.ID, Name: p.Name, Bars: len(p.Measures), Notes: len(v.notes)}
		v.tones(&pi)
		v.harmony(&pi)
		if p.Fretted() {
			pi.Neck = v.neck(clone, clone.Parts[i])
		}
		in.Parts = append(in.Parts, pi)
	}
	return in
}

// An inspector looks at one part.
type inspector struct {
	part  *score.Part
	rep   *reporter
	opt   InspectOptions
	notes []heardNote // struck, in order of time

	pulses []pulse // of the measures, made when they are asked for
}

// A heardNote is a struck note as it is heard: bends by their targets,
// harmonics by their partials. Dead notes are not heard.
type heardNote struct {
	note    *score.Note
	chord   *score.Chord
	measure int
	at      score.Quarters // from the start of the part
	length  score.Quarters // with what is tied to it
	pitch   theory.Pitch
}

func (v *inspector) collect() {
	type key struct{ staff, voice, midi int }
	tied := map[key]int{}
	var start score.Quarters
	for i, m := range v.part.Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				if n.Unpitched || n.Has(score.Dead) || c.Cue {
					continue
				}
				k := key{c.Staff, c.Voice, n.Pitch.MIDI()}
				if j, ok := tied[k]; ok && n.TieStop {
					v.notes[j].length = v.notes[j].length.Add(c.Duration)
					if !n.TieStart {
						delete(tied, k)
					}
					continue
				}
				if n.Has(score.Held) {
					continue
				}
				p := heardPitch(n)
				if n.TieStart {
					tied[k] = len(v.notes)
				}
				v.notes = append(v.notes, heardNote{n, c, i, start.Add(c.Onset), c.Duration, p})
			}
		}
		start = start.Add(m.Length)
	}
	slices.SortStableFunc(v.notes, func(a, b heardNote) int { return a.at.Cmp(b.at) })
}

// heardPitch returns the pitch at which a note is heard: a bend's target, a
// harmonic's partial.
func heardPitch(n *score.Note) theory.Pitch {
	if d := n.Sounding() - n.Pitch.MIDI(); d != 0 {
		return n.Pitch.Transpose(plainInterval(d))
	}
	return n.Pitch
}

// moment names a time in a bar; a pickup counts to the end of its bar.
func (v *inspector) moment(measure int, onset score.Quarters) Moment {
	return Moment{v.rep.bar(measure), beatOf(v.inBar(measure, onset), v.rep.beats[measure])}
}

// inBar returns an onset from the start of the whole bar, of which a pickup is
// the end.
func (v *inspector) inBar(measure int, onset score.Quarters) score.Quarters {
	return inWholeBar(v.part, measure, onset)
}

func inWholeBar(p *score.Part, measure int, onset score.Quarters) score.Quarters {
	m := p.Measures[measure]
	if m.Implicit && measure == 0 && m.Length.Less(m.Nominal) {
		return onset.Add(m.Nominal.Sub(m.Length))
	}
	return onset
}

// strong tells whether an onset is a strong beat: the first of a bar, the one
// in its middle where a bar has four beats or six, and the beginning of a
// group in metres such as 5/4 and 7/8.
func (v *inspector) strong(measure int, onset score.Quarters) bool {
	if v.pulses == nil {
		v.pulses = pulses(v.part)
	}
	return v.pulses[measure].rank(v.inBar(measure, onset)) >= strongBeat
}
