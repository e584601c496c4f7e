package transform

import (
	"slices"

	"example.org/lickwright/score"
)

// A Role is what a note that is no chord tone does between those that are.
type Role int8

// The roles. A step is one semitone or two, or from a note of the scale in use
// to the next if it is wider; more is a leap. Chord tones before and after are
// judged by their own chords.
//
// Source: Kostka & Payne, Tonal Harmony, ch. 11 and 12 (from memory); enclosure
// and approach are jazz practice and have no single source; Free is ours.
const (
	NoRole            Role = iota // a chord tone, or no chord is known
	Passing                       // by step on from one chord tone to another, in one direction, alone or several
	NeighbourTone                 // by step away from a note and back to it
	Suspension                    // held or struck again from a chord tone into another chord, then down by step
	Retardation                   // the same, then up by step
	Appoggiatura                  // by leap, then by step to a chord tone on a weaker place of the bar
	Escape                        // by step from a chord tone, then by leap to one
	Anticipation                  // the same note comes next, as a tone of the next chord
	Pedal                         // stays while chords change; before and after it is a chord tone
	Enclosure                     // one of two to four notes around a chord tone that follows, above and below it
	DiatonicApproach              // by leap, then by step to a chord tone that is no weaker; in the scale
	ChromaticApproach             // the same from outside of the scale
	Free                          // none of these
)

// roleNames lists how roles are called, and how they are written as labels:
// the short forms of harmony books where they have one.
var roleNames = [...]struct{ name, short string }{
	NoRole: {"none", ""}, Passing: {"passing", "p"}, NeighbourTone: {"neighbour", "n"}, Suspension: {"suspension", "s"},
	Retardation: {"retardation", "r"}, Appoggiatura: {"appoggiatura", "app"}, Escape: {"escape", "e"}, Anticipation: {"anticipation", "ant"},
	Pedal: {"pedal", "ped"}, Enclosure: {"enclosure", "enc"}, DiatonicApproach: {"approach-diatonic", "da"},
	ChromaticApproach: {"approach-chromatic", "ca"}, Free: {"free", "f"},
}

// String returns the name of the role: "passing".
func (r Role) String() string { return roleNames[r].name }

// Short returns the role as labels have it: "p".
func (r Role) Short() string { return roleNames[r].short }

// maxEnclosing is how many notes may enclose a target; they lie within
// maxAround semitones of it.
const (
	maxEnclosing = 4
	maxAround    = 2
)

// pedalGap is how many other notes may stand between two strokes of a pedal.
const pedalGap = 2

// roles gives every tone outside of its chord its role.
func (a *annotator) roles() {
	a.reduce()
	for _, t := range a.tones {
		if !t.outside() || t.role != NoRole {
			continue
		}
		var to *tone
		t.role, to = a.role(t)
		t.heavy = to != nil && t.rank > to.rank
	}
	// What a note does when the chord changes under it is said where it is
	// written, if nothing else is.
	for _, t := range a.tones {
		if t.note != nil || t.role == NoRole || t.role == Free {
			continue
		}
		of := t.of
		for of.note == nil {
			of = of.of
		}
		if of.role == NoRole {
			of.role, of.heavy = t.role, t.heavy
		}
	}
}

// reduce finds neighbours of notes that are themselves outside of the chord.
// The note before and after is then one, so that what it does can be seen.
func (a *annotator) reduce() {
	for _, t := range a.tones {
		p, n := t.prev, t.next
		if t.outside() && p.outside() && n.outside() && p.leaves == n.midi() && p.span == n.span && a.step(p.leaves, t.midi()) && a.step(t.leaves, n.midi()) {
			t.role, t.heavy = NeighbourTone, t.rank > n.rank
			p.next, n.prev = n, p
		}
	}
}

// ends returns what comes before a tone and after it, past those that repeat it
// over the same chord.
func ends(t *tone) (before, after *tone) {
	before, after = t.prev, t.next
	for before != nil && before.span == t.span && before.leaves == t.midi() && before.outside() {
		before = before.prev
	}
	for after != nil && after.span == t.span && after.midi() == t.leaves && after.outside() {
		after = after.next
	}
	return before, after
}

