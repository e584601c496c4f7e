package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A phraseStyle is what a variation is measured by against its phrase. Notes
// count by their highest sound: a bend by its target.
type phraseStyle struct {
	leap           int // the widest, in semitones, see [varied.widest]
	struck, strong int // notes on strong beats under chords, and how many are chord tones
	low, high      int // MIDI key numbers
	again          int // how often one note is struck in a row, at most
	doubled        int // notes that are struck again at once
	chords         bool
	outside        float64        // share of the time under chords that notes outside of scale and chord take
	resolved       bool           // the last note is a tone of the chord under it
	settled        bool           // it is its root, third or fifth
	rocking        score.Quarters // the longest stretch of five notes or more that has two pitches
	rounds         int            // how often a cell of two to four notes comes in a row, at most
	end            score.Quarters // of the last note, from the first whole bar
	held           score.Quarters // of long notes, or notes over a change, that are no chord tones
	longest        score.Quarters // the longest of these
	missed         int            // tones that are no chord tones where a chord changes, or held over a strong beat
	weakEnd        bool           // the last note comes on no strong beat
	openEnd        bool           // it is bent, or joined to the one before
	broken         bool           // the line ends within a cell
	stalled        int            // how many bars in a row begin with the same note, at most
	bends          int            // of a semitone or more
	brief          score.Quarters // the shortest note that is bent
	closing        int            // how many notes rise, or fall if it is negative, up to the last one
	last           score.Quarters // of the last note
	thirds         []bool         // by chord symbol: its third is heard
	bar            score.Quarters // the longest
	notes          int
	cells, rhythms map[[2]int64]int // how often each comes, see [phraseStyle.kept]
}

// longHeld is how long, in quarter notes, a note stands out against its chord;
// over a change, where it is heard as held on from before, a quarter note does.
var longHeld = score.Q(3, 2)

// rockingNotes is how many notes there have to be to and fro.
const rockingNotes = 5

// styleOf looks at the lines of a part.
func styleOf(v *varied) *phraseStyle {
	st := &phraseStyle{leap: v.widest(), chords: len(v.spans) > 0, low: 1 << 10, cells: map[[2]int64]int{}, rhythms: map[[2]int64]int{}, thirds: make([]bool, len(v.spans))}
	v.remember()
	for _, m := range v.part.Measures {
		if st.bar.Less(m.Nominal) {
			st.bar = m.Nominal
		}
	}
	inScale := v.scale.Scale.Set().Transpose(v.scale.Tonic.Class())
	spans := v.chordSets()
	var outside, under score.Quarters
	for k, l := range v.lines {
		tops := make([]int, len(l.tones))
		row := 0
		for i, t := range l.tones {
			tops[i] = t.top()
			st.notes++
			row++
			if i > 0 {
				if tops[i] != tops[i-1] {
					row = 1
				} else {
					st.doubled++
				}
			}
			st.again = max(st.again, row)
			for _, n := range t.chord.Notes {
				st.low, st.high = min(st.low, n.Sounding()), max(st.high, n.Sounding())
			}
			st.chordsUnder(v, spans, t, tops[i])
			at := v.spanAt(t.at)
			if at < 0 || spans[at].all == 0 {
				continue
			}
			chord := spans[at]
			for _, n := range t.chord.Notes {
				under = under.Add(t.length)
				if !chord.all.Has(n.Sounding()) && !inScale.Has(n.Sounding()) {
					outside = outside.Add(t.length)
				}
			}
			if v.strongAt(t.at) {
				for _, n := range t.chord.Notes {
					st.struck++
					if chord.all.Has(n.Sounding()) {
						st.strong++
					}
				}
			}
			if k == 0 && i == len(l.tones)-1 {
				st.weakEnd, st.openEnd, st.broken = !v.strongAt(t.at), reached(t), v.breaksOff()
				st.resolved, st.settled = chord.all.Has(tops[i]), chord.triad.Has(tops[i])
			}
		}
		st.rock(l, tops)
		st.round(tops)
		if k == 0 {
			st.count(v, l)
			st.mark(l, tops)
			st.stall(v, l, tops)
		}
		if n := len(l.tones); n > 0 && st.end.Less(l.tones[n-1].end()) {
			st.end = l.tones[n-1].end()
		}
	}
	if under.Sign() > 0 {
		st.outside = outside.Float() / under.Float()
	}
	st.end = st.end.Sub(v.origin())
	return st
}

