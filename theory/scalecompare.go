package theory

import (
	"cmp"
	"slices"
)

// A DegreeMove is one degree of a scale becoming another.
type DegreeMove struct{ From, To Degree }

// A ScaleChange says what changes from one scale to another on the same
// tonic.
type ScaleChange struct {
	Kept     []Degree     // in both, spelled alike
	Respelt  []DegreeMove // in both by sound, spelled differently
	Moved    []DegreeMove // the same degree number, altered differently
	Dropped  []Degree     // in the first only
	Added    []Degree     // in the second only
	SameSets bool         // both sound the same
}

// Change returns what changes from s to t on the same tonic.
func (s Scale) Change(t Scale) ScaleChange {
	return changeOf(s.Degrees(), t.Degrees())
}

// CompareNotes returns what changes from one group of notes to another, as
// degrees over a tonic. It serves scales that stand on different tonics.
func CompareNotes(tonic NoteName, from, to []NoteName) ScaleChange {
	degrees := func(notes []NoteName) []Degree {
		ds := make([]Degree, len(notes))
		for i, n := range notes {
			ds[i] = DegreeOf(tonic, n)
		}
		slices.SortFunc(ds, func(a, b Degree) int { return cmp.Compare(a.Semitones(), b.Semitones()) })
		return ds
	}
	return changeOf(degrees(from), degrees(to))
}

// changeOf pairs degrees off; it takes the slices over.
func changeOf(from, to []Degree) ScaleChange {
	var c ScaleChange
	pair := func(match func(a, b Degree) bool, take func(a, b Degree)) {
		from = slices.DeleteFunc(from, func(a Degree) bool {
			i := slices.IndexFunc(to, func(b Degree) bool { return match(a, b) })
			if i < 0 {
				return false
			}
			take(a, to[i])
			to = slices.Delete(to, i, i+1)
			return true
		})
	}
	pair(func(a, b Degree) bool { return a == b }, func(a, _ Degree) { c.Kept = append(c.Kept, a) })
	pair(func(a, b Degree) bool { return class12(a.Semitones()) == class12(b.Semitones()) },
		func(a, b Degree) { c.Respelt = append(c.Respelt, DegreeMove{a, b}) })
	c.SameSets = len(from) == 0 && len(to) == 0
	pair(func(a, b Degree) bool { return a.Number == b.Number },
		func(a, b Degree) { c.Moved = append(c.Moved, DegreeMove{a, b}) })
	c.Dropped, c.Added = from, to
	return c
}

// A Neighbour is a scale that differs from another on the same tonic in one
// note, moved by a semitone.
type Neighbour struct {
	Scale    Scale
	From, To Degree // the note that moves
	Mode     bool   // it is a mode of the same parent scale
}

// Brighter tells whether the note moves up.
func (n Neighbour) Brighter() bool { return n.To.Semitones() > n.From.Semitones() }

// Neighbours returns the named scales, and the unnamed modes of s, that
// differ from s in one note moved by a semitone; modes of s first, then in
// the order of the catalogue. On the same tonic Dorian has two among its own
// modes: Mixolydian (♭3 becomes 3) and Aeolian (6 becomes ♭6).
func (s Scale) Neighbours() []Neighbour {
	var found []Neighbour
	var seen []PitchSet
	add := func(t Scale, mode bool) {
		set := t.Set()
		gone, come := s.Set()&^set, set&^s.Set()
		if gone.Len() != 1 || come.Len() != 1 || slices.Contains(seen, set) {
			return
		}
		n := Neighbour{Scale: t, Mode: mode}
		for i := range s.Len() {
			if d := s.Degree(i); gone.Has(d.Semitones()) {
				n.From = d
			}
		}
		for i := range t.Len() {
			if d := t.Degree(i); come.Has(d.Semitones()) {
				n.To = d
			}
		}
		if abs(n.From.Semitones()-n.To.Semitones()) == 1 {
			found = append(found, n)
			seen = append(seen, set)
		}
	}
	for _, m := range s.Modes()[min(1, s.Len()):] {
		add(m, true)
	}
	for _, t := range scaleData().scales {
		add(t, false)
	}
	return found
}

// A FoundScale is a scale on a tonic that holds a set of notes.
type FoundScale struct {
	Tonic NoteName
	Scale Scale
	Extra []NoteName // its notes that were not asked for
}

// FindScales returns the named scales that hold all the notes, on every
// tonic or, if tonic is not nil, on that one. Those without extra notes come
// first, then those in daily use; within these the closest: fewest extra
// notes, then those on the first note that was given, then in the order of the
// catalogue. Tonics are spelled so that the scale has as many of the notes as
// can be as they were given, with few accidentals.
func FindScales(notes []NoteName, tonic *NoteName) []FoundScale {
	want := SetOf(notes...)
	data := scaleData()
	type candidate struct {
		FoundScale
		extra, rank, index int
	}
	var found []candidate
	for i, s := range data.scales {
		for class := range 12 {
			if tonic != nil && class != tonic.Class() {
				continue
			}
			set := s.Set().Transpose(class)
			if !set.Holds(want) {
				continue
			}
			rank := slices.IndexFunc(notes, func(n NoteName) bool { return n.Class() == class })
			if rank < 0 {
				rank = len(notes)
			}
			c := candidate{FoundScale{Scale: s}, set.Len() - want.Len(), rank, i}
			if tonic != nil {
				c.Tonic = *tonic
			} else {
				c.Tonic = spellTonic(s, class, notes)
			}
			for _, n := range s.Notes(c.Tonic) {
				if !want.Has(n.Class()) {
					c.Extra = append(c.Extra, n)
				}
			}
			found = append(found, c)
		}
	}
	slices.SortStableFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(min(a.extra, 1), min(b.extra, 1)), -compareBool(data.usual[a.index], data.usual[b.index]),
			cmp.Compare(a.extra, b.extra), cmp.Compare(min(a.rank, 1), min(b.rank, 1)),
			cmp.Compare(a.index, b.index), cmp.Compare(a.rank, b.rank))
	})
	out := make([]FoundScale, len(found))
	for i, c := range found {
		out[i] = c.FoundScale
	}
	return out
}

// compareBool puts false before true.
func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// spellTonic names the tonic of a found scale: the name under which most of
// the notes are spelled as given; among equals the one with the fewest
// accidentals in the scale, and the flat one where that is a tie.
func spellTonic(s Scale, class int, given []NoteName) NoteName {
	var best NoteName
	bestHits, bestSigns := -1, 0
	for f := -8; f <= 12; f++ { // F♭ to B♯
		n := NameAtFifths(f)
		if n.Class() != class {
			continue
		}
		if natural := f < -6 || f > 10; natural && !slices.Contains(given, n) {
			continue // C♭, F♭, E♯ and B♯ only where they were written
		}
		hits, signs := 0, 0
		for _, note := range s.Notes(n) {
			signs += abs(note.Alter)
			if slices.Contains(given, note) {
				hits++
			}
		}
		if hits > bestHits || hits == bestHits && signs < bestSigns {
			best, bestHits, bestSigns = n, hits, signs
		}
	}
	return best
}
