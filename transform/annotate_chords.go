package transform

import (
	"slices"
	"strconv"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A chordJob is what a sound is against a chord.
type chordJob struct {
	known bool // there is a chord, and its tones are known
	tone  bool // the sound is one of them
	text  string
}

// jobIn says what a sound is against a chord: R for the root and the numbers
// that the chord gives its tones; in brackets what is none of them, as 9 11 13
// above it, altered where it is. A bass that is no other tone is a chord tone
// under the number that it would have above. A power chord leaves its third
// open: a third of the scale in use counts as its third.
//
// Between two names for one sound the letter decides (♯11 or ♭5, ♯5 or ♭13), be it
// the source's or the one that letters.go chose; ♯9 is heard beside a major third,
// ♭3 without.
func jobIn(c theory.Chord, p theory.Pitch, scale theory.PitchSet) chordJob {
	degrees := c.Degrees()
	if degrees == nil {
		return chordJob{}
	}
	above := func(class int) int { return ((class-c.Root.Class())%12 + 12) % 12 }
	semis := above(p.Class())
	for _, d := range degrees {
		if above(c.Root.Class()+d.Semitones()) != semis {
			continue
		}
		if semis == 0 {
			return chordJob{true, true, "R"}
		}
		return chordJob{true, true, d.String()}
	}
	if _, closed := c.Third(); !closed && (semis == 3 || semis == 4) && scale.Has(p.Class()) && !(semis == 3 && scale.Has(p.Class()+1)) {
		return chordJob{true, true, [...]string{3: "b3", 4: "3"}[semis]}
	}
	text := tensionName(degrees, semis, theory.DegreeOf(c.Root, p.NoteName).Number == 5)
	if c.HasBass && above(c.Bass.Class()) == semis {
		return chordJob{true, true, text}
	}
	return chordJob{true, false, "(" + text + ")"}
}

// tensionName names a sound that is no chord tone by its semitones above the
// root; fifth says that its letter is the one of the fifth.
func tensionName(chord []theory.Degree, semis int, fifth bool) string {
	switch {
	case semis == 3 && slices.Contains(chord, theory.Degree{Number: 3}):
		return "#9"
	case semis == 6 && fifth:
		return "b5"
	case semis == 8 && fifth:
		return "#5"
	}
	return [...]string{"R", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7"}[semis]
}

// chordSource says where chords are known from.
type chordSource int8

const (
	noChords chordSource = iota
	ownChords
	otherPart
	saidChords
)

// layChords finds the chords of the part: those that were said, else its own
// symbols, else those of the first part of the score that has any.
func (a *annotator) layChords() chordSource {
	points, from := harmonyPoints(a.part), ownChords
	switch {
	case len(a.opt.Chords) > 0:
		points, from = a.progressionPoints(), saidChords
	case len(points) == 0:
		for _, p := range a.rep.score.Parts {
			if points = harmonyPoints(p); len(points) > 0 {
				from = otherPart
				break
			}
		}
	}
	if len(points) == 0 {
		return noChords
	}
	a.spans = chordSpans(a.part, points)
	// A pickup belongs to the first chord.
	if lead := pickup(a.part); lead > 0 && len(a.spans) > 0 && a.spans[0].from == a.begins[lead] {
		a.spans[0].from = score.Quarters{}
	}
	return from
}

// progressionPoints lays the chords that were said over the bars; they begin
// again when they are through.
func (a *annotator) progressionPoints() []chordPoint {
	var points []chordPoint
	lead := pickup(a.part)
	for i, m := range a.part.Measures[lead:] {
		length := m.Nominal
		if length.Sign() <= 0 {
			length = m.Length
		}
		bar := a.opt.Chords[i%len(a.opt.Chords)]
		part := 0
		for _, c := range bar.Chords {
			at := length.Mul(score.Q(int64(part), int64(max(bar.Parts, 1))))
			part += c.Parts
			if at.Less(m.Length) || at.IsZero() {
				points = append(points, chordPoint{lead + i, at, c.Chord})
			}
		}
	}
	return points
}

// spanAt returns the index of the chord at a time, -1 for none.
func (a *annotator) spanAt(at score.Quarters) int {
	i, found := slices.BinarySearchFunc(a.spans, at, func(s chordSpan, at score.Quarters) int { return s.from.Cmp(at) })
	if !found {
		i--
	}
	return i
}

// jobs says what each tone is against its chord.
func (a *annotator) jobs() {
	for _, t := range a.tones {
		if t.span >= 0 {
			t.job = jobIn(a.spans[t.span].chord, t.pitch, a.keyAt(t.at).set)
		}
	}
}

// reportChords says what is not known about the chords.
func (a *annotator) reportChords(from chordSource, barsSaid int) {
	unknown := map[string]bool{}
	for _, s := range a.spans {
		if !s.chord.NoChord && s.chord.Degrees() == nil && !unknown[s.chord.String()] {
			unknown[s.chord.String()] = true
			a.rep.add(score.Warning, CodeAnnotateChord, a.part.Measures[s.measure].Src, a.rep.where(s.measure, s.onset)+": the tones of "+s.chord.Pretty()+" are not known; notes over it get no label against it", "")
		}
	}
	early := 0
	for _, t := range a.tones {
		if t.span < 0 && t.note != nil {
			early++
		}
	}
	if early > 0 && len(a.spans) > 0 {
		a.rep.add(score.Info, CodeAnnotateChord, a.part.Src, a.rep.inPart()+"the notes before the first chord ("+strconv.Itoa(early)+") have no label against one", "")
	}
	switch {
	case from == otherPart:
		a.rep.add(score.Info, CodeAnnotateChord, a.part.Src, a.rep.inPart()+"the chords are those of another part", "")
	case from == saidChords && barsSaid > len(a.part.Measures)-pickup(a.part):
		a.rep.add(score.Warning, CodeAnnotateChord, a.part.Src, a.rep.inPart()+"the music is over before the chords that were said are", "")
	case from == saidChords && (len(a.part.Measures)-pickup(a.part))%barsSaid != 0:
		a.rep.add(score.Info, CodeAnnotateChord, a.part.Src, a.rep.inPart()+"the chords that were said begin again when they are through", "")
	}
}
