package theory

import (
	"cmp"
	"math"
	"slices"
)

// chordVocabulary lists the qualities by which chords are recognised, simple
// ones first.
var chordVocabulary = [...]string{
	"", "m", "7", "maj7", "m7", "dim", "+", "sus4", "sus2", "5", "6", "m6", "m7b5", "dim7", "m(maj7)", "7sus4",
	"add9", "m(add9)", "9", "maj9", "m9", "6/9", "m6/9", "7b9", "7#9", "+7", "maj7#5", "7b5", "maj7b5", "dim(maj7)", "maj7#11", "7#11", "9sus4",
	"11", "m11", "13", "maj13", "m13", "7b13", "13sus4", "m(maj9)", "m9b5", "(b5)", "maj7sus4", "+(maj7)", "7alt", "m#5", "m7#5", "sus2sus4",
}

// ChordQualities returns the kinds of chord that have a symbol of their own,
// on C, simple ones first; a fresh slice. [ParseChord] reads many more, with
// any degree added, altered or left out.
func ChordQualities() []Chord {
	chords := make([]Chord, len(chordVocabulary))
	for i, q := range chordVocabulary {
		chords[i] = Chord{Quality: q}
	}
	return chords
}

// ChordOfTones names the chord of tones whose first is the root, as they are
// spelled: C E♭ G gives Cm. If no quality has that spelling, one with the same
// sounds is taken. ok is false if there is none.
func ChordOfTones(tones []NoteName) (c Chord, ok bool) {
	if len(tones) == 0 {
		return Chord{}, false
	}
	root := tones[0]
	var set PitchSet
	for _, n := range tones {
		set = set.With(n.Class() - root.Class())
	}
	var alike []Chord
	for _, q := range chordVocabulary {
		c := Chord{Root: root, Quality: q}
		degrees := c.Degrees()
		var sounds PitchSet
		spelled := len(degrees) == len(tones)
		for _, d := range degrees {
			sounds = sounds.With(d.Semitones())
			spelled = spelled && slices.Contains(tones, d.Name(root))
		}
		if spelled {
			return c, true
		}
		if sounds == set {
			alike = append(alike, c)
		}
	}
	if len(alike) > 0 {
		return alike[0], true
	}
	return chordWithAdded(tones)
}

// chordWithAdded names four or more tones as the largest chord among the
// first of them with the rest added: Em7 with an F is Em7(b9).
func chordWithAdded(tones []NoteName) (Chord, bool) {
	for n := len(tones) - 1; n >= 3; n-- {
		base, ok := ChordOfTones(tones[:n])
		if !ok {
			continue
		}
		kind, degrees := base.Kind()
		for _, tone := range tones[n:] {
			d := DegreeOf(base.Root, tone)
			if d.Number%2 == 0 {
				d.Number += 7 // 9, 11, 13
			}
			if d.Number == 7 {
				d.Alter++ // added degrees count from a minor seventh
			}
			degrees = append(degrees, KindDegree{d.Number, d.Alter, DegreeAdd})
		}
		return ChordOfKind(base.Root, kind, degrees, nil)
	}
	return Chord{}, false
}

// A ScaleChord is a chord built on a degree of a scale.
type ScaleChord struct {
	Degree Degree
	Tones  []NoteName
	Chord  Chord
	Named  bool // whether Tones make a chord that has a symbol
}

// Harmonise builds a chord on every degree of the scale on a tonic, taking
// every other note of the scale: size 3 gives triads, 4 seventh chords, up to
// 7. A scale with other than seven notes gives what its notes give, which need
// not be thirds.
func (s Scale) Harmonise(tonic NoteName, size int) []ScaleChord {
	notes := s.Notes(tonic)
	chords := make([]ScaleChord, len(notes))
	for i := range notes {
		sc := ScaleChord{Degree: s.Degree(i)}
		for j := range min(size, 7) {
			n := notes[(i+2*j)%len(notes)]
			if !slices.Contains(sc.Tones, n) {
				sc.Tones = append(sc.Tones, n)
			}
		}
		sc.Chord, sc.Named = ChordOfTones(sc.Tones)
		chords[i] = sc
	}
	return chords
}