// mark finds what of a line is most heard: its bends, and its end.
func (st *phraseStyle) mark(l *phraseLine, tops []int) {
	for _, t := range l.tones {
		if bendBy(t.topNote()) >= 1 {
			if st.bends++; st.bends == 1 || t.length.Less(st.brief) {
				st.brief = t.length
			}
		}
		st.last = t.length
	}
	for i := len(tops) - 1; i > 0; i-- {
		way := sign(tops[i] - tops[i-1])
		if way == 0 || st.closing*way < 0 {
			break
		}
		if st.closing == 0 {
			st.closing = way
		}
		st.closing += way
	}
}

// stall finds how many bars in a row begin with the same note.
func (st *phraseStyle) stall(v *varied, l *phraseLine, tops []int) {
	before, row, k := -1, 0, 0
	for i, at := range v.begins[:len(v.begins)-1] {
		for k < len(l.tones) && !at.Less(l.tones[k].end()) {
			k++
		}
		if k == len(l.tones) || at.Less(l.tones[k].at) || !shortBy(v.part, i).IsZero() {
			before, row = -1, 0
			continue
		}
		if tops[k] != before {
			before, row = tops[k], 0
		}
		row++
		st.stalled = max(st.stalled, row)
	}
}

// closes tells whether a line ends with a fall of three notes or more, or a rise,
// as another does; one that ends with neither has nothing to be kept.
func (st *phraseStyle) closes(of *phraseStyle) bool {
	return of.closing*sign(of.closing) >= closingNotes && st.closing*sign(of.closing) >= closingNotes
}

// closingNotes is from how many notes on one hears a cadence.
const closingNotes = 3

// A chordSet is the sounds of a chord: all, its root, third and fifth, and its
// third.
type chordSet struct{ all, triad, third theory.PitchSet }

// chordSets returns those of the chord symbols.
func (v *varied) chordSets() []chordSet {
	list := make([]chordSet, len(v.spans))
	for i, s := range v.spans {
		c := &list[i]
		degrees := s.chord.Degrees()
		if len(degrees) == 0 {
			continue
		}
		c.all = s.chord.Classes()
		for _, d := range degrees {
			class := d.Name(s.chord.Root).Class()
			switch d.Number {
			case 1, 5:
				c.triad = c.triad.With(class)
			case 3:
				c.triad, c.third = c.triad.With(class), c.third.With(class)
			}
		}
	}
	return list
}

// origin returns when the first whole bar begins.
func (v *varied) origin() score.Quarters {
	if len(v.part.Measures) > 0 && !shortBy(v.part, 0).IsZero() {
		return v.part.Measures[0].Length
	}
	return score.Quarters{}
}

// chordsUnder notes which thirds a tone makes heard, and whether it stands
// against a chord for long.
func (st *phraseStyle) chordsUnder(v *varied, spans []chordSet, t *phraseTone, top int) {
	for i := max(0, v.spanAt(t.at)); i < len(spans) && v.spans[i].from.Less(t.end()); i++ {
		s := v.spans[i]
		from, to := s.from, s.to
		if from.Less(t.at) {
			from = t.at
		}
		if t.end().Less(to) {
			to = t.end()
		}
		d := to.Sub(from)
		if d.Sign() <= 0 || spans[i].all == 0 {
			continue
		}
		if spans[i].third.Has(top) && (!d.Less(score.Q(1, 1)) || from == t.at && v.beatBegins(from)) {
			st.thirds[i] = true // in passing it says little
		}
		if v.heldOver(t, from, to) && !spans[i].all.Has(top) {
			st.missed++
		}
		if i > 0 && from == t.at && from == s.from && !spans[i].all.Has(top) && !v.spans[i].chord.Same(v.spans[i-1].chord) {
			st.missed++
		}
		long := longHeld
		if from == s.from {
			long = score.Q(1, 1)
		}
		if !spans[i].all.Has(top) && !d.Less(long) {
			st.held = st.held.Add(d)
			if st.longest.Less(d) {
				st.longest = d
			}
		}
	}
}

