package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// mayLie lists for each tone of the first voice the places at which it may come
// to lie; nil where that is not known.
func (x *choosing) mayLie(v *varied) map[score.Quarters][]fretboard.Place {
	h := x.habits[v.part.ID]
	may := map[score.Quarters][]fretboard.Place{}
	if len(v.lines) == 0 {
		return may
	}
	byPitch := map[int][]fretboard.Place{}
	for _, t := range v.lines[0].tones {
		n := t.topNote()
		if _, ok := n.Harmonic(); ok || n.Has(score.Dead) {
			continue
		}
		at := t.at.Sub(v.origin())
		for _, key := range [...]int{n.Pitch.MIDI(), n.Sounding()} { // a bend may become a slide into its target
			list, ok := byPitch[key]
			if !ok {
				for _, p := range v.neck.Places(key) {
					if h.near(p) {
						list = append(list, p)
					}
				}
				byPitch[key] = list
			}
			may[at] = append(may[at], list...)
			if bendBy(n) == 0 {
				break
			}
		}
	}
	return may
}

// handJump is how many frets the hand has to go for a jump.
const handJump = 4

// handJumps counts how often two notes within a beat, or two with one between
// them, lie more than four frets apart.
func handJumps(v *varied) (jumps int) {
	for _, l := range v.lines {
		for i, t := range l.tones {
			for _, j := range [...]int{i - 1, i - 2} {
				if j < 0 || v.beatAt(l.tones[j].at).Less(t.at.Sub(l.tones[j].at)) {
					break
				}
				a, b := l.tones[j].chord.Notes[0].Place.Fret, t.chord.Notes[0].Place.Fret
				if a > 0 && b > 0 && (a-b > handJump || b-a > handJump) {
					jumps++
					break
				}
			}
		}
	}
	return jumps
}

// handShifts counts how often the hand has to go elsewhere, if it stays where it
// is as long as all notes lie within five frets.
func handShifts(v *varied) (shifts int) {
	for _, l := range v.lines {
		low, high := 0, 0
		for _, t := range l.tones {
			f := t.chord.Notes[0].Place.Fret
			switch {
			case f <= 0:
			case low == 0:
				low, high = f, f
			case max(high, f)-min(low, f) > handJump:
				shifts++
				low, high = f, f
			default:
				low, high = min(low, f), max(high, f)
			}
		}
	}
	return shifts
}

// finger puts a candidate on the neck and returns its fault, -1 for none.
func (x *choosing) finger(c *candidateVariation) int {
	c.fingered = true
	out, said := x.opt.finger(c.out, c.anew, c.said, x.habits, func() { c.flaws++ })
	switch {
	case said.Count(score.NotDone) > 0:
		return faultPlay
	case x.opensSlurs(out):
		return faultSlur
	}
	c.out, c.said = out, said
	v := lookAt(out, x.part, x.opt.Scale)
	c.shape = phraseShapeOf(v)
	if c.bent && !slices.ContainsFunc(v.lines[0].tones, func(t *phraseTone) bool { return bendBy(t.topNote()) >= 1 }) {
		c.flaws++
	}
	c.flaws += max(0, handJumps(v)-x.jumps) + max(0, handShifts(v)-x.away) + max(0, struckOver(v)-x.over)
	if x.free && x.habits[v.part.ID].leaves(v) {
		c.flaws++
	}
	if c.flaws > mostFlaws {
		return faultFlaws
	}
	return -1
}

// struckOver counts the bends after which the note that they went to is fretted on
// the same string, where the bend would be struck again.
func struckOver(v *varied) (over int) {
	for _, l := range v.lines {
		for i, t := range l.tones[1:] {
			a, b := l.tones[i].topNote(), t.topNote()
			if by := bendBy(a); by >= 1 && bendBy(b) == 0 && a.Sounding() == b.Sounding() && a.Place.String == b.Place.String && !a.Place.IsZero() {
				over++
			}
		}
	}
	return over
}

// leaves tells whether a note lies outside of the frets of the phrase.
func (h *habit) leaves(v *varied) bool {
	for n := range score.Notes(v.part) {
		if f := n.Place.Fret; f > 0 && h.high > 0 && (f < h.low || h.high < f) {
			return true
		}
	}
	return false
}

// opensSlurs tells whether a part has a hammer-on or pull-off at an open string
// that has none in the phrase.
func (x *choosing) opensSlurs(s *score.Score) bool {
	for _, p := range s.Parts {
		if h := x.habits[p.ID]; h.slur {
			continue
		}
		for n := range score.Notes(p) {
			if n.Place.Fret == 0 && !n.Place.IsZero() && slurred(n) {
				return true
			}
		}
	}
	return false
}
