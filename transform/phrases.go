package transform

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// phrases cuts the part into phrases, as ranges of notes: at rests of a beat
// or more in all voices, at double bars and at repeats, but never through a
// tie or a technique that joins two notes.
func (np *neckPart) phrases(p *score.Part) [][2]int {
	cuts := barlineCuts(p)
	joinedTo := 0 // the last note that a link from an earlier one reaches
	reach := map[int]int{}
	for _, l := range np.links {
		reach[l.a] = max(reach[l.a], l.b)
	}
	var ranges [][2]int
	start := 0
	var sounding score.Quarters // until when what came before sounds
	for i := range np.notes {
		n := &np.notes[i]
		if i > start && i > joinedTo {
			gap := n.at.Sub(sounding)
			cut := len(cuts) > 0 && cuts[0].Cmp(n.at) <= 0
			if cut || gap.Cmp(np.rep.beats[n.measure]) >= 0 {
				ranges = append(ranges, [2]int{start, i})
				start = i
			}
		}
		for len(cuts) > 0 && cuts[0].Cmp(n.at) <= 0 {
			cuts = cuts[1:]
		}
		if sounding.Less(n.end) {
			sounding = n.end
		}
		joinedTo = max(joinedTo, reach[i])
	}
	return append(ranges, [2]int{start, len(np.notes)})
}

// barlineCuts returns the times of double bars and repeats.
func barlineCuts(p *score.Part) []score.Quarters {
	var cuts []score.Quarters
	var start score.Quarters
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if b, ok := e.(*score.Barline); ok && (b.Repeat != score.NoRepeat || b.Style == "light-light" || b.Style == "light-heavy" || b.Style == "heavy-light" || b.Style == "heavy-heavy") {
				cuts = append(cuts, start.Add(b.Onset))
			}
		}
		start = start.Add(m.Length)
	}
	return cuts
}

// room returns how many frets the notes of a range can move down (a number of
// 0 or less) and up. Where they fit nowhere, lo is above hi.
func (np *neckPart) room(r [2]int) (lo, hi int) {
	lo, hi = -fretboard.MaxFrets, fretboard.MaxFrets
	for i := r[0]; i < r[1]; i++ {
		n := &np.notes[i]
		if n.movesAsShape() {
			lo, hi = max(lo, n.lo-n.from.Fret), min(hi, n.hi-n.from.Fret)
		}
	}
	return lo, hi
}

// octavesInto returns the octaves that bring a move of some frets into the
// room, fewest first, and whether any do.
func octavesInto(frets, lo, hi int) (octaves int, ok bool) {
	for ; frets < lo; frets += 12 {
		octaves++
	}
	for ; frets > hi; frets -= 12 {
		octaves--
	}
	return octaves, lo <= frets && frets <= hi
}

// shifts chooses for each phrase by how many octaves it moves beside the
// interval, and reports those that do.
func (np *neckPart) shifts(ranges [][2]int, semitones int) []int {
	shifts := make([]int, len(ranges))
	if semitones == 0 {
		return shifts
	}
	all := [2]int{0, len(np.notes)}
	lo, hi := np.room(all)
	if k, ok := octavesInto(semitones, lo, hi); ok {
		for i := range shifts {
			shifts[i] = k
		}
		if k != 0 {
			np.reportOctave(all, k, semitones)
		}
		return shifts
	}
	for i, r := range ranges {
		lo, hi := np.room(r)
		k, ok := octavesInto(semitones, lo, hi)
		if !ok {
			// No octave has room for the shape. Its notes are fingered anew,
			// in the octave in which most of them are on the neck at all.
			k = np.octaveOfMost(r)
		}
		if shifts[i] = k; k != 0 {
			np.reportOctave(r, k, semitones)
		}
	}
	return shifts
}

// octaveOfMost returns the octave shift, as it is if possible, in which the
// fewest pitches of a range are nowhere on the neck.
func (np *neckPart) octaveOfMost(r [2]int) int {
	best, fewest := 0, r[1]-r[0]+1
	for _, k := range []int{0, 1, -1, 2, -2, 3, -3} {
		missing := 0
		for i := r[0]; i < r[1]; i++ {
			n := &np.notes[i]
			if n.from.IsZero() || n.muted() {
				continue
			}
			if len(n.candidates(n.note.Pitch.Transpose(theory.Octaves(k)))) == 0 {
				missing++
			}
		}
		if missing < fewest {
			best, fewest = k, missing
		}
	}
	return best
}

func (np *neckPart) reportOctave(r [2]int, octaves, semitones int) {
	why := ""
	for i := r[0]; i < r[1]; i++ {
		n := &np.notes[i]
		if f := n.from.Fret + semitones; n.movesAsShape() && (f < n.lo || f > n.hi) {
			why = fmt.Sprintf(": the note at bar %s, beat %s would lie at fret %d of string %d", np.rep.bar(n.measure), np.rep.beat(n.measure, n.chord.Onset), f, n.from.String)
			if f >= 0 && f <= n.neck.TopFret() {
				why += ", where it cannot be played as it is marked"
			}
			break
		}
	}
	first, last := &np.notes[r[0]], &np.notes[r[1]-1]
	bars := np.rep.inPart() + "bar " + np.rep.bar(first.measure)
	if last.measure != first.measure {
		bars = np.rep.inPart() + "bars " + np.rep.bar(first.measure) + " to " + np.rep.bar(last.measure)
	}
	np.rep.add(score.Warning, CodeOctave, first.note.Src,
		fmt.Sprintf("%s moved %s on top of the interval%s", bars, octaveWords(octaves), why),
		"the same key in the other direction may stay on the neck")
}

func octaveWords(n int) string {
	dir := "up"
	if n < 0 {
		n, dir = -n, "down"
	}
	if n == 1 {
		return "an octave " + dir
	}
	return fmt.Sprintf("%d octaves %s", n, dir)
}