// simpleQualities are the triads and seventh and sixth chords by which a scale
// is searched for the chords that it holds.
var simpleQualities = [...]string{"", "m", "dim", "+", "sus4", "sus2", "6", "m6", "7", "maj7", "m7", "m7b5", "dim7", "m(maj7)", "7sus4"}

// ChordsIn returns the triads, sixth and seventh chords on the degrees of the
// scale on a tonic whose sounds the scale holds, by degree. It serves scales
// that have no thirds to stack, such as pentatonics.
func (s Scale) ChordsIn(tonic NoteName) []ScaleChord {
	var chords []ScaleChord
	set := s.Set().Transpose(tonic.Class())
	for i := range s.Len() {
		for _, q := range simpleQualities {
			c := Chord{Root: s.Degree(i).Name(tonic), Quality: q}
			if set.Holds(c.Classes()) {
				chords = append(chords, ScaleChord{s.Degree(i), c.Tones(), c, true})
			}
		}
	}
	return chords
}

// A ChordGuess is a chord that a group of notes may outline.
type ChordGuess struct {
	Chord Chord
	// Covered is the share of the notes' weight that are chord tones, 0 to 1.
	Covered float64
	// Missing lists the chord tones that do not sound.
	Missing []Degree
	// Confidence is the share of belief in this chord among all that were
	// considered, 0 to 1.
	Confidence float64
}

// What a chord gains and loses in the comparison, in shares of the weight of
// all notes. Set by hand so that clear cases come out as players name them;
// see the tests.
const (
	missingThird = 0.30
	missingRoot  = 0.25
	missingTone  = 0.15
	missingFifth = 0.06
	lowestIsRoot = 0.08
	firstIsRoot  = 0.04
	moreTones    = 0.08  // for every tone above three
	rarer        = 0.004 // for every quality that stands before it in the vocabulary
	chordSpread  = 8.0   // turns differences into belief
)

// FindChords guesses the chord that notes outline, the best guess first, at
// most ten. Notes that sound long count more. The lowest note, and less so the
// first, speak for a root. Roots are spelled as the key has them, or as
// musicians write them if key is nil. It is nil if nothing sounds.
//
// One line seldom says all: four notes fit several chords, and Confidence
// shares belief among all that were considered.
func FindChords(notes []WeightedNote, key *Key) []ChordGuess {
	var weight [12]float64
	total, lowest, first := 0.0, math.MaxInt, -1
	for _, n := range notes {
		if n.Weight <= 0 {
			continue
		}
		weight[class12(n.MIDI)] += n.Weight
		total += n.Weight
		lowest = min(lowest, n.MIDI)
		if first < 0 {
			first = class12(n.MIDI)
		}
	}
	if total <= 0 {
		return nil
	}
	type candidate struct {
		ChordGuess
		score float64
	}
	var all []candidate
	for i, q := range chordVocabulary {
		degrees := Chord{Quality: q}.Degrees()
		for root := range 12 {
			c := candidate{score: -rarer * float64(i)}
			for _, d := range degrees {
				w := weight[class12(root+d.Semitones())] / total
				c.Covered += w
				if w > 0 {
					continue
				}
				c.Missing = append(c.Missing, d)
				switch {
				case d.Number == 1:
					c.score -= missingRoot
				case d.Number == 3:
					c.score -= missingThird
				case d == Degree{5, 0} && len(degrees) > 2:
					c.score -= missingFifth
				default:
					c.score -= missingTone
				}
			}
			c.score += c.Covered - moreTones*float64(max(0, len(degrees)-3))
			if class12(lowest) == root {
				c.score += lowestIsRoot
			}
			if first == root {
				c.score += firstIsRoot
			}
			c.Chord = Chord{Root: spellRoot(root, key), Quality: q}
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return -cmp.Compare(a.score, b.score) })
	sum := 0.0
	for i := range all {
		all[i].Confidence = math.Exp(chordSpread * (all[i].score - all[0].score))
		sum += all[i].Confidence
	}
	guesses := make([]ChordGuess, min(10, len(all)))
	for i := range guesses {
		guesses[i] = all[i].ChordGuess
		guesses[i].Confidence /= sum
	}
	return guesses
}

// spellRoot names a pitch class in a key, or as the twelve usual keys do.
func spellRoot(class int, key *Key) NoteName {
	if key != nil {
		return SpellIn(*key, 60+class).NoteName
	}
	return keyAt(class).Tonic
}
