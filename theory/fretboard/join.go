package fretboard

import "slices"

// An Overlap is how much two layouts of the same notes have in common: a
// pattern of three notes per string and a chord-shape position.
type Overlap struct {
	A, B   string // names of the regions
	Shared int    // places that are in both
	OfA    int    // places of A
	OfB    int    // places of B
}

// Overlaps compares each layout of a with each of b and returns the pairs
// that share a place, in the order of a and then of b.
func Overlaps(a, b []Layout) []Overlap {
	var all []Overlap
	for _, x := range a {
		for _, y := range b {
			in := placeSet(y)
			shared := 0
			for p := range placeSet(x) {
				if in[p] {
					shared++
				}
			}
			if shared > 0 {
				all = append(all, Overlap{x.Region.Name, y.Region.Name, shared, len(placeSet(x)), len(in)})
			}
		}
	}
	return all
}

func placeSet(l Layout) map[Place]bool {
	set := map[Place]bool{}
	for _, s := range l.Spots {
		set[s.Place] = true
	}
	return set
}

// A Join is a way to get on one string from a layout into another further up
// the neck: the last note of the one, and the next note, which only the other
// has. To go back down it is read from To to From.
type Join struct {
	From, To Spot
	Shift    float64 // millimetres that the index finger moves between the two hands
}

// Joins returns the joins from one layout to another on each string that has
// one, the last string first. scaleLength is in millimetres.
func Joins(a, b Layout, scaleLength float64) []Join {
	var joins []Join
	rowsA, rowsB := a.ByString(), b.ByString()
	n := a.Region.Neck
	for str := n.Tuning.Len(); str >= 1; str-- {
		if str > len(rowsB) || len(rowsA[str-1]) == 0 {
			continue
		}
		last := rowsA[str-1][len(rowsA[str-1])-1]
		i := slices.IndexFunc(rowsB[str-1], func(s Spot) bool { return s.Place.Fret > last.Place.Fret })
		if i < 0 {
			continue
		}
		joins = append(joins, Join{last, rowsB[str-1][i], n.Reach(a.Region.IndexFret(), b.Region.IndexFret(), scaleLength)})
	}
	return joins
}

// Stands returns the fret of the index finger, for a region without a hand
// its lowest fret.
func (r Region) Stands() int {
	if r.Index >= 0 {
		return r.Index
	}
	return r.Low
}

// IndexFret returns the fret that the index finger has where the hand stands: in
// open position, where the open string takes its place, the first.
func (r Region) IndexFret() int { return max(r.Stands(), 1) }

// Grips returns the fret of the index finger of a hand that holds a chord in
// the region: of a chord shape that of its root. Elsewhere it is that of
// [Region.Stands].
func (r Region) Grips() int {
	if r.grip != nil {
		return r.gripAt
	}
	return r.Stands()
}