// role returns the role of a tone and the tone to which it goes, nil for none.
func (a *annotator) role(t *tone) (Role, *tone) {
	p, n := ends(t)
	if p != nil && p.leaves == t.midi() && p.span != t.span && p.inside() && n.inside() && a.step(t.leaves, n.midi()) {
		if n.midi() < t.leaves {
			return Suspension, n
		}
		return Retardation, n
	}
	in, out := a.motion(p, t), a.motion(t, n)
	if !in.step && !out.step && a.pedal(t) {
		return Pedal, t.next
	}
	if n != nil && n.midi() == t.leaves && n.span != t.span && n.inside() {
		return Anticipation, n
	}
	if in.step && out.step {
		if in.dir == out.dir && a.follow(t, in.dir, back) != nil && a.follow(t, in.dir, forth) != nil {
			return Passing, n
		}
		if in.dir != out.dir && p.leaves == n.midi() && p.inside() && n.inside() {
			return NeighbourTone, n
		}
	}
	if target := a.enclosed(t); target != nil {
		return Enclosure, target
	}
	if out.step {
		if target := a.follow(t, out.dir, forth); target != nil {
			if target == n && !in.step && t.rank > n.rank {
				return Appoggiatura, n
			}
			if a.keyAt(t.at).diatonic.Has(t.midi()) {
				return DiatonicApproach, target
			}
			return ChromaticApproach, target
		}
	}
	if in.step && n != nil && !out.step && n.midi() != t.leaves && p.inside() && n.inside() {
		return Escape, n
	}
	return Free, n
}

// A motion is how a line goes from one tone to the next.
type motion struct {
	step bool
	dir  int // 1 up, -1 down, 0 for none
}

func (a *annotator) motion(from, to *tone) motion {
	if from == nil || to == nil {
		return motion{}
	}
	return motion{a.step(from.leaves, to.midi()), sign(to.midi() - from.leaves)}
}

// step tells whether two sounds lie a step apart: a semitone, a whole tone, or
// from a note of the scale that was asked for to its next one.
func (a *annotator) step(x, y int) bool {
	low, high := min(x, y), max(x, y)
	if low == high || high-low > 4 {
		return false
	}
	if high-low <= 2 {
		return true
	}
	set := a.keys[0].set
	if a.opt.Scale == nil || !set.Has(low) || !set.Has(high) {
		return false
	}
	for m := low + 1; m < high; m++ {
		if set.Has(m) {
			return false
		}
	}
	return true
}

type way bool

const (
	back  way = false
	forth way = true
)

// follow follows a line by steps in one direction (1 up, -1 down) from a tone,
// backwards or forwards in time, through tones outside of their chords to the
// first inside of its own; nil if it does not get there.
func (a *annotator) follow(t *tone, dir int, w way) *tone {
	for {
		before, after := ends(t)
		next, m := after, motion{}
		if w == back {
			next = before
			m = a.motion(before, t)
		} else {
			m = a.motion(t, after)
		}
		switch {
		case next == nil || !m.step || m.dir != dir || !next.job.known:
			return nil
		case next.job.tone:
			return next
		}
		t = next
	}
}

// enclosed returns the chord tone that a tone encloses together with others:
// all tones between are near it, and some lie above it and some below.
func (a *annotator) enclosed(t *tone) *tone {
	target := t
	for range maxEnclosing {
		if target = target.next; target == nil {
			return nil
		}
		if !target.inside() {
			continue
		}
		var above, below, held bool
		for g, n := target.prev, 0; g != nil && n < maxEnclosing; g, n = g.prev, n+1 {
			d := g.midi() - target.midi()
			if d == 0 || distance(d, 0) > maxAround {
				break
			}
			above, below, held = above || d > 0, below || d < 0, held || g == t
		}
		if above && below && held {
			return target
		}
	}
	return nil
}

// pedal tells whether a tone belongs to a pedal, if no step leads to it or from
// it: the same pitch before and after it, at most pedalGap notes away each time, back to a chord tone of
// another chord and on to one; all between lies on one side of it.
func (a *annotator) pedal(t *tone) bool {
	side := 0
	reach := func(w way) bool {
		at := t
		for {
			other := at
			for k := 0; ; k++ {
				if w == back {
					other = other.prev
				} else {
					other = other.next
				}
				if other == nil || k > pedalGap {
					return false
				}
				d := sign(other.midi() - t.midi())
				if d == 0 {
					break
				}
				if side != 0 && d != side {
					return false
				}
				side = d
			}
			if at = other; at.inside() {
				return at.span != t.span
			}
			if !at.job.known {
				return false
			}
		}
	}
	return reach(back) && reach(forth)
}

// rank returns the rank of a time in its bar.
func (a *annotator) rank(at score.Quarters) int {
	i := a.measureAt(at)
	return a.pulses[i].rank(inWholeBar(a.part, i, at.Sub(a.begins[i])))
}

// beatAt returns the length of a beat at a time.
func (a *annotator) beatAt(at score.Quarters) score.Quarters { return a.beats[a.measureAt(at)] }

// measureAt returns the measure in which a time lies.
func (a *annotator) measureAt(at score.Quarters) int {
	i, found := slices.BinarySearchFunc(a.begins, at, score.Quarters.Cmp)
	if !found {
		i--
	}
	for i+1 < len(a.part.Measures) && a.begins[i+1] == at { // past measures without length
		i++
	}
	return min(max(i, 0), len(a.part.Measures)-1)
}