// heldOver tells whether a strong beat within a stretch comes while a tone is held
// that was struck before.
func (v *varied) heldOver(t *phraseTone, from, to score.Quarters) bool {
	for k := v.barAt(from); k < len(v.part.Measures) && v.begins[k].Less(to); k++ {
		for _, at := range v.pulses[k].strongTimes(shortBy(v.part, k), v.part.Measures[k].Length) {
			if at = v.begins[k].Add(at); t.at.Less(at) && !at.Less(from) && at.Less(to) {
				return true
			}
		}
	}
	return false
}

// rock finds the longest stretch of a line that goes to and fro between two
// pitches.
func (st *phraseStyle) rock(l *phraseLine, tops []int) {
	from := 0
	for i := range l.tones {
		// Two pitches at most from the first of the stretch to this one.
		for pitchCount(tops[from:i+1]) > 2 {
			from++
		}
		if i-from+1 < rockingNotes || pitchCount(tops[from:i+1]) < 2 {
			continue
		}
		if d := l.tones[i].end().Sub(l.tones[from].at); st.rocking.Less(d) {
			st.rocking = d
		}
	}
}

// round finds how often a cell comes in a row.
func (st *phraseStyle) round(tops []int) {
	for size := 2; size <= 4; size++ {
		row := 0 // notes that are those one cell before
		for i := size; i < len(tops); i++ {
			if row++; tops[i] != tops[i-size] {
				row = 0
			}
			st.rounds = max(st.rounds, 1+row/size)
		}
	}
}

// pitchCount counts pitches, three at most.
func pitchCount(tops []int) int {
	a, b, n := 0, 0, 0
	for _, p := range tops {
		switch {
		case n == 0:
			a, n = p, 1
		case n == 1 && p != a:
			b, n = p, 2
		case n == 2 && p != a && p != b:
			return 3
		}
	}
	return n
}

// count counts the cells and rhythms of a line.
func (st *phraseStyle) count(v *varied, l *phraseLine) {
	var steps, lengths []int64
	for i, t := range l.tones {
		if i == 0 {
			continue
		}
		before := l.tones[i-1]
		steps = append(steps, int64(v.ladder.at(v.heard(t)).step-v.ladder.at(v.heard(before)).step))
		lengths = append(lengths, rhythmOf(t.at.Sub(before.at)))
	}
	for i := range max(0, len(steps)-1) {
		st.cells[cellOf(steps[i], steps[i+1])]++
		a, b := lengths[i], lengths[i+1]
		st.rhythms[[2]int64{min(a, b), max(a, b)}]++
	}
}

// rhythmOf writes a length as one number.
func rhythmOf(q score.Quarters) int64 { return q.Num()<<24 + q.Den() }

// cellOf returns two steps so that the cell turned over, run backwards, or both,
// is the same one.
func cellOf(a, b int64) [2]int64 {
	best := [2]int64{a, b}
	for _, c := range [...][2]int64{{-a, -b}, {b, a}, {-b, -a}} {
		if slices.Compare(c[:], best[:]) < 0 {
			best = c
		}
	}
	return best
}

// kept returns how much of a phrase is left in a variation: the share of its
// cells of three notes, by the steps between them in the scale, turned over or
// backwards or as they were; and that of its pairs of times from note to note,
// in either order. Each is between 0 and 1; 1 for a phrase that has none.
func (st *phraseStyle) kept(of *phraseStyle) (cells, rhythm float64) {
	return bagShare(of.cells, st.cells), bagShare(of.rhythms, st.rhythms)
}

// bagShare returns the share of one bag that is in another.
func bagShare(of, in map[[2]int64]int) float64 {
	all, both := 0, 0
	for k, n := range of {
		all += n
		both += min(n, in[k])
	}
	if all == 0 {
		return 1
	}
	return float64(both) / float64(all)
}
